"""The table of all faults of the trade, as it stands in DEVELOPERS.md."""

from __future__ import annotations

import math

from linkage.report.elsewhere import ELSEWHERE
from linkage.tightspots import KINDS
from tests.faults.made import MADE, Made

FAULTS = range(1, 53)
BEGIN, END = "<!-- faults -->", "<!-- end of faults -->"


def table() -> str:
    """Return the table as it is to stand between its two marks."""
    rows = ["| | fault | on the sheet | found as | first cure |", "| --- | --- | --- | --- | --- |"]
    elsewhere = {one.fault: one for one in ELSEWHERE}
    for number in FAULTS:
        made = [one for one in MADE if one.fault == number]
        rows += [_row(one) for one in made]
        if number in elsewhere:
            what = elsewhere[number].what
            rows.append(f"| F{number} | {what} | none | `tightspot elsewhere` | as told there |")
    return "\n".join((BEGIN, *rows, END))


def _row(made: Made) -> str:
    found, cure = "no fault, and none told", ""
    if made.finding is not None and made.cure is not None:
        at = "" if math.isnan(made.worst) else f", worst {made.worst:.0f}"
        side = f", {made.side}" if made.side not in ("", "only") else ""
        found = f"{KINDS[made.finding].name}: {', '.join(made.parts)}{side}{at}"
        cure = made.cure.__name__
    return f"| F{made.fault} | {made.name} | {made.sheet} | {found} | {cure} |"
