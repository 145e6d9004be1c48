"""What play in the gear's pins can take from the clearances.

A pin in its hole stands off the hole's middle by some e, at most half the play, any way. To the
first order a pair's clearance c changes by the sum over the pins of ``grad c . e``, where grad c
goes through the poses of both parts and how these follow the joint, from the closure's own
derivatives (`kinematics.sensitivities`). The worst e of every pin points along its gradient, so

    loss = sum over the joints of  half play * |dc/de|

and no way of standing in the holes takes more, but for the second order. It takes none of what
lies between two pieces sideways: no pair of pieces comes nearer than its lateral gap. A clearance
is convex in how the pieces are shifted, so this is the most that can be lost; of a bar that slopes
it is far more, for the gap in plan takes over from that in side view as the pieces come together.
So the worst e is gone to, as far as the clearance falls, and the gradient taken there again, and so
on (M. Frank and P. Wolfe, *Naval Research Logistics Quarterly* 3 (1956) 95-110): with the e found,
and s the e that points along the gradient there,

    c(e)  >=  least  >=  c(e) - grad c(e) . (e - s)

until the two are as good as equal; the second is told, so that no wear is missed. For a slide
or slot only what is across it counts: along it, e is travel. The driving axle's play in its boxes
moves all that turns on it together.

What a nearness at one crank angle loses is looked at where the pair is nearest and all round the
turn every few degrees; between these the sum is taken to go on evenly.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.outlines import PairTable, PiecePair, Poses
from linkage.clearance.pairs import PartPair
from linkage.clearance.survey import PairClearance
from linkage.kinematics import Course, Motion, sensitivities, solve_variants
from linkage.mechanism import Joint, Mechanism, Place

_EVENLY = 72  # crank angles round the turn
_STEP = 1e-5  # of the differences of poses and places [mm or rad]
_MORE = 3.0  # times the greatest loss of the nearest pieces that others are looked at for [1]
_DRIVING_AXLE = "driving axle"
_CLOSER = 4  # items that are looked at more closely together, those with least left first
_ROUNDS = 12
_STEPS = (1.0, 0.6, 0.3, 0.1, 0.03)  # of the way to where the gradient points, tried in a round
_AS_GOOD = 1e-3  # what is left is found this closely [mm]


@dataclass(frozen=True)
class Worn:
    """A pair's clearance with all play taken up the worst way.

    Attributes
    ----------
    least : float [mm]
        Least clearance then; negative where metal overlaps.
    at : float [rad]
        Crank angle there.
    loss : float [mm]
        How much of it the play takes there.
    most_by : str
        The joint whose play takes most; empty where none takes any.
    """

    least: float
    at: float
    loss: float
    most_by: str


def find_wear(
    course: Course, pairs: Mapping[tuple[str, str], PartPair], near: Sequence[PairClearance]
) -> dict[tuple[str, str], Worn]:
    """Find what the play in a mechanism's joints takes from its clearances.

    By the names of the parts; empty where no joint has any play.

    Parameters
    ----------
    course : Course
        The motion followed; its mechanism holds the play.
    pairs : mapping of (str, str) to PartPair
        The pieces compared, by the names of the parts.
    near : sequence of PairClearance
        Which pairs, and where they are nearest.
    """
    mechanism = course.mechanism
    if not any(mechanism.play.values()) or not near:
        return {}
    crank = np.concatenate([[pair.at for pair in near], np.arange(_EVENLY) * (2 * np.pi / _EVENLY)])
    nudged = [_nudged(mechanism, joint.name, (1e-6, 1e-6)) for joint in mechanism.joints]
    every = replace(mechanism, joints=tuple(m.joints[k] for k, m in enumerate(nudged)))
    motion = solve_variants(course, [mechanism, every], crank).alone(0)
    table = np.stack([motion.poses[part.name][0] for part in mechanism.parts])
    moves = _moves(motion, mechanism)
    found = {p.parts: _worn(mechanism, pairs[p.parts], crank, table, moves) for p in near}
    # an overlap told of whole outlines is more than that of any of their pieces, worn or not
    return {
        p.parts: replace(found[p.parts], least=min(found[p.parts].least, p.least)) for p in near
    }


def _nudged(mechanism: Mechanism, name: str, by: tuple[float, float]) -> Mechanism:
    """Return a mechanism with a joint's place on its first part moved, or all of the crank's."""

    def place(held: Place) -> Place:
        return replace(held, x=held.x + by[0], y=held.y + by[1])

    def moved(joint: Joint) -> Joint:
        if name == _DRIVING_AXLE:
            if joint.a.part == mechanism.crank:
                return replace(joint, a=place(joint.a))
            return replace(joint, b=place(joint.b)) if joint.b.part == mechanism.crank else joint
        return replace(joint, a=place(joint.a)) if joint.name == name else joint

    return replace(mechanism, joints=tuple(moved(joint) for joint in mechanism.joints))


def _moves(motion: Motion, mechanism: Mechanism) -> dict[str, Array]:
    """Return how all parts move with the place of each joint that has play along either axis.

    By joint, (2, parts, N, 3) [1, rad/mm].
    """
    names = [name for name, play in mechanism.play.items() if play]
    by = [(name, way) for name in names for way in ((_STEP, 0.0), (0.0, _STEP))]
    lower = [_nudged(mechanism, name, (-x, -y)) for name, (x, y) in by]
    upper = [_nudged(mechanism, name, way) for name, way in by]
    found = sensitivities(motion, lower, upper, 2 * _STEP).first
    every = np.stack([found[part.name] for part in mechanism.parts], axis=1)
    moves = dict(zip(names, every.reshape(len(names), 2, *every.shape[1:]), strict=True))
    if _DRIVING_AXLE in moves:
        row = [part.name for part in mechanism.parts].index(mechanism.crank)
        turn = motion.poses[mechanism.crank][0, :, 2]
        along = ((np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn)))
        moves[_DRIVING_AXLE][:, row, :, :2] += np.stack(along).swapaxes(1, 2)
    return moves


def _worn(
    mechanism: Mechanism, pair: PartPair, crank: Array, table: Array, moves: Mapping[str, Array]
) -> Worn:
    near = _Near(pair.pieces, _values(pair.pieces, table), table, mechanism.play, moves)
    floor = np.array([piece.lateral for piece in pair.pieces])
    which, at = np.argmin(near.values, axis=0), np.arange(len(crank))
    best = _worst(near, which, at)
    # others that may lose as much, or more, from not much farther off
    could = np.maximum(near.values - _MORE * best.greatest, floor[:, None]) < best.least
    could[which, at] = False
    if could.any():
        other = _worst(near, *np.nonzero(could))
        best = other if other.least < best.least else best
    angle = float(crank[best.at] % (2 * np.pi))
    return Worn(best.least, angle, best.loss, best.most_by if best.loss else "")


@dataclass(frozen=True)
class _Near:
    """The pieces of two parts at some positions.

    `values` are their clearances, (pieces, N); `table` the poses, (parts, N, 3); `play` and
    `moves` half the play of each joint and how all parts move with it, (2, parts, N, 3).
    """

    pieces: Sequence[PiecePair]
    values: Array
    table: Array
    play: Mapping[str, float]
    moves: Mapping[str, Array]

    def moved(self, at: Index) -> Array:
        """Return how all parts move with every joint at positions, (joints, 2, parts, M, 3)."""
        return np.stack([self.moves[name][:, :, at] for name in self.moves])


@dataclass(frozen=True)
class _Worst:
    """The nearest of some items with all play taken up; the greatest loss of any of them."""

    least: float
    at: int
    loss: float
    most_by: str
    greatest: float


def _worst(near: _Near, which: Index, at: Index) -> _Worst:
    """Take the play up the worst way for some pieces at some positions."""
    chosen = [near.pieces[k] for k in which.tolist()]
    names, moves = list(near.moves), near.moved(at)
    pulls = _pulls(moves, _gradient(chosen, at, near.table))
    half = np.array([near.play[name] for name in names])[:, None]
    losses = half * np.hypot(pulls[:, 0], pulls[:, 1])
    loss, value = losses.sum(axis=0), near.values[which, at]
    floor = np.array([piece.lateral for piece in chosen])
    rough = np.minimum(value, np.maximum(value - loss, floor))
    left, order = np.full(len(rough), np.inf), np.argsort(rough)
    for first in range(0, len(order), _CLOSER):
        some = order[first : first + _CLOSER]
        if rough[some[0]] >= left.min():
            break  # the others have more left even so
        items = _Items(
            [chosen[k] for k in some.tolist()], near.table[:, at[some]], moves[:, :, :, some]
        )
        closer = _standing_worst(items, value[some], pulls[:, :, some], half)
        left[some] = np.maximum(rough[some], closer)
    place = int(np.argmin(left))
    most_by = names[int(np.argmax(losses[:, place]))]
    taken = float(value[place] - left[place])
    return _Worst(float(left[place]), int(at[place]), taken, most_by, float(loss.max()))


@dataclass(frozen=True)
class _Items:
    """Pieces at a position each: their poses (parts, M, 3), and how these follow every joint.

    `moves` are (joints, 2, parts, M, 3), with what the joint's place goes along either axis.
    """

    pieces: Sequence[PiecePair]
    table: Array
    moves: Array

    def at(self, places: Array) -> Array:
        """Return the poses with pins off the middle of their holes, (joints, 2, M) [mm]."""
        return np.asarray(self.table + (self.moves * places[:, :, None, :, None]).sum(axis=(0, 1)))


def _standing_worst(items: _Items, value: Array, pulls: Array, half: Array) -> Array:
    """Return what is left of each item with its pins wherever in their holes that is worst.

    `value` (M,) [mm] and `pulls` (joints, 2, M) [1] are the clearance and its gradient with all
    pins in the middle, `half` (joints, 1) [mm] half the play.
    """
    count = len(value)
    every, steps = np.arange(count), len(_STEPS)
    stands = np.zeros_like(pulls)
    here, low, high = value.copy(), np.full(count, -np.inf), value.copy()
    for _ in range(_ROUNDS):
        size = np.hypot(pulls[:, 0], pulls[:, 1])
        worst = -half[:, None] * pulls / np.where(size > 0, size, 1.0)[:, None]
        low = np.maximum(low, here - (pulls * (stands - worst)).sum(axis=(0, 1)))
        if (high - low < _AS_GOOD).all():
            break
        tried = [stands + step * (worst - stands) for step in _STEPS]
        table = np.concatenate([items.at(places) for places in tried], axis=1)
        values = PairTable(items.pieces).clearances(
            np.tile(every, steps), np.arange(steps * count), Poses.of(table)
        )
        values = values.reshape(steps, count)
        best = np.argmin(values, axis=0)
        stands = np.stack(tried)[best, :, :, every].transpose(1, 2, 0)
        here = values[best, every]
        high = np.minimum(high, here)
        pulls = _pulls(items.moves, _gradient(items.pieces, every, items.at(stands)))
    return np.asarray(np.minimum(low, high))


def _pulls(moves: Array, gradient: Array) -> Array:
    """Return how clearances change with each joint's place, (joints, 2, M) [1]."""
    return np.asarray(np.nan_to_num((moves * gradient).sum(axis=(2, 4))))


def _values(pieces: Sequence[PiecePair], table: Array) -> Array:
    """Return the clearance of every pair of pieces at every position, (pieces, N)."""
    count, places = len(pieces), table.shape[1]
    which, at = np.repeat(np.arange(count), places), np.tile(np.arange(places), count)
    values = PairTable(pieces).clearances(which, at, Poses.of(table)).reshape(count, places)
    return np.where(np.isnan(values), np.inf, values)


def _gradient(pieces: Sequence[PiecePair], at: Index, table: Array) -> Array:
    """Return the derivative of each item's clearance by all poses, (parts, items, 3).

    That by the first part's pose by differences; that by the other's follows, for where both move
    as one their clearance c stays what it is: along, and turned about the other's origin, with
    (x, y) the first's origin from there and t its angle,

        dc/dt' = -(dc/dt + x dc/dy - y dc/dx).
    """
    count, pairs = len(pieces), PairTable(pieces)
    items = np.arange(count)
    first, other = (np.array([pair.parts[side] for pair in pieces]) for side in (0, 1))
    ways = [(axis, sign) for axis in range(3) for sign in (1, -1)]
    # all ways in one go: few items cost as much as many
    here = table[:, at]
    moved = np.tile(here, (1, len(ways), 1))
    for number, (axis, sign) in enumerate(ways):
        moved[first, number * count + items, axis] += sign * _STEP
    which = np.tile(items, len(ways))
    values = pairs.clearances(which, np.arange(len(which)), Poses.of(moved)).reshape(3, 2, count)
    by = ((values[:, 0] - values[:, 1]) / (2 * _STEP)).T
    x, y = (here[first, items] - here[other, items])[:, :2].T
    found = np.zeros(here.shape)
    found[first, items] = by
    found[other, items] = -by
    found[other, items, 2] -= x * by[:, 1] - y * by[:, 0]
    return found
