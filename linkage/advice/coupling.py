"""Which numbers of the coupled wheels, put right, would let them turn; else how much easing.

A length error, a quarter or a throw is sought before any hole is eased: easing hides the fault.
Several may be wrong at once: `likeliest` says which few of them, and here they are tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.advice.bench import bench_step, nearest, step_of, steps_up
from linkage.advice.cure import Changes, Number
from linkage.advice.keys import across, bare_key, on_sheet
from linkage.advice.likeliest import LinearMisfits, likeliest, middle
from linkage.advice.patience import begin_trial
from linkage.advice.setting import SheetBend, bent_values, length_bends
from linkage.arrangements.numbers import facts_at
from linkage.arrays import Array
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.play import NEARLY, PlayFindings, Turning, stay_below
from linkage.sheet import Sheet, change, is_angle
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.facts import TYPICAL_THROW
from linkage.wheels import CoupledWheels

# lengths here are those of a model of 4 mm to the foot, and grow with the throw as the engine does
_STEP = 0.02  # trial change [mm; degrees ten times that]
_WIDEST = 1.5  # changes looked at, either way [mm at the crank pin]
_ALIKE = 0.2  # the other side's number is taken where it is so near the best change [share]
_LIMITS = (0.7, 0.85)  # of the play, asked for after the change; the second where there is no first
_PER_SUSPECT = 0.15  # how much the less likely each number is than the one suspected before it [1]
_UNLIKE = 0.3  # how much the likelier a number is that differs from the other side's [1]
_BENT = 0.3  # the share of a bend that, taken out, makes it worth taking out whole [1]
_SEEN = 0.05  # what taking a whole bend out weighs: it is there to be seen [mm]
_UNSURE = 0.004  # the play used by samples is found this closely [share]
_TOGETHER = 6  # easings tried in one round
_SHOWN = 2
_FINER = 5  # parts that a step is cut into where whole ones leave the wheels binding


@dataclass(frozen=True)
class BentRod:
    """A bent coupling rod, and what straightening it changes on the sheet."""

    side: str
    bend: SheetBend
    changes: Changes  # of both sides, where both are bent alike


Wrong = Number | BentRod


@dataclass(frozen=True)
class _Suspect:
    """Something that may be wrong: a number by so much, or a bend, of which 1 is all."""

    wrong: Wrong
    weight: float  # how unlikely it is [mm at 4 mm to the foot, by unit]
    least: float  # how far it may go either way [mm, degrees, 1]
    most: float
    step: float  # trial change

    def values(self, by: float) -> dict[str, float]:
        """Return what stands on the sheet once it is changed by so much."""
        if isinstance(self.wrong, Number):
            return {self.wrong.key: self.wrong.now + by}
        return dict(self.wrong.changes)


def coupling_cures(examination: Examination) -> Iterator[tuple[Wrong, ...]]:
    """Yield what must be put right together for the coupled wheels to turn, the likeliest first.

    At most two ways, each tried over the whole turn. A number that differs from the other side's is
    the likelier one, a rod's before an axle's; no way is shown that takes more than one before it.
    """
    play = examination.play
    if play is None:
        return
    suspects = [*_bent_rods(examination), *_numbers(examination, play)]
    linear, suspects = _linear(examination, play.wheels, suspects)
    if not suspects:
        return
    weights = np.array([one.weight for one in suspects])
    ends = np.array([(one.least, one.most) for one in suspects])
    fewest = len(suspects)
    for _ in range(_SHOWN):
        tried = (likeliest(linear, weights, ends, limit) for limit in _LIMITS)
        changes = next((held for held in tried if held is not None), None)
        if changes is None or not changes.any():
            return
        found = _tried(examination, suspects, linear, changes)
        if found is not None and len(found) <= fewest:
            fewest = len(found)
            yield found
        # another way: without what is changed most in this one
        ends[int(np.argmax(np.abs(changes) * weights))] = 0.0


def _linear(
    examination: Examination, wheels: CoupledWheels, suspects: Sequence[_Suspect]
) -> tuple[LinearMisfits, list[_Suspect]]:
    """Return the shares as linear in what may be wrong, as far as each can be changed at all."""
    known, changed = [], []
    for one in suspects:
        try:
            other = examination.wheels_of(change(examination.sheet, one.values(one.step)))
        except (LinkageError, ValueError):
            continue
        if other is not None:
            known.append(one)
            changed.append(other)
    return LinearMisfits.of(wheels, changed, [one.step for one in known]), known


def _numbers(examination: Examination, play: PlayFindings) -> Iterator[_Suspect]:
    """Yield the numbers of axles and rods that may be wrong."""
    throw = _throw(play.wheels)
    size = throw / TYPICAL_THROW
    for key, now in play.wheels.keys.items():
        suspect = facts_at(bare_key(key)).suspect
        if not suspect:
            continue
        angle = is_angle(examination.sheet, key)
        unit = math.radians(throw) if angle else 1.0
        damaged = bool(facts_at(bare_key(key)).damage)
        if damaged and not now:
            continue
        other = 0.0 if damaged else across(examination.sheet, key)
        unlike = not math.isnan(other)
        weight = unit / size * (1 + _PER_SUSPECT * (suspect - 1)) * (_UNLIKE if unlike else 1.0)
        number = Number(key, now, 0.0, other, angle)
        reach = _WIDEST * size / unit
        yield _Suspect(number, weight, reach, reach, 10 * _STEP if angle else _STEP * size)


def _throw(wheels: CoupledWheels) -> float:
    return next(iter(wheels.axles[wheels.driving].pins.values())).throw


def _bent_rods(examination: Examination) -> Iterator[_Suspect]:
    """Yield the bent rods; what is bent alike on both sides is straightened alike."""
    seen: set[Changes] = set()
    for side in examination.sides:
        for bend in length_bends(examination.sheet, side, CouplingRodTable):
            values = bent_values(examination.sheet, side, bend, 0.0)
            changes = on_sheet(examination, side, values)
            if changes not in seen:
                seen.add(changes)
                yield _Suspect(BentRod(side, bend, changes), _SEEN, 0.0, 1.0, 1.0)


def _tried(
    examination: Examination,
    suspects: Sequence[_Suspect],
    linear: LinearMisfits,
    changes: Array,
) -> tuple[Wrong, ...] | None:
    """Try some changes over the whole turn; None where the wheels do not turn with them.

    Bends are taken right out, and the numbers are set to the middle of what then turns.
    """
    places = np.flatnonzero(changes).tolist()
    bent = [k for k in places if isinstance(suspects[k].wrong, BentRod) and changes[k] > _BENT]
    chosen = [k for k in places if isinstance(suspects[k].wrong, Number)]
    sheet, base = examination.sheet, [suspects[k].wrong for k in bent]
    straight = {key: value for k in bent for key, value in suspects[k].values(1.0).items()}
    if bent and turns(examination, change(sheet, straight)):
        return tuple(base)
    if not chosen:
        return None
    bare = replace(linear, now=linear.now + linear.numbers[:, bent].sum(axis=1))
    by = middle(bare, np.isin(np.arange(len(suspects)), chosen))
    numbers = [suspects[k].wrong for k in chosen]
    for alike, finer in ((True, 1), (False, 1), (False, _FINER)):
        settled = [
            _settled(number, float(by[k]), alike, step_of(sheet, number.key) / finer)
            for k, number in zip(chosen, numbers, strict=True)
            if isinstance(number, Number)
        ]
        values = straight | {number.key: number.to for number in settled}
        if _turns_with(examination, values):
            return (*base, *(number for number in settled if number.by))
    return None


def _settled(number: Number, by: float, alike: bool, step: float) -> Number:
    """Return a number changed by so many steps as can be measured, or to the other side's."""
    other = number.other
    if by and facts_at(bare_key(number.key)).damage:
        return replace(number, by=-number.now)
    if alike and abs(other - number.now - by) < _ALIKE * abs(by):  # not where it is nan
        return replace(number, by=other - number.now)
    return replace(number, by=nearest(by, step), other=math.nan)


def _turns_with(examination: Examination, values: Mapping[str, float]) -> bool:
    try:
        return turns(examination, change(examination.sheet, values))
    except LinkageError:
        return False


def turns(examination: Examination, sheet: Sheet) -> bool:
    """Tell whether the coupled wheels of a sheet are sure to turn freely, by the play they use.

    With the rods on that are on in an examination.
    """
    return all_turn(examination, [sheet])[0]


def all_turn(examination: Examination, sheets: Sequence[Sheet]) -> list[bool]:
    """Tell the same of many sheets, which takes little longer than of one."""
    begin_trial()
    made = [_wheels_of(examination, sheet) for sheet in sheets]
    some = [wheels for wheels in made if wheels is not None]
    below = iter(stay_below(some, NEARLY - _UNSURE).tolist())
    return [wheels is not None and next(below) for wheels in made]


def _wheels_of(examination: Examination, sheet: Sheet) -> CoupledWheels | None:
    """Return the coupled wheels of a sheet; None where it makes none."""
    try:
        return examination.wheels_of(sheet)
    except (LinkageError, ValueError):
        return None


def least_easing(examination: Examination) -> float | None:
    """Return by how much the holes concerned must be eased for the wheels to turn freely.

    On diameter, in steps of the bench [mm]; None where they bind nowhere, or no easing that one
    would think of is enough. As holes grow the rods stand otherwise, so what is missing at the
    worst place as it is does not tell how much is enough: the amount is halved into where the
    wheels bind most, and then grown until the whole turn is free. Play used falls as holes grow.
    """
    play, step = examination.play, bench_step(examination.sheet)
    if play is None or not play.binding:
        return None
    crank = np.array([max(play.binding, key=lambda arc: arc.most).worst])
    short, most = 0, steps_up(_WIDEST * _throw(play.wheels) / TYPICAL_THROW, step)
    enough = most
    while enough - short > 1:
        begin_trial()
        middle = (short + enough) // 2
        wheels = _eased(examination, middle * step)
        if wheels is not None and Turning(wheels).apart(crank).used.max() < NEARLY:
            enough = middle
        else:
            short = middle
    count = _least_sure(examination, enough, most, step)
    return None if count is None else round(count * step, 6)


def _least_sure(examination: Examination, enough: int, widest: int, step: float) -> int | None:
    """Return the least easing from one on, below another, with which wheels are sure to turn.

    In steps. A few are tried together, which takes little longer than one: first ever wider ones,
    then some between the last that is too little and the first that will do.
    """
    low, sure = enough, widest
    tried = [low + 2**k - 1 for k in range(_TOGETHER) if low + 2**k < widest] + [widest - 1]
    while low < sure:
        begin_trial()
        made = (_eased(examination, count * step) for count in tried)
        some = [wheels for wheels in made if wheels is not None]
        will_do = np.flatnonzero(stay_below(some, NEARLY - _UNSURE))
        first = int(will_do[0]) if len(will_do) else len(tried)
        if first:
            low = tried[first - 1] + 1
        if first < len(tried):
            sure = tried[first]
        tried = np.unique(np.linspace(low, sure - 1, _TOGETHER).round().astype(int)).tolist()
    return sure if sure < widest else None


def _eased(examination: Examination, by: float) -> CoupledWheels | None:
    """Return the wheels with the holes concerned larger by so much on diameter [mm]."""
    return examination.wheels_of(change(examination.sheet, dict(eased_holes(examination, by))))


def eased_holes(examination: Examination, by: float) -> Changes:
    """Return what easing the holes concerned by so much on diameter changes on the sheet [mm].

    Where the rods have no holes of their own there, all of them are eased alike.
    """
    play, values = examination.play, dict[str, float]()
    if play is None:
        return ()
    keys = play.wheels.keys
    for number, axle in _binding_holes(play):
        rod = play.wheels.rods[number]
        place = [eye.axle for eye in rod.eyes].index(axle) + 1
        own = f"{rod.key}.holes[{place}]"
        names = (f"{rod.side}.{own}", own, f"{rod.side}.coupling.hole", "coupling.hole",
                 f"{rod.side}.coupling.play", "coupling.play")  # fmt: skip
        for name in names:
            oval = [key for key in (f"{name}.along", f"{name}.across") if key in keys]
            held = oval or [key for key in (name,) if key in keys]
            if held:
                values |= {key: keys[key] + by for key in held}
                break
    return tuple(values.items())


def _binding_holes(play: PlayFindings) -> set[tuple[int, str]]:
    """Return the holes on which wheels bind: the number of the rod, and the axle."""
    return {
        (hole.rod, hole.axle) for arc in play.binding for hole in arc.holes if hole.kind == "hole"
    }
