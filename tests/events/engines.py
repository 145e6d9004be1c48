"""Engines whose valves are looked at, each found out about once."""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

from linkage.events import Events, find_events
from linkage.sheet import Sheet, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets


def pacific(**valve: Any) -> Sheet:
    """Return the Pacific with its valve table changed; a value of None takes a key out."""
    data = copy.deepcopy(dict(read_sheet(ready_sheets()["ardmoor-pacific-5in"]).data))
    held = {**data["valve"], **valve}
    data["valve"] = {key: value for key, value in held.items() if value is not None}
    return sheet_from(data, "pacific.toml", ask=False)


@cache
def found() -> Events:
    """Return the Pacific's events as its sheet has it."""
    return find_events(pacific())
