"""The ready sheets, each read and examined once for all tests of a process."""

from __future__ import annotations

from collections import OrderedDict
from functools import cache

import pytest

from linkage.examine import Examination, examine
from linkage.sheet import Sheet, read_sheet
from linkage.sheet.ready import ready_sheets

FREE = {
    "ardmoor-0-4-0-hackworth",
    "ardmoor-0-4-0-slip-eccentric",
    "ardmoor-0-4-0-worn-hole",
    "ardmoor-0-4-2-rocker",
    "ardmoor-0-6-0-good",
    "ardmoor-0-6-0-7mm",
    "ardmoor-0-6-0-stephenson",
    "ardmoor-0-6-2-joy",
    "ardmoor-2-4-0-allan",
    "ardmoor-2-4-0-gooch",
    "ardmoor-2-6-0-dummy-gear",
    "ardmoor-2-6-0-straightened",
    "ardmoor-2-8-0-southern",
    "ardmoor-2-8-2-baker",
    "ardmoor-4-4-0-stephenson-rocker",
    "ardmoor-4-6-0-conjugated",
    "ardmoor-pacific-5in",
    "ardmoor-pacific-5in-whole",
    "chebyshev",
    "four-bar",
    "hoecken",
    "peaucellier",
    "slider-crank",
    "stephenson-gear",
}
"""Ready sheets on which nothing is found: tests/configs holds them to it."""
LIKE = {
    "ardmoor-0-6-0-coupled": "ardmoor-0-6-0-both-long",
    "ardmoor-0-6-0-long-and-short": "ardmoor-0-6-0-both-long",
    "ardmoor-0-6-0-middle-hole": "ardmoor-0-6-0-both-long",
    "ardmoor-0-6-0-rod-long": "ardmoor-0-6-0-both-long",
    "ardmoor-0-6-0-short-throw": "ardmoor-0-6-0-both-long",
    "ardmoor-0-4-0-hackworth": "ardmoor-0-6-2-joy",
    "ardmoor-2-4-0-allan": "ardmoor-2-4-0-gooch",
    "ardmoor-2-6-0-straightened": "ardmoor-0-6-0-7mm",
    "ardmoor-4-4-0-stephenson-rocker": "ardmoor-0-6-0-stephenson",
    "ardmoor-4-6-0-conjugated": "ardmoor-0-6-0-7mm",
    "ardmoor-2-8-0-southern": "ardmoor-2-8-2-baker",
    "ardmoor-pacific-5in": "ardmoor-0-6-0-7mm",
    "ardmoor-pacific-5in-back-gear": "ardmoor-pacific-5in-die-off-slot",
    "ardmoor-pacific-5in-whole": "ardmoor-pacific-5in-two-faults",
    "hoecken": "chebyshev",
}
"""Ready sheets of the same parts and the same kind of finding as another, to write and draw."""
KEPT = 16  # examinations that are no ready sheet's: each is some MB
_known: OrderedDict[int, Examination] = OrderedDict()


def ready_names() -> list[object]:
    """Return the names of all ready sheets; those that are like another are for long runs."""
    return [
        pytest.param(name, marks=pytest.mark.long) if name in LIKE else name
        for name in sorted(ready_sheets())
    ]


@cache
def ready(name: str) -> Sheet:
    """Return a ready sheet."""
    return read_sheet(ready_sheets()[name])


@cache
def examined(name: str) -> Examination:
    """Return what was found out about a ready sheet."""
    return examine(ready(name))


def examined_once(sheet: Sheet) -> Examination:
    """Return what was found out about a sheet, the very one: that of the last few is kept."""
    for name in ready_sheets():
        if ready(name) is sheet:
            return examined(name)
    found = _known.pop(id(sheet), None) or examine(sheet)  # it keeps its sheet, and so the number
    _known[id(sheet)] = found
    while len(_known) > KEPT:
        _known.popitem(last=False)
    return found
