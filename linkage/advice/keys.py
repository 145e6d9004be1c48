"""Keys of numbers on the sheet: of one side, or of both where both have the same numbers."""

from __future__ import annotations

from collections.abc import Mapping

from linkage.examine import Examination
from linkage.mechanism import Mechanism, Part
from linkage.sheet import Sheet, change


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

    `values` [mm or degrees] stand by that side's own keys, as `sheet.change` takes them.
    """
    if len({first_alike(examination, name) for name in examination.sides}) > 1:
        return tuple(values.items())
    return tuple((key.removeprefix(f"{side}."), value) for key, value in values.items())


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
    for side, held in sheet.dimensions.items():
        own = key.removeprefix(f"{side}.")
        for name in (key, own, f"{side}.{own}"):
            if name in held and (own == key or key.startswith(f"{side}.")):
                return held[name]
    change(sheet, {key: 0.0})
    raise AssertionError("the sheet has the dimension, but no side has")
