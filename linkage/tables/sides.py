"""What each arrangement's sheet holds for one side, in the trade's words.

Lengths arrive in mm and angles in radians whatever the file's units. A field marked *assumed* is
filled in by `linkage.sheet.assumptions` where the file does not give it, so it always has a value
here. Descriptions are shown by editors and stand as measuring hints on a blank sheet.
"""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from linkage.tables.coupled import AxleTable, Coupling, CouplingRodTable
from linkage.tables.crank_axle import CrankAxle
from linkage.tables.engine import CrankPin, Crosshead, Cylinder, SlideBars, Wheels
from linkage.tables.rods import ConnectingRod
from linkage.tables.shapes import Side
from linkage.tables.valve import Valve


class CoupledSide(Side):
    """One side of a sheet of the arrangement "coupled-wheels", and part of any with wheels."""

    wheels: Wheels
    crank_pin: CrankPin | None = None
    coupling: Coupling | None = None
    axles: dict[str, AxleTable] = Field(default_factory=dict)
    coupling_rods: dict[str, CouplingRodTable] = Field(default_factory=dict)


class SliderCrankSide(CoupledSide):
    """One side of a sheet of the arrangement "slider-crank"."""

    cylinder: Cylinder = Cylinder.model_validate({})
    slide_bars: SlideBars | None = None
    connecting_rod: ConnectingRod
    crank_axle: CrankAxle | None = None
    crosshead: Crosshead

    @model_validator(mode="after")
    def _slipper(self) -> Self:
        slipper = self.crosshead.slipper
        bars = self.slide_bars
        if bars and slipper and slipper.depth > max(bars.gap, bars.gap_rear or 0.0):
            raise ValueError("crosshead.slipper.depth should not be more than slide_bars.gap")
        return self


class ValveGearSide(SliderCrankSide):
    """One side of a sheet of any arrangement that works a valve."""

    valve: Valve | None = None
