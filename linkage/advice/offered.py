"""The numbers of a part that is offered, and how well each is known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkage.advice.keys import bare_key, own_key
from linkage.errors import LinkageError
from linkage.sheet import Sheet, change, is_angle
from linkage.sheet.numbers import SheetNumber, numbers_of
from linkage.sheet.offers import Offer
from linkage.tables.origin import Origin


@dataclass(frozen=True)
class OfferedNumber:
    """A number of an offered part."""

    key: str  # on the sheet, without a side
    origin: Origin  # where it comes from, and how far out it may be
    fitted: Origin | None  # the same of the fitted part's number; None where that has none

    @property
    def either(self) -> float:
        """By how much it and the fitted part's may differ and be the same [mm or degrees]."""
        return math.hypot(self.origin.error, self.fitted.error if self.fitted else 0.0)


def offered_numbers(
    fitted: Sheet, put: Sheet, offer: Offer, sides: Sequence[str]
) -> tuple[OfferedNumber, ...]:
    """Return the numbers that were offered, with how well they were measured.

    `fitted`: the sheet as it stands; `put`: with the offer in its place.
    """
    old = {bare_key(k): fitted.origins[k] for side in sides for k in fitted.dimensions[side]}
    found: dict[str, OfferedNumber] = {}
    for key in dict.fromkeys(k for side in sides for k in put.dimensions[side]):
        bare, origin = bare_key(key), put.origins[key]
        typed = _typed(offer, bare)
        if typed is None:
            continue
        own = isinstance(typed, Mapping) and "measured_to" in typed
        if offer.error and origin.known and not own and not is_angle(put, key):
            origin = replace(origin, error=offer.error)
        found[bare] = OfferedNumber(bare, origin, old.get(bare))
    return tuple(found.values())


def _typed(offer: Offer, bare: str) -> Any:
    """Return what an offer's file gives of a number of the sheet; None where nothing."""
    for part in offer.parts:
        if bare.startswith(f"{part.key}."):
            return part.values.get(bare.removeprefix(f"{part.key}.").split(".")[0].split("[")[0])
    return None


def with_offered(sheet: Sheet, offered: Sequence[OfferedNumber]) -> tuple[SheetNumber, ...]:
    """Return the numbers of a sheet, those of a part put on it as well known as they are of it."""
    origins = {number.key: number.origin for number in offered}
    return tuple(
        replace(number, origin=origins.get(bare_key(number.key), number.origin))
        for number in numbers_of(sheet)
    )


def moved(put: Sheet, sides: Sequence[str], by: Mapping[str, float]) -> Sheet | LinkageError:
    """Return the sheet with numbers of the part moved, on all its sides alike.

    `by` [mm or degrees]: how far, by key without a side.
    """
    values = {}
    for side in sides:
        held = put.dimensions[side]
        for key, amount in by.items():
            own = own_key(side, key)
            values[own] = held.get(own, held.get(key, 0.0)) + amount
    try:
        return change(put, values)
    except LinkageError as error:
        return error
