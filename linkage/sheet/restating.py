"""A part's numbers said another way: in another unit, or by another choice of measures."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, MutableMapping
from typing import Any

from linkage.sheet.dimensions import kinds_of
from linkage.sheet.reading import sheet_like
from linkage.tables.facts import fields_by_key, table_in, tables_of
from linkage.tables.fields import Location, Table, is_dimension
from linkage.tables.model import Sheet
from linkage.tables.origin import source_of, with_source, without_source
from linkage.tables.shapes import Side
from linkage.units import parse_length


def in_mm(values: Mapping[str, Any], table: type[Table], unit: str) -> dict[str, Any]:
    """Return a table's values with every bare length in mm, whatever the sheet's unit.

    What cannot be read stays as typed, for the check of the sheet to name.

    Parameters
    ----------
    table : type of Table
        What they are values of; its angles stay as they are.
    unit : {"mm", "in"}
        Unit of bare numbers.
    """
    kinds = {key: kind for key, kind in kinds_of(table).values()}
    fields = fields_by_key(table)
    found = {}
    for key, value in values.items():
        inner = table_in(fields[key].annotation) if key in fields else None
        if kinds.get(key) == "angle":
            found[key] = _edges_in_mm(value, unit)
        elif inner is not None and not is_dimension(value):
            found[key] = _tables_in_mm(value, inner, unit)
        else:
            found[key] = _lengths_in_mm(value, unit)
    return found


def _tables_in_mm(value: Any, table: type[Table], unit: str) -> Any:
    if isinstance(value, list):
        return [_tables_in_mm(one, table, unit) for one in value]
    return in_mm(value, table, unit) if isinstance(value, Mapping) else value


def _edges_in_mm(value: Any, unit: str) -> Any:
    """Return an angle with the rise and the run that it may be given by in mm."""
    if not isinstance(value, Mapping):
        return value
    return {
        key: _lengths_in_mm(held, unit) if key in ("rise", "run") else held
        for key, held in value.items()
    }


def _lengths_in_mm(value: Any, unit: str) -> Any:
    """Return a length, or lengths in lists and tables of one dimension, in mm."""
    if isinstance(value, Mapping):
        return {key: _lengths_in_mm(held, unit) for key, held in value.items()}
    if isinstance(value, list):
        return [_lengths_in_mm(held, unit) for held in value]
    try:
        length = parse_length(without_source(value), unit)
    except ValueError:
        return value
    return with_source(source_of(value), f"{length!r} mm")


def restated(
    values: Mapping[str, Any], fitted: Mapping[str, Any], old: object, side: Side
) -> dict[str, Any]:
    """Return an offered part's values, completed by the fitted part's own in the same measures.

    A return crank offered by its arm alone goes on with the lean that the fitted one has, though
    the sheet gives that by its pin's circle.

    Parameters
    ----------
    fitted : mapping
        The fitted part's values as typed.
    old : Table
        The fitted part.
    side : Side
        The tables of its side.
    """
    if not isinstance(old, Table):
        return dict(values)
    ways: Mapping[str, Any] = {}
    found = dict(values)
    for group in old.INSTEAD:
        for choice in group:
            if found.keys().isdisjoint(choice):
                continue
            ways = ways or old.other_ways(side)
            for key in choice:
                if key not in found and key not in fitted and key in ways:
                    found[key] = ways[key]
    return found


def given_otherwise(sheet: Sheet, wanted: Callable[[str], bool]) -> Sheet | None:
    """Return the sheet with some parts given by their other measures; None where there are none.

    A return crank that is given by its pin's circle is then given by its arm and its lean.

    Parameters
    ----------
    wanted : callable of str
        Whether a number, by its key without a side, is wanted among a part's measures.
    """
    ways: dict[tuple[str, Location], Mapping[str, Any]] = {}
    for name, side in sheet.sides.items():
        for place, table in tables_of(side):
            other = table.other_ways(side)
            if any(wanted(".".join((*map(str, place), key))) for key in other):
                ways[name, place] = other
    if not ways:
        return None
    data = copy.deepcopy(dict(sheet.data))
    for (name, place), other in ways.items():
        kind = type(dict(tables_of(sheet.sides[name]))[place])
        for held in (data, data.get(name, {})):
            typed = _table_at(held, place)
            for key in {one for group in kind.INSTEAD for choice in group for one in choice}:
                typed.pop(key, None)
        _table_at(data if name == "only" else data.setdefault(name, {}), place).update(other)
    return sheet_like(sheet, data)


def _table_at(held: MutableMapping[str, Any], place: Location) -> MutableMapping[str, Any]:
    for step in place:
        held = held.setdefault(str(step), {})
    return held
