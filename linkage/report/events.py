"""Valve events in words, as a table for a spreadsheet and as plain data."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from typing import Any

from linkage.events import INSIDE, EndEvents, Event, Events, Missing, PlaceEvents, SideEvents
from linkage.lengths import Lengths
from linkage.mechanism import Running
from linkage.report.blocks import Block, Column, Grid, Heading, Paragraph
from linkage.report.cautions import CAUTION
from linkage.report.gear import brief_place
from linkage.report.naming import name_part
from linkage.report.program import program_version
from linkage.report.voice import listed

LACKS = {
    Missing.ADMISSION: ("which edge of the valve lets the steam in", "every event"),
    Missing.STEAM_LAP: ("the steam lap", "lead, admission, cut-off and opening"),
    Missing.EXHAUST_LAP: ("the exhaust lap", "release and compression"),
    Missing.PORT: ("the width of the ports", "whether a port is opened fully"),
}
"""Of what a sheet does not give: what it is, and what cannot be told without it."""
HEADS = (
    "side", "reverser", "runs", "end", "travel [{}]", "link swing [degrees]", "die slip [{}]",
    "lap and lead [{}]", "lead [{}]", "admission [degrees]", "admission [% of stroke]",
    "cut-off [degrees]", "cut-off [% of stroke]", "release [degrees]", "release [% of stroke]",
    "compression [degrees]", "compression [% of return stroke]", "greatest opening [{}]",
)  # fmt: skip
"""Heads of the table for a spreadsheet, the unit of length in braces: a line for each end."""
_COLUMNS = (
    Column("reverser", 3.0), Column("end", 1.2), Column("lead", 1.2, True),
    Column("admits", 1.2, True), Column("cut-off", 2.0, True), Column("release", 2.0, True),
    Column("compression", 2.4, True), Column("opens", 1.2, True),
)  # fmt: skip


def place_words(place: Running) -> str:
    """Say a place of the reverser in a table: "full back", "-17.1 deg"."""
    return "as it is" if place is None else brief_place(place)


def runs_words(place: PlaceEvents) -> str:
    """Say which way the engine runs with the reverser at a place."""
    return {1: "forward", -1: "backward", 0: "either way"}[place.ahead]


def events_blocks(events: Events) -> Iterator[Block]:
    """Yield the events of a sheet: what is told of every side, and how it is to be read."""
    sides = [one for one in events.sides.values() if not one.like]
    for one in sides:
        alike = [other.side for other in events.sides.values() if other.like == one.side]
        yield Heading(_whose(one.side, bool(alike)))
        yield from _side_blocks(one, events.sheet.lengths)
    yield Paragraph(
        "Of each event: per cent of the stroke (of compression: of the return stroke), and degrees "
        "turned from the dead centre of that end, the way the engine runs at that place; admission "
        "in degrees alone. Lead and opening are those of the port at that end; lengths in "
        f"{events.sheet.lengths.unit}.",
        "small",
    )
    yield Paragraph(CAUTION, "small")


def _whose(side: str, alike: bool) -> str:
    if side == "only":
        return "Valve events"
    return "Both sides alike" if alike else side_words(side)


def side_words(side: str) -> str:
    """Say whose events they are, where there is more than one side."""
    return "Inside cylinder" if side == INSIDE else f"{side.capitalize()}-hand side"


def _side_blocks(one: SideEvents, lengths: Lengths) -> Iterator[Block]:
    yield Grid(
        (
            Column("reverser", 3.0), Column("runs", 2.0), Column("travel", 1.2, True),
            Column("link swing", 1.5, True), Column("die slip", 1.5, True),
            Column("lap and lead", 1.8, True),
        ),
        tuple(_motion_row(place, lengths) for place in one.places),
    )  # fmt: skip
    if Missing.ADMISSION not in one.missing and len(one.missing) < len(Missing) - 1:
        yield Grid(
            _COLUMNS, tuple(row for place in one.places for row in _end_rows(one, place, lengths))
        )
        yield Paragraph(say_middle(one, lengths))
    if one.levers:
        yield Paragraph(_say_levers(one))
    if one.missing:
        things = [f"{LACKS[what][0]} ({what.value})" for what in one.missing]
        yield Paragraph(f"Not on the sheet: {listed(things)}.")
        lost = [LACKS[what][1] for what in one.missing]
        yield Paragraph(f"Without them cannot be told: {'; '.join(lost)}.")


def _say_levers(one: SideEvents) -> str:
    """Say how far the levers swing that work an inside valve."""
    swings = [f"{name_part(key)} swings {math.degrees(by):.1f} degrees"
              for key, by in one.levers.items()]  # fmt: skip
    return (
        f"Its valve is worked from both sides: {listed(swings)} at the most, in all. The links "
        "between levers and spindles are taken to stay in line, and all without play. Whether "
        "anything touches between the frames is not looked at, here or by tightspot check."
    )


def say_middle(one: SideEvents, lengths: Lengths) -> str:
    """Say how the valve is taken to be set."""
    if one.levers:
        return f"Its own valve is taken to be set for equal leads{_first_gear(one)}."
    at = f"its pin {lengths.number(one.middle)} ahead of the axle in its middle"
    if not one.equal_leads:
        return f"The valve as the sheet has it set: {at}."
    return f"The valve is taken to be set for equal leads{_first_gear(one)}: {at}."


def _first_gear(one: SideEvents) -> str:
    first = next(place for place in one.places if place.whole).place.at
    return "" if first is None else f" in {place_words(first)} gear"


def _length(value: float | None, lengths: Lengths) -> str:
    return "" if value is None else lengths.figure(value)


def _motion_row(place: PlaceEvents, lengths: Lengths) -> tuple[str, ...]:
    name = place_words(place.place.at)
    if not place.whole:
        return name, "does not go all the way round", "", "", "", ""
    swing = "" if place.swing is None else f"{math.degrees(place.swing):.1f} deg"
    runs = "" if place.lap_and_lead is None else runs_words(place)
    return (name, runs, _length(place.travel, lengths), swing, _length(place.slip, lengths),
            _length(place.lap_and_lead, lengths))  # fmt: skip


def _end_rows(one: SideEvents, place: PlaceEvents, lengths: Lengths) -> Iterator[tuple[str, ...]]:
    lost = not_there(one)
    for k, end in enumerate(place.ends if place.whole else ()):
        name = place_words(place.place.at) if k == 0 else ""
        admits = end.admission
        yield (
            name, end.end, _length(end.lead, lengths),
            "" if admits is None else f"{math.degrees(admits.turned):.0f}",
            _cell(end.cut_off, lost[0]), _cell(end.release, lost[1]),
            _cell(end.compression, lost[1], back=True),
            _length(end.opening, lengths),
        )  # fmt: skip


def not_there(one: SideEvents) -> tuple[str, str]:
    """Say in a table what stands where cut-off, and where release and compression are not.

    "none" where they do not happen, nothing where the sheet does not let them be told.
    """
    steam, exhaust = Missing.STEAM_LAP in one.missing, Missing.EXHAUST_LAP in one.missing
    way = Missing.ADMISSION in one.missing
    return "" if steam or way else "none", "" if exhaust or way else "none"


def _cell(event: Event | None, lost: str, back: bool = False) -> str:
    """Say an event in a table; `back` on the return stroke."""
    if event is None:
        return lost
    share = 1.0 - event.stroke if back else event.stroke
    return f"{100 * share:.1f} {math.degrees(event.turned):4.0f}"


def events_csv(events: Events) -> bytes:
    """Return the events as a table: one line for each end at each place, the heads first.

    Comma-separated, UTF-8; degrees and per cent to 0.01. Empty where something
    cannot be told or does not happen.
    """
    page = io.StringIO()
    table = csv.writer(page, lineterminator="\n")
    lengths = events.sheet.lengths
    table.writerow([head.format(lengths.unit) for head in HEADS])
    for one in events.sides.values():
        for place in one.places:
            for end in place.ends if place.whole else ():
                table.writerow(_line(one, (place, end), lengths))
    return page.getvalue().encode("utf-8")


def _line(one: SideEvents, at: tuple[PlaceEvents, EndEvents], lengths: Lengths) -> list[str]:
    place, end = at

    def said(value: float | None) -> str:
        return "" if value is None else lengths.precisely(value)

    cells = []
    for event in (end.admission, end.cut_off, end.release, end.compression):
        told = _event_data(event, event is end.compression)
        cells += ["", ""] if told is None else [f"{v:.2f}" for v in told.values()]
    swing = "" if place.swing is None else f"{math.degrees(place.swing):.2f}"
    return [
        one.side, place_words(place.place.at), runs_words(place), end.end, said(place.travel),
        swing, said(place.slip), said(place.lap_and_lead), said(end.lead),
        *cells, said(end.opening),
    ]  # fmt: skip


def events_data(events: Events) -> dict[str, Any]:
    """Return the events as one object of plain values.

    ``sides``: of each ``side`` the ``places`` of its reverser (``reverser``: a name, degrees of its
    arm, or null; ``share`` of the way from full forward to full back; ``runs``; ``whole``: whether
    it goes all the way round there), with ``travel_mm``, ``link_swing_deg``, ``die_slip_mm``,
    ``lap_and_lead_mm`` and of either of ``ends`` its events. ``turned_deg`` counts from the dead
    centre of that end, the way it runs; ``percent`` is of the stroke, of compression of the return
    stroke. Null is what cannot be told or does not happen. ``middle_mm``: the valve pin ahead of
    the axle with the valve in its middle, ``set_for_equal_leads`` where the sheet does not say it;
    ``missing``: keys that the sheet does not give; ``sheet``, ``version``.
    """
    return {
        "sides": [
            {
                "side": one.side,
                "middle_mm": round(one.middle, 4),
                "set_for_equal_leads": one.equal_leads,
                "missing": [what.value for what in one.missing],
                "places": [_place_data(place) for place in one.places],
            }
            for one in events.sides.values()
        ],
        "sheet": events.sheet.source,
        "version": program_version(),
    }


def _round(value: float | None, digits: int = 4) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, digits)


def _place_data(held: PlaceEvents) -> dict[str, Any]:
    at = held.place.at
    return {
        "reverser": round(math.degrees(at), 4) if isinstance(at, float) else at,
        "share": _round(held.place.share),
        "whole": held.whole,
        "runs": runs_words(held),
        "travel_mm": _round(held.travel),
        "link_swing_deg": None if held.swing is None else round(math.degrees(held.swing), 3),
        "die_slip_mm": _round(held.slip),
        "lap_and_lead_mm": _round(held.lap_and_lead),
        "ends": [
            {
                "end": end.end,
                "lead_mm": _round(end.lead),
                "admission": _event_data(end.admission),
                "cut_off": _event_data(end.cut_off),
                "release": _event_data(end.release),
                "compression": _event_data(end.compression, back=True),
                "greatest_opening_mm": _round(end.opening),
            }
            for end in (held.ends if held.whole else ())
        ],
    }


def _event_data(event: Event | None, back: bool = False) -> dict[str, float] | None:
    """Return an event as plain values; `back` on the return stroke."""
    if event is None:
        return None
    share = 1.0 - event.stroke if back else event.stroke
    return {
        "turned_deg": round(math.degrees(event.turned), 3),
        "percent": round(100 * share, 3),
    }


def say_missing(one: SideEvents) -> str:
    """Say on a picture what the sheet does not give; empty where it gives all."""
    if not one.missing:
        return ""
    return f"Not on the sheet: {listed([LACKS[what][0] for what in one.missing])}."
