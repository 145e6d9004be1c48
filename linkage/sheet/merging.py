"""One side's tables: the common ones with that side's differences laid over them."""

from __future__ import annotations

import copy
from collections.abc import Mapping, MutableMapping, Sequence
from itertools import permutations
from typing import Any, get_args, get_origin

from linkage.tables.facts import fields_by_key, table_in
from linkage.tables.fields import Table, is_dimension

Location = Sequence[int | str]


def merge(
    common: Mapping[str, Any], own: Mapping[str, Any], table: type[Table] | None
) -> dict[str, Any]:
    """Return the common tables with a side's own laid over them; lists are replaced whole.

    `table`: what they are; None for what is in no table, names and their numbers.
    """
    merged = dict(common)
    for group in table.INSTEAD if table else ():
        for choice, other in permutations(group, 2):
            if not own.keys().isdisjoint(choice):
                merged = {key: value for key, value in merged.items() if key not in other}
    fields = fields_by_key(table) if table else {}
    for key, value in own.items():
        kind = fields[key].annotation if key in fields else None
        merged[key] = _laid_over(merged.get(key), value, kind)
    return merged


def _laid_over(before: Any, value: Any, kind: Any) -> Any:
    if not (isinstance(before, Mapping) and isinstance(value, Mapping)):
        return value
    if is_dimension(before) or is_dimension(value):
        return value
    if get_origin(kind) is dict:  # several of one kind, by their names
        one = get_args(kind)[1]
        own = {name: _laid_over(before.get(name), held, one) for name, held in value.items()}
        return {**before, **own}
    return merge(before, value, table_in(kind))


def stands_in(tables: object, location: Location) -> bool:
    """Return whether a place stands in some tables, or in something given whole above it."""
    for step in location:
        if isinstance(tables, Mapping):
            if step not in tables:
                return False
            tables = tables[step]
        else:
            return True
    return True


def place_in_file(side: str, location: Location, common: object, own: object) -> Location:
    """Return where in the file a place of a merged side stands."""
    if stands_in(own, location):
        return (side, *location)
    above = location[:-1]
    if not stands_in(common, location) and above and stands_in(own, above):
        return location if stands_in(common, above) else (side, *location)
    return location


def value_at(tables: object, location: Location) -> Any:
    """Return what stands at a place, or None."""
    for step in location:
        if isinstance(tables, Mapping):
            tables = tables.get(step)
        elif isinstance(tables, list | tuple) and isinstance(step, int) and step < len(tables):
            tables = tables[step]
        else:
            return None
    return tables


def put(data: MutableMapping[str, Any], location: Location, value: Any, common: Any = None) -> None:
    """Put a value at a place, making the tables on the way; lists come from the common tables."""
    here: Any = data
    for number, step in enumerate(location[:-1]):
        held = here[step] if isinstance(step, int) else here.get(step)
        if held is None:
            if isinstance(location[number + 1], int):
                held = copy.deepcopy(value_at(common, location[: number + 1]))
            here[step] = {} if held is None else held
            held = here[step]  # a document keeps a copy of its own
        here = held
    here[location[-1]] = value
