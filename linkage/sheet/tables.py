"""What each arrangement's sheet holds for one side, in the trade's words.

Lengths arrive in mm and angles in radians whatever the file's units. A field marked *assumed* is
filled in by `linkage.sheet.assumptions` where the file does not give it, so it always has a value
here. Descriptions are shown by editors and stand as measuring hints on a blank sheet.
"""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from linkage.sheet.coupled import AxleTable, Coupling, CouplingRodTable
from linkage.sheet.engine import CrankPin, Crosshead, Cylinder, SlideBars, Wheels
from linkage.sheet.gear import ExpansionLink, ReturnCrank, ValveSpindle, Weighshaft
from linkage.sheet.rods import (
    CombinationLever,
    ConnectingRod,
    EccentricRod,
    LiftingLink,
    RadiusRod,
    UnionLink,
)
from linkage.sheet.shapes import Anything, CrankTable


class CoupledSide(Anything):
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
    crosshead: Crosshead

    @model_validator(mode="after")
    def _slipper(self) -> Self:
        slipper = self.crosshead.slipper
        if self.slide_bars and slipper and slipper.depth > self.slide_bars.gap:
            raise ValueError("crosshead.slipper.depth should not be more than slide_bars.gap")
        return self


class WalschaertsSide(SliderCrankSide):
    """One side of a sheet of the arrangement "walschaerts"."""

    return_crank: ReturnCrank
    eccentric_rod: EccentricRod
    expansion_link: ExpansionLink
    radius_rod: RadiusRod
    lifting_link: LiftingLink | None = None
    weighshaft: Weighshaft | None = None
    combination_lever: CombinationLever | None = None
    union_link: UnionLink | None = None
    valve_spindle: ValveSpindle

    @model_validator(mode="after")
    def _die_held(self) -> Self:
        given = [
            name
            for name, there in (
                ("radius_rod.die_above_trunnion", self.radius_rod.die_above_trunnion is not None),
                ("radius_rod.die_below_trunnion", self.radius_rod.die_below_trunnion is not None),
                ("lifting_link", self.lifting_link is not None),
            )
            if there
        ]
        if len(given) != 1:
            found = f", not {' and '.join(given)} together" if given else ""
            raise ValueError(
                "the die block is held by exactly one of radius_rod.die_above_trunnion, "
                f"radius_rod.die_below_trunnion, [lifting_link]{found}"
            )
        if (self.lifting_link is None) != (self.weighshaft is None):
            raise ValueError("lifting_link and weighshaft belong together: give both or neither")
        return self

    @model_validator(mode="after")
    def _slot_reaches(self) -> Self:
        offset = self.radius_rod.die_offset
        link = self.expansion_link
        if offset is not None and abs(offset) > link.slot_half_length - link.die_length / 2:
            raise ValueError("the fixed die stands beyond the end of expansion_link's slot")
        radius = link.slot_radius or self.radius_rod.centres
        if radius <= link.slot_half_length:
            raise ValueError("expansion_link.slot_half_length should be less than its slot_radius")
        return self

    @model_validator(mode="after")
    def _lever_moved(self) -> Self:
        if self.combination_lever and self.crosshead.drop_arm_pin is None:
            raise ValueError("combination_lever needs crosshead.drop_arm_pin to move its foot")
        if self.union_link and not self.combination_lever:
            raise ValueError("union_link needs a combination_lever to move")
        return self


class LinkageSide(Anything):
    """A sheet of the arrangement "linkage": parts and joints alone."""

    crank: CrankTable


SideTables = CoupledSide | SliderCrankSide | WalschaertsSide | LinkageSide
ARRANGEMENTS: dict[str, type[CoupledSide] | type[LinkageSide]] = {
    "walschaerts": WalschaertsSide,
    "slider-crank": SliderCrankSide,
    "coupled-wheels": CoupledSide,
    "linkage": LinkageSide,
}
