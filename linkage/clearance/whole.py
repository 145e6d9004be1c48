"""How far two parts overlap as wholes: an outline of several pieces is one, not each for itself.

Pieces of a part that lie in one layer (equal lateral place and thickness) make one outline, as a
bracket that is not convex and is cut into convex plates does, or a bar with its eyes. Where two
layers that share metal seen in plan overlap seen from the side, the overlap told is the depth of
the whole outlines (`depth.py`), or what they share in plan, if that is less. Of a bar that slopes
every line across is taken for itself, as in `strips.py`, at places close together.

Whether parts touch, and where they begin to, is the same for pieces and wholes: so only the amount
of an overlap and where it is most are found again here. It is closed in on as in `survey.py`, but
what could hide in an interval is bounded by sets grown by how far the parts go in it: a shift that
is outside the grown sets at the middle parts them all through it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.depth import Shifts, depth_of
from linkage.clearance.near import ANGLE, BESIDE, WITHIN
from linkage.clearance.outlines import PairTable, PiecePair, Poses, slopes
from linkage.clearance.strips import Strip
from linkage.geometry import core_gap
from linkage.kinematics.course import TURN
from linkage.mechanism import Piece
from linkage.search import Floor, find_middles, find_minima, floor_in

FINEST = 5e-5  # half of the shortest interval looked at: 0.003 degree [rad]
_ALIKE = 1e-9  # layers nearer than this are one; overlaps that differ by less are the same [mm]
_SPLIT = 4  # parts that brackets of a floor's ends are cut into: each place is dear
_ACROSS = 24  # lines across a sloping bar that are looked at
_MOST = 1500  # intervals of one pair looked at, beyond which it is sampled only


@dataclass(frozen=True)
class Layers:
    """Two outlines of one or more pieces in a layer each; or a sloping bar and one such outline.

    Attributes
    ----------
    pairs : tuple of PiecePair
        Every piece of the one with every one of the other, the first on the same part throughout.
    lateral : float [mm]
        The least gap in plan, less than 0.
    """

    pairs: tuple[PiecePair, ...]
    lateral: float

    @property
    def sloping(self) -> bool:
        """Whether one of the two is a bar that slopes: what is told of it is sampled."""
        return slopes(self.pairs[0].pieces[1])

    def meet(self, poses: Poses, at: Index, grown: Array) -> Array:
        """Return whether any two pieces meet, grown by so much [mm], at positions (M,)."""
        count = len(self.pairs)
        found = self._table.clearances(
            np.tile(np.arange(count), len(at)), np.repeat(at, count), poses, 0.0,
            np.repeat(grown, count),
        )  # fmt: skip
        return np.asarray((found < 0).reshape(-1, count).any(axis=1))

    @cached_property
    def _table(self) -> PairTable:
        return PairTable(self.pairs)


def layers_of(pieces: Sequence[PiecePair]) -> tuple[Layers, ...]:
    """Return the layers of two parts that overlap in plan, where pieces alone may tell too little.

    None where either is a single piece, for then nothing is added, nor of two bars that both slope.
    """
    rows = pieces[0].parts
    found: dict[object, list[PiecePair]] = {}
    for pair in pieces:
        if pair.lateral < 0 and not all(slopes(piece) for piece in pair.pieces):
            flat = not slopes(pair.pieces[1])
            turned = flat and pair.parts != rows
            one = PiecePair(rows, pair.pieces[::-1], pair.state) if turned else pair
            first, second = one.pieces
            key = one.parts, one.state, _layer(first), _layer(second) if flat else second
            found.setdefault(key, []).append(one)
    return tuple(
        Layers(tuple(some), min(pair.lateral for pair in some))
        for some in found.values()
        if len(some) > 1
    )


def _layer(piece: Piece) -> tuple[int, int]:
    return round(piece.out[0] / _ALIKE), round(piece.thickness / _ALIKE)


def whole_clearances(
    layers: Sequence[Layers], poses: Poses, values: Array, grown: Array | float = 0.0
) -> Array:
    """Return the clearance of two parts at every position, overlaps as wholes, shape (K,) [mm].

    Parameters
    ----------
    values : array, shape (K,) [mm]
        Their clearance by pieces there.
    grown : float or array, shape (K,) [mm]
        By how far they may have gone from where they are: the clearance is no less then.
    """
    grown = np.broadcast_to(grown, values.shape)
    least = np.asarray(values - grown)
    for one in layers:
        some = np.flatnonzero(one.lateral < least)
        for k in some[one.meet(poses, some, grown[some])].tolist():
            least[k] = min(least[k], _of_layers(one, poses, k, float(grown[k]), float(least[k])))
    return least


def _of_layers(layers: Layers, poses: Poses, at: int, grown: float, known: float) -> float:
    """Return the clearance of two layers at a position, where it is less than is known [mm]."""
    placed = [
        tuple(
            _in_place(piece, row, poses, at)
            for piece, row in zip(pair.pieces, pair.parts, strict=True)
        )
        for pair in layers.pairs
    ]
    if not layers.sloping:
        return max(-_depth(layers, placed, grown), layers.lateral)
    for cores, plan in _lines(layers, placed):
        if plan - grown >= known:
            break
        known = min(known, max(-_depth(layers, cores, 0.0), plan) - grown)
    return known


def _depth(layers: Layers, cores: Sequence[tuple[Array, ...]], grown: float) -> float:
    radii = [
        sum(piece.radius for piece in pair.pieces if not slopes(piece)) for pair in layers.pairs
    ]
    return depth_of(
        [
            Shifts.of(a, b, radius + grown)
            for (a, b), radius in zip(cores, radii, strict=True)
        ]
    )  # fmt: skip


def _in_place(piece: Piece, row: int, poses: Poses, at: int) -> Array:
    """Return the corners of a piece in the frame's axes, shape (n, 2) [mm]."""
    corners = np.array(piece.corners)
    cos, sin = float(poses.cos[row, at]), float(poses.sin[row, at])
    turned = corners @ np.array([[cos, sin], [-sin, cos]])
    return np.asarray(turned + np.array([poses.x[row, at], poses.y[row, at]]))


def _lines(
    layers: Layers, placed: Sequence[tuple[Array, ...]]
) -> Iterator[tuple[list[tuple[Array, ...]], float]]:
    """Yield lines across a sloping bar that are level with the other part, and their gap in plan.

    Those that meet the other seen from the side, the deepest in plan first. Each line with every
    piece of the other, shape (n, 2) and (2, 2) [mm].
    """
    flat, bar = layers.pairs[0].pieces
    half, level = 0.5 * (flat.thickness + bar.thickness), flat.out[0]
    strip = Strip(
        np.stack([end[:, None] for end in placed[0][1]]),
        np.array(bar.out)[:, None],
        np.array([bar.radius]),
    )
    ends = sorted((level + way * half - bar.out[0]) / float(strip.rise[0]) for way in (-1, 1))
    low, high = (min(1.0, max(0.0, end)) for end in ends)
    share = np.linspace(low, high, _ACROSS + 1)
    plans = np.abs(strip.height(share) - level) - half
    lines = strip.across(share)
    meets = np.zeros(len(share), dtype=bool)
    for (core, _), pair in zip(placed, layers.pairs, strict=True):
        every = np.repeat(core[..., None], len(share), axis=2)
        meets |= core_gap(every, lines) < pair.pieces[0].radius
    for k in np.argsort(plans, kind="stable").tolist():
        if meets[k]:
            yield [(core, lines[..., k]) for core, _ in placed], float(plans[k])


def whole_depth(pieces: Sequence[PiecePair], chosen: PiecePair, poses: Poses, at: int) -> float:
    """Return how far the outlines that two pieces belong to overlap seen from the side [mm].

    0 where they are single pieces. Of a bar that slopes the whole outline is taken.
    """
    for one in layers_of(pieces):
        if any(set(pair.pieces) == set(chosen.pieces) for pair in one.pairs):
            return _depth(one, [_outlines(pair, poses, at) for pair in one.pairs], 0.0)
    return 0.0


def _outlines(pair: PiecePair, poses: Poses, at: int) -> tuple[Array, ...]:
    cores = [
        _in_place(piece, row, poses, at) for piece, row in zip(pair.pieces, pair.parts, strict=True)
    ]
    return tuple(
        np.concatenate((core - _aside(core, piece), core + _aside(core, piece)))
        if slopes(piece)
        else core
        for core, piece in zip(cores, pair.pieces, strict=True)
    )


def _aside(ends: Array, bar: Piece) -> Array:
    """Return the way from the line along a bar to its left edge, shape (2,) [mm]."""
    run = ends[1] - ends[0]
    return np.asarray(np.array([-run[1], run[0]]) * bar.radius / np.hypot(*run))


@dataclass(frozen=True)
class Deepest:
    """Where parts overlap most in a stretch of the turn.

    Attributes
    ----------
    at : float [rad]
        Crank angle.
    least : float [mm]
        Their clearance there, less than 0.
    proven : bool
        Nowhere in the stretch less by more than `WITHIN`.
    """

    at: float
    least: float
    proven: bool


Look = Callable[[Array], tuple[Poses, Array]]
"""Where all parts are at some crank angles, and the clearance of two of them by pieces."""


def find_deepest(
    layers: Sequence[Layers],
    look: Look,
    known: tuple[Deepest, tuple[float, float]],
    curve: Array,
    fast: Array,
) -> Deepest:
    """Find where two parts overlap most in a stretch of the turn, as wholes.

    Parameters
    ----------
    look : callable
        Takes crank angles, shape (K,) [rad].
    known : Deepest, (float, float) [rad]
        A place in the stretch; where the stretch begins and ends.
    curve : array, shape (N,) [mm]
        Their clearance, overlaps as wholes, at the middles of even intervals.
    fast : array, shape (N,) [mm/rad]
        How fast either part goes at most as seen from the other, in each of these.
    """
    (best, (begin, end)), step = known, TURN / len(fast)
    first = np.arange(int(begin // step), math.ceil(end / step))[: len(fast)]
    middle, half = np.asarray((first + 0.5) * step), np.full(len(first), step / 2)
    told = curve[first % len(fast)]
    proven, looked = not any(one.sloping for one in layers), 0
    while len(middle):
        best = _lower(best, middle, np.where((begin <= middle) & (middle <= end), told, 0.0))
        if not proven:
            break
        speed = fast[np.floor(middle / step).astype(np.intp) % len(fast)]
        poses, values = look(middle % TURN)
        hides = whole_clearances(layers, poses, values, speed * half) < best.least - WITHIN
        looked += len(middle)
        proven = looked <= _MOST and not (hides & (half <= FINEST)).any()
        middle, half = middle[hides & proven], half[hides & proven] / 2
        middle, half = np.concatenate((middle - half, middle + half)), np.tile(half, 2)
        told = whole_clearances(layers, *look(middle % TURN))
    return replace(_closed_in(layers, look, best, (begin, end), curve), proven=proven)


def _lower(best: Deepest, middle: Array, told: Array) -> Deepest:
    """Return the lowest of what is known and of some places."""
    if told.min() >= best.least - _ALIKE:
        return best
    return Deepest(float(middle[np.argmin(told)]), float(told.min()), False)


def _closed_in(
    layers: Sequence[Layers],
    look: Look,
    best: Deepest,
    stretch: tuple[float, float],
    samples: Array,
) -> Deepest:
    """Close in on a dip about the lowest place found; of a level floor return the middle."""

    def curve(angles: Array) -> Array:
        poses, values = look(angles.ravel() % TURN)
        return whole_clearances(layers, poses, values).reshape(angles.shape)

    step = TURN / len(samples)
    low, high = max(stretch[0], best.at - step), min(stretch[1], best.at + step)
    at, value = find_minima(curve, np.array([low]), np.array([high]), ANGLE)
    if value[0] < best.least - _ALIKE:
        best = Deepest(float(at[0]), float(value[0]), False)
    level = best.least + _ALIKE
    if curve(best.at + BESIDE * np.array([-1.0, 1.0])).min() > level:
        return best
    floor = _floor(samples <= level, best.at, stretch)
    if floor is None:
        return best
    (middle,) = find_middles(lambda angles: curve(angles) - level, [floor], ANGLE, _SPLIT).tolist()
    return replace(best, at=middle if stretch[1] - stretch[0] < TURN else middle % TURN)


def _floor(on: Mask, at: float, stretch: tuple[float, float]) -> Floor | None:
    """Return the floor about a place in a stretch, by samples of the whole turn, shape (N,)."""
    step, (begin, end) = TURN / len(on), stretch
    if end - begin >= TURN:
        return floor_in(np.asarray((np.arange(len(on)) + 0.5) * step), on, at % TURN)
    k = np.arange(math.ceil(begin / step - 0.5), math.floor(end / step - 0.5) + 1)
    return floor_in(np.asarray((k + 0.5) * step), on[k % len(on)], at, stretch)


def overlaps_of(layers: Sequence[Layers], look: Look, crank: Array, curve: Array) -> Array:
    """Return a curve of clearances at crank angles, shape (N,), its overlaps as wholes."""
    some = np.flatnonzero(curve < 0)
    told = np.array(curve)
    if len(some):
        poses, values = look(crank[some])
        told[some] = whole_clearances(layers, poses, values)
    return told
