"""Sketches and their lettered dimension lines painted on a page whose unit is a mm of paper."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from matplotlib.axes import Axes

from linkage.draw.paint import paint_items
from linkage.form.dimension_lines import CIRCLE, Dimension, Layout, box_of, lay_out, on_paper
from linkage.form.sketch import Detail, Outline, Sketch
from linkage.mechanism import Point
from linkage.scene import style
from linkage.scene.drawing import Arrow, Item, Shape, Stroke, Words, circle

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
_HEAD = 6.5  # of an arrow [points]
_DROP, _TAIL = 0.3, 0.6  # of letters without tails: their middle; of a line's foot [mm]
_INKS = {"part": style.MEASURED, "about": style.ABOUT, "hole": style.HOLE}


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

    `width` [mm]: of the page. `cells`: where each goes; y runs up, the detail hangs from 0.
    `height` [mm]: what it all takes.
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


def draw_cell(axis: Axes, cell: Cell, corner: Point, letters: Mapping[str, str]) -> None:
    """Draw a sketch with its dimension lines.

    `axis`: one unit of it is a mm of paper. `cell`: from `arrange`. `corner` [mm]: where the
    detail's top left corner is on the page.
    """
    paint_items(axis, cell_items(cell, corner, letters))


def cell_items(cell: Cell, corner: Point, letters: Mapping[str, str]) -> Iterator[Item]:
    """Yield a sketch with its dimension lines and its title, on a page in mm of paper."""
    x, y = corner[0] + cell.origin[0], corner[1] + cell.origin[1]
    paper = on_paper(cell.sketch, cell.layout.scale)

    def at(point: Point) -> Point:
        px, py = paper(point)
        return x + px, y + py

    face = list(_face(cell, (x, y))) if cell.sketch.plan else []
    yield from face[:1]  # its dots lie under the metal, its line upon it
    for outline in cell.sketch.outlines:
        moved = [[at(p) for p in shape] for shape in outline.shapes]
        yield from _outline(Outline(moved, outline.look))
    yield from face[1:]
    for line in cell.sketch.lines:
        yield Stroke([at(point) for point in line], style.CUT)
    for cx, cy in map(at, cell.sketch.centres):
        yield Stroke([(cx - _CROSS, cy), (cx + _CROSS, cy)], style.HOUR)
        yield Stroke([(cx, cy - _CROSS), (cx, cy + _CROSS)], style.HOUR)
    for dimension in cell.layout.dimensions:
        yield from _dimension(dimension, (x, y), letters[dimension.key])
    for text, (px, py) in cell.layout.words:
        yield Words(text, (x + px, y + py - _TAIL), style.NOTE, -1, -1)
    left, top = corner[0] + cell.title[0], corner[1] + cell.title[1] - _TAIL
    yield Words(cell.sketch.title, (left, top), style.NOTE, -1, -1)
    ahead = _ARROW[cell.sketch.front]
    yield Words(ahead, (left + cell.width, top), style.NOTE_BOLD, 1, -1)


def _outline(outline: Outline) -> Iterator[Item]:
    if outline.look in _INKS:
        yield Shape(tuple(outline.shapes), _INKS[outline.look])
    else:
        yield from (Stroke([*shape, shape[0]], style.SLOT) for shape in outline.shapes)


def _face(cell: Cell, at: Point) -> Iterator[Item]:
    """Yield the dots on the wheel's side of its face, then the face as a line."""
    (low, _), (high, _) = box_of(on_paper(cell.sketch, cell.layout.scale)(p)
                                 for p in cell.sketch.points)  # fmt: skip
    low, high, y = at[0] + low, at[0] + high, at[1]
    yield Shape((((low, y), (high, y), (high, y + _STRIP), (low, y + _STRIP)),), style.WHEEL_SIDE)
    yield Stroke([(low - 1.5, y), (high + 1.5, y)], style.FACE)


def _dimension(dimension: Dimension, at: Point, letter: str) -> Iterator[Item]:
    def moved(point: Point) -> Point:
        return at[0] + point[0], at[1] + point[1]

    for segment in dimension.thin:
        yield Stroke([moved(point) for point in segment], style.HOUR)
    if len(dimension.line) > 1:
        yield Stroke([moved(point) for point in dimension.line], style.HOUR, dimension.key)
    for tail, tip in dimension.heads:
        yield Arrow(moved(tail), moved(tip), style.HOUR, _HEAD)
    x, y = moved(dimension.letter)
    yield Shape((circle((x, y), CIRCLE),), style.HOLE)
    letters = style.BOLD if len(letter) == 1 else style.SMALL_BOLD
    yield Words(letter, (x, y - _DROP), letters)
