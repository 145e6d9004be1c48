"""The least drastic cure of each tight spot, tried on the whole side before it is offered.

Cures are tried in the order of how easily they are undone (`cure.DRASTIC`). A cure says what it
takes from the clearance of others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import assert_never

from linkage.advice.coupling import coupling_cures, least_easing, turns
from linkage.advice.cure import (
    Advice,
    Bush,
    Changes,
    Correction,
    Cure,
    Ease,
    Loss,
    MeasureAgain,
    Number,
    Outcome,
    PutRight,
    Replace,
    Requarter,
    ResetReturnCrank,
    SetBack,
    Straighten,
    Tried,
)
from linkage.advice.dimensions import dimension_cures
from linkage.advice.keys import bare_key, first_alike, on_sheet, own_key, table_at, table_key
from linkage.advice.parting import ways_to_part
from linkage.advice.resetting import equal_distance, quarter_range, turning_range
from linkage.advice.setting import bent_to, bent_values, length_bends
from linkage.advice.trial import runs_clean, same_branch
from linkage.arrangements import build, coupled_wheels
from linkage.arrangements.numbers import facts_at
from linkage.examine import Examination, SideFindings, examine_side
from linkage.mechanism import Mechanism
from linkage.play import find_play
from linkage.sheet import change
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.rods import Rod
from linkage.tightspots import (
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    amount_of,
    graver,
    play_gone,
    rank,
)

_TRIED = 6  # tight spots, worst first, for which cures are tried: each trial is a whole survey
_HARDLY = 0.005  # a pair that loses less than this is not called worse off [mm]


def advise(examination: Examination) -> tuple[Advice, ...]:
    """Find cures for the tight spots of a sheet.

    One for each tight spot, in their order. Spots of one pair share their cures, and only the
    worst few spots are worked on.
    """
    return tuple(search_cures(examination))


def search_cures(examination: Examination) -> Iterator[Advice]:
    """Yield each tight spot with its cures as soon as they are found, as `advise` does all."""
    known: dict[object, tuple[Tried, ...]] = {}
    for spot in examination.spots:
        if isinstance(spot, PlayUsedUp):
            key: object = PlayUsedUp  # all are cured together
        else:
            key = first_alike(examination, spot.side), spot.fault
        if key not in known:
            tried = len(known) < _TRIED
            known[key] = tuple(_cures(examination, spot)) if tried else ()
        yield Advice(spot, known[key])


def _cures(examination: Examination, spot: TightSpot) -> Iterator[Tried]:
    """Yield cures, least drastic first: the first that spoils nothing else ends the list."""
    match spot:
        case PlayUsedUp():
            yield from _of_play(examination)
        case TouchesWithPlay():
            yield Tried(Bush(spot.worn.most_by))
        case Fouls() | Close():
            yield from _that_cure(examination, spot, ways_to_part(examination, spot))
        case CannotClose() | RunsOff():
            yield from _that_cure(examination, spot, _of_loop(examination, spot))
        case BranchUndecided() | PoorTransmission():
            return
        case _:
            assert_never(spot)


def _that_cure(
    examination: Examination, spot: TightSpot, candidates: Iterable[tuple[Cure, Mechanism]]
) -> Iterator[Tried]:
    """Yield those that cure when the whole side is examined with them."""
    findings, found = examination.sides[spot.side], False
    for cure, mechanism in candidates:
        after = examine_side(spot.side, mechanism, examination.sheet.wanted_clearance)
        outcome = _outcome(spot, findings, after)
        if outcome is not None:
            if isinstance(cure, SetBack):
                outcome = replace(
                    outcome, spoils=(*_binds(examination, spot.side, cure), *outcome.spoils)
                )
            found = True
            yield Tried(cure, outcome)
            if not outcome.spoils and not isinstance(cure, Correction):
                return
    if not found:
        yield Tried(MeasureAgain(spot.parts))


def _binds(examination: Examination, side: str, cure: SetBack) -> Iterator[TightSpot]:
    """Yield where coupled wheels bind, that did not, on a coupling rod set back."""
    if not isinstance(table_at(examination.sheet, side, cure.bend.key), CouplingRodTable):
        return
    sheet = change(examination.sheet, dict(cure.changes))
    wheels = coupled_wheels(sheet)
    if wheels is not None and not turns(sheet):
        new = play_gone(find_play(wheels), sheet.right_leads_by)
        yield from (spot for spot in new if not _was_there(spot, examination.spots))


def _of_play(examination: Examination) -> Iterator[Tried]:
    """Yield what would let coupled wheels turn: a rod straightened, else a number; easing last."""
    straight = list(_straightened(examination))
    yield from straight
    if any(not tried.outcome.spoils for tried in straight):
        return
    hides = ""
    for number in coupling_cures(examination):
        hides = hides or number.key
        changes = ((number.key, number.to),)
        side = next(iter(examination.sides))
        cure = _put_right(examination, side, number, changes)
        yield Tried(cure, _of_both_sides(examination, changes))
    if not hides and not straight:
        yield Tried(MeasureAgain(("rods of both sides, throws and axles",)))
    easing = least_easing(examination.play) if examination.play else None
    if easing is not None:
        yield Tried(Ease(easing, hides))


def _straightened(examination: Examination) -> Iterator[Tried]:
    """Yield the bent coupling rods that let the wheels turn when they are straight."""
    seen: set[Changes] = set()
    for side in examination.sides:
        for bend in length_bends(examination.sheet, side, CouplingRodTable):
            values = bent_values(examination.sheet, side, bend, 0.0)
            changes = on_sheet(examination, side, values)
            if changes in seen or not turns(change(examination.sheet, dict(changes))):
                continue
            seen.add(changes)
            cure = Straighten(_part_of(examination, side, bend.key), bend, changes=changes)
            yield Tried(cure, _of_both_sides(examination, changes))


def _put_right(examination: Examination, side: str, number: Number, changes: Changes) -> Cure:
    """Return what putting a number right asks for: another rod, an angle, or only that."""
    sheet, table = examination.sheet, table_key(number.key)
    match facts_at(bare_key(number.key)).mends:
        case "requarter":
            axles = examination.play.wheels.axles if examination.play else ()
            axle = next((axle.name for axle in axles if axle.key == table), "")
            free = quarter_range(sheet, number.key, number.to)
            return Requarter(number, axle, free, changes=changes)
        case "reset":
            free = turning_range(sheet, side, number.key, number.to)
            equal = equal_distance(examination, side, number.key, number.to)
            return ResetReturnCrank(number, free, equal, changes=changes)
        case "replace":
            return Replace(number, _part_of(examination, side, table), changes=changes)
        case _:
            return PutRight(number, changes=changes)


def _part_of(examination: Examination, side: str, table: str) -> str:
    part = examination.sides[side].mechanism.with_key(table)
    return part.name if part is not None else table


def _of_both_sides(examination: Examination, changes: Changes) -> Outcome:
    """Return what a cure of coupled wheels does to the clearances of both sides."""
    sheet = change(examination.sheet, dict(changes))
    spoils: list[TightSpot] = []
    loses: list[Loss] = []
    for name, mechanism in build(sheet).items():
        before = examination.sides[name]
        after = examine_side(name, mechanism, sheet.wanted_clearance)
        spoils += _spoilt(before, after)
        loses += _losses(before, after, frozenset())
    return Outcome(None, rank(spoils), _gravest(loses))


def _of_loop(
    examination: Examination, spot: CannotClose | RunsOff
) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield what would let a loop close, or a travel suffice: straighten first, then dimensions."""
    side = spot.side
    for bend in length_bends(examination.sheet, side, Rod):
        straight = build(bent_to(examination.sheet, side, bend, 0.0), side)[side]
        if runs_clean(examination, spot, straight):
            changes = on_sheet(examination, side, bent_values(examination.sheet, side, bend, 0.0))
            yield Straighten(_part_of(examination, side, bend.key), bend, changes=changes), straight
    for number, sheet in dimension_cures(examination, spot):
        changes = on_sheet(examination, side, {own_key(side, number.key): number.to})
        cure = _put_right(examination, side, number, changes)
        yield cure, build(sheet, side)[side]


def _outcome(spot: TightSpot, before: SideFindings, after: SideFindings) -> Outcome | None:
    """Return what a cure leads to; None where it does not cure."""
    if not same_branch(before.course, after.course):
        return None
    pair = frozenset(spot.parts)
    meets = isinstance(spot, Fouls | Close)
    own = (Fouls, Close) if meets else type(spot)
    if any(isinstance(s, own) and frozenset(s.parts) == pair for s in after.spots):
        return None
    reach = after.survey.reach
    leaves = next((p.least for p in after.survey.pairs if frozenset(p.parts) == pair), reach)
    return Outcome(
        leaves if meets else None,
        rank(_spoilt(before, after)),
        _gravest(_losses(before, after, pair)),
    )


def _spoilt(before: SideFindings, after: SideFindings) -> list[TightSpot]:
    """Return the tight spots of a side that were not there before, one a pair and kind."""
    new = (spot for spot in reversed(after.spots) if not _was_there(spot, before.spots))
    return list({(type(spot), spot.parts): spot for spot in new}.values())


def _losses(before: SideFindings, after: SideFindings, own: frozenset[str]) -> list[Loss]:
    """Return the pairs of a side, but one, that have less air than before."""
    was = {pair.parts: pair.least for pair in before.survey.pairs}
    return [
        Loss(pair.parts, was.get(pair.parts, before.survey.reach), pair.least)
        for pair in after.survey.pairs
        if pair.least < was.get(pair.parts, before.survey.reach) - _HARDLY
        and frozenset(pair.parts) != own
    ]


def _gravest(losses: Iterable[Loss]) -> tuple[Loss, ...]:
    """Return losses, those that leave the least air first."""
    return tuple(sorted(losses, key=lambda loss: loss.after))


def _was_there(spot: TightSpot, before: Iterable[TightSpot]) -> bool:
    """Tell whether a tight spot was there before, as a fault of its own that needs its own cure.

    What a pair loses of its clearance is blamed on the cure though it was too near before.
    """
    for old in before:
        if frozenset(old.parts) != frozenset(spot.parts):
            continue
        if graver(old, spot):
            return True
        if type(old) is type(spot):
            worse = amount_of(spot) - amount_of(old)
            worse = -worse if isinstance(spot, Close) else worse
            if not isinstance(spot, Fouls | Close) or worse < _HARDLY:
                return True
    return False
