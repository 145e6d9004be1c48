"""The one placer of labels: boxes near what they belong to, none over another, all in the frame.

It knows boxes, anchors, obstacles and a frame, all in points of paper, and nothing of what is
written or drawn. Three ways to stand:

- `place_near`: about a spot, near first, hiding as little of the lines as can be;
- `place_in_rows`: along the upper and the lower edge, in the order of the spots;
- `stack`: in the first of several rows that has room.

    upper row    name   name  name      spread apart, in order, as little moved as can be
                  |      |     |
                  o  o   o     o        spots
                     |
    lower row       name

What finds no room is left out, never put over something else; the same is placed the same always.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.mechanism import Point

Box = tuple[float, float, float, float]
"""Left, bottom, right and top [points]."""

ROW_GAP = 5.0
"""Between the boxes of a row [points]."""
_FAR = (5.0, 8.0, 12.0, 17.0, 24.0, 33.0, 45.0, 60.0, 80.0, 105.0, 140.0, 190.0, 260.0)
_WAYS = 24
_AIR = 1.5  # between boxes
_EDGE = 2.0  # from the edge of the frame
_AWAY = 30.0  # points of way that standing square to where it should is worth
_PER_LINE = 2.5  # points of way that hiding a point of a line is worth
_COUNTED = 40  # points of lines hidden; more are as bad
_GRAIN = 2.0  # points of lines nearer together than this count once


@dataclass(frozen=True)
class Want:
    """A box that looks for a place."""

    size: tuple[float, float]  # [points] its width and height
    # [points] spots it may stand by; it takes the one where it does least harm, of equals the first
    anchors: Sequence[Point]
    within: float = math.inf  # [points] how far from the spot its edge may be; 0 to stand upon it
    away: Point | None = None  # [points] a spot that it should stand away from
    hides: float = math.inf  # how many points of lines it may hide


@dataclass(frozen=True)
class Place:
    """Where a box stands, and the anchor it stands by [points]."""

    box: Box
    anchor: Point

    @property
    def middle(self) -> Point:
        """Of the box [points]."""
        left, bottom, right, top = self.box
        return (left + right) / 2, (bottom + top) / 2


@dataclass
class Ground:
    """A frame with what is on it already; boxes and lines are added as they are placed."""

    size: tuple[float, float]  # [points] width and height of the frame
    boxes: list[Box] = field(default_factory=list)  # [points] what must not be touched
    # (N, 2) [points] points along lines, to be hidden as little as can be
    lines: Array = field(default_factory=lambda: np.zeros((0, 2)))

    def __post_init__(self) -> None:
        """Count points of lines that lie close together once."""
        known = self.lines[np.isfinite(self.lines).all(axis=1)]
        self.lines = np.unique(np.round(known / _GRAIN), axis=0) * _GRAIN


def place_near(ground: Ground, *wants: Want) -> tuple[int, Place] | None:
    """Place the first of several boxes that finds room, and keep it; None where none has room."""
    for number, want in enumerate(wants):
        tried = [_try(ground, want, anchor) for anchor in want.anchors]
        costs = [cost for cost, _ in tried]
        if costs and math.isfinite(best := min(costs)):
            box = tried[costs.index(best)][1]
            place = Place(box, want.anchors[costs.index(best)])
            ground.boxes.append(box)
            leader = np.linspace(nearest(box, place.anchor), place.anchor, 10)
            ground.lines = np.concatenate((ground.lines, leader))
            return number, place
    return None


def nearest(box: Box, spot: Point) -> Point:
    """Return the place of a box that is nearest to a spot [points]."""
    left, bottom, right, top = box
    return min(max(spot[0], left), right), min(max(spot[1], bottom), top)


def _try(ground: Ground, want: Want, anchor: Point) -> tuple[float, Box]:
    """Return what the best place by an anchor costs, infinite for none, and the box there."""
    spot, half = np.array(anchor), np.array(want.size) / 2
    far = np.array([d for d in _FAR if d <= want.within]) if want.within else np.zeros(1)
    turned = np.arange(_WAYS) * 2 * math.pi / _WAYS if want.within else np.zeros(1)
    ways = np.stack((np.cos(turned), np.sin(turned)), axis=-1)
    off = ways * far[:, None, None] + (ways * half if want.within else 0.0)
    middles = (spot + off).reshape(-1, 2)
    low, high = middles - half, middles + half
    edge = _EDGE if want.within else 0.0
    good = (low >= edge).all(axis=1) & (high <= np.array(ground.size) - edge).all(axis=1)
    for box in ground.boxes:
        good &= ~_meets(low - _AIR, high + _AIR, box)
        good &= ~_crosses(spot, middles, box)
    hidden = np.zeros(len(good), dtype=np.intp)
    hidden[good] = _hidden(ground.lines, low[good] - 1, high[good] + 1)
    good &= hidden <= want.hides
    cost = np.repeat(far, len(ways)) + _PER_LINE * np.minimum(hidden, _COUNTED)
    if want.away is not None:
        out = spot - want.away
        cost = cost + _AWAY * (1 - np.tile(ways @ (out / (np.hypot(*out) or 1.0)), len(far)))
    cost = np.where(good, cost, np.inf)
    best = int(np.argmin(cost))
    return float(cost[best]), (*low[best].tolist(), *high[best].tolist())


def _hidden(lines: Array, low: Array, high: Array) -> Index:
    """Return how many points of lines each of some boxes hides."""
    (x, y), (left, bottom), (right, top) = lines.T, low.T[..., None], high.T[..., None]
    inside = (x > left) & (x < right) & (y > bottom) & (y < top)
    return np.asarray(inside.sum(axis=1))


def _meets(low: Array, high: Array, box: Box) -> Mask:
    left, bottom, right, top = box
    return np.asarray(
        (low[:, 0] < right) & (high[:, 0] > left) & (low[:, 1] < top) & (high[:, 1] > bottom)
    )


def _crosses(spot: Array, middles: Array, box: Box) -> Mask:
    """Tell which lines from the spot would run through a box that does not hold the spot."""
    share = np.linspace(0.0, 1.0, 12)[:, None, None]
    along = spot + share * (middles - spot)
    inside: Mask = np.all((along > box[:2]) & (along < box[2:]), axis=-1)
    return np.asarray(inside[1:].any(axis=0) & ~inside[0])


@dataclass(frozen=True)
class InRow:
    """A box that wants to stand in a row: its width, its spot, and whether it matters most."""

    width: float
    spot: Point
    heavy: bool = False


@dataclass(frozen=True)
class Rows:
    """Who stands in the upper and the lower row, with their middles along it; who in neither."""

    upper: tuple[tuple[int, float], ...]
    lower: tuple[tuple[int, float], ...]
    left: tuple[int, ...]


def place_in_rows(boxes: Sequence[InRow], level: float, length: float) -> Rows:
    """Share boxes out between the rows above and below a picture, by their spots.

    What one row has no room for goes to the other as long as that has room, nearest to the level
    first; what then has none is left, of those that matter least the widest.

    `level` [points]: spots at or above it belong to the upper row. `length` [points]: of either
    row.
    """
    upper = [k for k, box in enumerate(boxes) if box.spot[1] >= level]
    lower = [k for k, box in enumerate(boxes) if box.spot[1] < level]
    for row, other, way in ((upper, lower, 1.0), (lower, upper, -1.0)):
        row.sort(key=lambda k: way * boxes[k].spot[1])
        while _taken(boxes, row) > length >= _taken(boxes, [*other, row[0]]):
            other.append(row.pop(0))
    left: list[int] = []
    for row in (upper, lower):
        row.sort(key=lambda k: (not boxes[k].heavy, boxes[k].width))
        while _taken(boxes, row) > length:
            left.append(row.pop())
    return Rows(_in_order(boxes, upper, length), _in_order(boxes, lower, length), tuple(left))


def _taken(boxes: Sequence[InRow], row: Sequence[int]) -> float:
    return sum(boxes[k].width + ROW_GAP for k in row)


def _in_order(
    boxes: Sequence[InRow], row: list[int], length: float
) -> tuple[tuple[int, float], ...]:
    row.sort(key=lambda k: boxes[k].spot[0])
    wanted = [boxes[k].spot[0] for k in row]
    return tuple(zip(row, spread(wanted, [boxes[k].width for k in row], length), strict=True))


def spread(
    wanted: Sequence[float], sizes: Sequence[float], length: float, gap: float = ROW_GAP
) -> list[float]:
    """Move boxes of a row apart until none touches the next, as little as can be in all.

    Taken off what stands before each, the middles only have to rise: whatever falls is
    levelled to its mean (pool adjacent violators), which is the least sum of squares.

    `wanted` [points]: where their middles would best stand, rising. `sizes` [points]: how much of
    the row each takes. `length` [points]: of the row, which begins at 0; where they need more, they
    stand past its beginning. `gap` [points]: from one to the next.

    Examples
    --------
    >>> spread([10.0, 12.0, 95.0], [20.0, 20.0, 20.0], 100.0)
    [10.0, 35.0, 90.0]
    """
    before = np.concatenate(([0.0], np.cumsum(np.array(sizes) + gap)))
    pools: list[tuple[float, int]] = []
    for want, start, size in zip(wanted, before[:-1].tolist(), sizes, strict=True):
        mean, count = want - size / 2 - start, 1
        while pools and pools[-1][0] > mean:
            other, many = pools.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        pools.append((mean, count))
    last = length - float(before[-1]) + gap
    starts = [min(max(mean, 0.0), last) for mean, count in pools for _ in range(count)]
    return [
        start + float(first) + size / 2
        for start, first, size in zip(starts, before[:-1], sizes, strict=True)
    ]


def stack(spans: Sequence[tuple[float, float]], gap: float) -> list[int]:
    """Return for each span, from low to high, the first row in which it has room.

    `spans` [points, or mm as long as all are]: in the order in which they choose. `gap` [the same]:
    between spans of one row.

    Examples
    --------
    >>> stack([(0.0, 4.0), (3.0, 9.0), (5.0, 8.0)], 1.0)
    [0, 1, 0]
    """
    rows: list[list[tuple[float, float]]] = []
    found = []
    for low, high in spans:
        number = next(
            (k for k, row in enumerate(rows)
             if all(high + gap <= a or b + gap <= low for a, b in row)), len(rows),
        )  # fmt: skip
        if number == len(rows):
            rows.append([])
        rows[number].append((low, high))
        found.append(number)
    return found
