"""The misfits of coupled wheels as functions of how axles and rods stand, with derivatives.

A misfit is how far a pin stands from the middle of its hole, a box from the middle of its play, or
two lengths of a rod from one another at their knuckle, as a share of the play there is::

    share = | (along / half play along, across / half play across) |

Unknown are the turn of every axle but the driven one, the place of every axle in its boxes, and
the place and slope of every rod. All pins, boxes and knuckles are worked out together as arrays.
"""

from __future__ import annotations

import copy
import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.wheels import CoupledWheels


@dataclass(frozen=True)
class Constraint:
    """One pin in its hole, box in its play, or knuckle.

    Attributes
    ----------
    kind : str
        "hole", "box fore and aft", "box up and down" or "knuckle".
    side : str
        Side of a hole or knuckle, empty for a box.
    rod : int
        Which rod, -1 for a box.
    axle : str
        Which axle; empty for a knuckle.
    """

    kind: str
    side: str
    rod: int
    axle: str


@dataclass(frozen=True)
class _Sizes:
    """Numbers of coupled wheels, one row each, or a single one for all crank angles.

    Throw and angle of the pin in every hole, middle of its axle, half the play of hole, box and
    knuckle; where holes and knuckles are on their rods.
    """

    throw: Array
    angle: Array
    base: Array
    half: Array
    box: Array
    knuckle: Array
    eyes: Array
    ends: Array

    @classmethod
    def of(cls, wheels: CoupledWheels) -> _Sizes:
        """Take them from one set of coupled wheels."""
        axles = {axle.name: axle for axle in wheels.axles}
        eyes = [(rod.side, eye) for rod in wheels.rods for eye in rod.eyes]
        pins = [axles[eye.axle].pins[side] for side, eye in eyes]
        ends = [[knuckle.places[own] for knuckle in wheels.knuckles] for own in (0, 1)]
        return cls(
            np.array([[pin.throw for pin in pins]]),
            np.array([[pin.angle for pin in pins]]),
            np.array([[(axles[eye.axle].ahead, axles[eye.axle].up) for _, eye in eyes]]),
            np.array([[(eye.along, eye.across) for _, eye in eyes]]),
            np.array([[h for axle in wheels.axles for h in (axle.fore_aft, axle.vertical)]]),
            np.array([[knuckle.play for knuckle in wheels.knuckles]]),
            np.array([[eye.place for _, eye in eyes]]),
            np.reshape(ends, (1, 2, -1, 2)),
        )

    @classmethod
    def stack(cls, every: Sequence[_Sizes]) -> _Sizes:
        """Put single ones together, a row each."""
        fields = [field.name for field in dataclasses.fields(cls)]
        return cls(*(np.concatenate([getattr(s, name) for s in every]) for name in fields))

    def pick(self, rows: Index | Mask) -> _Sizes:
        """Return some rows; a single one is for all."""
        if len(self.throw) == 1:
            return self
        return _Sizes(*(getattr(self, field.name)[rows] for field in dataclasses.fields(self)))


@dataclass(frozen=True)
class _Spots:
    """Places on rods: which rod's unknowns they hang on, shape (K,), and where, (1 or N, K, 2)."""

    first: Index
    place: Array

    def axes(self, q: Array) -> tuple[Array, Array]:
        """Return cosine and sine of the rods' slopes, shape (N, K)."""
        slope = q[:, self.first + 2]
        return np.cos(slope), np.sin(slope)

    def at(self, q: Array, axes: tuple[Array, Array]) -> tuple[Array, Array]:
        """Return the places, shape (N, K, 2), and how they stand from the rods' own."""
        (cos, sin), x, y = axes, self.place[..., 0], self.place[..., 1]
        arm = _pair(cos * x - sin * y, sin * x + cos * y)
        return _pair(q[:, self.first] + arm[..., 0], q[:, self.first + 1] + arm[..., 1]), arm


def _pair(x: Array, y: Array) -> Array:
    """Return vectors of their two coordinates (`np.stack` takes thrice as long for a few)."""
    out = np.empty((*x.shape, 2))
    out[..., 0], out[..., 1] = x, y
    return out


def _quarter(vectors: Array) -> Array:
    """Turn vectors a quarter counter-clockwise."""
    return _pair(-vectors[..., 1], vectors[..., 0])


class Misfits:
    """All misfits of one set of coupled wheels, or of many variants of it.

    Parameters
    ----------
    wheels : CoupledWheels
        Axles and rods; all plays above 0.

    Attributes
    ----------
    constraints : tuple of Constraint
        In the order of the shares: holes, boxes, knuckles.
    size : int
        Number of unknowns.
    others : int
        Number of axles but the driven one.
    """

    def __init__(self, wheels: CoupledWheels) -> None:
        self.wheels = wheels
        count = len(wheels.axles)
        names = [axle.name for axle in wheels.axles]
        self._free = [i for i in range(count) if i != wheels.driving]
        shifts = len(self._free)
        self.others = shifts
        self._rods = shifts + 2 * count + 3 * np.arange(len(wheels.rods), dtype=np.intp)
        self.size = shifts + 2 * count + 3 * len(wheels.rods)
        eyes = [(r, eye) for r, rod in enumerate(wheels.rods) for eye in rod.eyes]
        axle = np.array([names.index(eye.axle) for _, eye in eyes], dtype=np.intp)
        self._first = self._rods[[r for r, _ in eyes]]
        # the driven axle's turn is known: its column is one past the unknowns, always 0
        turns = np.full(count, self.size, dtype=np.intp)
        turns[self._free] = np.arange(len(self._free))
        self._turn, self._shift = turns[axle], shifts + 2 * axle
        self._turned = np.flatnonzero(self._turn < self.size)
        self._boxes = shifts + np.arange(2 * count, dtype=np.intp)
        self._joined = tuple(
            self._rods[[knuckle.rods[own] for knuckle in wheels.knuckles]] for own in (0, 1)
        )
        self.constraints = tuple(self._constraints())
        self._size_by(_Sizes.of(wheels))

    def _size_by(self, sizes: _Sizes) -> None:
        ends = np.moveaxis(sizes.ends, 1, 0)
        self._sizes, self._eyes = sizes, _Spots(self._first, sizes.eyes)
        self._knuckles = (
            tuple(_Spots(*pair) for pair in zip(self._joined, ends, strict=True))
            if self.wheels.knuckles
            else ()
        )

    @classmethod
    def of_variants(cls, variants: Sequence[CoupledWheels]) -> Misfits:
        """Return the misfits of many variants, alike but for their numbers.

        Parameters
        ----------
        variants : sequence of N CoupledWheels
            What is asked of them has one row for each.
        """
        every = {id(wheels): _Sizes.of(wheels) for wheels in variants}
        return cls(variants[0])._with(_Sizes.stack([every[id(wheels)] for wheels in variants]))

    def pick(self, rows: Index | Mask) -> Misfits:
        """Return those of some rows; those of a single set of wheels are for any."""
        sizes = self._sizes.pick(rows)
        return self if sizes is self._sizes else self._with(sizes)

    def _with(self, sizes: _Sizes) -> Misfits:
        other = copy.copy(self)
        other._size_by(sizes)
        return other

    def _constraints(self) -> list[Constraint]:
        wheels = self.wheels
        found = [
            Constraint("hole", rod.side, number, eye.axle)
            for number, rod in enumerate(wheels.rods)
            for eye in rod.eyes
        ]
        for axle in wheels.axles:
            found.append(Constraint("box fore and aft", "", -1, axle.name))
            found.append(Constraint("box up and down", "", -1, axle.name))
        for knuckle in wheels.knuckles:
            side = wheels.rods[knuckle.rods[0]].side
            found.append(Constraint("knuckle", side, knuckle.rods[0], ""))
        return found

    def start(self, crank: Array, swing: Array) -> Array:
        """Return a first arrangement: all axles turned alike, rods laid over their pins.

        Parameters
        ----------
        crank : array, shape (N,) [rad]
            Turn of the driven axle.
        swing : array, shape (N, axles - 1) [rad]
            By how much each of the other axles is turned further.

        Returns
        -------
        array, shape (N, size) [rad, mm]
            Unknowns.
        """
        q = np.zeros((len(crank), self.size))
        q[:, : self.others] = swing
        pins, _ = self._pins(q, crank)
        first = 0
        places = []
        for number, rod in enumerate(self.wheels.rods):
            mine = slice(first, first + len(rod.eyes))
            places.append(self._sizes.eyes[:, mine])
            self._lay(q, number, places[-1], pins[:, mine])
            first += len(rod.eyes)
        for number, knuckle in enumerate(self.wheels.knuckles):
            ends = np.moveaxis(self._sizes.ends[:, :, number], 1, 0)
            for own, other in ((0, 1), (1, 0)):
                length = knuckle.rods[own]
                if len(self.wheels.rods[length].eyes) == 1:
                    to = self._spot(q, knuckle.rods[other], ends[other])
                    pin = self._spot(q, length, places[length][:, 0])
                    spots = np.stack((places[length][:, 0], ends[own]), axis=1)
                    self._lay(q, length, spots, np.stack((pin, to), axis=1))
        return q

    def _spot(self, q: Array, rod: int, place: Array) -> Array:
        spots = _Spots(self._rods[[rod]], place[:, None])
        return spots.at(q, spots.axes(q))[0][:, 0]

    def _lay(self, q: Array, rod: int, spots: Array, over: Array) -> None:
        """Lay a rod with its spots, (1 or N, K, 2), over places, shape (N, K, 2), in place."""
        first = self._rods[rod]
        if spots.shape[1] > 1:
            run, own = over[:, -1] - over[:, 0], spots[:, -1] - spots[:, 0]
            q[:, first + 2] = np.arctan2(run[:, 1], run[:, 0]) - np.arctan2(own[:, 1], own[:, 0])
        cos, sin = np.cos(q[:, first + 2]), np.sin(q[:, first + 2])
        x, y = spots.mean(axis=1).T
        middle = over.mean(axis=1)
        q[:, first] = middle[:, 0] - cos * x + sin * y
        q[:, first + 1] = middle[:, 1] - sin * x - cos * y

    def _pins(self, q: Array, crank: Array) -> tuple[Array, Array]:
        """Return the crank pins, shape (N, holes, 2), and how they stand from their axles."""
        sizes = self._sizes
        turn = crank[:, None] + sizes.angle
        turn[:, self._turned] += q[:, self._turn[self._turned]]
        arm = _pair(sizes.throw * np.cos(turn), -sizes.throw * np.sin(turn))
        x, y = q[:, self._shift] + sizes.base[..., 0], q[:, self._shift + 1] + sizes.base[..., 1]
        return _pair(x + arm[..., 0], y + arm[..., 1]), arm

    def at(self, q: Array, crank: Array) -> Stand:
        """Put everything where some unknowns say.

        With the shares there.

        Parameters
        ----------
        q : array, shape (N, size) [rad, mm]
            Unknowns.
        crank : array, shape (N,) [rad]
            Turn of the driven axle.
        """
        pins, cranked = self._pins(q, crank)
        axes = self._eyes.axes(q)
        spots, arms = self._eyes.at(q, axes)
        gap = _in_axes(pins - spots, axes)
        sizes = self._sizes
        apart = [end.at(q, end.axes(q)) for end in self._knuckles]
        out = np.zeros((len(q), len(self.constraints), 2))
        holes, boxes = len(self._first), len(self._boxes)
        out[:, :holes] = gap / sizes.half
        out[:, holes : holes + boxes, 0] = q[:, self._boxes] / sizes.box
        if apart:
            out[:, holes + boxes :] = (apart[0][0] - apart[1][0]) / sizes.knuckle[..., None]
        laid = _Laid(self, q, axes, gap, cranked, arms, tuple(arm for _, arm in apart))
        return Stand(out, laid)

    def put_slopes(self, laid: _Laid, out: Array) -> None:
        """Write the derivatives of the shares into zeros, shape (N, constraints, 2, size + 1)."""
        holes, boxes = len(self._first), len(self._boxes)
        self._put_hole_slopes(laid, out[:, :holes])
        rows = np.arange(holes, holes + boxes)
        out[:, rows, 0, self._boxes] = 1 / self._sizes.box
        rows = np.arange(holes + boxes, len(self.constraints))
        for sign, spots, arm in zip((1.0, -1.0), self._knuckles, laid.knuckles, strict=False):
            scale, by_slope = sign / self._sizes.knuckle, _quarter(arm)
            out[:, rows, 0, spots.first] += scale
            out[:, rows, 1, spots.first + 1] += scale
            for axis in (0, 1):
                out[:, rows, axis, spots.first + 2] += by_slope[..., axis] * scale

    def _put_hole_slopes(self, laid: _Laid, out: Array) -> None:
        rows, first = np.arange(len(self._first)), self._first
        cos, sin = laid.axes
        along, across = np.moveaxis(1 / self._sizes.half, -1, 0)
        by_turn = laid.by_turn
        # turning the rod also turns the axes that the gap is measured in
        by_rod = -laid.by_slope - _quarter(laid.gap)
        for column, x, y in (
            (self._turn, by_turn[..., 0], by_turn[..., 1]),
            (self._shift, cos, -sin),
            (self._shift + 1, sin, cos),
            (first, -cos, sin),
            (first + 1, -sin, -cos),
            (first + 2, by_rod[..., 0], by_rod[..., 1]),
        ):
            out[:, rows, 0, column] = x * along
            out[:, rows, 1, column] = y * across

    def bend(self, laid: _Laid, pull: Array) -> Array:
        """Return `Stand.bending`.

        With the gap g in the frame's axes, a share is ``D R(-slope) g``. Twice differentiated it
        is ``D R g''``, and where one of the two is the rod's slope, which turns the axes, a
        quarter turned back ``D R g'`` besides; where both are, ``-D R g``.
        """
        total = np.zeros((len(laid.q), self.size + 1, self.size + 1))
        weight = pull[:, : len(self._first)] / self._sizes.half
        by_turn, by_slope = laid.by_turn, laid.by_slope
        quarter, (cos, sin) = _quarter(weight), laid.axes
        first = self._first
        crossed = (
            (self._turn, (quarter * by_turn).sum(axis=2)),
            (self._shift, quarter[..., 0] * cos - quarter[..., 1] * sin),
            (self._shift + 1, quarter[..., 0] * sin + quarter[..., 1] * cos),
            (first, quarter[..., 1] * sin - quarter[..., 0] * cos),
            (first + 1, -quarter[..., 0] * sin - quarter[..., 1] * cos),
            (first + 2, -(quarter * by_slope).sum(axis=2)),
        )
        own = -(weight * _quarter(by_turn)).sum(axis=2)
        rod = -(weight * _quarter(by_slope)).sum(axis=2) - (weight * laid.gap).sum(axis=2)
        for hole, slope in enumerate((first + 2).tolist()):
            turn = int(self._turn[hole])
            total[:, turn, turn] += own[:, hole]
            total[:, slope, slope] += rod[:, hole]
            for columns, values in crossed:
                total[:, slope, columns[hole]] += values[:, hole]
                total[:, columns[hole], slope] += values[:, hole]
        self._bend_knuckles(laid, pull, total)
        return total[:, : self.size, : self.size]

    def _bend_knuckles(self, laid: _Laid, pull: Array, total: Array) -> None:
        weight = pull[:, len(self._first) + len(self._boxes) :]
        for sign, spots, arm in zip((1.0, -1.0), self._knuckles, laid.knuckles, strict=False):
            bent = -(weight * arm).sum(axis=2) * (sign / self._sizes.knuckle)
            for place, slope in enumerate((spots.first + 2).tolist()):
                total[:, slope, slope] += bent[:, place]


@dataclass(frozen=True)
class _Laid:
    """What the shares' derivatives are made of, worked out with the shares."""

    misfits: Misfits
    q: Array
    axes: tuple[Array, Array]
    gap: Array
    cranked: Array
    arms: Array
    knuckles: tuple[Array, ...]

    @cached_property
    def by_turn(self) -> Array:
        """Derivatives of the pins by their axles' turns, along and across the rods."""
        return _in_axes(-_quarter(self.cranked), self.axes)

    @cached_property
    def by_slope(self) -> Array:
        """Derivatives of the holes by their rods' slopes, along and across the rods."""
        return _in_axes(_quarter(self.arms), self.axes)


@dataclass(frozen=True)
class Stand:
    """Coupled wheels in some arrangement, at N crank angles.

    Attributes
    ----------
    values : array, shape (N, constraints, 2) [1]
        All misfits as shares of their play, along and across the rod; the second is 0 for boxes.
    """

    values: Array
    _laid: _Laid

    @cached_property
    def slopes(self) -> Array:
        """Derivatives of the shares, shape (N, constraints, 2, size) [1/rad, 1/mm]."""
        size = self._laid.misfits.size
        out = np.zeros((*self.values.shape, size + 1))
        self._laid.misfits.put_slopes(self._laid, out)
        return out[..., :size]

    def bending(self, pull: Array) -> Array:
        """Return the shares' second derivatives, weighed and added up.

        Parameters
        ----------
        pull : array, shape (N, constraints, 2) [1]
            Weights of the shares.

        Returns
        -------
        array, shape (N, size, size) [1/unit^2]
            By every two unknowns.
        """
        return self._laid.misfits.bend(self._laid, pull)


def _in_axes(vectors: Array, axes: tuple[Array, Array]) -> Array:
    """Turn vectors of the frame's axes, shape (N, K, 2), into axes of some cosine and sine."""
    cos, sin = axes
    x, y = vectors[..., 0], vectors[..., 1]
    return _pair(cos * x + sin * y, cos * y - sin * x)
