"""Valve events: when either end of the cylinder gets and loses steam, wherever the reverser is."""

from linkage.events.finding import INSIDE, Events, SideEvents, find_events
from linkage.events.setting import Aim, NoSettingError, Setting, find_setting
from linkage.events.timing import End, EndEvents, Event, Missing, PlaceEvents

__all__ = [
    "INSIDE",
    "Aim",
    "End",
    "EndEvents",
    "Event",
    "Events",
    "Missing",
    "NoSettingError",
    "PlaceEvents",
    "Setting",
    "SideEvents",
    "find_events",
    "find_setting",
]
