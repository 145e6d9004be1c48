"""The advice put on the sheet: what stands on it once the first cures are done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from linkage.advice.cure import Advice, Changes, changes_of
from linkage.errors import Problem, SheetError
from linkage.examine import Examination
from linkage.sheet import rewrite


@dataclass(frozen=True)
class Applied:
    """A sheet with advice put on it."""

    text: str  # the new sheet, comments kept
    changes: Changes  # what was changed, by key [mm, degrees]
    left: int  # how many tight spots have no cure that is a number on the sheet


def apply_advice(examination: Examination, advice: Iterable[Advice], text: str) -> Applied:
    """Put the first cure of every tight spot on the sheet, as far as it is a number there.

    To be examined again: cures of several spots may get in one another's way.

    Raises
    ------
    SheetError
        Where no cure is a number on the sheet.
    """
    changes: dict[str, float] = {}
    left = 0
    for item in advice:
        first = next(filter(None, (changes_of(tried.cure) for tried in item.cures)), ())
        left += not first
        for key, value in first:
            changes.setdefault(key, value)
    if not changes:
        wrong = "has no cure that is a number on the sheet" if left else "is free: nothing to apply"
        raise SheetError(examination.sheet.source, [Problem("sheet", wrong)])
    return Applied(rewrite(examination.sheet, text, changes), tuple(changes.items()), left)
