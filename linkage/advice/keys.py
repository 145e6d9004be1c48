"""Keys of numbers on the sheet: of one side, or of both where both have the same numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linkage.arrangements.numbers import facts_at
from linkage.examine import Examination
from linkage.mechanism import Mechanism, Part
from linkage.sheet import Sheet, change

_SAME = 1e-6  # numbers that differ by less are the same [mm, degrees]


def own_key(side: str, bare: str) -> str:
    """Return a key of the common dimensions as that of one side alone.

    As `sheet.change` takes it.
    """
    return f"{side}.{bare}" if side in ("left", "right") else bare


def first_alike(examination: Examination, side: str) -> str:
    """Return the first side that has the same numbers: what cures it cures this one."""

    def bare(name: str) -> dict[str, float]:
        held = examination.sheet.dimensions[name]
        return {key.removeprefix(f"{name}."): value for key, value in held.items()}

    return next(name for name in examination.sides if bare(name) == bare(side))


def on_sheet(
    examination: Examination, side: str, values: Mapping[str, float]
) -> tuple[tuple[str, float], ...]:
    """Return numbers of one side as those of both, where both have the same numbers.

    `values` [mm or degrees] stand by that side's own keys, as `sheet.change` takes them. What a
    side has by a key of its own is changed by that key: the common one would change nothing there.
    """
    if len({first_alike(examination, name) for name in examination.sides}) > 1:
        return tuple(values.items())
    found: dict[str, float] = {}
    for key, value in values.items():
        bare = key.removeprefix(f"{side}.")
        for name, held in examination.sheet.dimensions.items():
            own = f"{name}.{bare}"
            found[own if own in held else bare] = value
    return tuple(found.items())


def table_at(sheet: Sheet, side: str, key: str) -> object:
    """Return one side's table by its key without the side; None where there is none."""
    found: object = sheet.sides[side]
    for step in key.split("."):
        found = found.get(step) if isinstance(found, Mapping) else getattr(found, step, None)
    return found


def named_part(mechanism: Mechanism, text: str) -> Part | None:
    """Return the part that somebody means, by its name or the key of its table."""
    words = text.replace("_", " ")
    named = (part for part in mechanism.parts if words == part.name or text == part.key)
    return next(named, None)


def bare_key(key: str) -> str:
    """Return a key without its side."""
    side, _, bare = key.partition(".")
    return bare if side in ("right", "left") else key


def table_key(key: str) -> str:
    """Return the key of the table that a number stands in, without its side."""
    return bare_key(key).rpartition(".")[0]


def value_of(sheet: Sheet, key: str) -> float:
    """Return a dimension as it is [mm or degrees].

    `key`: the dimension, as for `sheet.change`; of the first side that has it, where it names none.

    Raises
    ------
    SheetError
        Where there is none of that key.
    """
    name = held_key(sheet, key)
    if name is None:
        change(sheet, {key: 0.0})
        raise AssertionError("the sheet has the dimension, but no side has")
    return next(held[name] for held in sheet.dimensions.values() if name in held)


def held_key(sheet: Sheet, key: str) -> str | None:
    """Return the key by which a sheet has a number; None where it has none.

    `key`: as for `sheet.change`: of one side also where the number stands for both.
    """
    for side, held in sheet.dimensions.items():
        own = key.removeprefix(f"{side}.")
        for name in (key, own, f"{side}.{own}"):
            if name in held and (own == key or key.startswith(f"{side}.")):
                return name
    return None


def across(sheet: Sheet, key: str) -> float:
    """Return what a side's own number is on the other side [mm, degrees].

    An angle of a wheel that the other side does not give is nought there. Of a number that is no
    side's own, and of one that is the same there, nan.
    """
    side, _, bare = key.partition(".")
    other = {"right": "left", "left": "right"}.get(side)
    if other is None:
        return math.nan
    name = held_key(sheet, f"{other}.{bare}")
    nought = 0.0 if facts_at(bare).mends == "requarter" else math.nan
    found = nought if name is None else sheet.dimensions[other][name]
    return math.nan if abs(found - value_of(sheet, key)) < _SAME else found
