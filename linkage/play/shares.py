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

Misfits across the rods are left out where a rod turns to meet them, over two pins. A rod over more
has them too: it can rise and turn, so of c, the misfits across, and q, half the play there,

    t = max over y of  |y . c| / (|y| . q),     sum of y = 0,  sum of y x = 0,

with x the holes' places along it; and since two numbers say how it lies, three of its holes are
always as tight as all (Helly), with y the shares in which one of them lies between the others.
Boxes go up and down with their pins. Where an axle turns on, its pins go across as well: it is
taken to stand as those of its cranks that a rod is on have it in the mean. A hole is round, yet
along and across are asked one by one: what is used of both together is more by no more than by the
root of 2.

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

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from linkage.arrays import Array
from linkage.wheels import Axle, CoupledWheels, CouplingRod

_OFF = 1e-3  # crank angles are looked at beside dead centres, where A has no full rank [rad]
_MEETS = 2  # pins of a rod that turns to meet misfits across it
_LEAST = 1e-4  # half of a play is taken to be no less [mm]
_NOUGHT = 1e-9  # singular values smaller than this of the greatest are none [1]
_MOST = 4000  # ways to choose the noughts, at the most; the rest would hardly use more


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
        along, across = _ways(_slopes(like, self.crank)), _across(like)
        rows = along.shape[2] + across.shape[1]
        self._ways = np.zeros((len(crank), along.shape[1] + len(across), rows))
        self._ways[:, : along.shape[1], : along.shape[2]] = along
        self._ways[:, along.shape[1] :, along.shape[2] :] = across
        self._lone = tuple(_lone(like, self.crank, rows))

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
        if self._ways.shape[1]:
            pull = np.abs(np.einsum("nkm,vnm->vnk", self._ways, misfits, optimize=True))
            room = np.einsum("nkm,vm->vnk", np.abs(self._ways), np.maximum(plays, _LEAST))
            most = (pull / room).max(axis=2)
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
        pin = wheels.axles[axles[eye.axle]].pins[side]
        yield _Lone(way, pin.throw, np.cos(crank + pin.angle))


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
    """Return A, shape (N, rows, unknowns): turns of the other axles, shifts of axles and rods."""
    axles = {axle.name: k for k, axle in enumerate(wheels.axles)}
    others = [k for k in range(len(wheels.axles)) if k != wheels.driving]
    eyes = [(k, rod.side, eye) for k, rod in enumerate(wheels.rods) for eye in rod.eyes]
    first, rods = len(others), len(others) + len(wheels.axles)
    rows = len(eyes) + len(wheels.axles) + len(wheels.knuckles)
    slopes = np.zeros((len(crank), rows, rods + len(wheels.rods)))
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
    return slopes


def _misfits(wheels: CoupledWheels, crank: Array) -> Array:
    """Return b, shape (N, rows) [mm]."""
    axles = {axle.name: axle for axle in wheels.axles}
    found = []
    for rod in wheels.rods:
        for eye in rod.eyes:
            axle = axles[eye.axle]
            pin = axle.pins[rod.side]
            found.append(axle.ahead + pin.throw * np.cos(crank + pin.angle) - eye.place[0])
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


def _ways(slopes: Array) -> Array:
    """Return the y of each crank angle that the greatest is among, shape (N, K, rows)."""
    rows = slopes.shape[1]
    left, sizes, _ = np.linalg.svd(slopes, full_matrices=True)
    rank = int((sizes > _NOUGHT * sizes.max()).sum(axis=1).max())
    null = left[:, :, rank:]  # (N, rows, d)
    free = rows - rank
    if free <= 0:
        return np.zeros((len(slopes), 0, rows))
    if free == 1:
        return np.swapaxes(null, 1, 2)
    ways = []
    for noughts in list(combinations(range(rows), free - 1))[:_MOST]:
        *_, turned = np.linalg.svd(null[:, list(noughts), :], full_matrices=True)
        ways.append(np.einsum("nmd,nd->nm", null, turned[:, -1, :]))
    return np.stack(ways, axis=1)
