"""Valve events: when either end of the cylinder gets and loses steam, wherever the reverser is."""

from linkage.events.finding import Events, SideEvents, find_events
from linkage.events.timing import End, EndEvents, Event, Missing, PlaceEvents

__all__ = [
    "End",
    "EndEvents",
    "Event",
    "Events",
    "Missing",
    "PlaceEvents",
    "SideEvents",
    "find_events",
]
