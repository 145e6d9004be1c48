"""The misfits of coupled wheels as functions of how axles and rods stand, with derivatives.

A misfit is how far a pin stands from the middle of its hole, a box from the middle of its play, or
two lengths of a rod from one another at their knuckle, as a share of the play there is::

    share = | (along / half play along, across / half play across) |

Unknown are the turn of every axle but the driven one, the place of every axle in its boxes, and
the place and slope of every rod. All pins, boxes and knuckles are worked out together as arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array, Index
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
class _Spots:
    """Places on rods: which rod's unknowns they hang on, and where on it, shape (K,), (K, 2)."""

    first: Index
    place: Array

    def at(self, q: Array) -> tuple[Array, Array]:
        """Return the places, shape (N, K, 2), and their derivatives by the rods' slopes."""
        slope = q[:, self.first + 2]
        cos, sin = np.cos(slope), np.sin(slope)
        x, y = self.place.T
        arm = np.stack((cos * x - sin * y, sin * x + cos * y), axis=2)
        spot = np.stack((q[:, self.first], q[:, self.first + 1]), axis=2) + arm
        return spot, _quarter(arm)


def _quarter(vectors: Array) -> Array:
    """Turn vectors a quarter counter-clockwise."""
    return np.stack((-vectors[..., 1], vectors[..., 0]), axis=-1)


class Misfits:
    """All misfits of one set of coupled wheels.

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
    """

    def __init__(self, wheels: CoupledWheels) -> None:
        self.wheels = wheels
        count = len(wheels.axles)
        names = [axle.name for axle in wheels.axles]
        self._free = [i for i in range(count) if i != wheels.driving]
        shifts = len(self._free)
        self._rods = shifts + 2 * count + 3 * np.arange(len(wheels.rods), dtype=np.intp)
        self.size = shifts + 2 * count + 3 * len(wheels.rods)
        eyes = [(r, rod, eye) for r, rod in enumerate(wheels.rods) for eye in rod.eyes]
        axle = np.array([names.index(eye.axle) for _, _, eye in eyes], dtype=np.intp)
        self._eyes = _Spots(
            self._rods[[r for r, _, _ in eyes]], np.array([eye.place for _, _, eye in eyes])
        )
        # the driven axle's turn is known: its column is one past the unknowns, always 0
        turns = np.full(count, self.size, dtype=np.intp)
        turns[self._free] = np.arange(len(self._free))
        self._turn, self._shift = turns[axle], shifts + 2 * axle
        pins = [wheels.axles[a].pins[rod.side] for a, (_, rod, _) in zip(axle, eyes, strict=True)]
        self._throw = np.array([pin.throw for pin in pins])
        self._angle = np.array([pin.angle for pin in pins])
        self._base = np.array([(wheels.axles[a].ahead, wheels.axles[a].up) for a in axle])
        self._half = np.array([(eye.along, eye.across) for _, _, eye in eyes])
        self._box = np.array([h for axle in wheels.axles for h in (axle.fore_aft, axle.vertical)])
        self._boxes = shifts + np.arange(2 * count, dtype=np.intp)
        self._knuckles = tuple(
            _Spots(
                self._rods[[knuckle.rods[own] for knuckle in wheels.knuckles]],
                np.array([knuckle.places[own] for knuckle in wheels.knuckles]).reshape(-1, 2),
            )
            for own in (0, 1)
        )
        self._knuckle_play = np.array([knuckle.play for knuckle in wheels.knuckles])
        self.constraints = tuple(self._constraints())

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

    def start(self, crank: Array, swing: float = 0.0) -> Array:
        """Return a first arrangement: all axles turned alike, rods laid over their pins.

        Parameters
        ----------
        crank : array, shape (N,) [rad]
            Turn of the driven axle.
        swing : float [rad]
            By how much the other axles are turned further.

        Returns
        -------
        array, shape (N, size) [rad, mm]
            Unknowns.
        """
        q = np.zeros((len(crank), self.size))
        q[:, : len(self._free)] = swing
        pins, _ = self._pins(q, crank)
        first = 0
        for number, rod in enumerate(self.wheels.rods):
            spots = np.array([eye.place for eye in rod.eyes])
            self._lay(q, number, spots, pins[:, first : first + len(spots)])
            first += len(spots)
        for knuckle in self.wheels.knuckles:
            for own, other in ((0, 1), (1, 0)):
                rod = self.wheels.rods[knuckle.rods[own]]
                if len(rod.eyes) == 1:
                    to = self._knuckle_spot(q, knuckle.rods[other], knuckle.places[other])
                    pin = self._knuckle_spot(q, knuckle.rods[own], rod.eyes[0].place)
                    spots = np.array([rod.eyes[0].place, knuckle.places[own]])
                    self._lay(q, knuckle.rods[own], spots, np.stack((pin, to), axis=1))
        return q

    def _knuckle_spot(self, q: Array, rod: int, place: tuple[float, float]) -> Array:
        return _Spots(self._rods[[rod]], np.array([place])).at(q)[0][:, 0]

    def _lay(self, q: Array, rod: int, spots: Array, over: Array) -> None:
        """Lay a rod with its spots, shape (K, 2), over places, shape (N, K, 2), in place."""
        first = self._rods[rod]
        if len(spots) > 1:
            run, own = over[:, -1] - over[:, 0], spots[-1] - spots[0]
            q[:, first + 2] = np.arctan2(run[:, 1], run[:, 0]) - np.arctan2(own[1], own[0])
        cos, sin = np.cos(q[:, first + 2]), np.sin(q[:, first + 2])
        x, y = spots.mean(axis=0)
        middle = over.mean(axis=1)
        q[:, first] = middle[:, 0] - cos * x + sin * y
        q[:, first + 1] = middle[:, 1] - sin * x - cos * y

    def _pins(self, q: Array, crank: Array) -> tuple[Array, Array]:
        """Return the crank pins, shape (N, holes, 2), and derivatives by their axles' turns."""
        wide = np.concatenate((q, np.zeros((len(q), 1))), axis=1)
        turn = crank[:, None] + self._angle + wide[:, self._turn]
        arm = np.stack((self._throw * np.cos(turn), -self._throw * np.sin(turn)), axis=2)
        moved = np.stack((q[:, self._shift], q[:, self._shift + 1]), axis=2)
        return self._base + moved + arm, -_quarter(arm)

    def values(self, q: Array, crank: Array) -> Array:
        """Return all misfits as shares of their play.

        Parameters
        ----------
        q : array, shape (N, size) [rad, mm]
            Unknowns.
        crank : array, shape (N,) [rad]
            Turn of the driven axle.

        Returns
        -------
        array, shape (N, constraints, 2) [1]
            Along and across the rod; the second is 0 for boxes.
        """
        out = np.zeros((len(q), len(self.constraints), 2))
        holes, boxes = len(self._half), len(self._box)
        gap = self._pins(q, crank)[0] - self._eyes.at(q)[0]
        out[:, :holes] = _in_rod_axes(gap, q[:, self._eyes.first + 2]) / self._half
        out[:, holes : holes + boxes, 0] = q[:, self._boxes] / self._box
        if len(self._knuckle_play):
            apart = self._knuckles[0].at(q)[0] - self._knuckles[1].at(q)[0]
            out[:, holes + boxes :] = apart / self._knuckle_play[:, None]
        return out

    def slopes(self, q: Array, crank: Array) -> Array:
        """Return the derivatives of the shares.

        Parameters
        ----------
        q : array, shape (N, size) [rad, mm]
            Unknowns.
        crank : array, shape (N,) [rad]
            Turn of the driven axle.

        Returns
        -------
        array, shape (N, constraints, 2, size) [1/rad, 1/mm]
            By each unknown.
        """
        out = np.zeros((len(q), len(self.constraints), 2, self.size + 1))
        holes, boxes = len(self._half), len(self._box)
        self._hole_slopes(q, crank, out[:, :holes])
        rows = np.arange(holes, holes + boxes)
        out[:, rows, 0, self._boxes] = 1 / self._box
        rows = np.arange(holes + boxes, len(self.constraints))
        for sign, spots in zip((1.0, -1.0), self._knuckles, strict=True):
            scale = sign / self._knuckle_play
            out[:, rows, 0, spots.first] += scale
            out[:, rows, 1, spots.first + 1] += scale
            by_slope = spots.at(q)[1] * scale[:, None]
            for axis in (0, 1):
                out[:, rows, axis, spots.first + 2] += by_slope[..., axis]
        return out[..., : self.size]

    def _hole_slopes(self, q: Array, crank: Array, out: Array) -> None:
        rows = np.arange(len(self._half))
        first = self._eyes.first
        pins, by_turn = self._pins(q, crank)
        spots, by_slope = self._eyes.at(q)
        slope = q[:, first + 2]
        ones = np.ones_like(slope)
        columns = [
            (self._turn, by_turn),
            (self._shift, np.stack((ones, 0 * ones), axis=2)),
            (self._shift + 1, np.stack((0 * ones, ones), axis=2)),
            (first, np.stack((-ones, 0 * ones), axis=2)),
            (first + 1, np.stack((0 * ones, -ones), axis=2)),
        ]
        # turning the rod also turns the axes that the gap is measured in
        gap = _in_rod_axes(pins - spots, slope)
        by_rod = _in_rod_axes(-by_slope, slope) - _quarter(gap)
        for column, vector in columns:
            turned = _in_rod_axes(vector, slope) / self._half
            for axis in (0, 1):
                out[:, rows, axis, column] = turned[..., axis]
        for axis in (0, 1):
            out[:, rows, axis, first + 2] = by_rod[..., axis] / self._half[:, axis]

    def bending(self, q: Array, crank: Array, pull: Array) -> Array:
        """Return how the shares bend with each turn of an axle or rod, weighed.

        Parameters
        ----------
        q : array, shape (N, size) [rad, mm]
            Unknowns.
        crank : array, shape (N,) [rad]
            Turn of the driven axle.
        pull : array, shape (N, constraints, 2) [1]
            Weights of the shares.

        Returns
        -------
        array, shape (N, size) [1/rad^2, 1/mm^2]
            Sum over the holes of weight times second derivative by each unknown. Turning the
            rod's own axes is left out: it goes with the misfit, not with the throw.
        """
        total = np.zeros((len(q), self.size + 1))
        slope = q[:, self._eyes.first + 2]
        weight = _in_rod_axes(pull[:, : len(self._half)] / self._half, -slope)
        for column, by in (
            (self._turn, -_quarter(self._pins(q, crank)[1])),
            (self._eyes.first + 2, -_quarter(self._eyes.at(q)[1])),
        ):
            bent = (weight * by).sum(axis=2) * (1.0 if column is self._turn else -1.0)
            for place, number in enumerate(column.tolist()):
                total[:, number] += bent[:, place]
        return total[:, : self.size]


def _in_rod_axes(vectors: Array, slope: Array) -> Array:
    """Turn vectors of the frame's axes, shape (N, K, 2), into those of rods of that slope."""
    cos, sin = np.cos(slope), np.sin(slope)
    x, y = vectors[..., 0], vectors[..., 1]
    return np.stack((cos * x + sin * y, -sin * x + cos * y), axis=-1)
