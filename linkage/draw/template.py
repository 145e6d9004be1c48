"""A part at true scale, to lay the metal on: outline, hole centres, profile, lines to check by."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.clearance import outline_of
from linkage.draw.style import BLACK, GREY, SMALL, TEXT, THIN, TITLE, our_look
from linkage.errors import OutputError
from linkage.mechanism import Part, Piece, Point

PAPERS = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""Papers tried in turn, longer side across [mm]."""
CHECK = 100.0
"""The line that proves the printer's scale across; the one upwards is half as long [mm]."""
INCHES = 4
_MARGIN = 15.0  # about everything [mm]
_CROSS = 1.5  # arms of a hole's cross [mm]
_PER_INCH = 25.4
_HAIR = 0.2  # of the lines to measure by: 0.07 mm [points]
_DASHED = (0, (5, 3))


@dataclass(frozen=True)
class Template:
    """What is drawn.

    Attributes
    ----------
    title : str
        Of the sheet.
    name : str
        The part, and its side.
    straight, found : Part
        As it should be, and as it was measured; the same where it has no bend.
    holes : mapping of str to (float, float) [mm]
        Centres on the straight part, in its own axes.
    """

    title: str
    name: str
    straight: Part
    found: Part
    holes: Mapping[str, Point]


def draw_template(template: Template, times: float = 1.0) -> Figure:
    """Draw a part at true scale, or so many times as large.

    A4, or A3 where it needs that; one unit of its only axis is one mm of paper.

    Parameters
    ----------
    times : float [1]
        1 for true scale.

    Raises
    ------
    OutputError
        Where it fits on neither, or the part has no outline.
    """
    if not template.straight.pieces:
        raise OutputError(f"the {template.name} has no outline on the sheet")
    low, high = _box(template, times)
    width, height = high[0] - low[0], high[1] - low[1]
    deep = _depth(template) * times
    paper = next(
        (
            size
            for size in PAPERS.values()
            if width + 2 * _MARGIN <= size[0] and height + deep + CHECK / 2 + 6 * _MARGIN <= size[1]
        ),
        None,
    )
    if paper is None:
        raise OutputError(
            f"the {template.name} is too large for A3 at {times:g} times; give a smaller --times"
        )
    with our_look():
        figure = Figure(figsize=(paper[0] / _PER_INCH, paper[1] / _PER_INCH))
        axis = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axis.set_xlim(0.0, paper[0])
        axis.set_ylim(0.0, paper[1])
        axis.set_axis_off()
        left = (paper[0] - width) / 2 - low[0]
        top = (paper[1] + CHECK / 2 + height + deep) / 2
        _draw_side(axis, template, (left, top - high[1]), times)
        _draw_plan(axis, template, (left, top - height - _MARGIN), times)
        _write_holes(axis, template, top + 2 * _MARGIN)
        _draw_checks(axis, paper)
        _write(axis, template, paper, times)
    return figure


def _box(template: Template, times: float) -> tuple[Point, Point]:
    points = [
        point
        for part in (template.straight, template.found)
        for piece in part.pieces
        for point in outline_of(piece)
    ]
    xs, ys = [x * times for x, _ in points], [y * times for _, y in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _depth(template: Template) -> float:
    """Return how deep the part is in plan, bends and all [mm]."""
    outs = [
        out + way * piece.thickness / 2
        for part in (template.straight, template.found)
        for piece in part.pieces
        for out in piece.out
        for way in (-1, 1)
    ]
    return max(outs) - min(outs)


def _draw_side(axis: Axes, template: Template, at: Point, times: float) -> None:
    """Draw the outline in the side view, as it should be, and dashed as it was found."""

    def placed(point: Point) -> Point:
        return at[0] + point[0] * times, at[1] + point[1] * times

    outlines = [[placed(p) for p in outline_of(piece)] for piece in template.straight.pieces]
    for outline in outlines:
        axis.fill(
            *zip(*outline, strict=True), facecolor="none", edgecolor=BLACK, linewidth=2 * THIN
        )
    for outline in outlines:  # what is left of the lines is the outline of all together
        axis.fill(*zip(*outline, strict=True), facecolor="1.0", edgecolor="none", zorder=2)
    if _span(template.found) != _span(template.straight):
        for piece in template.found.pieces:
            outline = [placed(p) for p in outline_of(piece)]
            axis.fill(
                *zip(*outline, strict=True), facecolor="none", edgecolor=GREY, linewidth=THIN,
                linestyle=_DASHED, zorder=3,
            )  # fmt: skip
    for number, hole in enumerate(template.holes.values(), 1):
        x, y = placed(hole)
        axis.plot([x - _CROSS, x + _CROSS], [y, y], color=BLACK, linewidth=THIN, zorder=4)
        axis.plot([x, x], [y - _CROSS, y + _CROSS], color=BLACK, linewidth=THIN, zorder=4)
        axis.text(x, y + 2 * _CROSS, f"{number}", fontsize=SMALL, ha="center", va="bottom",
                  zorder=5)  # fmt: skip


def _span(part: Part) -> tuple[float, float]:
    """Return from where to where a part reaches up and down in the side view, to 0.01 mm."""
    ys = [y for piece in part.pieces for _, y in outline_of(piece)]
    return round(min(ys), 2), round(max(ys), 2)


def _write_holes(axis: Axes, template: Template, top: float) -> None:
    """Write what the holes are, and how far each is from the first."""
    first: Point | None = None
    for number, (name, hole) in enumerate(template.holes.items(), 1):
        first = hole if first is None else first
        far = math.dist(hole, first)
        said = f"{number}  {name}"
        if number > 1:
            said += f": {far:.2f} mm ({far / _PER_INCH:.4f} in) from 1, centre to centre"
        axis.text(_MARGIN, top - 4 * number, said, fontsize=TEXT)


def _draw_plan(axis: Axes, template: Template, at: Point, times: float) -> None:
    """Draw the edge of the part, seen from above, away from the frames down."""
    level = max(out for piece in template.straight.pieces for out in piece.out)
    for piece in template.straight.pieces:
        low, high, faces = _edge(piece)
        xs = [at[0] + x * times for x in (low, high, high, low)]
        ys = [at[1] - (out - level) * times for out in (faces[0], faces[0], faces[1], faces[1])]
        axis.fill(xs, ys, facecolor="none", edgecolor=BLACK, linewidth=THIN)
    if template.found == template.straight:
        return
    bars = [piece for piece in template.found.pieces if len(piece.corners) == 2]
    stations = sorted(
        (corner[0], out, piece.thickness / 2)
        for piece in bars
        for corner, out in zip(piece.corners, piece.out, strict=True)
    )
    for way in (-1, 1):
        axis.plot(
            [at[0] + x * times for x, _, _ in stations],
            [at[1] - (out + way * half - level) * times for _, out, half in stations],
            color=BLACK, linewidth=THIN, linestyle=_DASHED,
        )  # fmt: skip


def _edge(piece: Piece) -> tuple[float, float, tuple[float, float]]:
    """Return a flat piece seen from above: from where to where, and its two faces."""
    xs, half = [corner[0] for corner in piece.corners], piece.thickness / 2
    faces = (piece.out[0] - half, piece.out[0] + half)
    return min(xs) - piece.radius, max(xs) + piece.radius, faces


def _draw_checks(axis: Axes, paper: Point) -> None:
    """Draw the lines by which the printer's scale is proved, in mm and in inches."""
    x, y = _MARGIN, _MARGIN
    _measure(axis, (x + 5, y), (x + 5 + CHECK, y), f"{CHECK:.0f} mm")
    _measure(axis, (x, y), (x, y + CHECK / 2), f"{CHECK / 2:.0f} mm")
    far = paper[0] - _MARGIN
    _measure(axis, (far - INCHES * _PER_INCH, y), (far, y), f"{INCHES} inches")


def _measure(axis: Axes, start: Point, end: Point, text: str) -> None:
    """Draw a line from the middle of one tick to the middle of another."""
    look: dict[str, Any] = {"color": BLACK, "linewidth": _HAIR, "solid_capstyle": "butt"}
    axis.plot(*zip(start, end, strict=True), **look)
    across = start[1] == end[1]
    for x, y in (start, end):
        tick = ([x, x], [y - 2, y + 2]) if across else ([x - 2, x + 2], [y, y])
        axis.plot(*tick, **look)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    axis.text(
        middle[0] + (0 if across else 1.5), middle[1] + (1.5 if across else 0),
        f"this line is {text} long", fontsize=SMALL, ha="center" if across else "left",
        va="bottom" if across else "center",
    )  # fmt: skip


def _write(axis: Axes, template: Template, paper: Point, times: float) -> None:
    scale = "true scale" if times == 1 else f"{times:g} times as large"
    top = paper[1] - _MARGIN
    axis.text(_MARGIN, top, f"{template.name}: {scale}", fontsize=TITLE, fontweight="bold")
    axis.text(_MARGIN, top - 5, template.title, fontsize=TEXT)
    said = "Print at 100 percent, measure the lines, and only then lay the metal on it."
    if template.found != template.straight:
        said += " Full line: straight, as it should be. Dashed: as it was measured."
    axis.text(paper[0] / 2, 5, said, fontsize=SMALL, ha="center")
