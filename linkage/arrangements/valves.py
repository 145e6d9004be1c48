"""The valve's spindle, and what times the steam, in what a side's motion is told by."""

from __future__ import annotations

from dataclasses import replace

from linkage.arrangements.assembly import Assembly, bar
from linkage.arrangements.shared_tables import ValveSpindle
from linkage.arrangements.slider_crank import square_to
from linkage.mechanism import Part, Ports, Travel, Watched
from linkage.tables.valve import Valve

SPINDLE, VALVE_PIN, VALVE_SLIDE = "valve spindle", "valve pin", "valve spindle slide"


def add_spindle(assembly: Assembly, spindle: ValveSpindle, direction: float) -> None:
    """Add the spindle with its point "valve pin", sliding along the cylinder [rad] in its guide."""
    ends = ((0.0, 0.0), (spindle.length, 0.0))
    rod = bar(ends, spindle.diameter, spindle.out, spindle.diameter)
    assembly.part(Part(SPINDLE, key="valve_spindle"), {VALVE_PIN: (0.0, 0.0)}, [rod])
    base = square_to(direction, spindle.height)
    assembly.slide(VALVE_SLIDE, assembly.place(SPINDLE, VALVE_PIN), base, direction)
    guide = spindle.guide
    if guide is not None:
        assembly.travels.append(Travel(VALVE_SLIDE, SPINDLE, "guide", guide.rear, guide.front))


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
