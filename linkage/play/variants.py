"""The most play that each of many variants of coupled wheels uses anywhere in the turn."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.play.least import LeastPlay, least_play
from linkage.play.misfit import Misfits
from linkage.wheels import CoupledWheels

_TURN = 2 * np.pi
_CRANKS = 32  # crank angles looked at first
_FEW = 4  # of them, every fourth before the rest
_HIGH = 0.96  # of the highest sample: about others as high the most may be as well [1]
_CLOSE = 0.15  # how far from the level asked about the most need not be known closely [share]
_CUT = 9  # parts that a step to either side is cut into, each round
_ROUNDS = 2  # the steps of the last are 0.14 degree
_ASIDE = (0.03, -0.03)  # further starts where the method came to no end [rad]
_UNLIKE = 0.04  # samples beside one another whose axles differ more stand unlike [rad]
_STEP = _TURN / _CRANKS


class PlayOfVariants:
    """Finds the most play used by each of many variants, and keeps what it found.

    They are looked at by samples, and about the highest ever more closely.

    Parameters
    ----------
    level : float [share]
        What the most is to be compared with: one far from it is left at its highest sample, one
        far above it at the highest of a few.
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
        _look_at_new(variants, self._found, self.level, self.level + _CLOSE)
        used, at = zip(*(self._found[_figures(wheels)] for wheels in variants), strict=True)
        return np.array(used), np.array(at)


def stay_below(variants: Sequence[CoupledWheels], level: float) -> Mask:
    """Tell which of many variants use less play than a level all round the turn.

    One that is above it anywhere is not looked at any more: by how much is not asked.

    Parameters
    ----------
    variants : sequence of V CoupledWheels
        Those alike but for their numbers are looked at together.
    level : float [share]

    Returns
    -------
    below : array of bool, shape (V,)
    """
    found: dict[Hashable, tuple[float, float]] = {}
    _look_at_new(variants, found, level, level)
    return np.array([found[_figures(wheels)][0] < level for wheels in variants], dtype=bool)


def _look_at_new(
    variants: Sequence[CoupledWheels],
    found: dict[Hashable, tuple[float, float]],
    level: float,
    enough: float,
) -> None:
    """Put the most play used and its place to what was found, of those it is not known of yet.

    `enough`: above it a variant is not looked at any more closely [share].
    """
    new: dict[Hashable, dict[Hashable, CoupledWheels]] = {}
    for wheels in variants:
        key = _figures(wheels)
        if key not in found:
            new.setdefault(_form(wheels), {})[key] = wheels
    for some in new.values():
        most = _Most(list(some.values()), level, enough)
        found.update(zip(some, zip(most.used.tolist(), most.at.tolist(), strict=True), strict=True))


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
    """The most play used by each of some variants, and where.

    The other axles can stand two ways; so a sample that stands unlike a neighbour is looked at
    again from where that stands, and a place between two samples from where either does.
    """

    def __init__(self, variants: Sequence[CoupledWheels], level: float, enough: float) -> None:
        self.variants, self.level = variants, level
        self._cells = LeastPlay.unknown(Misfits(variants[0]), len(variants) * _CRANKS)
        every, place = np.arange(len(variants)), np.arange(_CRANKS)
        self._sample(every, place[::_FEW])
        # what binds by far at one crank angle need not be looked at where it might bind more
        rest = np.flatnonzero(self._used().max(axis=1) < enough)
        self._sample(rest, place[place % _FEW > 0])
        self._settle()
        used, crank = self._used(), np.asarray(place * _STEP)
        self.used, self.at = used.max(axis=1), np.asarray(crank[np.argmax(used, axis=1)])
        high = (used >= np.roll(used, 1, axis=1)) & (used >= np.roll(used, -1, axis=1))
        high &= used >= _HIGH * self.used[:, None]
        high &= ((self.used > level - _CLOSE) & (self.used < enough))[:, None]
        which, place = np.nonzero(high)
        self._close_in(which, crank[place])

    def _used(self) -> Array:
        """Return the shares used at the samples, -inf where none was looked at, (V, _CRANKS)."""
        used = self._cells.used
        return np.where(np.isinf(used), -np.inf, used).reshape(-1, _CRANKS)

    def _sample(self, which: Index, places: Index) -> None:
        """Look at some variants at some of the samples."""
        cells = (which[:, None] * _CRANKS + places).ravel()
        self._cells = self._cells.put(cells, self._look_at(cells))
        # what it came to without an end may be far above the least
        used, settled = self._cells.used[cells], self._cells.settled[cells]
        crept = cells[~settled & (used > self.level - _CLOSE)]
        for swing in _ASIDE if len(crept) else ():
            self._cells = self._cells.put(crept, self._look_at(crept, swing=swing))

    def _settle(self) -> None:
        """Look again at high samples that stand unlike a neighbour, from where that stands."""
        used = self._used()
        high = np.flatnonzero(used > _HIGH * used.max(axis=1)[:, None])
        cells = np.tile(high, 2)
        beside = np.concatenate([_next(high, way) for way in (1, -1)])
        swing = self._cells.swing
        unlike = np.abs(swing[cells] - swing[beside]).max(axis=1) > _UNLIKE
        cells, beside = cells[unlike], beside[unlike]
        found = self._look_at(cells, self._cells.pick(beside))
        cells, owner = np.unique(cells, return_inverse=True)
        self._cells = self._cells.put(cells, found.least_of(owner, len(cells)))

    def _close_in(self, which: Index, crank: Array) -> None:
        """Look ever closer about some crank angles, from the second round on about the highest."""
        some, step = np.unique(which), _STEP
        for _ in range(_ROUNDS if len(which) else 0):
            places = crank[:, None] + step / _CUT * np.arange(1 - _CUT, _CUT)
            rows = np.repeat(which, places.shape[1])
            used = self._from_beside(rows, places.ravel())
            for variant in some.tolist():
                mine = np.flatnonzero(rows == variant)
                best = mine[np.argmax(used[mine])]
                self.used[variant], self.at[variant] = used[best], places.ravel()[best] % _TURN
            which, crank, step = some, self.at[some], step / _CUT

    def _from_beside(self, which: Index, crank: Array) -> Array:
        """Return the play used, the least from where either sample beside stands."""
        low = which * _CRANKS + np.floor(crank / _STEP).astype(np.intp) % _CRANKS
        beside = self._cells.pick(np.concatenate((low, _next(low, 1))))
        return np.minimum(
            *np.split(self._look(np.tile(which, 2), np.tile(crank, 2), beside).used, 2)
        )

    def _look_at(
        self, cells: Index, beside: LeastPlay | None = None, swing: float = 0.0
    ) -> LeastPlay:
        return self._look(cells // _CRANKS, np.asarray(cells % _CRANKS * _STEP), beside, swing)

    def _look(
        self, which: Index, crank: Array, beside: LeastPlay | None = None, swing: float = 0.0
    ) -> LeastPlay:
        """Return the least play of some variants at a crank angle each.

        From what was found beside, or with all other axles turned further by a swing [rad].
        """
        if not len(which):
            return LeastPlay.unknown(Misfits(self.variants[0]), 0)
        misfits = Misfits.of_variants([self.variants[k] for k in which.tolist()])
        swings = np.full((len(which), misfits.others), swing)
        return least_play(misfits, crank, swings, beside)


def _next(cells: Index, way: int) -> Index:
    """Return the cells of the same variants one sample on, or back."""
    return cells // _CRANKS * _CRANKS + (cells + way) % _CRANKS
