"""The ready sheets, each read and examined once for all tests of a process."""

from __future__ import annotations

from functools import cache

from linkage.examine import Examination, examine
from linkage.sheet import Sheet, read_sheet
from linkage.sheet.ready import ready_sheets


@cache
def ready(name: str) -> Sheet:
    """Return a ready sheet."""
    return read_sheet(ready_sheets()[name])


@cache
def examined(name: str) -> Examination:
    """Return what was found out about a ready sheet."""
    return examine(ready(name))
