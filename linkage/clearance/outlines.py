"""Pairs of pieces and the clearance between them, on arrays of (pair, position) items.

The clearance of two pieces is the amount by which both together would have to be thickened all
round, in side view and laterally, before they touch; negative, the amount they would have to lose.
With w the difference of a point of each core, R the sum of the radii and H half the sum of the
thicknesses::

    clearance = least over both cores of  max(|w in side view| - R, |w lateral| - H)

For flat pieces that is the greater of the gap seen from the side and the gap seen in plan (and
where both overlap in side view, the shortest way apart there counts; of parts of several pieces
`whole.py` finds it). For a sloping piece of a
bent rod, a strip that is level across its width, the core is the strip itself and R the other's
radius; the clearance is the least of a convex function of the place along it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.strips import PieceAndStrip, Strip, least_clearance_of
from linkage.clearance.two_strips import TwoStrips
from linkage.geometry import core_gap, point_segment_distance
from linkage.mechanism import Piece, Point
from linkage.riding import Over

_CHUNK = 1 << 13  # items worked on together, small enough to stay in cache
# and of all of them, pairs of a corner of either piece: more take four times as long each
_CORNERS = 1 << 14
_BAR = 2  # corners
_FEWEST = 64  # items worked on together, however many corners they have


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
    state: tuple[tuple[Over, float], ...] = ()

    @property
    def lateral(self) -> float:
        """The least lateral gap there can be between them, whatever the position [mm]."""
        a, b = self.pieces
        apart = max(min(a.out) - max(b.out), min(b.out) - max(a.out), 0.0)
        return apart - 0.5 * (a.thickness + b.thickness)


def slopes(piece: Piece) -> bool:
    """Tell whether a piece is a bar that runs towards or away from the frames."""
    return len(piece.corners) == _BAR and piece.out[0] != piece.out[1]


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


def circles_about(pieces: Iterable[Piece]) -> list[tuple[float, float, float]]:
    """Return the circle about each of some pieces; of one that is there again it is found once."""
    every = tuple(pieces)
    about = {number: circle_about(p) for number, p in {id(p): p for p in every}.items()}
    return [about[id(p)] for p in every]


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
class _Rough:
    """About where pieces are: within `size` (P,) of the line between two `ends` (2, P)."""

    part: Index
    ends: tuple[Array, Array]
    size: Array

    @classmethod
    def joined(cls, some: Sequence[_Rough]) -> _Rough:
        """Return several, one after another."""
        first, last = (np.concatenate([one.ends[k] for one in some], axis=1) for k in (0, 1))
        part, size = np.concatenate([r.part for r in some]), np.concatenate([r.size for r in some])
        return cls(part, (first, last), size)

    def pick(self, rows: Index) -> _Rough:
        """Return some of them."""
        return _Rough(
            self.part[rows], (self.ends[0][:, rows], self.ends[1][:, rows]), self.size[rows]
        )

    def where(self, so: Mask, other: _Rough) -> _Rough:
        """Return these, and the others where it is so."""
        first, last = (np.where(so, b, a) for a, b in zip(self.ends, other.ends, strict=True))
        part, size = np.where(so, other.part, self.part), np.where(so, other.size, self.size)
        return _Rough(part, (first, last), size)


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
        self._number(len(self.pairs))

    def _number(self, count: int) -> None:
        """Note of each pair its form, and its row there."""
        self._class_of = np.zeros(count, dtype=np.intp)
        self._row_of = np.zeros(count, dtype=np.intp)
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

    def varied(self, figures: Array, parts: int) -> PairTable:
        """Return the pairs of many variants in one table: those of the first, of the second ...

        Parameters
        ----------
        figures : array, shape (V, F) [mm]
            Of each variant the figures of all pieces of all pairs, as `figures_of` has them.
        parts : int
            Rows of the pose table of one variant; those of the next follow.
        """
        count, every = len(figures), len(self.pairs)
        begins = np.cumsum([0, *(3 * len(p.corners) + 2 for two in self.pairs for p in two.pieces)])
        made = PairTable(())
        made.pairs, made.lateral = (), np.full(count * every, -np.inf)
        shift = np.arange(count)[:, None]
        for group in self._classes:
            both = [
                _of_variants(figures, begins[2 * group.which + side], len(group.corners[side]))
                for side in (0, 1)
            ]
            rows = [(part + parts * shift).ravel() for part in group.parts]
            made._classes.append(
                replace(
                    group,
                    which=(group.which + every * shift).ravel(),
                    parts=(rows[0], rows[1]),
                    corners=(both[0][0], both[1][0]),
                    out=(both[0][1], both[1][1]),
                    radii=(both[0][2], both[1][2]),
                    half=0.5 * (both[0][3] + both[1][3]),
                )
            )
        made._number(count * every)
        return made

    def farther(
        self, pair: Index, at: Array | Index, poses: Places, nearer: Array | float = 0.0
    ) -> Array:
        """Return what the clearance of each item is not below, found for little, shape (M,) [mm].

        From a circle about one piece and the line of the other, a bar, or a circle about that too.
        `nearer`: as for `clearances`.
        """
        spot, line = self._rough
        at_line = poses.pick(line.part[pair], at)
        a, b = (_placed(end[:, pair], at_line) for end in line.ends)
        p = _placed(spot.ends[0][:, pair], poses.pick(spot.part[pair], at))
        side = point_segment_distance(p, a, b) - (spot.size + line.size)[pair] - nearer
        return np.asarray(np.maximum(side, self.lateral[pair]))

    @cached_property
    def _rough(self) -> tuple[_Rough, _Rough]:
        """A circle about the shorter piece of each pair; the line of the longer."""
        shorter, longer = [], []
        for group in self._classes:
            one, other = (_circle(group, side) for side in (0, 1))
            line, to = (_line(group, side) for side in (0, 1))
            second = one.size - group.radii[0] >= other.size - group.radii[1]
            shorter.append(one.where(second, other))
            longer.append(to.where(second, line))
        order = np.argsort(np.concatenate([group.which for group in self._classes]))
        return _Rough.joined(shorter).pick(order), _Rough.joined(longer).pick(order)

    def clearances(
        self,
        pair: Index,
        at: Array | Index,
        poses: Places,
        enough: Array | float = np.inf,
        nearer: Array | float = 0.0,
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
        nearer : float or array, shape (M,) [mm]
            As if every two places were so much nearer in side view; laterally they are as they are.

        Returns
        -------
        array, shape (M,) [mm]
            Clearance, or something from `enough` to it; nan where a part has no position.
        """
        found = np.empty(len(pair))
        enough, nearer = (np.broadcast_to(of, found.shape) for of in (enough, nearer))
        for number, group in enumerate(self._classes):
            items = np.flatnonzero(self._class_of[pair] == number)
            corners = math.prod(len(both) for both in group.corners)
            step = min(_CHUNK, max(_FEWEST, _CORNERS // corners))
            for first in range(0, len(items), step):
                chunk = items[first : first + step]
                rows = self._row_of[pair[chunk]]
                places = _Placed.of(group, rows, at[chunk], poses)
                found[chunk] = places.clearance(enough[chunk], nearer[chunk])
        return found


def figures_of(piece: Piece) -> list[float]:
    """Return the figures of a piece: corners, lateral places, radius and thickness [mm]."""
    corners = [x for corner in piece.corners for x in corner]
    return [*corners, *piece.out, piece.radius, piece.thickness]


def _circle(group: _Class, side: int) -> _Rough:
    """Return the circle about the corners of each piece on one side of the pairs of a form."""
    corners, radius = group.corners[side], group.radii[side]
    middle = corners.mean(axis=0)
    reach = np.hypot(*np.moveaxis(corners - middle, 1, 0)).max(axis=0)
    return _Rough(group.parts[side], (middle, middle), reach + radius)


def _line(group: _Class, side: int) -> _Rough:
    """Return the line of each piece on one side that is a bar; else the circle about it."""
    corners = group.corners[side]
    if len(corners) != _BAR:
        return _circle(group, side)
    return _Rough(group.parts[side], (corners[0], corners[1]), group.radii[side])


def _of_variants(figures: Array, begins: Index, corners: int) -> tuple[Array, Array, Array, Array]:
    """Return corners, lateral places, radii and thicknesses of pieces of one form, by variant."""
    spots = np.stack([figures[:, begins + k].ravel() for k in range(2 * corners)])
    out = np.stack([figures[:, begins + 2 * corners + k].ravel() for k in range(corners)])
    last = begins + 3 * corners
    radii, thick = figures[:, last].ravel(), figures[:, last + 1].ravel()
    return spots.reshape(corners, 2, -1), out, radii, thick


@dataclass(frozen=True)
class _Placed:
    """Pairs of one form in place: rows of the form, and the corners of both [mm]."""

    group: _Class
    row: Index
    a: Array
    b: Array

    @classmethod
    def of(cls, group: _Class, row: Index, at: Array | Index, poses: Places) -> _Placed:
        a, b = (_in_place(group, side, row, at, poses) for side in (0, 1))
        return cls(group, row, a, b)

    def clearance(self, enough: Array, nearer: Array) -> Array:
        """Return the clearance of each, as `PairTable.clearances` does."""
        group, row = self.group, self.row
        half = group.half[row]
        if not group.sloping:
            lateral = np.abs(group.out[0][0][row] - group.out[1][0][row]) - half
            radius = group.radii[0][row] + group.radii[1][row] + nearer
            return np.asarray(np.maximum(core_gap(self.a, self.b) - radius, lateral))
        strip = _strip(group, 1, row, self.b)
        if group.both:
            strips = TwoStrips(_strip(group, 0, row, self.a), strip, half, nearer)
            pairing: TwoStrips | PieceAndStrip = strips
            far = np.minimum(enough, 1e3)
            within = np.minimum(strips.plan_within(far + nearer), far)
            plan = np.maximum(_apart(group, row) - half, within)
        else:
            radius = group.radii[0][row] + nearer
            pairing = PieceAndStrip(self.a, radius, group.out[0][0][row], strip, half)
            plan = _apart(group, row) - half
        found = np.maximum(pairing.gap(), plan)  # no place of either is nearer than this
        rest = np.flatnonzero(~(found >= enough))
        if len(rest):
            found[rest] = least_clearance_of(pairing.pick(rest))
        return found


def _strip(group: _Class, side: int, row: Index, ends: Array) -> Strip:
    return Strip(ends, group.out[side][:, row], group.radii[side][row])


def _apart(group: _Class, row: Index) -> Array:
    """Return the least distance of the lateral middles of two pieces [mm]."""
    first, second = (group.out[side][:, row] for side in (0, 1))
    over = np.maximum(
        first.min(axis=0) - second.max(axis=0), second.min(axis=0) - first.max(axis=0)
    )
    return np.asarray(np.maximum(over, 0.0))


def _in_place(group: _Class, side: int, row: Index, at: Array | Index, poses: Places) -> Array:
    """Return the corners of pieces in the frame's axes, shape (corners, 2, M) [mm]."""
    pose = poses.pick(group.parts[side][row], at)
    return _placed(group.corners[side][:, :, row], pose)


def _placed(spot: Array, pose: tuple[Array, Array, Array, Array]) -> Array:
    """Return spots of parts, shape (..., 2, M), in the frame's axes."""
    x, y, cos, sin = pose
    own_x, own_y = spot[..., 0, :], spot[..., 1, :]
    placed = np.empty(spot.shape)
    placed[..., 0, :] = x + cos * own_x - sin * own_y
    placed[..., 1, :] = y + sin * own_x + cos * own_y
    return placed
