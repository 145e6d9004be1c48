"""The least drastic cure of each tight spot, tried on the whole side before it is offered.

Cures are tried in the order of how easily they are undone: set a bent rod back, then a washer,
then a nut made thinner, a bush, an angle set again, a dimension put right or a part replaced, then
filing and easing. A cure says what it takes from the clearance of others.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from linkage.advice.coupling import coupling_cures
from linkage.advice.cure import PUT_RIGHT, Advice, Cure, CureKind, Loss
from linkage.advice.dimensions import dimension_cures
from linkage.advice.keys import first_alike, last_word, on_sheet, own_key
from linkage.advice.parting import ways_to_part
from linkage.advice.resetting import equal_distance, quarter_range, turning_range
from linkage.advice.setting import bent_to, bent_values, length_bends
from linkage.advice.trial import runs_clean, same_way_round
from linkage.arrangements import build
from linkage.examine import Examination, SideFindings, examine_side
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tightspots import ORDER, TightSpot, rank

_LEAN = "return_crank.lean"
_KINDS: Mapping[str, CureKind] = {
    "quarter": "requarter",
    "pin_ahead_by": "requarter",
    "pin_behind_by": "requarter",
    "centres": "replace",
}  # by the last word of a number's key
_TRIED = 6  # tight spots, worst first, for which cures are tried: each trial is a whole survey
_HARDLY = 0.005  # a pair that loses less than this is not called worse off [mm]


def advise(examination: Examination) -> tuple[Advice, ...]:
    """Find cures for the tight spots of a sheet.

    One for each tight spot, in their order. Spots of one pair share their cures, and only the
    worst few spots are worked on.
    """
    known: dict[tuple[str, str, frozenset[str]], tuple[Cure, ...]] = {}
    advice = []
    for spot in examination.spots:
        if spot.play is not None:
            key = ("both", spot.kind, frozenset[str]())  # all are cured together
        else:
            key = (first_alike(examination, spot.side), spot.kind, frozenset(spot.parts))
        if key not in known:
            tried = len(known) < _TRIED
            known[key] = tuple(_cures(examination, spot)) if tried else ()
        advice.append(Advice(spot, known[key]))
    return tuple(advice)


def _cures(examination: Examination, spot: TightSpot) -> Iterator[Cure]:
    """Yield cures, least drastic first: the first that spoils nothing else ends the list."""
    if spot.play is not None:
        yield from _of_play(examination)
        return
    if spot.worn is not None:
        yield Cure("bush", spot.worn.most_by, "", 0.0)
        return
    findings = examination.sides[spot.side]
    if spot.contact is not None:
        candidates = ways_to_part(examination, findings, spot, spot.contact)
    elif spot.kind in ("cannot close", "runs off"):
        candidates = _of_loop(examination, spot)
    else:
        return
    found = False
    for cure, mechanism in candidates:
        after = examine_side(spot.side, mechanism, examination.sheet.wanted_clearance)
        tried = _tried(cure, spot, findings, after)
        if tried is not None:
            found = True
            yield tried
            if not tried.spoils and cure.kind not in PUT_RIGHT:
                return
    if not found:
        yield Cure("measure", " and the ".join(spot.parts), "", 0.0)


def _of_play(examination: Examination) -> Iterator[Cure]:
    """Yield what would let coupled wheels turn: a number put right, and easing last."""
    hides = ""
    for found in coupling_cures(examination):
        hides = hides or found.key
        made = _made(found.now, found.by, found.other)
        cure = Cure(
            _KINDS.get(last_word(found.key), "dimension"),
            _part(found.key),
            "more" if found.by > 0 else "less",
            abs(found.by),
            abs(found.by),
            key=found.key,
            now=found.now,
            other=found.other,
            degrees=found.key in examination.sheet.angles,
            changes=((found.key, made),),
        )
        if cure.kind == "requarter":
            cure = replace(cure, range=quarter_range(examination.sheet, found.key, made))
        yield _with_losses(examination, cure)
    if not hides:
        yield Cure("measure", "rods of both sides, throws and axles", "", 0.0)
    play = examination.play
    most = max((arc.missing for arc in play.binding), default=0.0) if play else 0.0
    if most > 0:
        yield Cure("ease", "holes concerned", "", math.ceil(100 * most) / 100, hides=hides)


def _with_losses(examination: Examination, cure: Cure) -> Cure:
    """Complete a cure of coupled wheels by what it does to the clearances of both sides."""
    sheet, spoils, loses = change(examination.sheet, dict(cure.changes)), [], []
    for name, mechanism in build(sheet).items():
        before = examination.sides[name]
        after = examine_side(name, mechanism, sheet.wanted_clearance)
        spoils += _spoilt(before, after)
        loses += _losses(before, after, frozenset())
    return replace(cure, spoils=rank(spoils), loses=_gravest(loses))


def _of_loop(examination: Examination, spot: TightSpot) -> Iterator[tuple[Cure, Mechanism]]:
    """Yield what would let a loop close, or a travel suffice: straighten first, then dimensions."""
    side = spot.side
    for bend in length_bends(examination.sheet, side):
        straight = build(bent_to(examination.sheet, side, bend, 0.0), side)[side]
        if runs_clean(examination, spot, straight):
            part = bend.table.replace("_", " ")
            changes = on_sheet(examination, side, bent_values(examination.sheet, side, bend, 0.0))
            cure = Cure("set", part, "straight", bend.amount, bend.amount, bend.place)
            yield replace(cure, changes=changes), straight
    for found in dimension_cures(examination, spot):
        made = _made(found.now, found.by, found.other)
        cure = Cure(
            "reset" if found.key == _LEAN else _KINDS.get(last_word(found.key), "dimension"),
            _part(found.key),
            "more" if found.by > 0 else "less",
            abs(found.by),
            abs(found.by if math.isnan(found.other) else found.other - found.now),
            key=found.key,
            now=found.now,
            other=found.other,
            degrees=found.key in examination.sheet.angles,
            changes=on_sheet(examination, side, {own_key(side, found.key): made}),
        )
        if cure.kind == "reset":
            cure = replace(
                cure,
                range=turning_range(examination.sheet, side, found.key, made),
                equal=equal_distance(examination, side, found.key, made),
            )
        yield cure, build(found.sheet, side)[side]


def _made(now: float, by: float, other: float) -> float:
    """Return what a dimension becomes: as on the other side, or so much more."""
    return now + by if math.isnan(other) else other


def _part(key: str) -> str:
    """Return the part that a key is of, in words."""
    words = [word for word in key.split(".")[:-1] if word not in ("right", "left")]
    if words[0] == "axles":
        return f"{words[1]} wheelset"
    if words[0] == "coupling_rods":
        return f"{words[1]} coupling rod"
    return (words or [key])[0].replace("_", " ")


def _tried(cure: Cure, spot: TightSpot, before: SideFindings, after: SideFindings) -> Cure | None:
    """Complete a cure by what it leads to; None where it does not cure."""
    if not same_way_round(before.course, after.course):
        return None
    pair = frozenset(spot.parts)
    own = (spot.kind,) if spot.contact is None else ("fouls", "close")
    if any(s.kind in own and frozenset(s.parts) == pair for s in after.spots):
        return None
    leaves = math.nan
    if spot.contact is not None:
        leaves = next(
            (p.least for p in after.survey.pairs if frozenset(p.parts) == pair), after.survey.reach
        )
    return replace(
        cure,
        leaves=leaves,
        spoils=rank(_spoilt(before, after)),
        loses=_gravest(_losses(before, after, pair)),
    )


def _spoilt(before: SideFindings, after: SideFindings) -> list[TightSpot]:
    """Return the tight spots of a side that were not there before, one a pair and kind."""
    new = (spot for spot in reversed(after.spots) if not _was_there(spot, before.spots))
    return list({(spot.kind, spot.parts): spot for spot in new}.values())


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
        if ORDER.index(old.kind) < ORDER.index(spot.kind):
            return True
        if old.kind == spot.kind:
            worse = old.amount - spot.amount if spot.kind == "close" else spot.amount - old.amount
            if spot.contact is None or worse < _HARDLY:
                return True
    return False
