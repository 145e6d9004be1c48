"""How the play left to coupled wheels goes with the numbers of the sheet.

The share of play used is a misfit over a play. Where it is used, both go into one slope. Where all
but none is used, the misfit may go either way with a number, so that the share goes as its amount::

    share(numbers + d)  =  | share - slopes . d |  /  (1 + widens . d)

and by how much the play itself grows is found where the play is all used: with the number that can
bring that about the soonest moved so far.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrangements import coupled_wheels
from linkage.arrays import Array
from linkage.errors import LinkageError
from linkage.play import PlayFindings, Turning
from linkage.play.least import LeastPlay, least_play
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, with_number
from linkage.wheels import CoupledWheels

_STEP = 2e-3  # a share of play is found to 2e-5 [mm, degrees]
_UNUSED = 0.5  # share of play up to which it counts as all but unused
_EVENLY = 16  # crank angles looked at then: lengths tell at dead centres, quarters between them
_PLAIN = 0.1  # of its slope where play is used: a number with less where none is, is the play's


@dataclass(frozen=True, eq=False)
class PlayLeft:
    """The play left at a crank angle, and how it goes with the numbers."""

    at: float  # right-hand crank [rad]
    room: float  # [share]
    slopes: Array  # shape (K,)
    widens: Array | None = None  # shape (K,)


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
    slopes = look.slopes(sheet, look.base)
    widens = _widening(look, slopes) if unused else None
    return tuple(
        PlayLeft(at, 1.0 - used, -own, widens)
        for at, used, own in zip(crank.tolist(), look.base.used.tolist(), slopes, strict=True)
    )


class _Look:
    """Shares of play at some crank angles, of a sheet and the same with a number moved."""

    def __init__(
        self, sheet: Sheet, wheels: CoupledWheels, numbers: Sequence[SheetNumber], crank: Array
    ) -> None:
        self.sheet, self.numbers, self.crank, self.wheels = sheet, numbers, crank, wheels
        self.rods_on = tuple(dict.fromkeys(rod.side for rod in wheels.rods))
        self.base = Turning(wheels).apart(crank)
        self.errors = np.array([number.origin.error for number in numbers])

    def made(self, sheet: Sheet) -> CoupledWheels | None:
        try:
            return coupled_wheels(sheet, self.rods_on)
        except LinkageError:
            return None

    def slopes(self, sheet: Sheet, base: LeastPlay) -> Array:
        """Return the slopes of the share by every number, (angles, K) [1/mm, 1/degree]."""
        slopes = np.zeros((len(self.crank), len(self.numbers)))
        before = self.made(sheet)
        for k, number in enumerate(self.numbers):
            wheels = self.made(with_number(sheet, number, _STEP)) if number.origin.error else None
            if wheels is None or before is None or _alike(wheels, before):
                continue
            moved = least_play(Turning(wheels).misfits, self.crank, base.swing)
            slopes[:, k] = (moved.used - base.used) / _STEP
        return slopes


def _widening(look: _Look, slopes: Array) -> Array:
    """Return by what share of itself all play grows with every number, (K,) [1/mm, 1/degree]."""
    reach = np.abs(slopes) * look.errors
    angle, soonest = divmod(int(np.argmax(reach)), reach.shape[1])
    slope = slopes[angle, soonest]
    if not slope:
        return np.zeros(len(look.numbers))
    used_up = with_number(look.sheet, look.numbers[soonest], float(1.0 / slope))
    wheels = look.made(used_up)
    if wheels is None:
        return np.zeros(len(look.numbers))
    base = Turning(wheels).apart(look.crank)
    there = look.slopes(used_up, base)[angle] / max(float(base.used[angle]), 1e-9)
    plays = np.abs(slopes).max(axis=0) < _PLAIN * np.abs(there)
    return np.where(plays, -there, 0.0)


def _alike(one: CoupledWheels, other: CoupledWheels) -> bool:
    return replace(one, keys={}) == replace(other, keys={})
