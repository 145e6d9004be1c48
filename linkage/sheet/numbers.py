"""The numbers of a sheet one by one, and the sheet with one of them moved, for little.

For thousands of variants: `change` reads the whole sheet again and checks it, this does neither.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, cast

from linkage.sheet.dimensions import dimensions_in
from linkage.tables.facts import fields_by_key
from linkage.tables.fields import Location, Table
from linkage.tables.holes import Hole
from linkage.tables.model import Sheet
from linkage.tables.origin import Origin
from linkage.tables.shapes import Side


@dataclass(frozen=True)
class SheetNumber:
    """One number that is its own, on one side or on both.

    Attributes
    ----------
    key : str
        Where it stands.
    value : float [mm, degrees for angles]
        As it is.
    angle : bool
        Whether it is an angle.
    origin : Origin
        Where it comes from.
    places : mapping of str to tuple of Location
        Where it is in the tables of each side that has it.
    """

    key: str
    value: float
    angle: bool
    origin: Origin
    places: Mapping[str, tuple[Location, ...]]


def numbers_of(sheet: Sheet) -> tuple[SheetNumber, ...]:
    """Return every number of a sheet, what is handed on to other tables with its own."""
    places: dict[str, dict[str, tuple[Location, ...]]] = {}
    values: dict[str, float] = {}
    for name, side in sheet.sides.items():
        held = sheet.dimensions[name]
        for (key, value), found in zip(held.items(), dimensions_in(side), strict=True):
            own = sheet.handed_on.get(key, key)
            values.setdefault(own, value)
            by_side = places.setdefault(own, {})
            by_side[name] = (*by_side.get(name, ()), found.location)
    return tuple(
        SheetNumber(key, values[key], key in sheet.angles, sheet.origins[key], by_side)
        for key, by_side in places.items()
    )


def numbers_on(sheet: Sheet, side: str) -> dict[str, SheetNumber]:
    """Return every number of one side by its key, as if that side alone had it.

    One that is handed on to this table too, as a thing to be changed by itself.
    """
    held = tuple(zip(sheet.dimensions[side].items(), dimensions_in(sheet.sides[side]), strict=True))
    places: dict[str, tuple[Location, ...]] = {key: () for (key, _), _ in held}
    for (key, _), found in held:
        for own in dict.fromkeys((key, sheet.handed_on.get(key, key))):
            places[own] = (*places.get(own, ()), found.location)
    return {
        key: SheetNumber(key, value, key in sheet.angles, sheet.origins[key], {side: places[key]})
        for (key, value), _ in held
    }


def with_number(sheet: Sheet, number: SheetNumber, by: float) -> Sheet:
    """Return the sheet with a number moved by so much [mm, degrees], its tables only.

    Not checked, and not for `change`: the data is as typed.
    """
    amount = math.radians(by) if number.angle else by
    sides = dict(sheet.sides)
    for name, locations in number.places.items():
        side: Any = sides[name]
        for location in locations:
            side = _moved(side, location, amount)
        sides[name] = cast(Side, side)
    return replace(sheet, sides=sides)


def with_value(sheet: Sheet, sides: Iterable[str], location: Location, value: Any) -> Sheet:
    """Return the sheet with a value put into the tables of some sides, its tables only.

    Not checked, and not for `change`: for what a sheet can hold and does not.
    """
    held: dict[str, Any] = dict(sheet.sides)
    for name in sides:
        held[name] = _edited(held[name], location, lambda _: value)
    return replace(sheet, sides=held)


def _moved(held: Any, location: Location, by: float) -> Any:
    """Return a table, a tuple, a mapping or a number with what stands at a place moved."""

    def move(value: Any) -> Any:
        return Hole(value.along + by, value.across + by) if isinstance(value, Hole) else value + by

    return _edited(held, location, move)


def _edited(held: Any, location: Location, edit: Callable[[Any], Any]) -> Any:
    """Return a table, a tuple or a mapping with what stands at a place edited."""
    if not location:
        return edit(held)
    step, *rest = location
    if isinstance(held, Table):
        fields = type(held).model_fields
        named = fields_by_key(type(held))[str(step)]
        name = next(name for name, field in fields.items() if field is named)
        inner = _edited(getattr(held, name), tuple(rest), edit)
        return held.model_copy(update={name: inner})
    if isinstance(held, Hole):
        return replace(held, **{str(step): edit(getattr(held, str(step)))})
    if isinstance(held, tuple):
        place = cast(int, step)
        return (*held[:place], _edited(held[place], tuple(rest), edit), *held[place + 1 :])
    return {**held, step: _edited(held[step], tuple(rest), edit)}
