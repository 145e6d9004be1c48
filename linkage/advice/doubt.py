"""Whether what is said of an offered part holds within the errors it was measured to.

Each of its numbers is moved by its error, either way, and then all of them together, each the way
that was worse, or better. That is the worst case to the first order; it is tried, not reckoned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkage.advice.keys import own_key
from linkage.advice.slack import SlackOfVariants, Stop
from linkage.errors import LinkageError
from linkage.sheet import Sheet, change
from linkage.sheet.offers import Offer


@dataclass(frozen=True)
class Doubt:
    """What the measuring errors of an offered part can make of it."""

    # what is nearest to its limit with all its numbers out the worse, or the better, way
    worst: Stop
    best: Stop
    number: str  # the number whose error matters most, without part and side; empty where none does
    error: float  # how well that was measured, plus or minus [mm or degrees]


def doubt_of(put: Sheet, offer: Offer, sides: Sequence[str]) -> Doubt | None:
    """Say what the measuring errors of an offered part can make of it.

    None where none of its numbers has an error.

    `put`: with the part in its place, altered if need be.
    """
    errors = _errors(put, offer, sides)
    if not errors:
        return None
    slack = SlackOfVariants(put.wanted_clearance)
    moves = [(name, way * error) for name, error in errors.items() for way in (-1.0, 1.0)]
    found = slack([_moved(put, offer, sides, {name: by}) for name, by in moves])
    low, high, spread = {}, {}, {}
    for (name, by), (_, back), one, other in zip(
        moves[::2], moves[1::2], found[::2], found[1::2], strict=True
    ):
        low[name], high[name] = (by, back) if one.slack <= other.slack else (back, by)
        spread[name] = abs(one.slack - other.slack)
    worst, best = slack([_moved(put, offer, sides, way) for way in (low, high)])
    number = max(spread, key=lambda name: spread[name])
    return Doubt(worst, best, number if spread[number] else "", errors[number])


def _errors(put: Sheet, offer: Offer, sides: Sequence[str]) -> dict[str, float]:
    """Return the errors of the numbers that were offered, by their name in the part's table."""
    table, found = ".".join(offer.table), {}
    for key, origin in put.origins.items():
        bare = next((key.removeprefix(f"{side}.") for side in sides if key.startswith(f"{side}.")),
                    key)  # fmt: skip
        if not bare.startswith(f"{table}."):
            continue
        name = bare.removeprefix(f"{table}.")
        typed: Any = offer.values.get(name.split(".")[0].split("[")[0])
        if typed is None:
            continue
        own = isinstance(typed, Mapping) and "measured_to" in typed
        found[name] = origin.error if own or not offer.error else offer.error
    return {name: error for name, error in found.items() if error > 0}


def _moved(
    put: Sheet, offer: Offer, sides: Sequence[str], by: Mapping[str, float]
) -> Sheet | LinkageError:
    """Return the sheet with numbers of the part moved, on all its sides alike."""
    values = {}
    for side in sides:
        for name, amount in by.items():
            key = own_key(side, f"{'.'.join(offer.table)}.{name}")
            held = put.dimensions[side]
            values[key] = held.get(key, held.get(key.removeprefix(f"{side}."), 0.0)) + amount
    try:
        return change(put, values)
    except LinkageError as error:
        return error
