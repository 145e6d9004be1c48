"""The share of their play that many variants of coupled wheels use round the turn, to first order.

At a crank angle let b be the misfits along the rods with every axle turned as far as the driven
one, and p half the play of each hole, knuckle and box. The other axles turn on by a little, boxes
shift, rods shift: x. To first order the misfits are then ``b + A x``, and the least share t with
``|b + A x| <= t p`` is, by the duality of linear programmes,

    t = max over y of  |y . b| / (|y| . p),     A' y = 0,

and the greatest is at one of the y that have as many noughts as such a y can have. A depends on
where the wheels stand and hardly on their errors, so these few y are found once for each crank
angle; a variant, or a thousand, costs a product of small matrices. It is good to some hundredths of
the share where that is about 1, to a tenth of it where it is far more
(`tests/play/test_shares.py`).

Each such y has noughts wherever another does and more (an elementary vector of the space that A
leaves free): only those with the fewest numbers that are none are kept, one of each.

Misfits across the rods are left out where a rod turns to meet them, over two pins. A rod over more
has them too: it can rise and turn, boxes go up and down with their pins, and where an axle turns
on, its pins go across as well as along. So b has rows for those as well, and x the rise and the
turn of each such rod and the rise of each axle. With four axles on one rod, or more, the y would be
too many: there the rows across are asked by themselves, of c, the misfits across, and q, half the
play there,

    t = max over y of  |y . c| / (|y| . q),     sum of y = 0,  sum of y x = 0,

with x the holes' places along the rod; since two numbers say how it lies, three of its holes are
always as tight as all (Helly), with y the shares in which one of them lies between the others. What
an axle takes up across by turning on is left out there: such a rod is said to bind over more of the
turn than it does, but where it binds most. A hole is round, yet along and across are asked one by
one: what is used of both together is more by no more than by the root of 2.

All is to first order about axles that stand as those of their cranks that a rod is on have them in
the mean.

An axle whose rods are on one side alone (all of them, or one length of a jointed rod taken off)
has no part in A' y = 0 but at the dead centres of that side, where it can turn on as far as it
likes and yet its pin comes no farther: a rod that is long or short by more than the play locks
there. Let y be 1 in the hole on the driven pin, -1 in that on the axle's, and the signs of the
knuckles between;
then ``y . b + T cos`` is where along the line its pin ought to be, T its throw, and it locks at

    |y . b + T cos| > T + |y| . p.

A rod over three pins or more keeps its own line besides; so a pin of one side alone is asked along
it from the driven pin only.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice

import numpy as np

from linkage.arrays import Array
from linkage.wheels import Axle, CoupledWheels, CouplingRod

_OFF = 1e-3  # crank angles are looked at beside dead centres, where A has no full rank [rad]
_MEETS = 2  # pins of a rod that turns to meet misfits across it
_LEAST = 1e-4  # half of a play is taken to be no less [mm]
_NOUGHT = 1e-9  # singular values and numbers of a y, as parts of the greatest, that are none [1]
_MOST = 4000  # ways to choose the noughts, at the most; the rest would hardly use more
_HALF_TURN = np.pi
_TINY = 1e-12


class SharesOfVariants:
    """Says what share of the play is used round the turn.

    Parameters
    ----------
    like : CoupledWheels
        What all variants are like, but for their numbers.
    crank : array, shape (N,) [rad]
        Turn of the driven axle, by its right-hand crank.
    """

    def __init__(self, like: CoupledWheels, crank: Array) -> None:
        self.crank = crank + _OFF
        ways = _ways_of(like, self.crank)
        # rows last but one: products of matrices at every crank angle
        self._ways = np.ascontiguousarray(np.swapaxes(ways, 1, 2))
        self._sizes = _round(like, np.abs(self._ways))
        self._lone = tuple(_lone(like, self.crank, ways.shape[2]))

    def __call__(self, variants: Sequence[CoupledWheels]) -> Array:
        """Return the share used, shape (V, N) [share]: at 1 it binds."""
        return self.of(*self.parts(variants))

    def parts(self, variants: Sequence[CoupledWheels]) -> tuple[Array, Array]:
        """Return misfits, shape (V, N, rows), and half plays, (V, rows), which add up [mm]."""
        misfits = np.stack([_misfits(wheels, self.crank) for wheels in variants])
        return misfits, np.stack([_plays(wheels) for wheels in variants])

    def of(self, misfits: Array, plays: Array) -> Array:
        """Return the share used by such misfits and plays, shape (V, N)."""
        most = np.zeros(misfits.shape[:2])
        if self._ways.shape[2]:
            pull = np.abs(np.swapaxes(misfits, 0, 1) @ self._ways)
            room = np.maximum(plays, _LEAST) @ self._sizes
            most = (pull / room).max(axis=2).T
        for lone in self._lone:
            target = np.abs(misfits @ lone.way + lone.throw * lone.cosine)
            room = np.maximum(plays @ np.abs(lone.way), _LEAST)[:, None]
            most = np.maximum(most, 1.0 + (target - lone.throw - room) / room)
        return np.asarray(most)


@dataclass(frozen=True, eq=False)
class _Lone:
    """An axle that is led on one side alone: its y, its throw, and the cosine of its pin's turn."""

    way: Array  # (rows,)
    throw: float
    cosine: Array  # (N,)


def _lone(wheels: CoupledWheels, crank: Array, rows: int) -> Iterator[_Lone]:
    axles = {axle.name: k for k, axle in enumerate(wheels.axles)}
    eyes = [(k, rod.side, eye) for k, rod in enumerate(wheels.rods) for eye in rod.eyes]
    sides: dict[str, set[str]] = {}
    for _, side, eye in eyes:
        sides.setdefault(eye.axle, set()).add(side)
    driving = wheels.axles[wheels.driving].name
    begun = _origins(wheels, driving)
    for row, (rod, side, eye) in enumerate(eyes):
        if rod not in begun or eye.axle == driving or len(sides[eye.axle]) > 1:
            continue
        first = next(i for i, (k, s, e) in enumerate(eyes)
                     if s == side and e.axle == driving and k == begun[rod][0])  # fmt: skip
        way = np.zeros(rows)
        way[first], way[row] = 1.0, -1.0
        way[len(eyes) + axles[driving]] = way[len(eyes) + axles[eye.axle]] = 1.0
        for knuckle, sign in begun[rod][1]:
            way[len(eyes) + len(axles) + knuckle] = sign
        axle = wheels.axles[axles[eye.axle]]
        pin = axle.pins[side]
        stands = pin.angle - _turned_on(wheels, axle)
        yield _Lone(way, pin.throw, np.cos(crank + stands))


def _origins(
    wheels: CoupledWheels, driving: str
) -> dict[int, tuple[int, tuple[tuple[int, float], ...]]]:
    """Return of each rod that is led by a driven pin: on which rod, and the knuckles up to it.

    Of a knuckle its sign: minus where it is gone over from its second rod to its first.
    """
    led: dict[int, tuple[int, tuple[tuple[int, float], ...]]] = {
        k: (k, ())
        for k, rod in enumerate(wheels.rods)
        if any(eye.axle == driving for eye in rod.eyes)
    }
    links = [(number, *knuckle.rods, 1.0) for number, knuckle in enumerate(wheels.knuckles)]
    links += [(number, b, a, -1.0) for number, a, b, _ in links]
    for _ in wheels.rods:
        for number, one, other, sign in links:
            if one in led and other not in led:
                first, knuckles = led[one]
                led[other] = first, (*knuckles, (number, sign))
    return led


def _slopes(wheels: CoupledWheels, crank: Array) -> Array:
    """Return A, shape (N, rows, unknowns): along the rods, then across those that are stiff.

    Turns of the other axles, shifts of axles and rods; the rise of axles, rise and turn of rods.
    """
    axles = {axle.name: k for k, axle in enumerate(wheels.axles)}
    others = [k for k in range(len(wheels.axles)) if k != wheels.driving]
    eyes = [(k, rod.side, eye) for k, rod in enumerate(wheels.rods) for eye in rod.eyes]
    stiff, boxes = _stiff(wheels), _boxes(wheels)
    first, rods = len(others), len(others) + len(wheels.axles)
    raised = rods + len(wheels.rods)
    lies = raised + len(boxes)
    across = len(eyes) + len(wheels.axles) + len(wheels.knuckles)
    rows = across + sum(len(rod.eyes) for rod in stiff) + len(boxes)
    slopes = np.zeros((len(crank), rows, lies + 2 * len(stiff)))
    for row, (rod, side, eye) in enumerate(eyes):
        axle = axles[eye.axle]
        pin = wheels.axles[axle].pins[side]
        if axle in others:
            slopes[:, row, others.index(axle)] = -pin.throw * np.sin(crank + pin.angle)
        slopes[:, row, first + axle], slopes[:, row, rods + rod] = 1.0, -1.0
    for k in range(len(wheels.axles)):
        slopes[:, len(eyes) + k, first + k] = 1.0
    for k, knuckle in enumerate(wheels.knuckles):
        row, (a, b) = len(eyes) + len(wheels.axles) + k, knuckle.rods
        slopes[:, row, rods + a], slopes[:, row, rods + b] = 1.0, -1.0
    row = across
    for k, bar in enumerate(stiff):
        for eye in bar.eyes:
            axle = axles[eye.axle]
            pin = wheels.axles[axle].pins[bar.side]
            if axle in others:
                slopes[:, row, others.index(axle)] = pin.throw * np.cos(crank + pin.angle)
            slopes[:, row, raised + axle], slopes[:, row, lies + 2 * k] = 1.0, -1.0
            slopes[:, row, lies + 2 * k + 1] = -eye.place[0]
            row += 1
    for k in range(len(boxes)):
        slopes[:, row + k, raised + k] = 1.0
    return slopes


def _ways_of(wheels: CoupledWheels, crank: Array) -> Array:
    """Return the y of each crank angle that the greatest is among, shape (N, K, rows)."""
    # half a turn on, A has the opposite sign where an axle turns on, and the y are the same
    half, back = np.unique(np.round(crank % _HALF_TURN, 9), return_inverse=True)
    slopes = _slopes(wheels, half)
    if not _stiff(wheels) or math.comb(slopes.shape[1], max(_free(slopes), 1) - 1) <= _MOST:
        return _ways(slopes)[back]
    across = _across(wheels)
    rows = slopes.shape[1] - across.shape[1]
    by_axle = len(wheels.axles) - 1 + len(wheels.axles) + len(wheels.rods)
    along = _ways(slopes[:, :rows, :by_axle])
    ways = np.zeros((len(half), along.shape[1] + len(across), slopes.shape[1]))
    ways[:, : along.shape[1], :rows] = along
    ways[:, along.shape[1] :, rows:] = across
    return ways[back]


def _misfits(wheels: CoupledWheels, crank: Array) -> Array:
    """Return b, shape (N, rows) [mm]."""
    axles = {axle.name: axle for axle in wheels.axles}
    found = []
    for rod in wheels.rods:
        for eye in rod.eyes:
            axle = axles[eye.axle]
            pin = axle.pins[rod.side]
            stands = pin.angle - _turned_on(wheels, axle)
            found.append(axle.ahead + pin.throw * np.cos(crank + stands) - eye.place[0])
    found += [np.zeros(len(crank)) for _ in wheels.axles]
    found += [np.full(len(crank), k.places[0][0] - k.places[1][0]) for k in wheels.knuckles]
    for rod in _stiff(wheels):
        for eye in rod.eyes:
            axle = axles[eye.axle]
            pin = axle.pins[rod.side]
            stands = pin.angle - _turned_on(wheels, axle)
            found.append(axle.up + pin.throw * np.sin(crank + stands) - eye.place[1])
    found += [np.zeros(len(crank)) for _ in _boxes(wheels)]
    return np.stack(found, axis=1)


def _stiff(wheels: CoupledWheels) -> list[CouplingRod]:
    """Return the rods over more than two pins, which do not turn to meet misfits across them."""
    return [rod for rod in wheels.rods if len(rod.eyes) > _MEETS]


def _boxes(wheels: CoupledWheels) -> tuple[Axle, ...]:
    """Return the axles whose boxes go up and down with the pins of such rods."""
    return wheels.axles if _stiff(wheels) else ()


def _turned_on(wheels: CoupledWheels, axle: Axle) -> float:
    """Return by how much an axle's cranks stand on from the driving ones, in the mean [rad].

    Of those that a rod is on: with the rods of one side off it stands as the other's have it.
    """
    driving = wheels.axles[wheels.driving]
    led = {rod.side for rod in wheels.rods for eye in rod.eyes if eye.axle == axle.name}
    by = [pin.angle - driving.pins[side].angle for side, pin in axle.pins.items()
          if side in led and side in driving.pins]  # fmt: skip
    return sum(by) / len(by) if by else 0.0


def _across(wheels: CoupledWheels) -> Array:
    """Return the y of misfits across the rods, shape (K, rows): holes, then boxes."""
    stiff, boxes = _stiff(wheels), _boxes(wheels)
    axles = {axle.name: k for k, axle in enumerate(boxes)}
    first, holes = 0, sum(len(rod.eyes) for rod in stiff)
    ways = []
    for rod in stiff:
        for three in combinations(range(len(rod.eyes)), 3):
            a, b, c = (rod.eyes[k].place[0] for k in three)
            way = np.zeros(holes + len(boxes))
            for k, share in zip(three, (c - b, a - c, b - a), strict=True):
                way[first + k] = share / (c - a)
                way[holes + axles[rod.eyes[k].axle]] = share / (c - a)
            ways.append(way)
        first += len(rod.eyes)
    return np.array(ways).reshape(len(ways), holes + len(boxes))


def _plays(wheels: CoupledWheels) -> Array:
    """Return p, shape (rows,) [mm]."""
    eyes = [eye.along for rod in wheels.rods for eye in rod.eyes]
    boxes = [axle.fore_aft for axle in wheels.axles]
    across = [eye.across for rod in _stiff(wheels) for eye in rod.eyes]
    raised = [axle.vertical for axle in _boxes(wheels)]
    return np.array([*eyes, *boxes, *(k.play for k in wheels.knuckles), *across, *raised])


def _round(wheels: CoupledWheels, sizes: Array) -> Array:
    """Return |y| with less of the holes that have both: both plays of a round hole are one.

    Shape (N, rows, K).
    """
    stiff = [k for k, rod in enumerate(wheels.rods) if len(rod.eyes) > _MEETS for _ in rod.eyes]
    eyes = [k for k, rod in enumerate(wheels.rods) for _ in rod.eyes]
    along = [row for row, rod in enumerate(eyes) if rod in stiff]
    first = len(eyes) + len(wheels.axles) + len(wheels.knuckles)
    across = range(first, first + len(along))
    plays = np.maximum(_plays(wheels), _LEAST)
    found = sizes.copy()
    for one, other in zip(along, across, strict=True):
        a, b = plays[one] * sizes[:, one], plays[other] * sizes[:, other]
        less = np.hypot(a, b) / np.maximum(a + b, _TINY)
        found[:, one] *= less
        found[:, other] *= less
    return found


def _free(slopes: Array) -> int:
    """Return how many numbers the y are told by."""
    sizes = np.linalg.svd(slopes, compute_uv=False)
    rank = int((sizes > _NOUGHT * sizes.max()).sum(axis=1).max())
    return int(slopes.shape[1]) - rank


def _ways(slopes: Array) -> Array:
    """Return the y of each crank angle that the greatest is among, shape (N, K, rows)."""
    rows, free = slopes.shape[1], _free(slopes)
    if free <= 0:
        return np.zeros((len(slopes), 0, rows))
    left, _, _ = np.linalg.svd(slopes, full_matrices=True)
    null = left[:, :, rows - free :]  # (N, rows, d)
    if free == 1:
        return np.swapaxes(null, 1, 2)
    noughts = np.array(list(islice(combinations(range(rows), free - 1), _MOST)))
    *_, turned = np.linalg.svd(null[:, noughts, :], full_matrices=True)  # (N, K, d, d)
    every = np.einsum("nmd,nkd->nkm", null, turned[:, :, -1, :])
    kept = [_elementary(some) for some in every]
    most = max(len(some) for some in kept)
    return np.stack([np.concatenate((y, np.repeat(y[:1], most - len(y), axis=0))) for y in kept])


def _elementary(ways: Array) -> Array:
    """Return those of some y whose numbers that are none hold those of no other, one of each."""
    ways = ways / np.abs(ways).max(axis=1, keepdims=True)
    there, first = np.unique(np.abs(ways) > _NOUGHT, axis=0, return_index=True)
    within = ~(there[None] & ~there[:, None]).any(axis=2)  # of each, whether it holds the other
    alone = within.sum(axis=1) == 1
    return np.asarray(ways[first[alone]])
