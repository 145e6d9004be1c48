"""How the play left to coupled wheels goes with the numbers of the sheet.

The share of play used is a misfit over a play: lengths, throws and quarters make the misfit, holes
and boxes the play. To first order either goes with its own numbers::

    share(numbers + d)  =  | share - slopes . d |  /  (1 + widens . d)

for a misfit may go either way through nought. Where next to none is used, the number that can use
it up the soonest is moved that far, and the slopes taken there: what the play does is not seen
before. The misfit is convex in its numbers, so that what holds the wheels there holds them
everywhere at least as much as its plane says::

    share(numbers + d)  >=  (share there + slopes there . (d - d there)) / (1 + widens there . d)

A slope is that of the Lagrangian at the least, all else held where it stands (`LeastPlay.weights`
are its multipliers, s the shares as vectors)::

    d share / d number  =  sum of weight_i  s_i . (d s_i / d number) / |s_i|^2

Where little play is used a number may use more either way it goes (a rod that just fits), of which
the multipliers tell nothing: there the least is found anew.

References
----------
A. Fiacco, *Introduction to Sensitivity and Stability Analysis in Nonlinear Programming* (1983),
sec. 3.4, the derivative of the least by a parameter (cited from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrangements import coupled_wheels
from linkage.arrays import Array, Mask
from linkage.errors import LinkageError
from linkage.play import PlayFindings, Turning
from linkage.play.least import LeastPlay, least_play
from linkage.play.misfit import Misfits
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, with_number
from linkage.wheels import CoupledWheels

_STEP = 2e-3  # a share of play is found to 2e-5 [mm, degrees]
_FINE = 1e-6  # where nothing is found anew [mm, degrees]
_TELLING = 0.5  # share of play from which the multipliers tell: below, two ways may be alike
_UNUSED = 0.5  # share of play up to which it counts as all but unused
_EVENLY = 16  # crank angles looked at then: lengths tell at dead centres, quarters between them
_SOME = 0.05  # share of play from which it tells how it goes with the play there is


@dataclass(frozen=True, eq=False)
class PlayLeft:
    """The play left at a crank angle, and how it goes with the numbers."""

    at: float  # right-hand crank [rad]
    room: float  # [share]
    slopes: Array  # shape (K,)
    widens: Array  # by what share of itself all of it grows with every number, shape (K,)
    bound: bool = False  # whether no more than this is left, not just this


def play_left(
    sheet: Sheet, play: PlayFindings, numbers: Sequence[SheetNumber]
) -> tuple[PlayLeft, ...]:
    """Return the play left where most is used, or round the turn where hardly any is."""
    arcs = [arc.worst for arc in (*play.binding, *play.nearly)]
    unused = not arcs and play.used.most < _UNUSED
    if unused:
        arcs = [2 * np.pi * k / _EVENLY for k in range(_EVENLY)]
    crank = np.unique(np.round(np.array(arcs or [play.used.at]) % (2 * np.pi), 9))
    look = _Look(sheet, play.wheels, numbers, crank)
    now = _Shares(look.base.used, look.slopes(sheet, look.base), look.plays, 0.0)
    end = _used_up(look, now) if now.used.max() < _SOME else None
    beyond = () if end is None else end.left(crank, bound=True)
    return (*now.left(crank, end), *beyond)


class _Look:
    """Shares of play at some crank angles, of a sheet and the same with a number moved."""

    def __init__(
        self, sheet: Sheet, wheels: CoupledWheels, numbers: Sequence[SheetNumber], crank: Array
    ) -> None:
        self.sheet, self.numbers, self.crank, self.wheels = sheet, numbers, crank, wheels
        self.rods_on = tuple(dict.fromkeys(rod.side for rod in wheels.rods))
        self.base = Turning(wheels).apart(crank)
        self.errors = np.array([number.origin.error for number in numbers])
        self.plays = np.zeros(
            len(numbers), dtype=bool
        )  # which numbers make the play, not the misfit

    def made(self, sheet: Sheet) -> CoupledWheels | None:
        try:
            return coupled_wheels(sheet, self.rods_on)
        except LinkageError:
            return None

    def slopes(self, sheet: Sheet, base: LeastPlay) -> Array:
        """Return the slopes of the share by every number, (angles, K) [1/mm, 1/degree]."""
        slopes = np.zeros((len(self.crank), len(self.numbers)))
        before = self.made(sheet)
        known = base.settled & (base.used > _TELLING)
        for k, number in enumerate(self.numbers):
            wheels = self.made(with_number(sheet, number, _FINE)) if number.origin.error else None
            if wheels is None or before is None or _alike(wheels, before):
                continue
            self.plays[k] = wheels.plays != before.plays
            slopes[known, k] = _of_lagrangian(before, wheels, base.pick(known), self.crank[known])
            slopes[~known, k] = self._anew(with_number(sheet, number, _STEP), base, ~known)
        return slopes

    def _anew(self, moved: Sheet, base: LeastPlay, rows: Mask) -> Array:
        """Return the slopes at some of the crank angles, the least found anew, (rows,)."""
        wheels = self.made(moved) if rows.any() else None
        if wheels is None:
            return np.zeros(int(rows.sum()))
        found = least_play(Misfits(wheels), self.crank[rows], base.swing[rows])
        return np.asarray((found.used - base.used[rows]) / _STEP)


def _of_lagrangian(
    before: CoupledWheels, moved: CoupledWheels, least: LeastPlay, crank: Array
) -> Array:
    misfits = Misfits(before)
    stand = misfits.start(crank, least.swing) + least.shift
    shares = misfits.at(stand, crank).values
    pull = shares * (least.weights / np.maximum(least.shares, _FINE) ** 2)[..., None]
    by = (Misfits(moved).at(stand, crank).values - shares) / _FINE
    return np.asarray((pull * by).sum(axis=(1, 2)))


@dataclass(frozen=True, eq=False)
class _Shares:
    """Shares of play at some crank angles, with numbers moved or none, and how they go there."""

    used: Array  # by angle
    slopes: Array  # by every number, (angles, K) [1/mm, 1/degree]
    plays: Mask  # which numbers make the play, shape (K,)
    moved: Array | float  # by how much every number is moved, shape (K,) [mm, degrees]

    @property
    def widens(self) -> Array:
        """By what share of itself all play grows with every number, (angles, K)."""
        return np.where(self.plays, -self.slopes / np.maximum(self.used, _SOME)[:, None], 0.0)

    def left(
        self, crank: Array, end: _Shares | None = None, bound: bool = False
    ) -> Iterator[PlayLeft]:
        """Yield the play left at every crank angle.

        `end`: where it is all used, which tells how it widens where too little is used to tell.
        """
        asked = np.where(self.plays, 0.0, self.slopes)
        now = self.used - (asked * self.moved).sum(axis=1)
        for row, at in enumerate(crank.tolist()):
            told = self if end is None else end
            own = told.widens[row if end is None else int(np.argmax(told.used))]
            yield PlayLeft(at, float(1.0 - now[row]), -asked[row], own, bound)


def _used_up(look: _Look, now: _Shares) -> _Shares | None:
    """Return the shares with the number that brings it about the soonest moved until all is used.

    None where none brings it about.
    """
    reach = np.abs(now.slopes) * look.errors * ~look.plays
    angle, soonest = divmod(int(np.argmax(reach)), reach.shape[1])
    slope = float(now.slopes[angle, soonest])
    if not slope:
        return None
    used_up = with_number(look.sheet, look.numbers[soonest], 1.0 / slope)
    wheels = look.made(used_up)
    if wheels is None:
        return None
    there = Turning(wheels).apart(look.crank)
    moved = np.where(np.arange(len(look.numbers)) == soonest, 1.0 / slope, 0.0)
    return _Shares(there.used, look.slopes(used_up, there), look.plays, moved)


def _alike(one: CoupledWheels, other: CoupledWheels) -> bool:
    return replace(one, keys={}) == replace(other, keys={})
