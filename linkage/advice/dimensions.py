"""Which dimensions, changed least, would let a loop close, keep something on its slide or part two.

The first look of the trade is to compare the sides: a dimension in which they differ, and whose
other value cures, comes before all others; then several in which they differ, then what a number
or two would have to become to the first order. Every search goes over a few steps that can be
measured, and so ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import assert_never

import numpy as np

from linkage.advice.bench import step_of, steps_up
from linkage.advice.cure import Number
from linkage.advice.keys import own_key
from linkage.advice.patience import OutOfTimeError, begin_trial
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.clearance import clearance_beside
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.kinematics import Course, gap_from, solve_at, solve_variants
from linkage.kinematics.course import TURN
from linkage.mechanism import Mechanism
from linkage.sheet import Sheet, change
from linkage.sheet.numbers import numbers_on, with_number
from linkage.tightspots import CannotClose, Close, Fouls, RunsOff

_STEP = 0.02  # trial change [mm, degrees]
_TRIED = 5  # dimensions tried out, likeliest first: each trial follows the whole turn
_PAIRED = 4  # of them that are tried two and two
_SHOWN = 2  # dimensions offered
_UNLIKE = 12  # dimensions in which the sides differ that are tried together
_LARGEST = 0.5  # share of a dimension that is still called a change of it
_INSIDE = math.radians(1.0)  # so far from where a loop opens a travel goes evenly enough
_HARDLY = 1e-3  # what is missing changes by less than this with it: it is not to blame [1]
# Multiples of the change to first order that are tried: more of it is asked for where the loop
# would close, but with its links all but in line. From the first that cures the least is closed in
# on, downward: a trial that turns is over sooner than one that locks.
_GROWTH = {
    CannotClose: (1.4, 2.2),
    RunsOff: (1.1, 1.5),
    Fouls: (1.05, 1.4, 2.0),
    Close: (1.05, 1.4, 2.0),
}
_SURELY_SHORT = {CannotClose: 0.9, RunsOff: 0.0, Fouls: 0.0, Close: 0.0}  # taken to be too little
_HALVINGS = 5  # times that the least is closed in on: to a step, of as many as are asked for
Numbers = tuple[Number, ...]
_Found = tuple[Numbers, Sheet]
_Tries = Callable[["_Candidate"], _Found | None]


@dataclass(frozen=True)
class _Candidate:
    """A dimension to be tried."""

    key: str
    now: float
    needed: float  # to first order; nan where it hardly matters there
    other: float = math.nan
    step: float = 0.05  # what can be measured of it

    @property
    def share(self) -> float:
        return abs(self.needed) / max(abs(self.now), 1.0)

    @property
    def alike(self) -> Number:
        """The number made as on the other side."""
        return Number(self.key, self.now, self.other - self.now, self.other)


def dimension_cures(examination: Examination, spot: Curable) -> Iterator[_Found]:
    """Yield the dimensions whose change cures a spot, each with the sheet as it then is.

    First those in which the sides differ and the other side's value cures, then the smallest change
    in proportion to the dimension; at most two. Where no single one does, those of them that must
    be made as on the other side together, or two that do it together. Each was tried over the whole
    turn.
    """
    search = _Search(examination, spot)
    shown: set[str] = set()
    stages: tuple[tuple[_Tries, Callable[[], list[_Candidate]]], ...] = (
        (search.alike, lambda: search.unlike),
        (search.least, lambda: search.by_share[:_TRIED]),
    )
    for tries, some in stages:
        for one in some():
            found = None if one.key in shown else tries(one)
            if found is not None:
                yield found
                shown.add(one.key)
            if len(shown) == _SHOWN:
                return
        if not shown and (found := search.alike_together()) is not None:
            yield found
            return
    if not shown and (found := search.two()) is not None:
        yield found


def unlike_numbers(examination: Examination, spot: Curable) -> Numbers:
    """Return the numbers in which the sides differ, made as on the other side."""
    search = _Search(examination, spot)
    return search.said(one.alike for one in search.unlike)


class _Search:
    """What is the same from trial to trial of one spot."""

    def __init__(self, examination: Examination, spot: Curable) -> None:
        self.examination, self.spot = examination, spot
        self._missing = missing_at(examination, spot)
        self._before = examination.sides[spot.side].mechanism
        self._held = examination.sheet.dimensions[spot.side]
        self._numbers = numbers_on(examination.sheet, spot.side)

    @cached_property
    def unlike(self) -> list[_Candidate]:
        """The dimensions in which the sides differ, the smallest needed change first.

        Slopes of clearances are dear: of two parts that meet they are not asked for.
        """
        others = _other_side(self.examination, self.spot.side)
        found = []
        for key, now in self._held.items():
            bare = key.removeprefix(f"{self.spot.side}.")
            other = others.get(bare, now)
            if abs(other - now) > 1e-6:
                meets = isinstance(self.spot, Fouls | Close)
                needed = math.nan if meets else self._needed(key)
                found.append(self._candidate(key, needed, other))
        found.sort(key=lambda one: math.inf if math.isnan(one.share) else one.share)
        return found[:_UNLIKE]

    @cached_property
    def by_share(self) -> list[_Candidate]:
        """The dimensions that have to do with it, the smallest change in proportion first.

        Before them how far the reverser goes, where it is at that end that it happens: a stop is
        soon set.
        """
        found = [self._candidate(key, self._needed(key)) for key in self._held]
        reverser, place = self._before.reverser, self.spot.place
        stop = f"{reverser.key}.{place}" if reverser is not None and place is not None else ""
        return sorted(
            (one for one in found if one.share < _LARGEST),
            key=lambda one: (one.key != stop, one.share),
        )

    def _candidate(self, key: str, needed: float, other: float = math.nan) -> _Candidate:
        sheet, bare = self.examination.sheet, key.removeprefix(f"{self.spot.side}.")
        step = step_of(sheet, own_key(self.spot.side, bare))
        return _Candidate(bare, self._held[key], needed, other, step)

    @cached_property
    def _short(self) -> float:
        return self._missing(self._before)

    def _needed(self, key: str) -> float:
        """Return the change of a dimension that cures to the first order; nan where none does.

        Where two parts meet, metal is not made less by calling its size wrong: only what moves
        the parts counts.
        """
        begin_trial()
        side, sheet = self.spot.side, self.examination.sheet
        try:
            made = build(with_number(sheet, self._numbers[key], _STEP), side)[side]
            bare = key.removeprefix(f"{side}.")
            cast = made.joints == self._before.joints or facts_at(bare).cast
            if isinstance(self.spot, Fouls | Close) and cast:
                return math.nan
            slope = (self._missing(made) - self._short) / _STEP
        except LinkageError:
            return math.nan
        return -self._short / slope if abs(slope) >= _HARDLY else math.nan

    def alike(self, one: _Candidate) -> _Found | None:
        """Try the other side's value; None where it does not cure."""
        whole = one.alike.by
        made = self._with([one.alike])
        if made is None:
            return None
        least = None
        if one.needed * whole > 0 and abs(one.needed) < abs(whole):
            with suppress(OutOfTimeError):  # the whole of it cures as well
                least = self.least(one)
        by = whole
        if least is not None and abs(least[0][0].by) < abs(whole):
            by = least[0][0].by
        return self._said((replace(one.alike, by=by),), made)

    def least(self, one: _Candidate) -> _Found | None:
        """Find the least change that cures; None where even twice the reckoned one does not."""

        def number(steps: int) -> Number:
            return Number(one.key, one.now, math.copysign(steps * one.step, one.needed))

        steps = least_steps(
            lambda count: self._with([number(count)]) is not None,
            abs(one.needed) / one.step,
            type(self.spot),
        )
        found = None if steps is None else self._with([number(steps)])
        return None if found is None or steps is None else self._said((number(steps),), found)

    def alike_together(self) -> _Found | None:
        """Find which numbers must be made as on the other side together; None where none do."""
        numbers = [one.alike for one in self.unlike]
        found = self._with(numbers) if len(numbers) > 1 else None
        if found is None:
            return None
        for number in list(numbers):  # leave out what can be left out
            rest = [one for one in numbers if one is not number]
            without = self._with(rest) if rest else None
            if without is not None:
                numbers, found = rest, without
        return self._said(tuple(numbers), found)

    def two(self) -> _Found | None:
        """Find two numbers that cure together, each by a half of what it would take alone."""
        for pair in combinations(self.by_share[:_PAIRED], 2):
            for growth in _GROWTH[type(self.spot)]:
                numbers = [
                    Number(
                        one.key,
                        one.now,
                        math.copysign(
                            one.step * steps_up(abs(one.needed) / 2 * growth, one.step), one.needed
                        ),
                    )
                    for one in pair
                ]
                found = self._with(numbers)
                if found is not None:
                    return self._said(tuple(numbers), found)
        return None

    def _said(self, numbers: Numbers, sheet: Sheet) -> _Found:
        return self.said(numbers), sheet

    def said(self, numbers: Iterable[Number]) -> Numbers:
        """Return numbers, the angles told as such."""
        angles = self.examination.sheet.angles
        side = self.spot.side
        return tuple(
            replace(n, degrees=not angles.isdisjoint({n.key, f"{side}.{n.key}"})) for n in numbers
        )

    def _with(self, numbers: Sequence[Number]) -> Sheet | None:
        """Return the sheet with some numbers changed, if that cures the spot."""
        spot, side = self.spot, self.spot.side
        values = {own_key(side, number.key): number.to for number in numbers}
        try:
            sheet = change(self.examination.sheet, values)
            made = build(sheet, side)[side]
            return sheet if cured(self.examination, spot, made) else None
        except LinkageError:  # with that much of it nothing can be put together at all
            return None


def least_steps(enough: Callable[[int], bool], needed: float, kind: type[Curable]) -> int | None:
    """Return the least count of steps found to be enough, of a few tried; None where none is.

    `needed` [1]: how many it takes to the first order.
    """
    failed = math.floor(needed * _SURELY_SHORT[kind])
    for growth in _GROWTH[kind]:
        cures = steps_up(needed * growth, 1.0)
        if cures <= failed:
            continue
        if not enough(cures):
            failed = cures
            continue
        for _ in range(_HALVINGS):
            between = (cures + failed) // 2
            if between <= failed:
                break
            if enough(between):
                cures = between
            else:
                failed = between
        return cures
    return None


def _other_side(examination: Examination, side: str) -> Mapping[str, float]:
    other = {"right": "left", "left": "right"}.get(side, "")
    held = examination.sheet.dimensions.get(other, {})
    return {key.removeprefix(f"{other}."): value for key, value in held.items()}


def missing_at(examination: Examination, spot: Curable) -> Callable[[Mechanism], float]:
    """Return what is missing at the spot, as a function of the mechanism."""
    course = examination.sides[spot.side].course
    crank = spot.worst % (2 * math.pi)
    match spot:
        case CannotClose():
            return gap_from(course, crank)
        case Fouls() | Close():
            wanted, parts = examination.sheet.wanted_clearance, frozenset(spot.parts)
            return lambda made: spot.wanted - clearance_beside(course, made, wanted, parts, crank)
        case RunsOff():
            pass
        case _:
            assert_never(spot)
    run_off = spot.run_off
    which = (run_off.travel.joint, run_off.travel.part, run_off.travel.against)

    crank = _well_inside(course, crank)

    def beyond(mechanism: Mechanism) -> float:
        if mechanism is course.mechanism:
            place = float(solve_at(course, [crank]).travel(which[0])[0])
        else:
            motion = solve_variants(course, [mechanism], np.array([crank]))
            place = float(motion.travel(which[0])[0, 0])
        travel = next(t for t in mechanism.travels if (t.joint, t.part, t.against) == which)
        return place - travel.most if run_off.forward else travel.least - place

    return beyond


def _well_inside(course: Course, crank: float) -> float:
    """Return a crank angle, or one beside it that is not just where a loop opens [rad].

    There the parts run away as a square root, and a little of a number opens it.
    """
    for begin, end in course.open_arcs:
        past = (crank - begin + _INSIDE) % TURN
        if past < end - begin + 2 * _INSIDE:
            before = past < (end - begin) / 2 + _INSIDE
            return (begin - _INSIDE if before else end + _INSIDE) % TURN
    return crank
