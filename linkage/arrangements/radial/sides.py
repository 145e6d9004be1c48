"""What the sides of radial gears have alike."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.arrangements.radial.tables import DrivenRod, DrivenSpindle, SlideShaft
from linkage.arrangements.weighshaft import Gear, faults_of_running
from linkage.tables.fields import Location
from linkage.tables.sides import ValveGearSide


class DrivenValveSide(ValveGearSide):
    """A side whose valve is worked by a valve rod."""

    valve_rod: DrivenRod
    valve_spindle: DrivenSpindle

    LOCOMOTIVE = True
    PLACES = tuple(Gear.model_fields)


class SlideShaftSide(DrivenValveSide):
    """A side that is reversed by tilting a slide."""

    slide_shaft: SlideShaft

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        yield from faults_of_running(self.slide_shaft, running, "slide_shaft", "lean")
