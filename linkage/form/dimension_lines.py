"""Dimension lines on paper: arrowheads at two places, a letter in a circle, kept apart in rows.

All is in mm of paper here, counted from a sketch's own origin; y runs up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from linkage.draw.paint import text_width
from linkage.form.sketch import Arc, Curve, Mark, Sketch, Span, Spot, Word
from linkage.mechanism import Point
from linkage.scene.placing import stack
from linkage.scene.style import NOTE

CIRCLE = 2.7
"""Radius of the circle about a letter [mm]."""
HEAD = 2.2
"""Length of an arrowhead [mm]."""
ROW = 6.4
"""From one dimension line to the next beside it [mm]."""
_FIRST = 5.0  # of the first line from the outline
_TAIL = 4.5  # of a line whose arrowheads point inward from outside
_BESIDE = 1.2  # between a letter and what it is beside
_ROOMY = 2 * HEAD + 2 * CIRCLE + 2.4  # a line this long holds heads and letter
_GAP = 1.0  # between lines of a row
_FACE = "face of the wheel"
_PAST, _NEAR = 15.0, 4.5  # its name, from the outline: beyond a dimension line, or close by
_OFF = 2.0  # a name, from its place
_HIGH = 1.9  # of a name's letters
_WITNESS = 1.2  # how far a witness line goes past the dimension line, and starts off the outline


@dataclass(frozen=True)
class Dimension:
    """One mark as it is drawn."""

    key: str  # of the sheet
    # [mm] what is measured, from arrow tip to arrow tip; a single point for a spot
    line: tuple[Point, ...]
    heads: tuple[tuple[Point, Point], ...]  # [mm] tail and tip of every arrow
    thin: tuple[tuple[Point, Point], ...]  # [mm] witness lines and tails
    letter: Point  # [mm] middle of its circle

    @property
    def points(self) -> Iterable[Point]:
        """What it takes of the paper [mm]."""
        yield from self.line
        for segment in (*self.heads, *self.thin):
            yield from segment
        x, y = self.letter
        yield from ((x - CIRCLE, y - CIRCLE), (x + CIRCLE, y + CIRCLE))


@dataclass(frozen=True)
class Layout:
    """A sketch at a scale, with its dimension lines."""

    scale: float  # [1] mm of paper to the mm
    dimensions: tuple[Dimension, ...]  # in the order of the sketch's marks
    words: tuple[tuple[str, Point], ...]  # [mm] names of places, and where each begins
    low: Point  # [mm] corners of all it takes on the paper
    high: Point


def on_paper(sketch: Sketch, scale: float) -> Callable[[Point], Point]:
    """Return what takes a place of a sketch [mm] to paper [mm]."""
    down = -1.0 if sketch.plan else 1.0
    return lambda point: (scale * point[0], down * scale * point[1])


def box_of(points: Iterable[Point]) -> tuple[Point, Point]:
    """Return the lower left and upper right corners about points [mm]."""
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def lay_out(sketch: Sketch, scale: float) -> Layout:
    """Return a sketch's dimension lines at a scale, none upon another.

    About the sketch's own origin.

    `scale` [1]: mm of paper to the mm.
    """
    paper = on_paper(sketch, scale)
    box = box_of(paper(point) for point in sketch.points)
    beside: dict[str, Dimension] = {}
    for side in ("below", "above", "left", "right"):
        spans = [m for m in sketch.marks if isinstance(m, Span) and m.side == side]
        beside.update(_beside(spans, side, paper, box))
    spots = [paper(mark.spot) for mark in sketch.marks if isinstance(mark, Spot)]
    about = box_of(spots) if spots else box
    dimensions = tuple(
        beside[mark.key] if mark.key in beside else _in_place(mark, paper, about)
        for mark in sketch.marks
    )
    words = tuple(_write(word, paper) for word in sketch.words)
    if sketch.plan:
        lines = any(isinstance(mark, Span) and mark.side == "left" for mark in sketch.marks)
        off = _width(_FACE) + (_PAST if lines else _NEAR)
        words = (*words, (_FACE, (box[0][0] - off, -_HIGH / 2)))
    ends = [((x, y), (x + _width(text), y + _HIGH)) for text, (x, y) in words]
    taken = [*box, *(point for d in dimensions for point in d.points), *chain(*ends)]
    return Layout(scale, dimensions, words, *box_of(taken))


def _width(text: str) -> float:
    return text_width(text, NOTE) * 25.4 / 72


def _write(word: Word, paper: Callable[[Point], Point]) -> tuple[str, Point]:
    """Return where a name begins, its foot and its left end."""
    x, y = paper(word.spot)
    wide = _width(word.text)
    left = {"left": -wide - _OFF, "right": _OFF}.get(word.side, -wide / 2)
    foot = {"above": _OFF, "below": -_OFF - _HIGH}.get(word.side, -_HIGH / 2)
    return word.text, (x + left, y + foot)


def _beside(
    spans: Sequence[Span], side: str, paper: Callable[[Point], Point], box: tuple[Point, Point]
) -> Mapping[str, Dimension]:
    """Return lines along one edge, the shortest nearest to the outline."""
    along = 0 if side in ("below", "above") else 1
    edge = box[0] if side in ("below", "left") else box[1]
    way = -1.0 if side in ("below", "left") else 1.0
    found: dict[str, Dimension] = {}

    def ends_of(span: Span) -> list[Point]:
        return sorted((paper(span.start), paper(span.end)), key=lambda point: point[along])

    def taken(span: Span) -> tuple[float, float]:
        low, high = (end[along] for end in ends_of(span))
        tight = high - low < _ROOMY
        return (low - _TAIL, high + _TAIL + 2 * CIRCLE) if tight else (low, high)

    shortest = sorted(
        spans, key=lambda span: abs(paper(span.end)[along] - paper(span.start)[along])
    )
    rows = stack([taken(span) for span in shortest], _GAP)
    for span, row in zip(shortest, rows, strict=True):
        ends = ends_of(span)
        low, high = (end[along] for end in ends)
        level = edge[1 - along] + way * (_FIRST + ROW * row)

        def at(place: float, height: float = level) -> Point:
            return (place, height) if along == 0 else (height, place)

        witness = tuple(
            (at(x, y + way * _WITNESS), at(x, level + way * _WITNESS))
            for x, y in ((end[along], end[1 - along]) for end in ends)
        )
        found[span.key] = _straight(span.key, at(low), at(high), witness)
    return found


def _straight(
    key: str, start: Point, end: Point, thin: tuple[tuple[Point, Point], ...] = ()
) -> Dimension:
    """Return a line between two places; where it is short, its arrows point inward."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length

    def past(place: Point, by: float) -> Point:
        return place[0] + by * ux, place[1] + by * uy

    middle = past(start, length / 2)
    if length >= _ROOMY:
        return Dimension(key, (start, end), ((middle, start), (middle, end)), thin, middle)
    outside = ((past(start, -_TAIL), start), (past(end, _TAIL), end))
    return Dimension(key, (start, end), outside, thin, past(end, _TAIL + CIRCLE))


def _in_place(mark: Mark, paper: Callable[[Point], Point], box: tuple[Point, Point]) -> Dimension:
    if isinstance(mark, Span):
        return _straight(mark.key, paper(mark.start), paper(mark.end))
    if isinstance(mark, Arc):
        return _round(mark, paper)
    if isinstance(mark, Curve):
        line = tuple(paper(point) for point in mark.line)
        x, y = line[len(line) // 2]
        clear = CIRCLE + _BESIDE
        heads = ((line[1], line[0]), (line[-2], line[-1]))
        return Dimension(mark.key, line, heads, (), (x - 2 * clear, y))
    at = paper(mark.spot)
    middle = (box[0][0] + box[1][0]) / 2, (box[0][1] + box[1][1]) / 2
    way = tuple(math.copysign(CIRCLE + 2.5, at[k] - middle[k]) for k in (0, 1))
    letter = (at[0] + way[0], at[1] + way[1])
    return Dimension(mark.key, (at,), ((letter, at),), (), letter)


def _round(arc: Arc, paper: Callable[[Point], Point]) -> Dimension:
    """Return an arc with its legs; its letter outside, half-way."""
    steps = [arc.begin + (arc.end - arc.begin) * k / 48 for k in range(49)]
    line = tuple(paper(arc.at(step)) for step in steps)
    centre = paper(arc.centre)
    radius = math.dist(centre, line[0])
    outside = (radius + CIRCLE + _BESIDE) / radius
    middle = line[24]
    letter = tuple(centre[k] + outside * (middle[k] - centre[k]) for k in (0, 1))
    legs = tuple(
        (centre, (centre[0] + 1.15 * (x - centre[0]), centre[1] + 1.15 * (y - centre[1])))
        for x, y in (line[0], line[-1])
    )
    length = radius * abs(arc.end - arc.begin)
    back = min(24, max(1, math.ceil(48 * HEAD / length))) if length else 1
    heads = ((line[back], line[0]), (line[-1 - back], line[-1]))
    return Dimension(arc.key, line, heads, legs, (letter[0], letter[1]))
