"""What setting a number of the gear does to the valve events, in words and as plain data."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from linkage.events import Aim, Event, Setting
from linkage.lengths import Lengths
from linkage.report.blocks import Block, Column, Grid, Paragraph
from linkage.report.cautions import CAUTION
from linkage.report.events import events_data, not_there, place_words
from linkage.report.naming import name_number
from linkage.report.program import program_version
from linkage.sheet import is_angle

AIMS = {
    Aim.LEADS: "the leads at both ends are equal",
    Aim.CUT_OFFS: "the cut-offs at both ends are equal",
    Aim.GEARS: "fore and back gear cut off alike, in the mean of both ends",
    Aim.LINK: "the link stands alike at both dead centres (equal distance)",
}
"""What is aimed at, as a clause."""
_MIDDLE = "valve.middle"


def setting_blocks(found: Setting, place: str | None) -> Iterator[Block]:
    """Yield what a number has to be, and what that does to the events."""
    lengths = found.before.sheet.lengths
    gear = "" if found.aim in (Aim.GEARS, Aim.LINK) else f" in {place_words(place)} gear"
    gear = gear if place is not None or not gear else " in full forward gear"
    yield Paragraph(
        f"So that {AIMS[found.aim]}{gear}: {name_number(found.key)} should be "
        f"{_said(found, found.to)}; it is {_said(found, found.now)} now.",
        "strong",
    )
    yield Grid(
        (
            Column("reverser", 2.6), Column("end", 1.2), Column("lead", 1.2, True),
            Column("then", 1.2, True), Column("cut-off", 1.4, True), Column("then", 1.4, True),
            Column("release", 1.4, True), Column("then", 1.4, True),
        ),
        tuple(_rows(found, lengths)),
    )  # fmt: skip
    yield Paragraph(
        f"Cut-off and release in per cent of the stroke, lead in {lengths.unit}. Nothing has been "
        "looked at but the events: tightspot check says whether all is still free.",
        "small",
    )
    yield Paragraph(CAUTION, "small")


def _said(found: Setting, value: float) -> str:
    sheet = found.before.sheet
    if found.key != _MIDDLE and is_angle(sheet, found.key):
        return f"{value:.2f} degrees"
    return sheet.lengths.number(value)


def _rows(found: Setting, lengths: Lengths) -> Iterator[tuple[str, ...]]:
    sides = found.before.sides[found.side], found.after.sides[found.side]
    lost = not_there(sides[0])
    pairs = zip(sides[0].places, sides[1].places, strict=True)
    for before, after in pairs:
        for k, (one, other) in enumerate(zip(before.ends, after.ends, strict=True)):
            yield (
                place_words(before.place.at) if k == 0 else "",
                one.end,
                _length(one.lead, lengths),
                _length(other.lead, lengths),
                *(_share(event, lost[0]) for event in (one.cut_off, other.cut_off)),
                *(_share(event, lost[1]) for event in (one.release, other.release)),
            )


def _length(value: float | None, lengths: Lengths) -> str:
    return "" if value is None else lengths.figure(value)


def _share(event: Event | None, lost: str) -> str:
    return lost if event is None else f"{100 * event.stroke:.1f}"


def setting_data(found: Setting) -> dict[str, Any]:
    """Return what a number has to be as one object of plain values.

    ``key``, ``even``: what is aimed at; ``now`` and ``to`` in ``unit`` ("mm" or "degrees");
    ``before`` and ``after``: as `events_data` has them; ``version``.
    """
    degrees = found.key != _MIDDLE and is_angle(found.before.sheet, found.key)
    return {
        "key": found.key,
        "even": found.aim.value,
        "unit": "degrees" if degrees else "mm",
        "now": round(found.now, 4) if math.isfinite(found.now) else None,
        "to": round(found.to, 4),
        "before": events_data(found.before),
        "after": events_data(found.after),
        "version": program_version(),
    }
