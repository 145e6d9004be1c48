"""Turns what the checking of a sheet found into plain words, by the key in the file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from linkage.tables.facts import fields_by_key, table_of
from linkage.tables.fields import At, Location, Table, did_you_mean, is_dimension, nearest

_WANTED = {
    "string_type": "should be text",
    "bool_type": "should be true or false",
    "bool_parsing": "should be true or false",
    "dict_type": "should be a table",
    "model_type": "should be a table",
    "model_attributes_type": "should be a table",
    "string_too_short": "should not be empty",
    "too_short": "has too few values",
}
MISSING = "is missing"
UNKNOWN = "is not a known key"
_QUOTED = re.compile(r'"([^"]*)"')
_LONGEST_FOUND = 60


def key_of(location: Sequence[int | str]) -> str:
    """Return a place in the file as a dotted key, lists counted from 1."""
    key = ""
    for step in location:
        if isinstance(step, str) and len(step) > _LONGEST_FOUND:
            step = f"{step[: _LONGEST_FOUND - 3]}..."
        key += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if key else step
    return key


def as_typed(value: object) -> str:
    """Return a value about as it stands in the file, shortened."""
    if isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, Mapping):
        text = "{ " + ", ".join(f"{key} = {as_typed(held)}" for key, held in value.items()) + " }"
    elif isinstance(value, list | tuple):
        text = "[" + ", ".join(as_typed(held) for held in value) + "]"
    else:
        text = str(value)
    return text if len(text) <= _LONGEST_FOUND else f"{text[: _LONGEST_FOUND - 3]}..."


def _table_at(table: type[Table], location: Location) -> type[Table] | None:
    try:
        return table_of(table, [step for step in location if isinstance(step, str)])
    except KeyError:
        return None


def _wrong(kind: str, error: Mapping[str, Any], known: Sequence[str]) -> str:
    """Return what is wanted at a place, in words."""
    last = error["loc"][-1] if error["loc"] else ""
    if kind == "value_error":
        return str(error["ctx"]["error"])
    if kind == "extra_forbidden":
        return f"{UNKNOWN}{did_you_mean(str(last), known)}"
    if kind == "missing":
        return "should have one more value" if isinstance(last, int) else MISSING
    if kind == "literal_error":
        choices = str(error["ctx"]["expected"]).replace("'", '"')
        return f"should be {choices}{did_you_mean(str(error['input']), _QUOTED.findall(choices))}"
    if kind in ("tuple_type", "list_type"):
        return f"should be a list (a table of several is written [[{last}]])"
    if kind == "too_long":
        return f"has too many values: {error['ctx']['max_length']} are the most"
    return _WANTED.get(kind, str(error["msg"]))


def _meant(
    every: Iterable[Mapping[str, Any]], table: type[Table]
) -> Iterator[tuple[int | str, ...]]:
    """Yield the places of keys that are missing, and stand there mistyped."""
    missing = {tuple(details["loc"]) for details in every if details["type"] == "missing"}
    for details in every:
        *place, typed = details["loc"] or ("",)
        here = _table_at(table, tuple(place)) if details["type"] == "extra_forbidden" else None
        if here is not None:
            yield from missing & {
                (*place, near) for near in nearest(str(typed), fields_by_key(here))
            }


def faults_in(error: ValidationError, table: type[Table]) -> list[tuple[Location, str, str]]:
    """Return every fault found in a table.

    Steps from the table to the place, what is wanted there, what stands there. A key that is
    mistyped is one fault, and not a second one for being missing.
    """
    faults = []
    every = error.errors(include_url=False)
    meant = set(_meant(every, table))
    for details in every:
        location = tuple(details["loc"])
        kind = details["type"]
        inside = details.get("ctx", {}).get("error")
        if isinstance(inside, At):
            faults.append(((*location, *inside.location), str(inside), ""))
            continue
        here = _table_at(table, location[:-1])
        wrong = _wrong(kind, details, list(fields_by_key(here)) if here else [])
        if location in meant:
            continue
        if wrong == MISSING and here is not None:
            hint = fields_by_key(here)[str(location[-1])].description
            wrong += f": {hint}" if hint else ""
        value = details["input"]
        silent = kind in ("missing", "extra_forbidden") or (
            kind == "value_error" and isinstance(value, Mapping) and not is_dimension(value)
        )
        faults.append((location, wrong, "" if silent else as_typed(value)))
    return faults
