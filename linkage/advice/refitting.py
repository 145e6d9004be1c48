"""Rods on the wrong way round or exchanged: what would be free with them put on rightly.

Nobody can see from one number that a rod is on end for end; but of all that may be wrong it is the
easiest to put right, and it explains several wrong numbers at once. Each way is tried on the whole
engine, and is only offered where it cures and makes nothing else wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial

from linkage.advice.concern import was_there
from linkage.advice.coupling import all_turn, turns
from linkage.advice.cure import Exchange, OtherPins, Refitted, TurnRound
from linkage.advice.patience import begin_trial
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination, examine, examine_side, side_alike, valves_alike
from linkage.kinematics import follow_whole
from linkage.mechanism import Mechanism
from linkage.sheet import Sheet
from linkage.sheet.refitting import Refit, bars_of, refit, rods_on_pins, ways_to_refit
from linkage.tables.coupled import CouplingRodTable
from linkage.tightspots import Mistimed, Uneven


def refits_of_side(examination: Examination, spot: Curable) -> Iterator[tuple[Refitted, Mechanism]]:
    """Yield the ways to put rods on that cure a spot of one side, with what they make of it."""
    for refits in ways_to_refit(examination.sheet, spot.side):
        try:
            sheet = refit(examination.sheet, refits)
            made = build(sheet, spot.side)[spot.side]
            if follow_whole(made) is None or not cured(examination, spot, made):
                continue
            spoils = partial(_spoils, examination, sheet, spot.side)
            if examination.keep(f"spoils {refits}", spoils):
                continue
        except LinkageError:
            continue
        yield _cure(examination, refits), made


def refits_of_valves(examination: Examination, spot: Mistimed | Uneven) -> Iterator[Refitted]:
    """Yield the ways to put rods on with which the valves of both sides go alike.

    Of the side that is thought to be wrong first; where it is known to be wrong, of that alone.
    Each was tried: nothing else is wrong with it.
    """
    sides = sorted(examination.sides, key=lambda name: name != spot.side)
    known = isinstance(spot, Mistimed) and spot.unlike.opposed
    known = known and bool(examination.sides[spot.side].mechanism.watched.admits)
    for side in sides[:1] if known else sides:
        for refits in ways_to_refit(examination.sheet, side):
            if refits[0].from_side != side:  # what the sides differ by, they then differ by still
                continue
            begin_trial()
            try:
                sheet = refit(examination.sheet, refits)
                if not valves_alike(sheet, examination.places(side)):
                    continue
                after = examine(sheet, known=examination).spots
            except LinkageError:
                continue
            if all(was_there(one, examination.spots, 0.0) and one.fault != spot.fault
                   for one in after):  # fmt: skip
                yield _cure(examination, refits)


def refits_of_wheels(examination: Examination) -> Iterator[Refitted]:
    """Yield the ways to put coupling rods on with which coupled wheels turn.

    With all of them on: what one side alone is rid of, the other may have got.
    """
    all_on = replace(examination, rods_on=None)
    ways = [*_refits_of_wheels(examination)]
    turn = all_turn(all_on, [sheet for _, sheet in ways]) if ways else []
    for (refits, sheet), turned in zip(ways, turn, strict=True):
        with suppress(LinkageError):
            if turned and not _spoils(examination, sheet, ""):
                yield _cure(examination, refits)


def _refits_of_wheels(examination: Examination) -> Iterator[tuple[Sequence[Refit], Sheet]]:
    """Yield every way to put coupling rods on otherwise, once, with the sheet as it then is."""
    seen: set[frozenset[Refit]] = set()
    for side in examination.sides:
        rods = bars_of(examination.sheet, side)
        for refits in ways_to_refit(examination.sheet, side):
            coupling = isinstance(rods.get(refits[0].key), CouplingRodTable)
            if coupling and frozenset(refits) not in seen:
                seen.add(frozenset(refits))
                with suppress(LinkageError):
                    yield refits, refit(examination.sheet, refits)


def _spoils(examination: Examination, sheet: Sheet, but: str) -> bool:
    """Tell whether something is wrong with another sheet that was not before, but on one side."""
    wheels = examination.wheels_of(sheet)
    play = examination.play
    if wheels is not None and play is not None and wheels != play.wheels:
        binds_anew = not play.binding and not turns(examination, sheet)
    else:
        binds_anew = False
    if binds_anew:
        return True
    for name, mechanism in build(sheet).items():
        if name == but or side_alike((examination.sides[name],), name, mechanism) is not None:
            continue
        begin_trial()
        before = examination.sides[name]
        after = examine_side(name, mechanism, sheet.wanted_clearance, before)
        if not all(was_there(s, before.spots, 0.0) for s in after.spots):
            return True
    return False


def _cure(examination: Examination, refits: Sequence[Refit]) -> Refitted:
    first = refits[0]

    def name(key: str) -> str:
        part = examination.sides[first.side].mechanism.with_key(key)
        return part.name if part is not None else key

    if first.pins:
        one, other = rods_on_pins(examination.sheet, first)
        return OtherPins(
            (name(one), name(other)), name(first.key), first.side, refits=tuple(refits)
        )
    if len(refits) == 1:
        return TurnRound(name(first.key), first.side, first.turn, refits=tuple(refits))
    parts = (name(first.key), name(first.from_key))
    return Exchange(parts, (first.side, first.from_side), first.turn, refits=tuple(refits))
