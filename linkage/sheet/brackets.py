"""Values as they stand on one line of a sheet's file, tables and lists in brackets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def in_brackets(value: Any) -> Any:
    """Return a plain value as an item of the file that takes one line.

    Examples
    --------
    >>> in_brackets({"at": 2.0, "holes": [{"along": 1.5}]}).as_string()
    '{at = 2.0, holes = [{along = 1.5}]}'
    """
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, held in value.items():
            table.append(key, in_brackets(held))
        return table
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for held in value:
            array.append(in_brackets(held))
        return array
    return tomlkit.item(value)


def lists_in_brackets(value: Any) -> Any:
    """Return a plain value with its lists of tables in brackets, its tables as they are.

    A side that gets one of its own may stand in dotted keys, and [[radius_rod.bend]] below those
    would be one more bend of both sides.
    """
    if isinstance(value, Mapping):
        return {key: lists_in_brackets(held) for key, held in value.items()}
    if isinstance(value, list) and any(isinstance(held, Mapping) for held in value):
        return in_brackets(value)
    return value
