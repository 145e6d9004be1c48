"""Pairs of pieces and the clearance between them, on arrays of (pair, position) items.

The clearance of two pieces is the amount by which both together would have to be thickened all
round, in side view and laterally, before they touch; negative, the amount they would have to lose.
With w the difference of a point of each core, R the sum of the radii and H half the sum of the
thicknesses::

    clearance = least over both cores of  max(|w in side view| - R, |w lateral| - H)

For flat pieces that is the greater of the gap seen from the side and the gap seen in plan (and
where both overlap in side view, the shortest way apart there counts). For a sloping piece of a
bent rod it is the least of a convex function of the place along the rod.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array, Index
from linkage.geometry import core_gap, least_of_convex
from linkage.mechanism import Piece

_CHUNK = 1 << 14  # items worked on together, small enough to stay in cache


@dataclass(frozen=True)
class PiecePair:
    """Two pieces to compare.

    Attributes
    ----------
    parts : (int, int)
        Which rows of the pose table they ride on.
    pieces : (Piece, Piece)
        The second is the sloping one where only one slopes.
    """

    parts: tuple[int, int]
    pieces: tuple[Piece, Piece]

    @property
    def lateral(self) -> float:
        """The least lateral gap there can be between them, whatever the position [mm]."""
        a, b = self.pieces
        apart = max(min(a.out) - max(b.out), min(b.out) - max(a.out), 0.0)
        return apart - 0.5 * (a.thickness + b.thickness)


def slopes(piece: Piece) -> bool:
    """Tell whether a piece is a bar that runs towards or away from the frames."""
    return len(piece.corners) == 2 and piece.out[0] != piece.out[1]


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


@dataclass(frozen=True)
class _Class:
    """Pairs of one form, stacked: corners (K, 2, P), lateral places (K, P)."""

    which: Index
    parts: tuple[Index, Index]
    corners: tuple[Array, Array]
    out: tuple[Array, Array]
    radius: Array
    half: Array
    sloping: bool


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
        forms: dict[tuple[int, int, bool], list[int]] = {}
        for index, pair in enumerate(self.pairs):
            a, b = pair.pieces
            form = (len(a.corners), len(b.corners), slopes(a) or slopes(b))
            forms.setdefault(form, []).append(index)
        self._classes = [self._stack(rows, form[2]) for form, rows in forms.items()]
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
            np.array([sum(piece.radius for piece in pair.pieces) for pair in chosen]),
            np.array([0.5 * sum(piece.thickness for piece in pair.pieces) for pair in chosen]),
            sloping,
        )

    def clearances(self, pair: Index, at: Index, poses: Poses) -> Array:
        """Return the clearance of each item.

        Parameters
        ----------
        pair : array of int, shape (M,)
            Which pair.
        at : array of int, shape (M,)
            Which position.
        poses : Poses
            Poses at the positions.

        Returns
        -------
        array, shape (M,) [mm]
            Clearance; nan where a part has no position.
        """
        found = np.empty(len(pair))
        for number, group in enumerate(self._classes):
            items = np.flatnonzero(self._class_of[pair] == number)
            for first in range(0, len(items), _CHUNK):
                chunk = items[first : first + _CHUNK]
                found[chunk] = _clearance(group, self._row_of[pair[chunk]], at[chunk], poses)
        return found


def _clearance(group: _Class, row: Index, at: Index, poses: Poses) -> Array:
    a, b = (_in_place(group, side, row, at, poses) for side in (0, 1))
    radius, half = group.radius[row], group.half[row]
    if not group.sloping:
        lateral = np.abs(group.out[0][0][row] - group.out[1][0][row]) - half
        gap: Array = np.maximum(core_gap(a, b) - radius, lateral)
        return gap
    out = [[heights[row] for heights in group.out[side]] for side in (0, 1)]
    if len(a) == 2:
        return _bars(a, b, out, radius, half)
    return _plate_and_bar(a, b, out, radius, half)


def _in_place(group: _Class, side: int, row: Index, at: Index, poses: Poses) -> list[Array]:
    part = group.parts[side][row]
    x, y = poses.x[part, at], poses.y[part, at]
    cos, sin = poses.cos[part, at], poses.sin[part, at]
    placed = []
    for corner in group.corners[side]:
        px, py = corner[0][row], corner[1][row]
        placed.append(np.stack((x + cos * px - sin * py, y + sin * px + cos * py)))
    return placed


def _plate_and_bar(
    a: list[Array], b: list[Array], out: list[list[Array]], radius: Array, half: Array
) -> Array:
    """Return the clearance of a flat piece and a sloping bar.

    Of two convex functions of the place t along the bar, the gap in side view f and in plan g, the
    greater is least where either is least, if the other is no greater there; else between.
    """
    level = out[0][0] - out[1][0]
    rise = out[1][1] - out[1][0]
    ends = b[1] - b[0]

    def views(t: Array, rows: Index | slice) -> tuple[Array, Array]:
        spot = b[0][:, rows] + t * ends[:, rows]
        side = core_gap([corner[:, rows] for corner in a], [spot]) - radius[rows]
        return side, np.abs(t * rise[rows] - level[rows]) - half[rows]

    every = slice(None)
    flattest = np.clip(level / rise, 0.0, 1.0)
    f, g = views(flattest, every)
    least = np.where(f <= g, g, np.nan)
    nearest, side = _nearest_place(a, b, ends)
    f, g = views(nearest, every)
    apart = (side > 0) & (g <= f)
    least = np.where(np.isnan(least) & apart, f, least)
    rest = np.flatnonzero(np.isnan(least) & ~np.isnan(f))
    if len(rest):
        least[rest] = least_of_convex(lambda t: np.maximum(*views(t, rest)), rest.shape)[1]
    return np.where(np.isnan(f), np.nan, least)


def _nearest_place(a: list[Array], b: list[Array], along: Array) -> tuple[Array, Array]:
    """Return the place on a bar nearest to a core that it does not meet, and the gap of cores."""
    length = along[0] ** 2 + along[1] ** 2
    places = [np.zeros_like(length), np.ones_like(length)]
    for corner in a:
        part = ((corner - b[0]) * along).sum(axis=0) / length
        places.append(np.clip(part, 0.0, 1.0))
    best, gap = places[0], core_gap(a, [b[0]])
    for place in places[1:]:
        value = core_gap(a, [b[0] + place * along])
        best = np.where(value < gap, place, best)
        gap = np.minimum(gap, value)
    return best, core_gap(a, b)


def _bars(
    a: list[Array], b: list[Array], out: list[list[Array]], radius: Array, half: Array
) -> Array:
    """Return the clearance of two bars, one or both sloping: least over places on either."""

    def curve(t: Array) -> Array:
        spot = b[0] + t * (b[1] - b[0])
        level = out[1][0] + t * (out[1][1] - out[1][0])
        return bar_to_spot(a, spot, (out[0][0] - level, out[0][1] - out[0][0]), radius, half)

    return least_of_convex(curve, radius.shape)[1]


def bar_to_spot(
    a: list[Array], spot: Array, height: tuple[Array, Array], radius: Array, half: Array
) -> Array:
    """Return the clearance of bars from spots: least over s of max(|a(s) - p| - R, |z(s)| - H).

    Parameters
    ----------
    a : list of two arrays, shape (2, M) [mm]
        Ends of the bars' centre lines; s is 0 at the first and 1 at the second.
    spot : array, shape (2, M) [mm]
        The spots p.
    height : (array, array), shape (M,) [mm]
        Of z: how much farther out than the spot the bar is at its first end, and how much that
        grows to its second.
    radius, half : array, shape (M,) [mm]
        R and H.

    Returns
    -------
    array, shape (M,) [mm]
        In closed form; nan where a bar has no position.

    Notes
    -----
    It is at the least of one of the two, or where they are equal: roots of two quadratics.
    """
    ux, uy = a[1][0] - a[0][0], a[1][1] - a[0][1]
    wx, wy = a[0][0] - spot[0], a[0][1] - spot[1]
    z0, rise = height
    uu, uw, ww = ux * ux + uy * uy, ux * wx + uy * wy, wx * wx + wy * wy
    with np.errstate(divide="ignore", invalid="ignore"):
        places = [np.zeros_like(uu), np.ones_like(uu), -uw / uu, -z0 / rise]
        for sign in (1.0, -1.0):
            # |a(s) - spot|^2 = (sign * height(s) + R - H)^2
            level, climb = sign * z0 + radius - half, sign * rise
            qa, qb, qc = uu - climb * climb, uw - level * climb, ww - level * level
            root = np.sqrt(qb * qb - qa * qc)
            places += [(-qb - root) / qa, (-qb + root) / qa]
    least = np.full(uu.shape, np.inf)
    for place in places:
        s = np.clip(np.where(np.isfinite(place), place, 0.0), 0.0, 1.0)
        gap = np.hypot(wx + s * ux, wy + s * uy) - radius
        least = np.minimum(least, np.maximum(gap, np.abs(z0 + s * rise) - half))
    return np.where(np.isnan(wx), np.nan, least)
