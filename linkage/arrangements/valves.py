"""What times the steam, as the sheet gives it, in what a side's motion is told by."""

from __future__ import annotations

from dataclasses import replace

from linkage.mechanism import Ports, Watched
from linkage.tables.valve import Valve


def watch_valve(
    watched: Watched, slide: str, valve: Valve | None, admission: str | None = None
) -> Watched:
    """Return what a motion is told by, with its valve.

    `slide`: name of the slide whose travel is the valve's. `admission`: "inside" or "outside" where
    the gear itself gives it away, as a combination lever does: at the front dead centre it holds
    the valve open there, ahead with its valve pin below the radius rod's, back with it above.
    """
    said = admission or (valve.admission if valve else None)
    ports = Ports()
    if valve is not None:
        ports = Ports(valve.steam_lap, valve.exhaust, valve.port, valve.middle)
    return replace(watched, valve=slide, admits=_OPENS[said] if said else 0, ports=ports)


_OPENS = {"inside": 1, "outside": -1}
"""Which way the valve goes to let steam in at the front: 1 ahead, -1 back."""
