"""The page of valve events: six charts of one side."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.figure import Figure

from linkage.draw.page import TOP, box, new_page
from linkage.draw.paint import our_look, paint
from linkage.events import Events, PlaceEvents, SideEvents
from linkage.report.events import place_words, say_middle, say_missing, side_words
from linkage.scene.drawing import Paper, View
from linkage.scene.events import (
    Said,
    opening_view,
    reuleaux_view,
    reverser_view,
    valve_view,
    zeuner_view,
)

_COLUMNS, _WIDE = (0.045, 0.385, 0.705), 0.265
_View = Callable[[SideEvents, PlaceEvents, Said, Paper], View]
_VIEWS: tuple[_View, ...] = (
    lambda one, _, said, paper: valve_view(one, said, paper),
    lambda one, held, _, paper: zeuner_view(held, one, paper),
    lambda one, held, _, paper: reuleaux_view(held, one, paper),
    lambda one, _, said, paper: opening_view(one, said, paper),
    lambda one, _, said, paper: reverser_view(one, said, "travel", paper),
    lambda one, _, said, paper: reverser_view(one, said, "lead", paper),
)
"""The charts of the page, row by row."""
_ROWS, _HIGH = (TOP - 0.345, TOP - 0.76), 0.315


def draw_events(events: Events, one: SideEvents, at: str | None = None) -> Figure:
    """Draw one side's events: valve against piston, both diagrams, openings, travel and lead.

    A4, legible at A5. `at`: name of the place of the two diagrams; full forward, or the first that
    goes all the way round, where none is given.
    """
    held = one.at(at)
    names = {place.place.at: place_words(place.place.at) for place in one.places}
    said = Said(names, events.sheet.lengths)
    with our_look():
        figure = new_page(events.sheet, _say(events, one, held), "valve events")
        for number, view in enumerate(_VIEWS):
            place = (_COLUMNS[number % 3], _ROWS[number // 3], _WIDE, _HIGH)
            paint(figure, place, view(one, held, said, box(place)))
    return figure


def _say(events: Events, one: SideEvents, held: PlaceEvents) -> str:
    """Say what the page shows."""
    alike = [other for other in events.sides.values() if other.like == one.side]
    whose = "" if one.side == "only" else "Both sides alike. " if alike else (
        f"{side_words(one.side)}. "
    )  # fmt: skip
    at = held.place.at
    where = "As it is set" if at is None else f"Diagrams: {place_words(at)} gear"
    front = held.end("front").cut_off
    back = held.end("back").cut_off
    cut = ""
    if front is not None and back is not None:
        cut = f"; cut-off {100 * front.stroke:.1f} per cent front, {100 * back.stroke:.1f} back"
    middle = "" if one.missing else f" {say_middle(one, events.sheet.lengths)}"
    travel = events.sheet.lengths.number(held.travel)
    return f"{whose}{where}; travel {travel}{cut}.{middle} {say_missing(one)}".strip()
