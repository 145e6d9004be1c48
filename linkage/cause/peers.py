"""What one number of a sheet has to do with others: those of the other side, and its like."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linkage.arrangements.numbers import facts_at
from linkage.cause.fault import OPPOSITE
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber


def split_side(key: str, sheet: Sheet) -> tuple[str, str]:
    """Return the side that a key begins with, if any, and the rest."""
    side, _, bare = key.partition(".")
    return (side, bare) if side in sheet.sides else ("", key)


def across_from(numbers: Mapping[str, SheetNumber], side: str, bare: str) -> float:
    """Return the other side's own number, or the common one that holds for it; nan for a guess."""
    other = OPPOSITE.get(side)
    if other is None:
        return math.nan
    found = numbers.get(f"{other}.{bare}") or numbers.get(bare)
    return found.value if found is not None and found.origin.known else math.nan


def fellow_of(numbers: Mapping[str, SheetNumber], number: SheetNumber, bare: str) -> str:
    """Return the key of the other side's number, which is guessed where this one was measured."""
    side, *others = number.places
    other = OPPOSITE.get(side, "") if not others and number.origin.known else ""
    found = numbers.get(f"{other}.{bare}") or numbers.get(bare)
    guessed = found is not None and other in found.places and not found.origin.known
    return f"{other}.{bare}" if guessed else ""


def told_by_like(sheet: Sheet, numbers: Mapping[str, SheetNumber]) -> dict[str, float]:
    """Return numbers that are not measured where one was that ought to be like it, and is.

    By key, with what the measured one is out by: the throw of one wheel tells that of the others.
    """
    found: dict[str, float] = {}
    for number in numbers.values():
        _, bare = split_side(number.key, sheet)
        wrong = facts_at(bare).wrong
        if wrong is None or not wrong.ought or not number.origin.known:
            continue
        for key in (wrong.ought, *(f"{side}.{wrong.ought}" for side in number.places)):
            guess = numbers.get(key)
            if guess is not None and not guess.origin.known:
                apart = abs(guess.value - number.value)
                if apart <= number.origin.error:
                    found[key] = number.origin.error
    return found
