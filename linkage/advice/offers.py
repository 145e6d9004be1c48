"""Whether a part that is offered will do: as it is, altered, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from linkage.advice.cure import Correction, Cure, SheetCure
from linkage.advice.cures import advise
from linkage.advice.doubt import Doubt, doubt_of
from linkage.errors import LinkageError, SheetError
from linkage.examine import Examination, examine
from linkage.sheet import Sheet, change
from linkage.sheet.offers import Offer, can_turn, fit_offer
from linkage.tightspots import TightSpot


@dataclass(frozen=True)
class Verdict:
    """What was found out about an offer."""

    offer: Offer  # the part
    fits: bool  # whether all is free with it, altered as said
    turned: bool = False  # whether it has to be turned end for end
    alteration: Cure | None = None  # what has to be done to it, or for it
    against: TightSpot | None = None  # the worst that is left, where it does not fit
    after: Examination | None = None  # the whole examined with it; None where it could not be
    refused: str = ""  # why its numbers could not be used at all
    # least air of its pairs beyond what is asked; less than 0 where it does not fit [mm]
    spare: float = float("nan")
    # what its measuring errors can make of it; None where they are not known
    doubt: Doubt | None = None

    @property
    def sure(self) -> bool:
        """Whether that it fits, or does not, holds within the errors it was measured to."""
        if self.doubt is None:
            return True
        return self.doubt.worst.slack >= 0 if self.fits else self.doubt.best.slack < 0


def judge_offer(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> Verdict:
    """Judge one offer, and how sure that is: as it is, turned end for end, with a cure.

    The first of these that fits; of those that do not, the part as it is offered.

    Raises
    ------
    SheetError
        Where its numbers are none that a sheet takes.
    """
    verdict = _judged(sheet, offer, sides)
    if verdict.after is None:
        return verdict
    return replace(verdict, doubt=doubt_of(verdict.after.sheet, offer, sides))


def _judged(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> Verdict:
    """Judge one offer by its numbers as they are."""
    first: Verdict | None = None
    tries = [False, *([True] if can_turn(sheet, offer, sides) else [])]
    fitted: list[tuple[bool, Sheet, Examination]] = []
    for turned in tries:
        try:
            put = fit_offer(sheet, offer, sides, turned)
            found = examine(put)
        except SheetError as error:
            if not turned:
                raise SheetError(offer.source, error.problems) from error
            continue
        except LinkageError as error:
            first = first or Verdict(offer, False, refused=str(error))
            continue
        if found.free:
            return Verdict(offer, True, turned, after=found, spare=_spare(found, offer))
        fitted.append((turned, put, found))
    for turned, put, found in fitted:
        altered = _altered(put, found)
        if altered is not None:
            cure, after = altered
            return Verdict(offer, True, turned, cure, after=after, spare=_spare(after, offer))
    if fitted:
        turned, _, found = fitted[0]
        return Verdict(
            offer, False, turned, against=found.spots[0], after=found, spare=_spare(found, offer)
        )
    assert first is not None
    return first


def _altered(put: Sheet, found: Examination) -> tuple[Cure, Examination] | None:
    """Return the first cure of the worst spot that makes all free, and the whole after it."""
    for tried in advise(found)[0].cures:
        cure = tried.cure
        if not isinstance(cure, SheetCure) or not cure.changes or isinstance(cure, Correction):
            continue  # another length is another part
        try:
            after = examine(change(put, dict(cure.changes)))
        except LinkageError:
            continue
        if after.free:
            return cure, after
    return None


def _spare(found: Examination, offer: Offer) -> float:
    """Return the least air of the part's pairs beyond what is asked [mm]."""
    slack = [
        pair.least - pair.asked
        for side in found.sides.values()
        if (part := side.mechanism.with_key(".".join(offer.table))) is not None
        for pair in side.survey.pairs
        if part.name in pair.parts
    ]
    reach = min(side.survey.reach for side in found.sides.values())
    return min(slack, default=reach - found.sheet.wanted_clearance)
