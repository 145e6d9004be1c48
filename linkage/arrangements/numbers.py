"""What is known of a number of a sheet, by its key, whichever arrangement has it."""

from __future__ import annotations

import re

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
    *above, last = (step for step in _STEP.findall(key) if not step.isdigit())
    for held in ARRANGEMENTS.values():
        try:
            field = fields_by_key(table_of(held.tables, above))[last]
        except KeyError:
            continue
        return facts_of(field)
    return NO_FACTS
