"""One side's tables: the common ones with that side's differences laid over them."""

from __future__ import annotations

import copy
from collections.abc import Mapping, MutableMapping, Sequence
from typing import Any

from linkage.tables.fields import is_dimension

Location = Sequence[int | str]
# Where a side gives one of a group, the common choice among them no longer holds.
_ALTERNATIVES = (
    ({"die_above_trunnion"}, {"die_below_trunnion"}),
    ({"pin_circle", "leads", "follows"}, {"arm", "lean", "leans"}),
    ({"leads"}, {"follows"}),
    ({"ahead_of_die"}, {"behind_die"}),
    ({"side_view"}, {"disc"}, {"bar"}),
    ({"pin_ahead_by"}, {"pin_behind_by"}),
    ({"behind"}, {"ahead_of"}),
)
# The same, in the tables of axles, of coupling rods and of what holds for all of them.
_ALTERNATIVES_IN = {
    "axles": (({"ahead"}, {"back"}),),
    "coupling_rods": (({"from", "to"}, {"pins"}),),
    "coupling": (({"hole"}, {"play"}),),
}


def merge(common: Mapping[str, Any], own: Mapping[str, Any], within: str = "") -> dict[str, Any]:
    """Return the common tables with a side's own laid over them; lists are replaced whole."""
    merged = dict(common)
    for group in (*_ALTERNATIVES, *_ALTERNATIVES_IN.get(within, ())):
        for choice in group:
            if choice & set(own):
                for other in group:
                    if other is not choice:
                        for key in other:
                            merged.pop(key, None)
    for key, value in own.items():
        before = merged.get(key)
        both = isinstance(before, Mapping) and isinstance(value, Mapping)
        whole = is_dimension(before) or is_dimension(value)
        merged[key] = merge(before, value, within or key) if both and not whole else value  # type: ignore[arg-type]
    return merged


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
            held = {} if held is None else held
            here[step] = held
        here = held
    here[location[-1]] = value
