"""The least drastic cure of each tight spot, tried on the whole side before it is offered.

Cures are tried in the order of how easily they are undone (`cure.DRASTIC`), what cuts metal away
last of all. Each answers for its own spot, whatever else is wrong with the engine, and says what it
takes from the clearance of others.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice
from typing import assert_never

from linkage.advice.best_first import Candidates, Done, best_first, times_alike
from linkage.advice.bushing import bushings
from linkage.advice.correcting import part_of, put_right_loop, put_right_wheels
from linkage.advice.coupling import coupling_cures, eased_holes, least_easing
from linkage.advice.cure import (
    Advice,
    Changes,
    Cure,
    Ease,
    Loss,
    MeasureAgain,
    Outcome,
    Straighten,
    Together,
    Tried,
    changes_of,
)
from linkage.advice.dimensions import dimension_cures
from linkage.advice.guessed import measured_first, wrong_as_measured
from linkage.advice.keys import first_alike, on_sheet
from linkage.advice.making_true import made_true
from linkage.advice.moving import set_along, set_sideways
from linkage.advice.outcomes import (
    at_other_places,
    gravest,
    losses_of,
    outcome_of,
    spoilt,
)
from linkage.advice.packing import packings
from linkage.advice.parting import filings, ways_to_part
from linkage.advice.patience import (
    TimeLeft,
    as_far_as_time,
    begin_trial,
    ever,
    within,
)
from linkage.advice.refitting import refits_of_side, refits_of_valves, refits_of_wheels
from linkage.advice.retiming import timing_cures
from linkage.advice.running import running_cures
from linkage.advice.setting import bent_to, bent_values, length_bends
from linkage.advice.several import all_put_right
from linkage.advice.slipped import moved_by_it, slipped
from linkage.advice.trial import cured
from linkage.advice.trimming import trimmings
from linkage.arrangements import build
from linkage.certainty import Word, how_sure
from linkage.errors import LinkageError
from linkage.examine import Examination, examine_side, side_alike
from linkage.sheet import change, set_numbers
from linkage.tables.rods import Rod
from linkage.tightspots import (
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
    kind_of,
    rank,
    thing_of,
)


def advise(examination: Examination) -> tuple[Advice, ...]:
    """Find cures for the tight spots of a sheet.

    One for each tight spot, in their order. Spots of one pair share their cures, and so do those
    that the first cure of a graver one does away with.
    """
    return tuple(search_cures(examination))


def search_cures(
    examination: Examination, left: TimeLeft = ever, guesses: bool = True
) -> Iterator[Advice]:
    """Yield each tight spot with its cures as soon as they are found, as `advise` does all.

    `guesses`: whether to say what is to be measured first. `left`: the time there is for trials;
    what has been found when it is over is what there is. Where both the coupled wheels and a side
    have something wrong, the first of them takes no more than half of it; and what may only be an
    error of measuring takes none from what is sure.
    """
    known: dict[object, tuple[tuple[Tried, ...], bool]] = {}
    done: list[Done] = []
    order = _surest_first(examination) if math.isfinite(left.until) else [*examination.spots]
    for spot in examination.spots:
        while _key(examination, spot) not in known:
            own = left.share(len({isinstance(one, PlayUsedUp) for one in order}))
            next_one = order.pop(0)
            key = _key(examination, next_one)
            if key not in known:
                with within(own):
                    found = (*as_far_as_time(_found(examination, next_one, done, guesses)),)
                known[key] = found, not found and not own()
        yield Advice(spot, *known[_key(examination, spot)])


def _surest_first(examination: Examination) -> list[TightSpot]:
    """Return the tight spots, those that are sure before what may be an error of measuring."""
    if len({_key(examination, spot) for spot in examination.spots}) == 1:
        return [*examination.spots]
    judged = zip(examination.spots, how_sure(examination).spots, strict=True)
    order = sorted(judged, key=lambda one: one[1].word is not Word.SURE)
    return [spot for spot, _ in order]


def _found(
    examination: Examination, spot: TightSpot, done: list[Done], guesses: bool
) -> Iterator[Tried]:
    """Yield the cures of graver spots that do away with this one; where none does, its own."""
    yield from _covered(examination, spot, done) or _own(examination, spot, done, guesses)


def _key(examination: Examination, spot: TightSpot) -> object:
    """Return what tight spots with the same cures have alike: the play's are cured together."""
    if isinstance(spot, PlayUsedUp):
        return PlayUsedUp
    return spot.fault, _side_of(examination, spot), spot.place


def _side_of(examination: Examination, spot: TightSpot) -> str:
    """Return the side that a tight spot is looked at on: the first of those that are alike."""
    whole = isinstance(spot, PlayUsedUp) or spot.side == "both"
    return "both" if whole else first_alike(examination, spot.side)


def _own(
    examination: Examination, spot: TightSpot, done: list[Done], guesses: bool
) -> Iterator[Tried]:
    """Yield what is to be measured first of a spot, and then its cures.

    Where a number measured on both sides is unlike, and made alike cures, or damage that was
    measured, and made good cures, no guess is asked about; nor where the cures have taken the time.
    """
    cures = [*as_far_as_time(_cures(examination.set_to(spot.place), spot, done))]
    wrong = wrong_as_measured(examination, spot.side) if guesses else None
    if wrong:
        cures = wrong.first_of(cures)
        if cures and wrong.explains(cures[0]):
            yield from cures
            return
    first = tuple(as_far_as_time(measured_first(examination, spot) if guesses else ()))
    yield from map(Tried, first)
    for tried in cures:
        if not (first and isinstance(tried.cure, MeasureAgain)):
            yield tried


def _covered(examination: Examination, spot: TightSpot, done: Iterable[Done]) -> tuple[Tried, ...]:
    """Return the cures of graver spots that do away with this one too; none where none does."""
    if isinstance(spot, Uneven | Mistimed):
        return tuple(islice(_timed_by(examination, spot, done), 1))
    return _covering(examination, spot, done) if kind_of(spot).alone else ()


def _timed_by(
    examination: Examination, spot: Uneven | Mistimed, done: Iterable[Done]
) -> Iterator[Tried]:
    """Yield the cures of graver spots with which the valves of both sides go alike.

    What was wrong with one side may be told of the other, of which it would be made wrong too.
    """
    for one in done:
        cure = one.cures[0].cure
        if times_alike(examination, spot.side, cure):
            yield Tried(cure)


def _covering(examination: Examination, spot: TightSpot, done: Iterable[Done]) -> tuple[Tried, ...]:
    """Return the cures of a graver spot that do away with this one too; none where none does.

    Of a spot of the same side all of them; of one of the other side the first, where what it
    changes is this side's too, examined here.
    """
    side = _side_of(examination, spot)
    for one in done:
        if one.side == side and thing_of(spot) not in one.left:
            return one.cures
    for one in done:
        here = examination.set_to(spot.place)
        also = None if one.side == side else _on_this_side(here, spot, one.cures[0].cure)
        if also is not None and not also.spoils:
            return (Tried(one.cures[0].cure, also),)
    return ()


def _on_this_side(examination: Examination, spot: TightSpot, cure: Cure) -> Outcome | None:
    """Return what a cure of the other side leads to here; None where it cures nothing here."""
    before, wanted = examination.sides[spot.side], examination.sheet.wanted_clearance
    try:
        sheet = set_numbers(examination.sheet, dict(changes_of(cure)))
        mechanism = build(sheet, spot.side)[spot.side]
        if mechanism == before.mechanism:
            return None
        after = examine_side(spot.side, mechanism, wanted, before)
    except LinkageError:
        return None
    outcome = outcome_of(examination, spot, before, after)
    others = None if outcome is None else at_other_places(examination, spot, mechanism)
    if outcome is None or others is None:
        return None
    return replace(outcome, spoils=(*outcome.spoils, *others.spoils))


def _cures(examination: Examination, spot: TightSpot, done: list[Done]) -> Iterator[Tried]:
    """Yield cures, those that can be undone first, and of these the clean and least drastic ones.

    Notes in `done` what is left once the first is done.
    """
    begin_trial()
    match spot:
        case PlayUsedUp():
            yield from _of_play(examination)
        case TouchesWithPlay():
            yield from best_first(examination, spot, bushings(examination, spot), done)
        case Fouls() | Close():
            yield from best_first(examination, spot, _of_pair(examination, spot), done)
        case CannotClose() | RunsOff():
            yield from best_first(examination, spot, _of_loop(examination, spot), done)
        case Pinched() | Limps() | UnlikeWheels():
            yield from map(Tried, running_cures(examination, spot))
        case Uneven() | Mistimed():
            yield from map(Tried, _of_valves(examination, spot))
        case BranchUndecided() | PoorTransmission():
            return
        case _:
            assert_never(spot)


def _of_valves(examination: Examination, spot: Uneven | Mistimed) -> Iterator[Cure]:
    """Yield what makes both valves go alike: rods put on rightly first, then numbers."""
    yield from refits_of_valves(examination, spot)
    if isinstance(spot, Mistimed):
        yield from timing_cures(examination, spot)
    else:
        yield from running_cures(examination, spot)


def _of_play(examination: Examination) -> Iterator[Tried]:
    """Yield what would let coupled wheels turn: bends and numbers put right; easing last."""
    hides = ""
    found = False
    for refitted in refits_of_wheels(examination):
        found = True
        yield Tried(refitted)
    for wrong in coupling_cures(examination):
        cure = put_right_wheels(examination, wrong)
        first = cure.cures[0] if isinstance(cure, Together) else cure
        if not isinstance(first, Straighten):
            hides = hides or first.number.key
        found = True
        outcome = _of_both_sides(examination, cure.changes)
        yield Tried(cure, outcome)
        if isinstance(cure, Straighten) and not outcome.spoils:
            return
    begin_trial()
    if not found:
        yield Tried(MeasureAgain(("rods of both sides, throws and axles",)))
    easing = least_easing(examination)
    if easing is not None:
        yield Tried(Ease(easing, hides, changes=eased_holes(examination, easing)))


def _of_both_sides(examination: Examination, changes: Changes) -> Outcome:
    """Return what a cure of coupled wheels does to the clearances of both sides."""
    sheet = change(examination.sheet, dict(changes))
    spoils: list[TightSpot] = []
    loses: list[Loss] = []
    held = [*examination.sides.values()]
    for name, mechanism in build(sheet).items():
        before = examination.sides[name]
        after = side_alike(held, name, mechanism)
        if after is None:
            after = examine_side(name, mechanism, sheet.wanted_clearance, before)
            held.append(after)
        spoils += spoilt(before, after)
        loses += losses_of(before, after, frozenset())
    return Outcome(None, rank(spoils), gravest(loses))


def _of_pair(examination: Examination, spot: Fouls | Close) -> Candidates:
    """Yield what would part two parts: what is easily undone, then numbers, then the file."""
    yield from refits_of_side(examination, spot)
    yield from made_true(examination, spot)
    yield from ways_to_part(examination, spot)
    yield from packings(examination, spot)
    yield from _straightened(examination, spot)
    yield from set_along(examination, spot)
    yield from _numbers(examination, spot)
    yield from all_put_right(examination, spot)
    yield from set_sideways(examination, spot)
    cuts = [*trimmings(examination, spot), *filings(examination, spot)]
    yield from sorted(cuts, key=lambda cut: cut[0].amount)


def _of_loop(examination: Examination, spot: CannotClose | RunsOff) -> Candidates:
    """Yield what would let a loop close, or a travel suffice: straighten first, then dimensions."""
    yield from refits_of_side(examination, spot)
    yield from made_true(examination, spot)
    yield from _straightened(examination, spot)
    yield from set_along(examination, spot)
    yield from _numbers(examination, spot)
    yield from all_put_right(examination, spot)


def _numbers(
    examination: Examination,
    spot: CannotClose | RunsOff | Fouls | Close,
) -> Candidates:
    """Yield the numbers that, put right, cure a spot; a return crank set again comes alone."""
    reset = [*_set_again(examination, spot)]
    if reset:
        yield from reset
        return
    for numbers, sheet in dimension_cures(examination, spot):
        cure = put_right_loop(examination, spot.side, numbers, sheet)
        yield cure, build(sheet, spot.side)[spot.side]


def _set_again(examination: Examination, spot: CannotClose | RunsOff | Fouls | Close) -> Candidates:
    """Yield the slipped return crank whose setting again cures a spot."""
    if not moved_by_it(examination, spot.side) & set(spot.parts):
        return
    for cure in slipped(examination, spot.side):
        try:
            made = build(change(examination.sheet, dict(cure.changes)), spot.side)[spot.side]
            if not cured(examination, spot, made):
                continue
        except LinkageError:
            continue
        yield cure, made


def _straightened(
    examination: Examination, spot: CannotClose | RunsOff | Fouls | Close
) -> Candidates:
    """Yield the bent rods that, straight, cure a spot."""
    side, sheet = spot.side, examination.sheet
    for bend in length_bends(sheet, side, Rod):
        try:
            straight = build(bent_to(sheet, side, bend, 0.0), side)[side]
            if not cured(examination, spot, straight):
                continue
        except LinkageError:
            continue
        changes = on_sheet(examination, side, bent_values(sheet, side, bend, 0.0))
        part = part_of(examination, side, bend.key)
        yield Straighten(part, bend, changes=changes), straight
