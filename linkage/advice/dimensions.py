"""Which dimension, changed least, would let a loop close or keep something on its slide.

The first look of the trade is to compare the sides: a dimension in which they differ, and whose
other value cures, comes before all others.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from linkage.advice.cure import Number
from linkage.advice.keys import own_key
from linkage.advice.trial import runs_clean
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.kinematics import AngleGap, gap_at, solve_at, solve_variants
from linkage.mechanism import Mechanism
from linkage.sheet import Sheet, change
from linkage.tightspots import CannotClose, RunsOff

_STEP = 0.02  # trial change [mm, degrees]
_TRIED = 4  # dimensions tried out, likeliest first: each trial follows the whole turn
_SHOWN = 2  # dimensions offered
_LARGEST = 0.5  # share of a dimension that is still called a change of it
# Multiples of the change to first order that are tried: more of it is asked for where the loop
# would close, but with its links all but in line. From the first that cures the least is closed in
# on, downward: a trial that turns is over sooner than one that locks.
_GROWTH = {CannotClose: (1.4, 2.2), RunsOff: (1.1, 1.5)}
_SURELY_SHORT = {CannotClose: 0.9, RunsOff: 0.0}  # multiples taken to be too little
_Locked = CannotClose | RunsOff
_Found = tuple[Number, Sheet]


@dataclass(frozen=True)
class _Candidate:
    """A dimension to be tried."""

    key: str
    now: float
    needed: float  # to first order; nan where it hardly matters there
    other: float = math.nan

    @property
    def share(self) -> float:
        return abs(self.needed) / max(abs(self.now), 1.0)


def dimension_cures(examination: Examination, spot: _Locked) -> Iterator[_Found]:
    """Yield the dimensions whose change cures an open loop or a travel run out.

    First those in which the sides differ and the other side's value cures, then the smallest
    change in proportion to the dimension, found to 0.01 and to a tenth of itself; at most two.
    Each was tried over the whole turn, and comes with the sheet as it then is.
    """
    candidates = list(_candidates(examination, spot))
    unlike = [c for c in candidates if not math.isnan(c.other)]
    rest = [c for c in candidates if c.share < _LARGEST]
    shown: set[str] = set()
    for tries, candidate in ((_alike, unlike), (_least, rest)):
        for one in sorted(candidate, key=lambda c: c.share)[:_TRIED]:
            try:
                found = None if one.key in shown else tries(examination, spot, one)
            except LinkageError:  # with that much of it nothing can be put together at all
                continue
            if found is not None:
                number, made = found
                angle = number.key in examination.sheet.angles
                yield replace(number, degrees=angle), made
                shown.add(one.key)
            if len(shown) == _SHOWN:
                return


def _candidates(examination: Examination, spot: _Locked) -> Iterator[_Candidate]:
    missing = _missing(examination, spot)
    short = missing(examination.sides[spot.side].mechanism)
    others = _other_side(examination, spot.side)
    for key, now in examination.sheet.dimensions[spot.side].items():
        bare = key.removeprefix(f"{spot.side}.")
        other = others.get(bare, now)
        slope = _slope(examination, spot, key, missing)
        if slope is not None and abs(slope) >= 1e-3:
            differs = abs(other - now) > 1e-6
            yield _Candidate(bare, now, -short / slope, other if differs else math.nan)


def _other_side(examination: Examination, side: str) -> dict[str, float]:
    other = {"right": "left", "left": "right"}.get(side, "")
    held = examination.sheet.dimensions.get(other, {})
    return {key.removeprefix(f"{other}."): value for key, value in held.items()}


def _alike(examination: Examination, spot: _Locked, one: _Candidate) -> _Found | None:
    """Try the other side's value; None where it does not cure."""
    whole = one.other - one.now
    made = _with(examination, spot, one, whole)
    if made is None:
        return None
    least = None
    if one.needed * whole > 0 and abs(one.needed) < abs(whole):
        with suppress(LinkageError):
            least = _least(examination, spot, one)
    by = least[0].by if least and abs(least[0].by) < abs(whole) else whole
    return Number(one.key, one.now, by, one.other), made


def _least(examination: Examination, spot: _Locked, one: _Candidate) -> _Found | None:
    """Find the least change that cures; None where even twice the reckoned one does not."""

    def tried(hundredths: int) -> _Found | None:
        by = math.copysign(hundredths / 100, one.needed)
        sheet = _with(examination, spot, one, by)
        return None if sheet is None else (Number(one.key, one.now, by), sheet)

    failed = 100 * abs(one.needed) * _SURELY_SHORT[type(spot)]
    for growth in _GROWTH[type(spot)]:
        cures = _up(100 * abs(one.needed) * growth)
        found = tried(cures)
        if found is None:
            failed = cures
            continue
        # whole hundredths, and each round fewer of them in between: it ends
        while cures - failed > max(1.1, 0.1 * cures):
            middle = _up((cures + failed) / 2)
            if middle == cures:
                break
            less = tried(middle)
            if less is None:
                failed = middle
            else:
                cures, found = middle, less
        return found
    return None


def _up(hundredths: float) -> int:
    """Round up to the two decimals that are said, so that what is said does cure."""
    return math.ceil(hundredths - 1e-6)


def _with(examination: Examination, spot: _Locked, one: _Candidate, by: float) -> Sheet | None:
    """Return the sheet with a dimension changed, if that cures the spot."""
    sheet = change(examination.sheet, {own_key(spot.side, one.key): one.now + by})
    return sheet if runs_clean(examination, spot, build(sheet, spot.side)[spot.side]) else None


def _missing(examination: Examination, spot: _Locked) -> Callable[[Mechanism], float]:
    """Return what is missing at the spot's worst crank angle, as a function of the mechanism."""
    course = examination.sides[spot.side].course
    crank = spot.worst % (2 * math.pi)
    if isinstance(spot, CannotClose):
        start = AngleGap(course, crank)
        return lambda mechanism: gap_at(start, mechanism)
    run_off = spot.run_off
    which = (run_off.travel.joint, run_off.travel.part, run_off.travel.against)

    def beyond(mechanism: Mechanism) -> float:
        if mechanism is course.mechanism:
            place = float(solve_at(course, [crank]).travel(which[0])[0])
        else:
            motion = solve_variants(course, [mechanism], np.array([crank]))
            place = float(motion.travel(which[0])[0, 0])
        travel = next(t for t in mechanism.travels if (t.joint, t.part, t.against) == which)
        return place - travel.most if run_off.forward else travel.least - place

    return beyond


def _slope(
    examination: Examination,
    spot: _Locked,
    key: str,
    missing: Callable[[Mechanism], float],
) -> float | None:
    """Return how fast what is missing changes with a dimension; None where it cannot be tried."""
    value = examination.sheet.dimensions[spot.side][key] + _STEP
    own = own_key(spot.side, key.removeprefix(f"{spot.side}."))
    try:
        after = missing(build(change(examination.sheet, {own: value}), spot.side)[spot.side])
    except LinkageError:
        return None
    return (after - missing(examination.sides[spot.side].mechanism)) / _STEP
