"""The most play that each of many variants of coupled wheels uses anywhere in the turn."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np

from linkage.arrays import Array, Index
from linkage.play.least import least_play
from linkage.play.misfit import Misfits
from linkage.wheels import CoupledWheels

_TURN = 2 * np.pi
_CRANKS = 32  # crank angles looked at first
_HIGH = 0.96  # of the highest sample: about others as high the most may be as well [1]
_CLOSE = 0.15  # the most is closed in on where it is no farther from the level asked about [share]
_CUT = 3  # parts that a step to either side is cut into, each round
_ROUNDS = 4  # the steps of the last are 0.14 degree
_ASIDE = (0.03, -0.03)  # how far the other axles are turned at further starts [rad]


class PlayOfVariants:
    """Finds the most play used by each of many variants, and keeps what it found.

    They are looked at by samples, and about the highest ever more closely.

    Parameters
    ----------
    level : float [share]
        What the most is to be compared with: one far from it is left at its highest sample.
    """

    def __init__(self, level: float) -> None:
        self.level = level
        self._found: dict[Hashable, tuple[float, float]] = {}

    def __call__(self, variants: Sequence[CoupledWheels]) -> tuple[Array, Array]:
        """Find the most play used.

        Parameters
        ----------
        variants : sequence of V CoupledWheels
            Those alike but for their numbers are looked at together.

        Returns
        -------
        used, at : array, shape (V,) [share, rad]
            The most, and at which turn of the driven axle.
        """
        keys = [_figures(wheels) for wheels in variants]
        new: dict[Hashable, dict[Hashable, CoupledWheels]] = {}
        for key, wheels in zip(keys, variants, strict=True):
            if key not in self._found:
                new.setdefault(_form(wheels), {})[key] = wheels
        for some in new.values():
            found = _Most(list(some.values()), self.level)
            figures = zip(found.used.tolist(), found.at.tolist(), strict=True)
            self._found.update(zip(some, figures, strict=True))
        used, at = zip(*(self._found[key] for key in keys), strict=True)
        return np.array(used), np.array(at)


def _figures(wheels: CoupledWheels) -> Hashable:
    """Return all that the play hangs on."""
    axles = tuple(
        (axle.name, axle.ahead, axle.up, *axle.pins.items(), axle.fore_aft, axle.vertical)
        for axle in wheels.axles
    )
    return axles, wheels.driving, wheels.rods, wheels.knuckles


def _form(wheels: CoupledWheels) -> Hashable:
    """Return what wheels must have alike to be looked at together."""
    return (
        tuple(axle.name for axle in wheels.axles),
        wheels.driving,
        tuple((rod.name, rod.side, *(eye.axle for eye in rod.eyes)) for rod in wheels.rods),
        tuple(knuckle.rods for knuckle in wheels.knuckles),
    )


class _Most:
    """The most play used by each of some variants, and where."""

    def __init__(self, variants: Sequence[CoupledWheels], level: float) -> None:
        self.variants = variants
        step = _TURN / _CRANKS
        crank = np.asarray(np.arange(_CRANKS) * step)
        every = np.repeat(np.arange(len(variants)), _CRANKS)
        used = self._look(every, np.tile(crank, len(variants)), ()).reshape(-1, _CRANKS)
        self.used, self.at = used.max(axis=1), crank[np.argmax(used, axis=1)]
        high = (used >= np.roll(used, 1, axis=1)) & (used >= np.roll(used, -1, axis=1))
        high &= used >= _HIGH * self.used[:, None]
        high &= np.abs(self.used - level)[:, None] < _CLOSE
        which, place = np.nonzero(high)
        self._close_in(which, crank[place], step)

    def _close_in(self, which: Index, crank: Array, step: float) -> None:
        """Look ever closer about some crank angles, from the second round on about the highest."""
        if not len(which):
            return
        some = np.unique(which)
        for turn in range(_ROUNDS):
            places = crank[:, None] + step / _CUT * np.arange(1 - _CUT, _CUT)
            starts = _ASIDE if turn else ()
            used = self._look(np.repeat(which, places.shape[1]), places.ravel(), starts)
            rows = np.repeat(which, places.shape[1])
            for variant in some.tolist():
                mine = np.flatnonzero(rows == variant)
                best = mine[np.argmax(used[mine])]
                self.used[variant], self.at[variant] = used[best], places.ravel()[best] % _TURN
            which, crank, step = some, self.at[some], step / _CUT

    def _look(self, which: Index, crank: Array, aside: Sequence[float]) -> Array:
        """Return the play used by some variants at a crank angle each, the least of some starts."""
        misfits = Misfits.of_variants([self.variants[k] for k in which.tolist()])
        used = least_play(misfits, crank).used
        for swing in aside:
            other = least_play(misfits, crank, np.full((len(crank), misfits.others), swing))
            used = np.minimum(used, other.used)
        return used
