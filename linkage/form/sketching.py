"""Sketches and their lettered dimension lines painted on a page whose unit is a mm of paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import Circle

from linkage.draw.shapes import Look, fill
from linkage.draw.style import BLACK, GREY, PLAIN, SMALL, TEXT, THIN
from linkage.form.dimension_lines import CIRCLE, Dimension, Layout, box_of, lay_out, on_paper
from linkage.form.sketch import Detail, Outline, Sketch
from linkage.mechanism import Point

SCALES = tuple(
    step * 10.0**power for power in (2, 1, 0, -1, -2) for step in (8, 6, 5, 4, 3, 2.5, 2, 1.5, 1)
)
"""How large a sketch may be drawn, falling [mm of paper to the mm]."""
_TITLE = 5.0  # a sketch's title [mm]
_GAP = 5.0  # between sketches [mm]
_CROSS = 1.3  # half an arm of a centre's cross [mm]
_STRIP = 1.6  # of the dots above the face of the wheel [mm]
_ARROW = {"right": "FRONT →", "left": "← FRONT", "up": "FRONT ↑", "": ""}
_WIDE = 150.0  # the most a sketch may take across [mm]


@dataclass(frozen=True)
class Cell:
    """One sketch laid out: from the detail's top left corner, its own origin [mm]."""

    sketch: Sketch
    layout: Layout
    origin: Point
    title: Point
    width: float


def arrange(detail: Detail, width: float) -> tuple[list[Cell], float]:
    """Lay out the sketches of a detail in rows.

    Parameters
    ----------
    width : float [mm]
        Of the page.

    Returns
    -------
    cells : list of Cell
        Where each goes; y runs up, the detail hangs from 0.
    height : float [mm]
        What it all takes.
    """
    rows = [
        [_fit(sketch, min(_WIDE, (width - _GAP * (len(row) - 1)) / len(row))) for sketch in row]
        for row in detail.rows
    ]
    if detail.aligned:
        scale = min(layout.scale for row in rows for layout in row)
        rows = [[lay_out(s, scale) for s in row] for row in detail.rows]
        low = min(layout.low[0] for row in rows for layout in row)
        high = max(layout.high[0] for row in rows for layout in row)
    cells, top = [], 0.0
    for row, layouts in zip(detail.rows, rows, strict=True):
        each = (width - _GAP * (len(row) - 1)) / len(row)
        deep = max(layout.high[1] - layout.low[1] for layout in layouts)
        for k, (sketch, layout) in enumerate(zip(row, layouts, strict=True)):
            ends = (low, high) if detail.aligned else (layout.low[0], layout.high[0])
            left = k * (each + _GAP)
            x = left + (each - (ends[1] - ends[0])) / 2 - ends[0]
            y = top - _TITLE - (deep - (layout.high[1] - layout.low[1])) / 2 - layout.high[1]
            cells.append(Cell(sketch, layout, (x, y), (left, top - 3.0), each))
        top -= _TITLE + deep + _GAP
    return cells, -top


def _fit(sketch: Sketch, width: float) -> Layout:
    """Return a sketch as large as it fits."""
    for scale in SCALES:
        layout = lay_out(sketch, scale)
        (left, bottom), (right, top) = layout.low, layout.high
        if right - left <= width and top - bottom <= sketch.height:
            return layout
    return lay_out(sketch, SCALES[-1])


def draw_cell(axis: Axes, cell: Cell, corner: Point, letters: Mapping[str, str]) -> Axes:
    """Draw a sketch with its dimension lines.

    Parameters
    ----------
    axis : Axes
        One unit of it is a mm of paper.
    cell : Cell
        From `arrange`.
    corner : (float, float) [mm]
        Where the detail's top left corner is on the page.
    """
    x, y = corner[0] + cell.origin[0], corner[1] + cell.origin[1]
    paper = on_paper(cell.sketch, cell.layout.scale)

    def at(point: Point) -> Point:
        px, py = paper(point)
        return x + px, y + py

    if cell.sketch.plan:
        _draw_face(axis, cell, (x, y))
    for index, outline in enumerate(cell.sketch.outlines):
        _draw_outline(axis, Outline([[at(p) for p in s] for s in outline.shapes], outline.look),
                      2 + 0.05 * index)  # fmt: skip
    for line in cell.sketch.lines:
        axis.plot(*zip(*map(at, line), strict=True), color=GREY, linewidth=THIN,
                  dashes=(12, 3, 2, 3), zorder=3)  # fmt: skip
    for centre in cell.sketch.centres:
        _draw_cross(axis, at(centre))
    for dimension in cell.layout.dimensions:
        _draw_dimension(axis, dimension, (x, y), letters[dimension.key])
    for text, (px, py) in cell.layout.words:
        axis.text(x + px, y + py, text, fontsize=SMALL, va="baseline", zorder=6)
    _write_title(axis, cell, corner)
    return axis


def _draw_outline(axis: Axes, outline: Outline, layer: float) -> None:
    looks = {
        "part": Look(BLACK, PLAIN, "0.9", None),
        "about": Look(GREY, THIN, "1.0", None),
        "hole": Look(BLACK, THIN, "1.0", None),
    }
    shapes = [list(shape) for shape in outline.shapes]
    if outline.look in looks:
        fill(axis, shapes, looks[outline.look], layer)
        return
    for shape in shapes:
        axis.plot(*zip(*shape, shape[0], strict=True), color=BLACK, linewidth=PLAIN,
                  dashes=(4, 2), zorder=layer)  # fmt: skip


def _draw_cross(axis: Axes, at: Point) -> None:
    x, y = at
    axis.plot([x - _CROSS, x + _CROSS], [y, y], color=BLACK, linewidth=THIN, zorder=4)
    axis.plot([x, x], [y - _CROSS, y + _CROSS], color=BLACK, linewidth=THIN, zorder=4)


def _draw_face(axis: Axes, cell: Cell, at: Point) -> None:
    """Draw the face of the wheel as a line, dotted on the wheel's side."""
    (low, _), (high, _) = box_of(on_paper(cell.sketch, cell.layout.scale)(p)
                                 for p in cell.sketch.points)  # fmt: skip
    x, y = at
    low, high = x + low, x + high
    axis.plot([low - 1.5, high + 1.5], [y, y], color=BLACK, linewidth=1.0, zorder=2.95)
    axis.fill([low, high, high, low], [y, y, y + _STRIP, y + _STRIP],
              facecolor="none", edgecolor=GREY, hatch="....", linewidth=0.0,
              zorder=1.8)  # fmt: skip


def _draw_dimension(axis: Axes, dimension: Dimension, at: Point, letter: str) -> None:
    def moved(point: Point) -> Point:
        return at[0] + point[0], at[1] + point[1]

    for segment in dimension.thin:
        axis.plot(*zip(*map(moved, segment), strict=True), color=BLACK, linewidth=THIN, zorder=5)
    if len(dimension.line) > 1:
        axis.plot(*zip(*map(moved, dimension.line), strict=True), color=BLACK, linewidth=THIN,
                  zorder=5, gid=dimension.key)  # fmt: skip
    for tail, tip in dimension.heads:
        axis.annotate(
            "", moved(tip), moved(tail), zorder=5.5,
            arrowprops={"arrowstyle": "-|>,head_width=0.13,head_length=0.36", "color": BLACK,
                        "linewidth": THIN, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip
    spot = moved(dimension.letter)
    axis.add_patch(Circle(spot, CIRCLE, facecolor="1.0", edgecolor=BLACK, linewidth=THIN, zorder=6))
    size = TEXT if len(letter) == 1 else SMALL - 0.5
    axis.text(*spot, letter, fontsize=size, fontweight="bold", ha="center",
              va="center_baseline", zorder=7)  # fmt: skip


def _write_title(axis: Axes, cell: Cell, corner: Point) -> None:
    x, y = corner[0] + cell.title[0], corner[1] + cell.title[1]
    axis.text(x, y, cell.sketch.title, fontsize=SMALL, va="baseline")
    axis.text(x + cell.width, y, _ARROW[cell.sketch.front], fontsize=SMALL, fontweight="bold",
              ha="right", va="baseline")  # fmt: skip
