"""The advice put on the sheet: what stands on it once the first cures are done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from linkage.advice.cure import (
    Advice,
    Changes,
    Cure,
    MeasureAgain,
    MeasureFirst,
    TakeOutSidePlay,
    Tried,
    changes_of,
    refits_of,
)
from linkage.advice.keys import held_key, value_of
from linkage.errors import Problem, SheetError
from linkage.examine import Examination
from linkage.sheet import rewrite
from linkage.sheet.refitting import Refit, refit, rewrite_refitted
from linkage.tightspots import thing_of


@dataclass(frozen=True)
class Applied:
    """A sheet with advice put on it."""

    text: str  # the new sheet, comments kept
    changes: Changes  # what was changed, by key [mm, degrees]
    refits: tuple[Refit, ...]  # which parts were turned or exchanged, before that
    left: int  # how many tight spots have no cure that can be put on the sheet


def apply_advice(examination: Examination, advice: Iterable[Advice], text: str) -> Applied:
    """Put the first cure of every tight spot on the sheet, as far as it can be put there.

    Where two would change one number the same way, it is changed as far as either wants. A rod that
    one cure turns or puts elsewhere is left to that one: what another would do to it was meant for
    it as it is now. To be examined again: cures of several spots may get in one another's way.

    Raises
    ------
    SheetError
        Where no cure can be put on the sheet.
    """
    sheet, changes = examination.sheet, dict[str, float]()
    refits = dict[Refit, None]()
    firsts = [_first_of(item) for item in advice]
    left = firsts.count(None)
    for first in (cure for cure in firsts if cure is not None):
        if not _about(refits_of(first), refits):
            refits |= dict.fromkeys(refits_of(first))
    for first in (cure for cure in firsts if cure is not None):
        for key, value in changes_of(first) if not _changed(first, refits) else ():
            held = changes.get(key, value)
            less = isinstance(first, TakeOutSidePlay)  # the sheet may not have the number yet
            changes[key] = min(held, value) if less else _farther(examination, key, held, value)
    if not changes and not refits:
        wrong = "has no cure that can be put on the sheet" if left else "is free: nothing to apply"
        raise SheetError(examination.sheet.source, [Problem("sheet", wrong)])
    if refits:
        text, sheet = rewrite_refitted(sheet, text, tuple(refits)), refit(sheet, tuple(refits))
    return Applied(rewrite(sheet, text, changes), tuple(changes.items()), tuple(refits), left)


def _first_of(advice: Advice) -> Cure | None:
    """Return the first cure that can be put on a sheet; None where there is none.

    None, too, where it would spoil something, and one before it that is done by hand would not; and
    none that makes more wrong than it puts right: that is looked at before it is done.
    """
    clean = False  # whether one that spoils nothing cannot be put on the sheet
    for tried in advice.cures:
        spoils = bool(tried.outcome.spoils)
        if changes_of(tried.cure) or refits_of(tried.cure):
            if _harms(tried):
                continue
            return None if spoils and clean else tried.cure
        clean = clean or not (spoils or isinstance(tried.cure, MeasureAgain | MeasureFirst))
    return None


def _harms(tried: Tried) -> bool:
    """Tell whether a cure makes more things wrong than it puts right."""
    wrong = {(one.side, thing_of(one)) for one in tried.outcome.spoils}
    return len(wrong) > 1 + tried.outcome.also


def _about(some: Iterable[Refit], refits: Iterable[Refit]) -> bool:
    """Tell whether some refits are about a place that others are about."""
    places = {(one.side, one.key) for one in refits}
    return any((one.side, one.key) in places for one in some)


def _changed(cure: Cure, refits: Iterable[Refit]) -> bool:
    """Tell whether a cure changes a number of a rod that is put on another way, or elsewhere."""
    keys = [key for key, _ in changes_of(cure)]
    return any(
        key.startswith((f"{one.key}.", f"{one.side}.{one.key}.")) for key in keys for one in refits
    )


def _farther(examination: Examination, key: str, one: float, other: float) -> float:
    """Return the one of two new values of a number that is farther from it; else the first.

    Of a number that the sheet does not have yet the first, too: the worst spot is cured first.
    """
    if held_key(examination.sheet, key) is None:
        return one
    now = value_of(examination.sheet, key)
    return other if (other - now) * (one - now) > 0 and abs(other - now) > abs(one - now) else one
