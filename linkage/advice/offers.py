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


@dataclass(frozen=True, kw_only=True)
class _Tried:
    """An offer that could be put in its place."""

    offer: Offer  # the part
    turned: bool  # whether end for end
    after: Examination  # the whole examined with it, altered as said
    # least air of its pairs beyond what is asked; less than 0 where it does not fit [mm]
    spare: float
    # what its measuring errors can make of it; None where they are not known
    doubt: Doubt | None = None


@dataclass(frozen=True, kw_only=True)
class Fits(_Tried):
    """All is free with it: as it is, unless it is one of those altered."""

    @property
    def unsettled(self) -> Doubt | None:
        """The doubt where within its measuring errors it may not fit."""
        return self.doubt if self.doubt and self.doubt.worst.slack < 0 else None


@dataclass(frozen=True, kw_only=True)
class FitsAltered(Fits):
    """All is free with it, altered."""

    alteration: Cure  # what has to be done to it, or for it


@dataclass(frozen=True, kw_only=True)
class WillNotDo(_Tried):
    """All is not free with it, and no alteration makes it so."""

    against: TightSpot  # the worst that is left

    @property
    def unsettled(self) -> Doubt | None:
        """The doubt where within its measuring errors it may fit after all."""
        return self.doubt if self.doubt and self.doubt.best.slack >= 0 else None


@dataclass(frozen=True, kw_only=True)
class CannotBeUsed:
    """Its numbers make no mechanism at all."""

    offer: Offer
    refused: str  # why


Verdict = Fits | FitsAltered | WillNotDo | CannotBeUsed


def judge_offer(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> Verdict:
    """Judge one offer, and how sure that is: as it is, turned end for end, with a cure.

    The first of these that fits; of those that do not, the part as it is offered.

    Raises
    ------
    SheetError
        Where its numbers are none that a sheet takes.
    """
    verdict = _judged(sheet, offer, sides)
    if isinstance(verdict, CannotBeUsed):
        return verdict
    return replace(verdict, doubt=doubt_of(verdict.after.sheet, offer, sides))


def _judged(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> Verdict:
    """Judge one offer by its numbers as they are."""
    refused: list[LinkageError] = []
    fitted: list[tuple[bool, Examination]] = []
    for turned in [False, True] if can_turn(sheet, offer, sides) else [False]:
        try:
            found = examine(fit_offer(sheet, offer, sides, turned))
        except SheetError as error:
            if not turned:
                raise SheetError(offer.source, error.problems) from error
            continue
        except LinkageError as error:
            refused.append(error)
            continue
        if found.free:
            return Fits(offer=offer, turned=turned, after=found, spare=_spare(found, offer))
        fitted.append((turned, found))
    for turned, found in fitted:
        altered = _altered(found)
        if altered is not None:
            cure, after = altered
            spare = _spare(after, offer)
            return FitsAltered(
                offer=offer, turned=turned, after=after, spare=spare, alteration=cure
            )
    if not fitted:
        return CannotBeUsed(offer=offer, refused=str(refused[0]))
    turned, found = fitted[0]
    spare = _spare(found, offer)
    return WillNotDo(offer=offer, turned=turned, after=found, spare=spare, against=found.spots[0])


def _altered(found: Examination) -> tuple[Cure, Examination] | None:
    """Return the first cure of the worst spot that makes all free, and the whole after it."""
    for tried in advise(found)[0].cures:
        cure = tried.cure
        if not isinstance(cure, SheetCure) or not cure.changes or isinstance(cure, Correction):
            continue  # another length is another part
        try:
            after = examine(change(found.sheet, dict(cure.changes)))
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
