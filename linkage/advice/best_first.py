"""Candidates for a cure, each tried on the whole side before it is offered; the best first.

What each is worth is known only once it is done: what is gone with it, what it makes wrong, and
what is left. Sides are examined at every place of the reverser, which is dear; so a candidate is
followed no further than it can still be of use.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

from linkage.advice.concern import makes_wrong, was_there
from linkage.advice.coupling import turns
from linkage.advice.cure import (
    Correction,
    Cure,
    MakeTrue,
    MeasureAgain,
    Refitted,
    ScrewHome,
    SetBack,
    Shift,
    Together,
    Tried,
    changes_of,
    refits_of,
    undone,
)
from linkage.advice.keys import first_alike, table_at
from linkage.advice.outcomes import at_other_places, gone_with_it, outcome_of
from linkage.advice.patience import OutOfTimeError
from linkage.advice.trial import examined_with
from linkage.errors import LinkageError
from linkage.examine import Examination, valves_alike
from linkage.mechanism import Mechanism
from linkage.play import find_play
from linkage.sheet import change, set_numbers
from linkage.sheet.refitting import refit
from linkage.tables.coupled import CouplingRodTable
from linkage.tightspots import Mistimed, TightSpot, Uneven, play_gone, thing_of

Things = frozenset[Hashable]
Candidates = Iterable[tuple[Cure, Mechanism]]


@dataclass(frozen=True)
class Done:
    """A cure first in its list, that spoils nothing, and what is still wrong once it is done."""

    cures: tuple[Tried, ...]
    side: str
    left: Things


@dataclass(frozen=True)
class _Worked:
    """A cure that works."""

    tried: Tried
    left: Things  # what is still wrong once it is done
    spoils: bool  # whether it makes something wrong that is right
    untimed: bool  # whether the valves of the sides go unlike with it, as they did

    @property
    def order(self) -> tuple[bool, bool, float, bool]:
        """What cures are set in order by: of wrong numbers first what explains most.

        And of rods put on rightly, where the valves of the sides go unlike and still do with them.

        Late are the file, and a number that makes something wrong. Of what explains as much, one
        part comes before all that is fixed together, unless that is not as on the other side.
        """
        cure = self.tried.cure
        number = isinstance(cure, Correction | Shift | Together)
        counts = number and not isinstance(cure, MakeTrue)
        counts = counts or (self.untimed and bool(refits_of(cure)))
        explains = -self.tried.outcome.also if counts else -math.inf
        late = (number and self.spoils) or not undone(cure)
        return late, self.spoils, explains, isinstance(cure, Shift) and not cure.alike


def best_first(
    examination: Examination, spot: TightSpot, candidates: Candidates, done: list[Done]
) -> list[Tried]:
    """Return those that cure when the whole side is examined with them, the best first.

    Notes in `done` what is left once the first is done, where that makes nothing wrong.
    """
    worked: list[_Worked] = []
    with suppress(OutOfTimeError):
        for cure, mechanism in candidates:
            if not undone(cure) and any(not one.tried.outcome.spoils for one in worked):
                break
            clean = any(not one.spoils for one in worked)
            one = _worked(examination, spot, cure, mechanism, clean)
            if one is None:
                continue
            worked.append(one)
            several = isinstance(cure, Correction | Shift | Together | Refitted)
            if not (one.tried.outcome.spoils or several):
                break
        if not worked:
            return [Tried(MeasureAgain(spot.parts))]
    worked.sort(key=lambda one: one.order)
    found = [one.tried for one in worked]
    if worked and _does(found[0].cure) and not worked[0].spoils:
        done.append(Done(tuple(found), first_alike(examination, spot.side), worked[0].left))
    return found


def _worked(
    examination: Examination, spot: TightSpot, cure: Cure, mechanism: Mechanism, clean: bool
) -> _Worked | None:
    """Return a cure with what comes of it; None where it cures nothing, or is of no use.

    `clean`: whether one was found that makes nothing wrong; one that does is then of no use.
    """
    side, before = spot.side, examination.sides[spot.side]
    after = examined_with(examination, side, mechanism)
    outcome = outcome_of(examination, spot, before, after)
    if outcome is None or (clean and makes_wrong(examination, side, Tried(cure, outcome))):
        return None
    others = at_other_places(examination, spot, mechanism)
    if others is None:
        return None
    outcome = replace(outcome, spoils=(*outcome.spoils, *others.spoils))
    if isinstance(cure, Refitted) and outcome.spoils:
        return None
    if isinstance(cure, SetBack):
        binds = _binds(examination, side, cure)
        outcome = replace(outcome, spoils=(*binds, *outcome.spoils))
    untimed = False
    if isinstance(cure, Refitted | ScrewHome | Correction | Shift | Together):
        unlike = any(isinstance(one, Uneven | Mistimed) for one in examination.spots)
        timed = unlike and times_alike(examination, side, cure)
        outcome = replace(outcome, also=gone_with_it(spot, before, after) + timed)
        untimed = unlike and not timed
    tried, left = Tried(cure, outcome), frozenset(map(thing_of, after.spots)) | others.left
    return _Worked(tried, left, makes_wrong(examination, side, tried), untimed)


def times_alike(examination: Examination, side: str, cure: Cure) -> bool:
    """Tell whether the valves of both sides go alike with a cure."""
    sheet, refits = examination.sheet, refits_of(cure)
    try:
        after = refit(sheet, refits) if refits else sheet
        return valves_alike(set_numbers(after, dict(changes_of(cure))), examination.places(side))
    except LinkageError:
        return False


def _does(cure: Cure) -> bool:
    """Tell whether a cure is one that can be done to the sheet."""
    return bool(changes_of(cure) or refits_of(cure))


def _binds(examination: Examination, side: str, cure: SetBack) -> Iterator[TightSpot]:
    """Yield where coupled wheels bind, that did not, on a coupling rod set back."""
    if not isinstance(table_at(examination.sheet, side, cure.bend.key), CouplingRodTable):
        return
    sheet = change(examination.sheet, dict(cure.changes))
    wheels = examination.wheels_of(sheet)
    if wheels is not None and not turns(examination, sheet):
        new = play_gone(find_play(wheels), sheet.right_leads_by)
        yield from (spot for spot in new if not was_there(spot, examination.spots))
