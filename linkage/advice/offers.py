"""Whether parts that are offered will do: as they are, turned round, altered, or not at all.

They are judged against the engine as it stands: what was wrong before and has nothing to do with
them is told, and does not count against them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from linkage.advice.concern import Concern, Nearest
from linkage.advice.cure import Correction, Cure, SheetCure
from linkage.advice.cures import search_cures
from linkage.advice.offered import OfferedNumber, offered_numbers, with_offered
from linkage.advice.shifts import Shift, find_shifts
from linkage.advice.standing import Engine
from linkage.arrangements import build
from linkage.certainty import Judgement, how_sure_of
from linkage.errors import AssemblyError, LinkageError, SheetError
from linkage.examine import Examination, examine
from linkage.sheet import change
from linkage.sheet.offers import Offer, fit_offer, ways_round
from linkage.tightspots import (
    KINDS,
    CannotClose,
    Close,
    Fouls,
    PlayUsedUp,
    TightSpot,
    TouchesWithPlay,
    kind_of,
    rank,
)


@dataclass(frozen=True, kw_only=True)
class _Tried:
    """An offer that could be put in its place."""

    offer: Offer
    sides: tuple[str, ...]  # where it was put
    turned: frozenset[str]  # the keys of those of its parts that went in end for end
    before: Examination | None  # the engine as it stood; None where it could not be put together
    after: Examination  # the whole examined with it, altered as said
    nearest: Nearest | None  # the pair it rests on; None where nothing comes near
    # tight spots that were there before and are not its own, the worst of each fault
    remains: tuple[TightSpot, ...]
    shifts: tuple[Shift, ...] = ()  # what it makes of the motion; none where nothing is watched
    # how sure it is that it speaks against itself; None where the engine locks for another reason
    sure: Judgement | None = None
    numbers: tuple[OfferedNumber, ...] = ()  # what was offered


@dataclass(frozen=True, kw_only=True)
class _Free(_Tried):
    """All is free with it as far as it is concerned."""

    alteration: Cure | None = None  # what has to be done to it, or for it, first


@dataclass(frozen=True, kw_only=True)
class GoesOn(_Free):
    """All is free with it as far as it is concerned, but the motion is not what it was."""


@dataclass(frozen=True, kw_only=True)
class Fits(_Free):
    """All is free with it as far as it is concerned, and the motion is as it should be."""

    @property
    def heals(self) -> bool:
        """Whether it makes the motion that of the other side, which it was not."""
        return any(not shift.kept and shift.like_other for shift in self.shifts)


@dataclass(frozen=True, kw_only=True)
class WillNotDo(_Tried):
    """All is not free with it, and no alteration makes it so."""

    against: TightSpot  # the worst that is its own


@dataclass(frozen=True)
class CannotBeUsed:
    """Its numbers make no mechanism at all."""

    offer: Offer
    refused: str  # why


@dataclass(frozen=True)
class CannotBeTold:
    """The engine as it stands cannot be put together, and not for want of this."""

    offer: Offer
    refused: str  # why


Judged = Fits | GoesOn | WillNotDo
Verdict = Judged | CannotBeUsed | CannotBeTold


def judge_offer(engine: Engine, offer: Offer, sides: Sequence[str]) -> Verdict:
    """Judge an offer, and how sure that is: as it is, turned end for end, with an alteration.

    The first way that fits; of those that do not, one that goes on; else as it is offered.

    Raises
    ------
    SheetError
        Where its numbers are none that a sheet takes.
    """
    return _Judge(engine, offer, tuple(sides)).verdict()


@dataclass(frozen=True)
class _Judge:
    """One offer against the engine as it stands."""

    engine: Engine
    offer: Offer
    sides: tuple[str, ...]

    @property
    def concern(self) -> Concern:
        return Concern(self.offer.keys, self.sides)

    def verdict(self) -> Verdict:
        refused: list[LinkageError] = []
        tried: list[Judged] = []
        for turned in ways_round(self.engine.sheet, self.offer, self.sides):
            try:
                put = fit_offer(self.engine.sheet, self.offer, self.sides, turned)
                found = examine(put, known=self.engine.found)
            except SheetError:
                if not turned:
                    raise
                continue
            except LinkageError as error:
                refused.append(error)
                continue
            tried.append(self._told(found, turned))
            if isinstance(tried[-1], Fits):
                return self._sure(tried[-1])
        if not tried:
            other = self._in_pieces_anyway(refused[0])
            return (CannotBeTold if other else CannotBeUsed)(self.offer, str(refused[0]))
        for one in tried:
            if isinstance(one, GoesOn):
                return self._sure(one)
        return self._sure(self._first_altered(tried) or tried[0])

    def _in_pieces_anyway(self, refused: LinkageError) -> bool:
        """Tell whether other parts than those offered cannot be joined, as was so before."""
        old = self.engine.refused
        if old is None or not isinstance(refused, AssemblyError):
            return False
        mechanisms = build(self.engine.sheet).values()
        keys = {part.key for m in mechanisms for part in m.parts if part.name in refused.parts}
        return frozenset(old.parts) == frozenset(refused.parts) and keys.isdisjoint(self.offer.keys)

    def _told(
        self, found: Examination, turned: frozenset[str], alteration: Cure | None = None
    ) -> Judged:
        """Say what comes of the offer in its place, without how sure that is."""
        own = self.concern.own(found, self.engine.found)
        faults = {(spot.side, spot.fault) for spot in own}
        remains = {(s.side, s.fault): s for s in reversed(found.spots)}
        numbers = offered_numbers(self.engine.sheet, found.sheet, self.offer, self.sides)
        tried = _Tried(
            offer=self.offer,
            sides=self.sides,
            turned=turned,
            before=self.engine.found,
            after=found,
            nearest=self.concern.nearest(found),
            remains=rank(spot for fault, spot in remains.items() if fault not in faults),
            shifts=find_shifts(self.engine.sheet, found.sheet, numbers, self.sides),
            numbers=numbers,
        )
        tight = _tight(own)
        if tight:
            return WillNotDo(**vars(tried), against=tight[0])
        right = not own and all(shift.right for shift in tried.shifts)
        kind = Fits if right else GoesOn
        return kind(**vars(tried), alteration=alteration)

    def _first_altered(self, tried: Iterable[Judged]) -> Judged | None:
        """Return the first of some ways to put it in that an alteration makes free."""
        for one in tried:
            altered = self._altered(one) if isinstance(one, WillNotDo) else None
            if altered is not None:
                return altered
        return None

    def _altered(self, tried: WillNotDo) -> Judged | None:
        """Return it with the first cure of its worst spot that leaves none of its own."""
        spot = tried.against
        if not isinstance(spot, Fouls | Close | TouchesWithPlay):
            return None  # what else is wrong is put right by another length: by another part
        for advice in search_cures(replace(tried.after, spots=(spot,)), guesses=False):
            for option in advice.cures:
                cure = option.cure
                if not isinstance(cure, SheetCure) or isinstance(cure, Correction):
                    continue
                try:  # a cure without a number on the sheet changes nothing, and leaves the spot
                    after = examine(
                        change(tried.after.sheet, dict(cure.changes)), known=self.engine.found
                    )
                except LinkageError:
                    continue
                if not _tight(self.concern.own(after, self.engine.found)):
                    return self._told(after, tried.turned, cure)
        return None

    def _sure(self, verdict: Judged) -> Verdict:
        """Return a verdict with how sure it is."""
        after = verdict.after
        if any(isinstance(spot, CannotClose) for spot in verdict.remains):
            return verdict
        binds = any(isinstance(spot, PlayUsedUp) for spot in verdict.remains)
        sure = how_sure_of(
            after,
            with_offered(after.sheet, verdict.numbers),
            lambda figure: (
                KINDS[figure.kind].hinders
                and self.concern.decides(after, figure)
                and not (binds and figure.kind is PlayUsedUp)
            ),
            stands=isinstance(verdict, WillNotDo),
        )
        return replace(verdict, sure=sure)


def _tight(spots: Iterable[TightSpot]) -> list[TightSpot]:
    """Return those that hinder the turn; what does not is told by what the part changes."""
    return [spot for spot in spots if kind_of(spot).hinders]
