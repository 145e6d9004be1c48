"""A return crank that has slipped on its pin, however the sheet gives it.

An arm of one piece keeps its length and turns about the crank pin, so that one number, its lean,
has changed; given by its pin's circle and its lead, both are changed by a slip, and neither put
right alone is right. The part is then looked at by its other measures: where the sides have the
same arm and another lean, the lean is set as on the other side; where there is no other side to set
it by, to that at which the two distances of the trade's test are equal (`resetting.py`). What is to
be changed is said by the numbers that the sheet has.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from linkage.advice.bench import nearest
from linkage.advice.cure import Number, ResetReturnCrank
from linkage.advice.keys import bare_key, held_key, on_sheet, own_key, table_key, value_of
from linkage.advice.patience import begin_trial
from linkage.advice.resetting import equal_distance, goes_round, turning_range
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.kinematics import follow, solve_at
from linkage.sheet import Sheet, change, is_angle
from linkage.sheet.restating import given_otherwise
from linkage.tables.facts import tables_of
from linkage.tables.shapes import Side
from linkage.units import parse_length

_ALIKE = 0.03  # arms that differ by less than this share of them are the same [1]
_LITTLE = 2.0  # what is less than this out has hardly slipped [degrees]
_STEP = 0.5  # [degrees]
_STILL = 1e-6  # what moves by less stands still [mm, rad]
_TRIED = tuple(way * 5.0 * k for k in range(1, 13) for way in (-1, 1))  # to turn at all [degrees]


def slipped(examination: Examination, side: str) -> tuple[ResetReturnCrank, ...]:
    """Return the return crank of a side set again on its pin; whether that cures is to be tried.

    None where it has not slipped, or set so nothing can be put together. Worked out once a side.
    """

    def found() -> tuple[ResetReturnCrank, ...]:
        try:
            return tuple(_slipped(examination, side))
        except LinkageError:
            return ()

    return examination.keep(f"slipped {side}", found)


def moved_by_it(examination: Examination, side: str) -> frozenset[str]:
    """Return the names of the parts of a side that a slip of its return crank moves.

    All of them where that cannot be told; none where there is no return crank.
    """
    return examination.keep(f"moved by a slip {side}", lambda: _moved_by_it(examination, side))


def _moved_by_it(examination: Examination, side: str) -> frozenset[str]:
    sheet, own = _lean_of(examination, side)
    if own is None:
        return frozenset()
    here = examination.sides[side].motion
    try:
        made = build(change(sheet, {own: value_of(sheet, own) + _STEP}), side)[side]
        there = solve_at(follow(made), here.crank)
    except LinkageError:
        return frozenset(here.poses)
    by = {name: np.abs(there.poses[name] - pose) for name, pose in here.poses.items()}
    # where it cannot be put together nothing is known of any part
    return frozenset(
        name for name, far in by.items() if np.isnan(far).all() or np.nanmax(far) > _STILL
    )


def _slipped(examination: Examination, side: str) -> Iterator[ResetReturnCrank]:
    sheet, own = _lean_of(examination, side)
    if own is None:
        return
    key = bare_key(own)
    held = {bare_key(one): value for one, value in sheet.dimensions[side].items()}
    there, other = replace(examination, sheet=sheet), _on_the_other(sheet, side, key, held)
    typed = sheet is examination.sheet and not math.isnan(other)
    if typed and abs(other - held[key]) > _LITTLE:
        return  # a number of its own in which the sides differ, which is tried as any other
    to = other if not math.isnan(other) else _by_distances(there, side, key, held[key])
    if math.isnan(to) or abs(to - held[key]) <= _LITTLE:
        return
    number = Number(key, held[key], to - held[key], other, degrees=True)
    changes = _as_given(examination, there, side, {own_key(side, key): to})
    if changes:
        free = turning_range(sheet, side, key, to)
        equal = equal_distance(there, side, key, to)
        given = tuple(
            Number(bare_key(one), now, value - now, degrees=is_angle(examination.sheet, one))
            for one, value in changes
            if bare_key(one) != key
            for now in (value_of(examination.sheet, one),)
        )
        yield ResetReturnCrank(number, free, equal, given, changes=changes)


def _lean_of(examination: Examination, side: str) -> tuple[Sheet, str | None]:
    """Return the sheet by its other measures, where that has one, and the key of a crank's lean."""
    sheet = given_otherwise(examination.sheet, _is_reset) or examination.sheet
    return sheet, next((key for key in sheet.dimensions[side] if _is_reset(bare_key(key))), None)


def _is_reset(key: str) -> bool:
    return facts_at(key).mends == "reset"


def _on_the_other(sheet: Sheet, side: str, key: str, held: Mapping[str, float]) -> float:
    """Return the other side's lean, where that has the same arm; nan where it is the same too."""
    other = next((name for name in sheet.sides if name != side), None)
    if other is None:
        return math.nan
    theirs = {
        one.removeprefix(f"{other}."): value for one, value in sheet.dimensions[other].items()
    }
    beside = [one for one in held if table_key(one) == table_key(key) and one != key]
    lengths = [one for one in beside if not is_angle(sheet, own_key(side, one))]
    alike = all(abs(theirs.get(one, math.nan) - held[one]) <= _ALIKE * held[one] for one in lengths)
    found = theirs.get(key, math.nan)
    return found if alike and abs(found - held[key]) > _LITTLE else math.nan


def _by_distances(examination: Examination, side: str, key: str, now: float) -> float:
    """Return the lean at which the two distances are equal, to half a degree; nan for none."""
    own, good = own_key(side, key), math.nan
    for by in _TRIED:
        begin_trial()
        if goes_round(examination.sheet, side, {own: now + by}):
            good = now + by
            break
    begin_trial()
    equal = None if math.isnan(good) else equal_distance(examination, side, key, good)
    return math.nan if equal is None else nearest(equal.at, _STEP)


def _as_given(
    examination: Examination, there: Examination, side: str, values: Mapping[str, float]
) -> tuple[tuple[str, float], ...]:
    """Return changes of the sheet by its other measures as those of what it gives; () for none."""
    turned = on_sheet(there, side, values)
    if there.sheet is examination.sheet:
        return turned
    after, found = change(there.sheet, dict(turned)), dict[str, float]()
    names = [name for name, one in after.sides.items() if one != there.sheet.sides[name]]
    for name in names:
        for bare, value in _other_measures(after.sides[name], there.sheet.sides[name]):
            held = held_key(examination.sheet, own_key(name, bare))
            if held is None:
                return ()  # it would pass to the other side of the crank pin
            found[own_key(name, bare) if len(names) < len(after.sides) else held] = value
    return tuple(found.items())


def _other_measures(side: Side, before: Side) -> Iterator[tuple[str, float]]:
    """Yield the other measures of what has changed of a side, by their keys [mm, degrees]."""
    held = dict(tables_of(before))
    for place, table in tables_of(side):
        if table != held[place]:
            for key, value in table.other_ways(side).items():
                bare = ".".join((*map(str, place), key))
                yield bare, value if isinstance(value, float) else parse_length(value, "mm")
