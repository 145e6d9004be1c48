"""Which single number of the coupled wheels, put right, would let them turn; else how much easing.

A length error, a quarter or a throw is sought before any hole is eased: easing hides the fault.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from linkage.advice.cure import Number
from linkage.advice.keys import bare_key
from linkage.arrangements import coupled_wheels
from linkage.arrangements.numbers import facts_at
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.play import NEARLY, PlayFindings, PlayOfVariants, Turning
from linkage.sheet import Sheet, change, is_angle
from linkage.wheels import CoupledWheels, CouplingRod

_STEP = 0.02  # trial change [mm; degrees ten times that]
_WIDEST = 1.5  # changes looked at, either way [mm at the crank pin]
_ALIKE = 0.2  # the other side's number is taken where it is so near the best change [share]
_TRIED = 4
_UNSURE = 0.004  # the play used by samples is found this closely [share]
_SHOWN = 2
_FINEST = 50  # holes are eased in steps of 0.02 mm: so many to one


def coupling_cures(examination: Examination) -> Iterator[Number]:
    """Yield single numbers whose change lets the coupled wheels turn, the smallest change first.

    At most two, each tried over the whole turn.
    """
    play = examination.play
    if play is None:
        return
    arcs = (*play.binding, *play.nearly)
    crank = np.array([arc.worst for arc in arcs])
    base = np.array([arc.most for arc in arcs])
    found = []
    for key, now in play.wheels.keys.items():
        suspect = facts_at(bare_key(key)).suspect
        if not suspect:
            continue
        angle = is_angle(examination.sheet, key)
        step = 10 * _STEP if angle else _STEP
        after = _used(examination, key, now + step, crank)
        if after is None:
            continue
        by, left = _best((after - base) / step, base, angle)
        if left < NEARLY and by != 0:
            size = math.radians(abs(by)) * _throw(play.wheels) if angle else abs(by)
            # of changes alike in size a rod's is the likelier, and an axle is the last to move
            found.append((round(size, 1), suspect, key, now, by))
    shown = 0
    for *_, key, now, by in sorted(found)[:_TRIED]:
        cure = _tried(examination, key, now, by)
        if cure is not None:
            yield cure
            shown += 1
        if shown == _SHOWN:
            return


def _throw(wheels: CoupledWheels) -> float:
    return next(iter(wheels.axles[wheels.driving].pins.values())).throw


def _used(examination: Examination, key: str, value: float, crank: np.ndarray) -> np.ndarray | None:
    try:
        wheels = coupled_wheels(change(examination.sheet, {key: value}))
    except (LinkageError, ValueError):
        return None
    return None if wheels is None else Turning(wheels).apart(crank).used


def _best(slopes: np.ndarray, base: np.ndarray, angle: bool) -> tuple[float, float]:
    """Return the change that brings the greatest share down most, to first order, and the share.

    Past the change at which a share is nought it grows again, as the misfit goes the other way.
    """
    reach = 10 * _WIDEST if angle else _WIDEST
    tried = np.linspace(-reach, reach, 601)
    left = np.abs(base[:, None] + slopes[:, None] * tried).max(axis=0)
    best = int(np.argmin(left))
    return float(tried[best]), float(left[best])


def _other_side(examination: Examination, key: str) -> float:
    """Return what a side's own number is on the other side; nan where it is not a side's own."""
    play, (side, _, bare) = examination.play, key.partition(".")
    others = {"right": "left", "left": "right"}
    if play is None or side not in others:
        return math.nan
    keys = play.wheels.keys
    return keys.get(f"{others[side]}.{bare}", keys.get(bare, math.nan))


def _tried(examination: Examination, key: str, now: float, by: float) -> Number | None:
    """Try a change over the whole turn: to the other side's number, or about the amount."""
    other = _other_side(examination, key)
    alike = [other - now] if abs(other - now - by) < _ALIKE * abs(by) else []
    for amount in (*alike, *(round(by * part, 2) for part in (1.0, 0.9, 1.1))):
        try:
            sheet = change(examination.sheet, {key: now + amount})
        except LinkageError:
            continue
        if turns(sheet):
            alike_to = other if alike else math.nan
            return Number(key, now, amount, alike_to, key in examination.sheet.angles)
    return None


def turns(sheet: Sheet) -> bool:
    """Tell whether the coupled wheels of a sheet are sure to turn freely, by the play they use."""
    try:
        wheels = coupled_wheels(sheet)
    except (LinkageError, ValueError):
        return False
    return wheels is not None and _sure_to_turn(wheels)


def _sure_to_turn(wheels: CoupledWheels) -> bool:
    return float(PlayOfVariants(NEARLY)([wheels])[0][0]) < NEARLY - _UNSURE


def least_easing(play: PlayFindings) -> float | None:
    """Return by how much the holes concerned must be eased for the wheels to turn freely.

    On diameter, in steps of 0.02 [mm]; None where they bind nowhere, or no easing that one would
    think of is enough. As holes grow the rods stand otherwise, so what is missing at the worst
    place as it is does not tell how much is enough: the amount is halved into where the wheels
    bind most, and then grown until the whole turn is free. Play used falls as holes grow.
    """
    if not play.binding:
        return None
    crank = np.array([max(play.binding, key=lambda arc: arc.most).worst])
    short, enough = 0, round(_WIDEST * _FINEST)
    while enough - short > 1:
        middle = (short + enough) // 2
        if Turning(eased(play, middle / _FINEST)).apart(crank).used.max() < NEARLY:
            enough = middle
        else:
            short = middle
    for count in range(enough, round(_WIDEST * _FINEST)):
        if _sure_to_turn(eased(play, count / _FINEST)):
            return count / _FINEST
    return None


def eased(play: PlayFindings, by: float) -> CoupledWheels:
    """Return the wheels with the holes on which they bind larger by so much on diameter [mm]."""
    holes = {
        (hole.rod, hole.axle) for arc in play.binding for hole in arc.holes if hole.kind == "hole"
    }

    def opened(number: int, rod: CouplingRod) -> CouplingRod:
        eyes = (
            replace(eye, along=eye.along + by / 2, across=eye.across + by / 2)
            if (number, eye.axle) in holes
            else eye
            for eye in rod.eyes
        )
        return replace(rod, eyes=tuple(eyes))

    rods = tuple(opened(number, rod) for number, rod in enumerate(play.wheels.rods))
    return replace(play.wheels, rods=rods)
