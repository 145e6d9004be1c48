"""What the errors that an offered part was measured to can make of it.

Each of its numbers is moved by its error, either way, and then all of them together, each the way
that was worse, or better. That is the worst case to the first order; it is tried, not reckoned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkage.advice.concern import Concern
from linkage.advice.keys import bare_key, own_key
from linkage.advice.slack import SlackOfVariants, Stop
from linkage.arrangements import coupled_wheels
from linkage.errors import LinkageError
from linkage.sheet import Sheet, change, is_angle
from linkage.sheet.offers import Offer
from linkage.tables.origin import Origin
from linkage.tightspots import CannotClose, PlayUsedUp, TightSpot


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


@dataclass(frozen=True)
class Doubt:
    """What the measuring errors of an offered part can make of it."""

    # what is nearest to its limit with all its numbers out the worse, or the better, way
    worst: Stop
    best: Stop
    # the number whose error matters most; None where none does
    number: OfferedNumber | None


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


def doubt_of(
    put: Sheet,
    numbers: Sequence[OfferedNumber],
    concern: Concern,
    remains: tuple[TightSpot, ...],
) -> Doubt | None:
    """Say what the measuring errors of an offered part can make of it.

    None where none of its numbers has an error, or the engine locks for another reason.

    `put`: with the part in its place, altered if need be. `concern`: the part. `remains`: the tight
    spots that are not the part's, and that are left out of it.
    """
    uncertain = [number for number in numbers if number.origin.error > 0]
    if not uncertain or any(isinstance(spot, CannotClose) for spot in remains):
        return None
    binds = any(isinstance(spot, PlayUsedUp) for spot in remains)
    wheels = concern.wheels if binds else coupled_wheels
    slack = SlackOfVariants(put.wanted_clearance, remains, wheels)
    moves = [(n.key, way * n.origin.error) for n in uncertain for way in (-1.0, 1.0)]
    found = slack([moved(put, concern.sides, {key: by}) for key, by in moves])
    low, high, spread = {}, {}, []
    for (key, by), (_, back), one, other in zip(
        moves[::2], moves[1::2], found[::2], found[1::2], strict=True
    ):
        low[key], high[key] = (by, back) if one.slack <= other.slack else (back, by)
        spread.append(abs(one.slack - other.slack))
    worst, best = slack([moved(put, concern.sides, way) for way in (low, high)])
    most = max(spread)
    return Doubt(worst, best, uncertain[spread.index(most)] if most else None)


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
