"""What is known of a number of a sheet, by its key, whichever arrangement has it."""

from __future__ import annotations

import re

from pydantic.fields import FieldInfo

from linkage.arrangements import ARRANGEMENTS
from linkage.tables.facts import NO_FACTS, Facts, facts_of, fields_by_key, table_of
from linkage.tables.shapes import Side

_STEP = re.compile(r"[^.\[\]]+")


def facts_at(key: str, tables: type[Side] | None = None) -> Facts:
    """Return the facts of a number.

    Those of none where no arrangement has it.

    Parameters
    ----------
    key : str
        Its place on the sheet, without a side: "radius_rod.bend[1].towards_frames".
    tables : type of Side, optional
        The tables of the arrangement in question: gears may measure alike parts otherwise.
    """
    field = _field_at(key, tables)
    return NO_FACTS if field is None else facts_of(field)


def hint_at(key: str) -> str:
    """Return how a number is measured, by its place on the sheet without a side."""
    field = _field_at(key)
    return (field.description or "") if field else ""


def _field_at(key: str, tables: type[Side] | None = None) -> FieldInfo | None:
    *above, last = (step for step in _STEP.findall(key) if not step.isdigit())
    every = (held.tables for held in ARRANGEMENTS.values())
    for held in every if tables is None else (tables,):
        try:
            return fields_by_key(table_of(held, above))[last]
        except KeyError:
            continue
    return None
