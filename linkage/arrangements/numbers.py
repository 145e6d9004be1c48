"""What is known of a number of a sheet, by its key, whichever arrangement has it."""

from __future__ import annotations

import re

from pydantic.fields import FieldInfo

from linkage.arrangements import ARRANGEMENTS
from linkage.tables.facts import NO_FACTS, Facts, facts_of, fields_by_key, table_of

_STEP = re.compile(r"[^.\[\]]+")


def facts_at(key: str) -> Facts:
    """Return the facts of a number.

    Those of none where no arrangement has it.

    Parameters
    ----------
    key : str
        Its place on the sheet, without a side: "radius_rod.bend[1].towards_frames".
    """
    field = _field_at(key)
    return NO_FACTS if field is None else facts_of(field)


def hint_at(key: str) -> str:
    """Return how a number is measured, by its place on the sheet without a side."""
    field = _field_at(key)
    return (field.description or "") if field else ""


def _field_at(key: str) -> FieldInfo | None:
    *above, last = (step for step in _STEP.findall(key) if not step.isdigit())
    for held in ARRANGEMENTS.values():
        try:
            return fields_by_key(table_of(held.tables, above))[last]
        except KeyError:
            continue
    return None
