"""Pairs of pieces and the clearance between them, on arrays of (pair, position) items.

The clearance of two pieces is the amount by which both together would have to be thickened all
round, in side view and laterally, before they touch; negative, the amount they would have to lose.
With w the difference of a point of each core, R the sum of the radii and H half the sum of the
thicknesses::

    clearance = least over both cores of  max(|w in side view| - R, |w lateral| - H)

For flat pieces that is the greater of the gap seen from the side and the gap seen in plan (and
where both overlap in side view, the shortest way apart there counts). For a sloping piece of a
bent rod, a strip that is level across its width, the core is the strip itself and R the other's
radius; the clearance is the least of a convex function of the place along it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Protocol

import numpy as np

from linkage.arrays import Array, Index
from linkage.geometry import core_gap, least_of_convex
from linkage.mechanism import Piece, Point

_EQUAL_STEPS = 40
_EQUAL = 1e-9  # gaps in side view and in plan no farther apart than this are equal [mm]
_PARTS = 4  # that strips are cut into to see how near they could come
_HALF = np.array(0.5)
_CHUNK = 1 << 13  # items worked on together, small enough to stay in cache


@dataclass(frozen=True)
class PiecePair:
    """Two pieces to compare.

    Attributes
    ----------
    parts : (int, int)
        Which rows of the pose table they ride on.
    pieces : (Piece, Piece)
        The second is the sloping one where only one slopes.
    state : tuple of (str, float) [mm]
        How far over wheelsets are for the pieces to lie there, away from the frames.
    """

    parts: tuple[int, int]
    pieces: tuple[Piece, Piece]
    state: tuple[tuple[str, float], ...] = ()

    @property
    def lateral(self) -> float:
        """The least lateral gap there can be between them, whatever the position [mm]."""
        a, b = self.pieces
        apart = max(min(a.out) - max(b.out), min(b.out) - max(a.out), 0.0)
        return apart - 0.5 * (a.thickness + b.thickness)


def slopes(piece: Piece) -> bool:
    """Tell whether a piece is a bar that runs towards or away from the frames."""
    return len(piece.corners) == 2 and piece.out[0] != piece.out[1]


def out_at(piece: Piece, spot: Point) -> float:
    """Return the lateral middle of a piece at a spot in the part's own axes [mm]."""
    if not slopes(piece):
        return piece.out[0]
    (ax, ay), (bx, by) = piece.corners
    ux, uy = bx - ax, by - ay
    along = ((spot[0] - ax) * ux + (spot[1] - ay) * uy) / (ux * ux + uy * uy)
    return piece.out[0] + min(1.0, max(0.0, along)) * (piece.out[1] - piece.out[0])


def circle_about(piece: Piece) -> tuple[float, float, float]:
    """Return the middle of a piece's corners, and how far the farthest is from it [mm]."""
    count = len(piece.corners)
    x = sum(corner[0] for corner in piece.corners) / count
    y = sum(corner[1] for corner in piece.corners) / count
    return x, y, max(math.hypot(corner[0] - x, corner[1] - y) for corner in piece.corners)


class Places(Protocol):
    """Where parts stand, to be asked for by part and position."""

    def pick(self, part: Index, at: Array | Index) -> tuple[Array, Array, Array, Array]:
        """Return x, y, cosine and sine of some parts at some positions, shape (M,) each."""
        ...


@dataclass(frozen=True)
class Poses:
    """Poses of all parts at a set of positions, shape (parts, N) each [mm, mm, 1, 1]."""

    x: Array
    y: Array
    cos: Array
    sin: Array

    @classmethod
    def of(cls, table: Array) -> Poses:
        """Make from poses, shape (parts, N, 3) [mm, mm, rad]."""
        turn = table[..., 2]
        return cls(table[..., 0], table[..., 1], np.cos(turn), np.sin(turn))

    def pick(self, part: Index, at: Array | Index) -> tuple[Array, Array, Array, Array]:
        """Return x, y, cosine and sine of some parts at some positions, shape (M,) each."""
        return self.x[part, at], self.y[part, at], self.cos[part, at], self.sin[part, at]


@dataclass(frozen=True)
class _Class:
    """Pairs of one form, stacked: corners (K, 2, P), lateral places (K, P)."""

    which: Index
    parts: tuple[Index, Index]
    corners: tuple[Array, Array]
    out: tuple[Array, Array]
    radii: tuple[Array, Array]
    half: Array
    sloping: bool
    both: bool


class PairTable:
    """Many piece pairs, ready to be evaluated at many positions.

    Parameters
    ----------
    pairs : sequence of PiecePair
        The pairs.
    """

    def __init__(self, pairs: Sequence[PiecePair]) -> None:
        self.pairs = tuple(pairs)
        self.lateral = np.array([pair.lateral for pair in self.pairs])
        forms: dict[tuple[int, int, int], list[int]] = {}
        for index, pair in enumerate(self.pairs):
            a, b = pair.pieces
            form = (len(a.corners), len(b.corners), slopes(a) + slopes(b))
            forms.setdefault(form, []).append(index)
        self._classes = [self._stack(rows, form[2] > 0) for form, rows in forms.items()]
        self._class_of = np.zeros(len(self.pairs), dtype=np.intp)
        self._row_of = np.zeros(len(self.pairs), dtype=np.intp)
        for number, group in enumerate(self._classes):
            self._class_of[group.which] = number
            self._row_of[group.which] = np.arange(len(group.which))

    def _stack(self, rows: list[int], sloping: bool) -> _Class:
        chosen = [self.pairs[row] for row in rows]
        both = tuple(
            (
                np.array([pair.parts[side] for pair in chosen], dtype=np.intp),
                np.moveaxis(np.array([pair.pieces[side].corners for pair in chosen]), 0, -1),
                np.array([pair.pieces[side].out for pair in chosen]).T,
            )
            for side in (0, 1)
        )
        return _Class(
            np.array(rows, dtype=np.intp),
            (both[0][0], both[1][0]),
            (both[0][1], both[1][1]),
            (both[0][2], both[1][2]),
            (
                np.array([pair.pieces[0].radius for pair in chosen]),
                np.array([pair.pieces[1].radius for pair in chosen]),
            ),
            np.array([0.5 * sum(piece.thickness for piece in pair.pieces) for pair in chosen]),
            sloping,
            all(slopes(piece) for piece in chosen[0].pieces),
        )

    def clearances(
        self, pair: Index, at: Array | Index, poses: Places, enough: Array | float = np.inf
    ) -> Array:
        """Return the clearance of each item.

        Parameters
        ----------
        pair : array of int, shape (M,)
            Which pair.
        at : array, shape (M,) [1]
            Which position, as `poses` counts them.
        enough : float or array, shape (M,) [mm]
            What is sure to be more need not be exact.

        Returns
        -------
        array, shape (M,) [mm]
            Clearance, or something from `enough` to it; nan where a part has no position.
        """
        found = np.empty(len(pair))
        enough = np.broadcast_to(enough, found.shape)
        for number, group in enumerate(self._classes):
            items = np.flatnonzero(self._class_of[pair] == number)
            for first in range(0, len(items), _CHUNK):
                chunk = items[first : first + _CHUNK]
                rows = self._row_of[pair[chunk]]
                found[chunk] = _clearance(group, rows, at[chunk], poses, enough[chunk])
        return found


def _clearance(group: _Class, row: Index, at: Array | Index, poses: Places, enough: Array) -> Array:
    a, b = (_in_place(group, side, row, at, poses) for side in (0, 1))
    half = group.half[row]
    if not group.sloping:
        lateral = np.abs(group.out[0][0][row] - group.out[1][0][row]) - half
        radius = group.radii[0][row] + group.radii[1][row]
        return np.asarray(np.maximum(core_gap(a, b) - radius, lateral))
    strips = [
        Strip(place, [heights[row] for heights in group.out[side]], group.radii[side][row])
        for side, place in enumerate((a, b))
    ]
    other, strip = strips
    radius = np.zeros_like(half) if group.both else other.width
    # no place of either is nearer than this in side view
    found = core_gap(other.outline() if group.both else a, strip.outline()) - radius
    found = np.maximum(found, _apart(group, row) - half)  # nor in plan
    rest = np.flatnonzero(~(found >= enough))
    if len(rest):
        near, thick = strip.pick(rest), half[rest]
        if group.both:
            far = other.pick(rest)
            found[rest] = np.maximum(found[rest], _no_nearer(far, near, thick))
            last = np.flatnonzero(~(found[rest] >= enough[rest]))
            found[rest[last]] = _two_strips(far.pick(last), near.pick(last), thick[last])
        else:
            flat, level = [corner[:, rest] for corner in a], group.out[0][0][row[rest]]
            found[rest] = _piece_and_strip(flat, level, near, (radius[rest], thick))
    return found


def _apart(group: _Class, row: Index) -> Array:
    """Return the least distance of the lateral middles of two pieces [mm]."""
    first, second = (group.out[side][:, row] for side in (0, 1))
    over = np.maximum(
        first.min(axis=0) - second.max(axis=0), second.min(axis=0) - first.max(axis=0)
    )
    return np.asarray(np.maximum(over, 0.0))


def _in_place(
    group: _Class, side: int, row: Index, at: Array | Index, poses: Places
) -> list[Array]:
    x, y, cos, sin = poses.pick(group.parts[side][row], at)
    placed = []
    for corner in group.corners[side]:
        px, py = corner[0][row], corner[1][row]
        placed.append(np.stack((x + cos * px - sin * py, y + sin * px + cos * py)))
    return placed


@dataclass(frozen=True)
class Strip:
    """Sloping bars in place: the line along each, its lateral places, half its width.

    Attributes
    ----------
    ends : list of two arrays, shape (2, M) [mm]
        Ends of the centre line.
    out : list of two arrays, shape (M,) [mm]
        Lateral place at either end.
    width : array, shape (M,) [mm]
        Half the width.
    """

    ends: list[Array]
    out: list[Array]
    width: Array

    def pick(self, rows: Index) -> Strip:
        """Return some of them."""
        ends, out = [end[:, rows] for end in self.ends], [z[rows] for z in self.out]
        return Strip(ends, out, self.width[rows])

    def parts(self) -> list[Strip]:
        """Return equal parts of the strips, one behind the other."""
        cuts = np.linspace(0.0, 1.0, _PARTS + 1).tolist()
        run, rise = self.ends[1] - self.ends[0], self.out[1] - self.out[0]
        return [
            Strip(
                [self.ends[0] + t * run for t in cut],
                [self.out[0] + t * rise for t in cut],
                self.width,
            )
            for cut in pairwise(cuts)
        ]

    def across(self, t: Array) -> list[Array]:
        """Return the two ends of the line across the strip at a share t of its length."""
        run = self.ends[1] - self.ends[0]
        side = np.stack((-run[1], run[0])) * (self.width / np.hypot(run[0], run[1]))
        middle = self.ends[0] + t * run
        return [middle - side, middle + side]

    def outline(self) -> list[Array]:
        """Return the four corners, counter-clockwise."""
        nought, one = np.zeros_like(self.width), np.ones_like(self.width)
        right, left = self.across(nought)
        far_right, far_left = self.across(one)
        return [right, far_right, far_left, left]

    def height(self, t: Array) -> Array:
        """Return the lateral place at a share t of the length."""
        return self.out[0] + t * (self.out[1] - self.out[0])

    def abreast(self, spot: Array) -> Array:
        """Return the share of the length nearest to a spot."""
        run = self.ends[1] - self.ends[0]
        share = ((spot - self.ends[0]) * run).sum(axis=0) / (run**2).sum(axis=0)
        return np.asarray(np.clip(share, 0, 1))


def _piece_and_strip(
    a: list[Array], level: Array, strip: Strip, sizes: tuple[Array, Array]
) -> Array:
    """Return the clearance of a flat piece and a strip; sizes are its radius, and half of both.

    Of two convex functions of the place t along the strip, the gap in side view f and in plan g,
    the greater is least where either is least, if the other is no greater there; else between.
    """
    radius, half = sizes

    def views(t: Array, strip: Strip, rows: Index | slice) -> tuple[Array, Array]:
        side = core_gap([corner[:, rows] for corner in a], strip.across(t)) - radius[rows]
        return side, np.abs(strip.height(t) - level[rows]) - half[rows]

    every = slice(None)
    flattest = np.clip((level - strip.out[0]) / (strip.out[1] - strip.out[0]), 0.0, 1.0)
    f, g = views(flattest, strip, every)
    least = np.where(f <= g, g, np.nan)
    places = [np.zeros_like(level), np.ones_like(level), *(strip.abreast(c) for c in a)]
    side, place = _nearest(lambda t: core_gap(a, strip.across(t)), places)
    apart = core_gap(a, strip.outline()) > 0
    plan, side = np.abs(strip.height(place) - level) - half, side - radius
    least = np.where(np.isnan(least) & apart & (plan <= side), side, least)
    for rest, search in (
        (np.isnan(least) & (side < plan), _where_equal),
        (np.isnan(least) & (side >= plan), _where_least),
    ):
        rows = np.flatnonzero(rest)
        if len(rows):
            some = strip.pick(rows)
            ends = (place[rows], flattest[rows])
            least[rows] = search(partial(views, strip=some, rows=rows), ends)
    return np.where(np.isnan(f), np.nan, least)


Views = Callable[[Array], tuple[Array, Array]]


def _where_least(views: Views, ends: tuple[Array, Array]) -> Array:
    """Return the least over all places of the greater of the two views."""
    return least_of_convex(lambda t: np.maximum(*views(t)), ends[0].shape)[1]


def _where_equal(views: Views, ends: tuple[Array, Array]) -> Array:
    """Return the value where two views are equal, the first less at one end, more at the other.

    Towards the flattest place the gap in plan falls and the gap in side view grows, so there is
    one such place (Illinois method: an end that stays twice running counts half; with a halving
    wherever it is slow).
    """
    low, high = (np.array(end) for end in ends)
    below, above = (np.subtract(*views(end)) for end in (low, high))
    before = np.zeros_like(low)  # -1 where the low end moved last, 1 where the high one did
    for turn in range(_EQUAL_STEPS):
        part = 0.5 if turn % 8 == 7 else below / (below - above)
        middle = low + (high - low) * part
        value = np.subtract(*views(middle))
        under = value < 0
        above = np.where(under, np.where(before < 0, above / 2, above), value)
        below = np.where(under, value, np.where(before > 0, below / 2, below))
        before = np.where(under, -1.0, 1.0)
        low, high = np.where(under, middle, low), np.where(under, high, middle)
        if np.max(np.abs(value)) < _EQUAL:
            break
    return np.asarray(np.maximum(*views(middle)))


def _nearest(curve: Callable[[Array], Array], places: list[Array]) -> tuple[Array, Array]:
    """Return the least value of a curve at several places, and the place."""
    best, at = curve(places[0]), places[0]
    for place in places[1:]:
        value = curve(place)
        at, best = np.where(value < best, place, at), np.minimum(value, best)
    return best, at


def _two_strips(a: Strip, b: Strip, half: Array) -> Array:
    """Return the clearance of two strips: least over places along either.

    Where the nearest of both in side view are no nearer in plan, that gap is it; only for the
    rest the places are searched, one within the other.
    """
    gap = core_gap(a.outline(), b.outline())
    ends = (np.zeros_like(half), np.ones_like(half))
    least = np.full(half.shape, np.nan)
    for t in (*ends, b.abreast(a.ends[0]), b.abreast(a.ends[1])):
        middle = 0.5 * (b.across(t)[0] + b.across(t)[1])
        for s in (*ends, a.abreast(middle)):
            side = core_gap(a.across(s), b.across(t))
            met = (side <= gap + 1e-12) & (np.abs(a.height(s) - b.height(t)) - half <= side)
            least = np.where(met & (gap > 0), side, least)
    rest = np.flatnonzero(np.isnan(least) & ~np.isnan(gap))
    if len(rest):
        p, q, thick = a.pick(rest), b.pick(rest), half[rest]
        least[rest] = least_of_convex(lambda t: strip_to_line(p, q, t, thick), rest.shape)[1]
    return least


def _no_nearer(a: Strip, b: Strip, half: Array) -> Array:
    """Return what the clearance of two strips is not below: that of their parts taken as flat."""
    least = np.full(half.shape, np.inf)
    of_b = b.parts()
    for some in a.parts():
        for other in of_b:
            over = np.abs(some.height(_HALF) - other.height(_HALF))
            over = (
                over
                - np.abs(some.out[1] - some.out[0]) / 2
                - np.abs(other.out[1] - other.out[0]) / 2
            )
            gap = np.maximum(core_gap(some.outline(), other.outline()), over - half)
            least = np.minimum(least, gap)
    return least


def strip_to_line(a: Strip, b: Strip, t: Array, half: Array) -> Array:
    """Return the clearance of strips from one line across each of others.

    Parameters
    ----------
    t : array, shape (M,) [1]
        Where along the others, as a share of their length.
    half : array, shape (M,) [mm]
        Half the sum of the thicknesses.

    Returns
    -------
    array, shape (M,) [mm]
        Least over the places along the first.
    """
    line, level = b.across(t), b.height(t)

    def curve(s: Array) -> Array:
        plan = np.abs(a.height(s) - level) - half
        return np.asarray(np.maximum(core_gap(a.across(s), line), plan))

    return least_of_convex(curve, half.shape)[1]
