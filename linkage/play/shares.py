"""The share of their play that many variants of coupled wheels use round the turn, to first order.

At a crank angle let b be the misfits along the rods with every axle turned as far as the driven
one, and p half the play of each hole, knuckle and box. The other axles turn on by a little, boxes
shift, rods shift: x. To first order the misfits are then ``b + A x``, and the least share t with
``|b + A x| <= t p`` is, by the duality of linear programmes,

    t = max over y of  |y . b| / (|y| . p),     A' y = 0,

and the greatest is at one of the y that have as many noughts as such a y can have. A depends on
where the wheels stand and hardly on their errors, so these few y are found once for each crank
angle; a variant, or a thousand, costs a product of small matrices. Misfits across the rods are left
out: a rod turns to meet them. It is good to some hundredths of the share where that is about 1, to
a tenth of it where it is far more (`tests/play/test_shares.py`).

With the rods of one side alone on nothing is left of A' y = 0 but at the dead centres, where an
axle can turn on as far as it likes and yet its pin comes no farther: a rod that is long or short by
more than the play locks there, at

    |target of the pin, along| > throw + all play between it and the driven pin.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from linkage.arrays import Array
from linkage.wheels import CoupledWheels, Eye

_OFF = 1e-3  # crank angles are looked at beside dead centres, where A has no full rank [rad]
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
        self.one_sided = len({rod.side for rod in like.rods}) < 2
        self._ways = None if self.one_sided else _ways(_slopes(like, self.crank))

    def __call__(self, variants: Sequence[CoupledWheels]) -> Array:
        """Return the share used, shape (V, N) [share]: at 1 it binds."""
        if self._ways is None:
            return np.stack([self._alone(wheels) for wheels in variants])
        misfits = np.stack([_misfits(wheels, self.crank) for wheels in variants])
        plays = np.stack([_plays(wheels) for wheels in variants])
        return self.of(misfits, plays)

    def parts(self, variants: Sequence[CoupledWheels]) -> tuple[Array, Array]:
        """Return misfits, shape (V, N, rows), and half plays, (V, rows), which add up [mm]."""
        misfits = np.stack([_misfits(wheels, self.crank) for wheels in variants])
        return misfits, np.stack([_plays(wheels) for wheels in variants])

    def of(self, misfits: Array, plays: Array) -> Array:
        """Return the share used by such misfits and plays, shape (V, N)."""
        if self._ways is None or not self._ways.shape[1]:
            return np.zeros(misfits.shape[:2])
        pull = np.abs(np.einsum("nkm,vnm->vnk", self._ways, misfits, optimize=True))
        room = np.einsum("nkm,vm->vnk", np.abs(self._ways), np.maximum(plays, _LEAST))
        return np.asarray((pull / room).max(axis=2))

    def _alone(self, wheels: CoupledWheels) -> Array:
        """Return the share used with one side's rods on, shape (N,)."""
        axles = {axle.name: axle for axle in wheels.axles}
        driving = wheels.axles[wheels.driving].name
        most = np.zeros(len(self.crank))
        for eye, side, beyond, play in _from_driving(wheels, driving):
            axle, first = axles[eye.axle], axles[driving]
            pin, own = first.pins[side], axle.pins[side]
            target = first.ahead + pin.throw * np.cos(self.crank + pin.angle) + beyond - axle.ahead
            room = max(play + axle.fore_aft + first.fore_aft, _LEAST)
            most = np.maximum(most, 1.0 + (np.abs(target) - own.throw - room) / room)
        return np.maximum(most, 0.0)


def _from_driving(wheels: CoupledWheels, driving: str) -> list[tuple[Eye, str, float, float]]:
    """Return each eye that is led to from the driving pin: side, how far beyond, play between."""
    place = _origins(wheels, driving)
    return [
        (eye, rod.side, place[k][0] + eye.place[0], place[k][1] + eye.along)
        for k, rod in enumerate(wheels.rods)
        for eye in rod.eyes
        if k in place and eye.axle != driving
    ]


def _origins(wheels: CoupledWheels, driving: str) -> dict[int, tuple[float, float]]:
    """Return how far each rod's origin is beyond the driving pin, and the play up to it."""
    place = {
        k: (-eye.place[0], eye.along)
        for k, rod in enumerate(wheels.rods)
        for eye in rod.eyes
        if eye.axle == driving
    }
    links = [(*k.rods, *k.places, k.play) for k in wheels.knuckles]
    links += [(b, a, there, here, play) for a, b, here, there, play in links]
    for _ in wheels.rods:
        for one, other, here, there, play in links:
            if one in place and other not in place:
                place[other] = place[one][0] + here[0] - there[0], place[one][1] + play
    return place


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
    return np.stack(found, axis=1)


def _plays(wheels: CoupledWheels) -> Array:
    """Return p, shape (rows,) [mm]."""
    eyes = [eye.along for rod in wheels.rods for eye in rod.eyes]
    boxes = [axle.fore_aft for axle in wheels.axles]
    return np.array([*eyes, *boxes, *(knuckle.play for knuckle in wheels.knuckles)])


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
