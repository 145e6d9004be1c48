"""The misfits of coupled wheels as functions of how axles and rods stand, with derivatives.

A misfit is how far a pin stands from the middle of its hole, a box from the middle of its play, or
two lengths of a rod from one another at their knuckle, as a share of the play there is::

    share = | (along / half play along, across / half play across) |

Unknown are the turn of every axle but the driven one, the place of every axle in its boxes, and
the place and slope of every rod. All pins, boxes and knuckles are worked out together as arrays.

Places in the plane are complex numbers here, x + iy, for turning is then multiplying. With z the
middle of a rod's own axes, e^(is) its slope, P the pin and p its hole on the rod, the misfit in the
rod's axes is::

    g = (P - z) e^(-is) - p,      P = axle + throw e^(-i turn),

and its derivatives, D, by the axle's turn, the axle's and the rod's place, and the rod's slope

    -i throw e^(-i turn) e^(-is),    e^(-is),  i e^(-is),    -e^(-is),  -i e^(-is),    -i (g + p).

By the slope and any of these once more, and by the turn twice, it is -i times that derivative.
"""

from __future__ import annotations

import copy
import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Complex, Index, Mask
from linkage.play.slopes import TERMS, Pattern, Slopes
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

    @cached_property
    def plays(self) -> Array:
        """Half the play of every link, along and across, shape (1 or N, links, 2)."""
        knuckles = np.repeat(self.knuckle[..., None], 2, axis=2)
        return np.concatenate((self.half, knuckles), axis=1)

    @cached_property
    def base_at(self) -> Complex:
        """Middles of the axles of all holes, shape (1 or N, holes)."""
        return _complex(self.base)

    @cached_property
    def eyes_at(self) -> Complex:
        """Holes on their rods, shape (1 or N, holes)."""
        return _complex(self.eyes)

    @cached_property
    def ends_at(self) -> Complex:
        """Knuckles on either rod, shape (1 or N, 2, knuckles)."""
        return _complex(self.ends)

    def pick(self, rows: Index | Mask) -> _Sizes:
        """Return some rows; a single one is for all."""
        if len(self.throw) == 1:
            return self
        return _Sizes(*(getattr(self, field.name)[rows] for field in dataclasses.fields(self)))


def _complex(places: Array) -> Complex:
    """Return places, shape (..., 2), as complex numbers, shape (...)."""
    return np.asarray(places[..., 0] + 1j * places[..., 1])


def _unit(angles: Array) -> Complex:
    """Return e to the i times some angles."""
    out = np.empty(angles.shape, dtype=np.complex128)
    np.cos(angles, out=out.real)
    np.sin(angles, out=out.imag)
    return out


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
    turns : array, shape (holes,) [1]
        Nought for holes on the driven axle, whose turn is known; 1 for the others.
    """

    def __init__(self, wheels: CoupledWheels) -> None:
        self.wheels = wheels
        count = len(wheels.axles)
        names = [axle.name for axle in wheels.axles]
        self._free = [i for i in range(count) if i != wheels.driving]
        shifts = len(self._free)
        self.others = shifts
        rods = shifts + 2 * count + 3 * np.arange(len(wheels.rods), dtype=np.intp)
        self.size = shifts + 2 * count + 3 * len(wheels.rods)
        eyes = [(r, eye) for r, rod in enumerate(wheels.rods) for eye in rod.eyes]
        axle = np.array([names.index(eye.axle) for _, eye in eyes], dtype=np.intp)
        self._rod = np.array([r for r, _ in eyes], dtype=np.intp)
        self._rods, self._slopes = rods, rods + 2
        # the driven axle's turn is known: its column is one past the unknowns, always 0
        turns = np.full(count, self.size, dtype=np.intp)
        turns[self._free] = np.arange(len(self._free))
        self._turn = turns[axle]
        self._turned = np.flatnonzero(self._turn < self.size)
        self.turns = (self._turn < self.size).astype(np.float64)
        self._boxes = shifts + np.arange(2 * count, dtype=np.intp)
        self._joined = np.reshape(
            [[knuckle.rods[own] for knuckle in wheels.knuckles] for own in (0, 1)], (2, -1)
        ).astype(np.intp)
        # where axles and then rods stand, x and y of each beside one another
        self._xy = np.concatenate((self._boxes, np.stack((rods, rods + 1), axis=1).ravel()))
        self._pin, self._bar = axle, count + self._rod
        self.constraints = tuple(self._constraints())
        self._pattern = self._pattern_of(self._turn, shifts + 2 * axle)
        self._sizes = _Sizes.of(wheels)

    def _pattern_of(self, turn: Index, shift: Index) -> Pattern:
        """Return which unknowns the shares hang on; of holes, the axle's turn and place."""
        holes, boxes = len(self._rod), len(self._boxes)
        every = np.arange(len(self.constraints), dtype=np.intp)
        first = self._rods[self._rod]
        hole = np.stack((turn, shift, shift + 1, first, first + 1, first + 2))
        ends = self._rods[self._joined]
        knuckle = np.stack((ends, ends + 1, ends + 2), axis=1).reshape(TERMS, -1)
        return Pattern(
            np.concatenate((hole, knuckle), axis=1),
            np.delete(every, slice(holes, holes + boxes)),
            every[holes : holes + boxes],
            self._boxes,
            self.size,
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
        other._sizes = sizes
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
        sizes = self._sizes
        pins = sizes.base_at + sizes.throw * _unit(self._pin_angles(q, crank))
        eyes = [sizes.eyes_at[:, self._rod == number] for number in range(len(self._rods))]
        for number, places in enumerate(eyes):
            self._lay(q, number, places, pins[:, self._rod == number])
        for number, knuckle in enumerate(self.wheels.knuckles):
            ends = sizes.ends_at[:, :, number]
            for own, other in ((0, 1), (1, 0)):
                rod = knuckle.rods[own]
                if eyes[rod].shape[1] == 1:
                    to = self._spot(q, knuckle.rods[other], ends[:, other])
                    over = np.stack((self._spot(q, rod, eyes[rod][:, 0]), to), axis=1)
                    self._lay(q, rod, np.stack((eyes[rod][:, 0], ends[:, own]), axis=1), over)
        return q

    def _spot(self, q: Array, rod: int, place: Complex) -> Complex:
        """Return where a place on a rod is, shape (N,)."""
        x, y, slope = q[:, self._rods[rod] :][:, :3].T
        return np.asarray(x + 1j * y + place * _unit(slope))

    def _lay(self, q: Array, rod: int, spots: Complex, over: Complex) -> None:
        """Lay a rod with its spots, (1 or N, K), over places, shape (N, K), in place."""
        first = self._rods[rod]
        if spots.shape[1] > 1:
            run, own = over[:, -1] - over[:, 0], spots[:, -1] - spots[:, 0]
            q[:, first + 2] = np.angle(run) - np.angle(own)
        middle = over.mean(axis=1) - _unit(q[:, first + 2]) * spots.mean(axis=1)
        q[:, first], q[:, first + 1] = middle.real, middle.imag

    def _pin_angles(self, q: Array, crank: Array) -> Array:
        """Return how the pins stand from their axles, counter-clockwise, shape (N, holes) [rad]."""
        angles = -crank[:, None] - self._sizes.angle
        angles[:, self._turned] -= q[:, self._turn[self._turned]]
        return np.asarray(angles)

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
        sizes, holes, boxes = self._sizes, len(self._rod), len(self._boxes)
        units = _unit(np.concatenate((self._pin_angles(q, crank), q[:, self._slopes]), axis=1))
        arms, axes = sizes.throw * units[:, :holes], units[:, holes:]
        places = q.take(self._xy, axis=1).view(np.complex128)
        against = axes.take(self._rod, axis=1).conj()
        pins = places.take(self._pin, axis=1) + sizes.base_at + arms
        run = (pins - places.take(self._bar, axis=1)) * against
        out = np.zeros((len(q), len(self.constraints), 2))
        out[:, :holes] = _pairs(run - sizes.eyes_at) / sizes.half
        out[:, holes : holes + boxes, 0] = q[:, self._boxes] / sizes.box
        ends = sizes.ends_at * axes[:, self._joined]
        if ends.size:
            spots = places[:, len(self.wheels.axles) + self._joined] + ends
            out[:, holes + boxes :] = _pairs(spots[:, 0] - spots[:, 1]) / sizes.knuckle[..., None]
        return Stand(out, _Laid(self, against, arms, run, ends))

    def slopes(self, laid: _Laid) -> Slopes:
        """Return the derivatives of the shares."""
        sizes = self._sizes
        turned = laid.turned
        links = np.empty((len(turned), 2, *turned.shape[1:]))
        np.divide(turned.real, sizes.plays[:, None, :, 0], out=links[:, 0])
        np.divide(turned.imag, sizes.plays[:, None, :, 1], out=links[:, 1])
        return Slopes(self._pattern, links, 1 / sizes.box)

    def bends(self, laid: _Laid, pull: Array) -> Array:
        """Return the second derivatives of the links' shares, weighed, (N, 6, 6, links)."""
        turned, holes = laid.turned, len(self._rod)
        weight = pull.take(self._pattern.links, axis=1) / self._sizes.plays
        # one turned once more: -i times it, and i times it of what is turned with its rod
        once = weight[:, None, :, 0] * turned.imag - weight[:, None, :, 1] * turned.real
        out = np.zeros((len(once), TERMS, *once.shape[1:]))
        out[:, 0, 0, :holes] = once[:, 0, :holes]
        out[:, -1, :, :holes] = once[..., :holes]
        out[:, :, -1, :holes] = once[..., :holes]
        for k in (2, 5):
            out[:, k, k, holes:] = -once[:, k, holes:]
        return out


@dataclass(frozen=True)
class _Laid:
    """What the shares' derivatives are made of, worked out with the shares.

    The rods' axes turned back and the pins from their axles, at every hole; the pins in the rods'
    axes; knuckles from the middles of either rod's axes.
    """

    misfits: Misfits
    against: Complex
    arms: Complex
    run: Complex
    ends: Complex

    @cached_property
    def turned(self) -> Complex:
        """Derivatives of the gaps at every link by its six unknowns, shape (N, 6, links) [mm]."""
        holes = self.run.shape[1]
        out = np.empty((len(self.run), TERMS, holes + self.ends.shape[2]), dtype=np.complex128)
        out[:, 0, :holes] = -1j * self.arms * self.against * self.misfits.turns
        out[:, 1, :holes] = self.against
        out[:, 2, :holes] = 1j * self.against
        out[:, 3:5, :holes] = -out[:, 1:3, :holes]
        out[:, 5, :holes] = -1j * self.run
        for sign, first in ((1.0, 0), (-1.0, 3)):
            out[:, first, holes:], out[:, first + 1, holes:] = sign, sign * 1j
            out[:, first + 2, holes:] = sign * 1j * self.ends[:, first // 3]
        return out

    def pick(self, rows: Index | Mask) -> _Laid:
        """Return some rows."""
        some = (x[rows] for x in (self.against, self.arms, self.run, self.ends))
        return _Laid(self.misfits.pick(rows), *some)


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
    def by(self) -> Slopes:
        """Derivatives of the shares, as few as there are."""
        return self._laid.misfits.slopes(self._laid)

    @property
    def slopes(self) -> Array:
        """Derivatives of the shares, shape (N, constraints, 2, size) [1/rad, 1/mm]."""
        return self.by.dense

    def pick(self, rows: Index | Mask) -> Stand:
        """Return some of the crank angles."""
        return Stand(self.values[rows], self._laid.pick(rows))

    def bends(self, pull: Array) -> Array:
        """Return the second derivatives of the links' shares, weighed.

        Parameters
        ----------
        pull : array, shape (N, constraints, 2) [1]
            Weights of the shares.

        Returns
        -------
        array, shape (N, 6, 6, links) [1/unit^2]
            By every two of the unknowns that each link hangs on.
        """
        return self._laid.misfits.bends(self._laid, pull)

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
        none, along = np.zeros(pull.shape[:2]), self.by.along(self.values)
        return self.by.squares(none, none, along, self.bends(pull))[:, :-1, :-1]


def _pairs(places: Complex) -> Array:
    """Return complex numbers, shape (...), as places, shape (..., 2)."""
    return np.ascontiguousarray(places).view(np.float64).reshape(*places.shape, 2)
