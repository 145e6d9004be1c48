"""A part at true scale, to lay the metal on: outline, hole centres, profile, lines to check by."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure

from linkage.advice.keys import named_part
from linkage.advice.setting import straightened
from linkage.arrangements import build, points_of
from linkage.clearance import outline_of
from linkage.draw.paint import our_look, paint, paper
from linkage.errors import OutputError
from linkage.lengths import MILLIMETRES, Lengths
from linkage.mechanism import Part, Piece, Point
from linkage.scene import style
from linkage.scene.drawing import Frame, Item, Shape, Stroke, View, Words
from linkage.sheet import Sheet
from linkage.tables.fields import did_you_mean

PAPERS = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
"""Papers tried in turn, longer side across [mm]."""
CHECK = 100.0
"""The line that proves the printer's scale across; the one upwards is half as long [mm]."""
INCHES = 4
_MARGIN = 15.0  # about everything [mm]
_CROSS = 1.5  # arms of a hole's cross [mm]
_PER_INCH = 25.4


@dataclass(frozen=True)
class Template:
    """What is drawn."""

    title: str  # of the sheet
    name: str  # the part, and its side
    straight: Part  # as it should be, and as it was measured; the same where it has no bend
    found: Part
    holes: Mapping[str, Point]  # [mm] centres on the straight part, in its own axes
    lengths: Lengths  # how they are said


def template_of(sheet: Sheet, part: str, side: str) -> Template:
    """Return what is drawn of a part of a sheet.

    `part`: in the trade's word, or as its table is called. `side`: one that the sheet has.

    Raises
    ------
    OutputError
        Where it is no part with an outline.
    """
    mechanism = build(sheet, side)[side]
    drawn = named_part(mechanism, part)
    if drawn is None or not drawn.pieces:
        name = part.replace("_", " ")
        near = did_you_mean(name, [p.name for p in mechanism.parts if p.pieces])
        raise OutputError(f'{sheet.source}: "{name}" is no part with an outline{near}')
    straight = straightened(sheet, side, drawn.key)
    return Template(
        sheet.title or Path(sheet.source).stem,
        drawn.name if side == "only" else f"{drawn.name}, {side}-hand side",
        build(straight, side)[side].part(drawn.name),
        drawn,
        points_of(straight)[side][drawn.name],
        sheet.lengths,
    )


def draw_template(template: Template, times: float = 1.0) -> Figure:
    """Draw a part at true scale, or so many times as large.

    A4, or A3 where it needs that; one unit of its only axis is one mm of paper.

    `times` [1]: 1 for true scale.

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
    needs = (width + 2 * _MARGIN, height + deep + CHECK / 2 + 6 * _MARGIN)
    size = next((s for s in PAPERS.values() if needs[0] <= s[0] and needs[1] <= s[1]), None)
    if size is None:
        raise OutputError(
            f"the {template.name} is too large for A3 at {times:g} times; give a smaller --times"
        )
    left, top = (size[0] - width) / 2 - low[0], (size[1] + CHECK / 2 + height + deep) / 2
    items = (
        *_side(template, (left, top - high[1]), times),
        *_plan(template, (left, top - height - _MARGIN), times),
        *_holes(template, top + 2 * _MARGIN),
        *_checks(size),
        *_words(template, size, times),
    )
    sheet = paper(*(length / _PER_INCH * 72 for length in size))
    frame = Frame(sheet, (0.0, size[0]), (0.0, size[1]))
    with our_look():
        figure = Figure(figsize=(size[0] / _PER_INCH, size[1] / _PER_INCH))
        paint(figure, (0.0, 0.0, 1.0, 1.0), View("template", "", frame, items, bare=True))
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


def _side(template: Template, at: Point, times: float) -> Iterator[Item]:
    """Yield the outline in the side view, as it should be, and dashed as it was found."""

    def placed(point: Point) -> Point:
        return at[0] + point[0] * times, at[1] + point[1] * times

    straight, found = (
        [[placed(p) for p in outline_of(piece)] for piece in part.pieces]
        for part in (template.straight, template.found)
    )
    yield Shape(tuple(straight), style.OUTLINED)
    if _span(template.found) != _span(template.straight):
        yield from (Stroke([*outline, outline[0]], style.FOUND_SIDE) for outline in found)
    for number, hole in enumerate(template.holes.values(), 1):
        x, y = placed(hole)
        yield Stroke([(x - _CROSS, y), (x + _CROSS, y)], style.HOUR)
        yield Stroke([(x, y - _CROSS), (x, y + _CROSS)], style.HOUR)
        yield Words(f"{number}", (x, y + 2 * _CROSS), style.NOTE, 0, -1)


def _span(part: Part) -> tuple[float, float]:
    """Return from where to where a part reaches up and down in the side view, to 0.01 mm."""
    ys = [y for piece in part.pieces for _, y in outline_of(piece)]
    return round(min(ys), 2), round(max(ys), 2)


def _holes(template: Template, top: float) -> Iterator[Item]:
    """Yield what the holes are, and how far each is from the first."""
    places = list(template.holes.items())
    for number, (name, hole) in enumerate(places, 1):
        said = f"{number}  {name}"
        if number > 1:
            far = math.dist(hole, places[0][1])
            said += f": {_say_both(template.lengths, far)} from 1, centre to centre"
        yield Words(said, (_MARGIN, top - 4 * number), style.WORDS, -1, -1)


def _say_both(lengths: Lengths, x: float) -> str:
    """Say a length [mm] in both units, that of the sheet first."""
    both = [f"{x:.2f} mm", f"{x / _PER_INCH:.4f} in"]
    first, second = both if lengths == MILLIMETRES else both[::-1]
    return f"{first} ({second})"


def _plan(template: Template, at: Point, times: float) -> Iterator[Item]:
    """Yield the edge of the part, seen from above, away from the frames down."""
    level = max(out for piece in template.straight.pieces for out in piece.out)

    def placed(x: float, out: float) -> Point:
        return at[0] + x * times, at[1] - (out - level) * times

    for piece in template.straight.pieces:
        low, high, faces = _edge(piece)
        corners = [placed(x, faces[k]) for x, k in ((low, 0), (high, 0), (high, 1), (low, 1))]
        yield Stroke([*corners, corners[0]], style.HOUR)
    if template.found == template.straight:
        return
    stations = sorted(
        (corner[0], out, piece.thickness / 2)
        for piece in template.found.pieces
        if len(piece.corners) == 2
        for corner, out in zip(piece.corners, piece.out, strict=True)
    )
    for way in (-1, 1):
        yield Stroke([placed(x, out + way * half) for x, out, half in stations], style.FOUND)


def _edge(piece: Piece) -> tuple[float, float, tuple[float, float]]:
    """Return a flat piece seen from above: from where to where, and its two faces."""
    xs, half = [corner[0] for corner in piece.corners], piece.thickness / 2
    faces = (piece.out[0] - half, piece.out[0] + half)
    return min(xs) - piece.radius, max(xs) + piece.radius, faces


def _checks(size: Point) -> Iterator[Item]:
    """Yield the lines by which the printer's scale is proved, in mm and in inches."""
    x, y = _MARGIN, _MARGIN
    far = size[0] - _MARGIN
    yield from _measure((x + 5, y), (x + 5 + CHECK, y), f"{CHECK:.0f} mm")
    yield from _measure((x, y), (x, y + CHECK / 2), f"{CHECK / 2:.0f} mm")
    yield from _measure((far - INCHES * _PER_INCH, y), (far, y), f"{INCHES} inches")


def _measure(start: Point, end: Point, text: str) -> Iterator[Item]:
    """Yield a line from the middle of one tick to the middle of another."""
    across = start[1] == end[1]
    dx, dy = (0, 2) if across else (2, 0)
    yield Stroke([start, end], style.HAIR)
    for x, y in (start, end):
        yield Stroke([(x - dx, y - dy), (x + dx, y + dy)], style.HAIR)
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    at = (x, y + 1.5) if across else (x + 1.5, y)
    said = f"this line is {text} long"
    yield Words(said, at, style.NOTE, 0 if across else -1, -1 if across else 0)


def _words(template: Template, size: Point, times: float) -> Iterator[Item]:
    scale = "true scale" if times == 1 else f"{times:g} times as large"
    top = size[1] - _MARGIN
    yield Words(f"{template.name}: {scale}", (_MARGIN, top), style.BOLD_TITLE, -1, -1)
    yield Words(template.title, (_MARGIN, top - 5), style.WORDS, -1, -1)
    said = "Print at 100 percent, measure the lines, and only then lay the metal on it."
    if template.found != template.straight:
        said += " Full line: straight, as it should be. Dashed: as it was measured."
    yield Words(said, (size[0] / 2, 5), style.NOTE, 0, -1)
