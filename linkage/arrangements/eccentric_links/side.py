"""One side of a sheet with two eccentrics and a link between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar, Self

from pydantic import model_validator

from linkage.arrangements.eccentric_links.radius import (
    AllanLifter,
    AllanLink,
    AllanRod,
    GoochLink,
    LiftedRod,
    RodLifter,
    RodSpindle,
    RodWeighshaft,
    Suspended,
    SuspensionLink,
    TwoArmedShaft,
)
from linkage.arrangements.eccentric_links.tables import (
    BackEccentric,
    BackRod,
    ExpansionLink,
    ForeEccentric,
    ForeRod,
    LiftingLink,
    Link,
    LinkSpindle,
    LinkWeighshaft,
)
from linkage.arrangements.shared_tables import ValveSpindle
from linkage.arrangements.weighshaft import Gear, Weighshaft, faults_of_running
from linkage.tables.facts import maybe
from linkage.tables.fields import Amount, Location
from linkage.tables.shapes import JointPlay, play_of
from linkage.tables.sides import ValveGearSide


class EccentricLinkPlay(JointPlay):
    """Play in the joints of the gear, in all: hole less pin, or slot less block."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **JointPlay.JOINTS,
        "fore eccentric": "fore_eccentric",
        "back eccentric": "back_eccentric",
        "top link pin": "top_link_pin",
        "bottom link pin": "bottom_link_pin",
        "die block": "die_block",
    }

    fore_eccentric: Amount | None = maybe("strap less sheave", **play_of("fore eccentric's strap"))
    back_eccentric: Amount | None = maybe("strap less sheave", **play_of("back eccentric's strap"))
    top_link_pin: Amount | None = maybe("hole less pin", **play_of("link's upper pin"))
    bottom_link_pin: Amount | None = maybe("hole less pin", **play_of("link's lower pin"))
    die_block: Amount | None = maybe("slot less block", **play_of("die block"))


class EccentricLinkSide(ValveGearSide):
    """What a side has in any of these gears."""

    joint_play: EccentricLinkPlay = EccentricLinkPlay.model_validate({})
    fore_eccentric: ForeEccentric
    back_eccentric: BackEccentric
    fore_eccentric_rod: ForeRod
    back_eccentric_rod: BackRod
    expansion_link: Link
    weighshaft: Weighshaft
    valve_spindle: ValveSpindle

    LOCOMOTIVE = True
    PLACES = tuple(Gear.model_fields)

    @property
    def curvature(self) -> float:
        """Of the link's slot, its centre ahead, or behind where it is below nought [1/mm]."""
        raise NotImplementedError

    @model_validator(mode="after")
    def _slot_reaches(self) -> Self:
        if abs(self.curvature) * self.expansion_link.slot_half_length >= 1:
            raise ValueError("expansion_link.slot_half_length should be less than its slot_radius")
        return self

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        yield from faults_of_running(self.weighshaft, running)


class HungLinkSide(EccentricLinkSide):
    """What a side has whose link itself is lifted."""

    expansion_link: ExpansionLink
    lifting_link: LiftingLink
    weighshaft: LinkWeighshaft

    @property
    def curvature(self) -> float:
        """Of the link's slot, whose centre is behind, at the axle [1/mm]."""
        return -1.0 / (self.expansion_link.slot_radius or self.fore_eccentric_rod.centres)


class StephensonSide(HungLinkSide):
    """One side of a sheet of the arrangement "stephenson"."""

    valve_spindle: LinkSpindle


class RadiusRodSide(EccentricLinkSide):
    """What a side has with a radius rod that is lifted."""

    suspension_link: Suspended
    radius_rod: LiftedRod
    lifting_link: RodLifter
    weighshaft: RodWeighshaft
    valve_spindle: RodSpindle


class GoochSide(RadiusRodSide):
    """One side of a sheet of the arrangement "gooch"."""

    expansion_link: GoochLink
    suspension_link: SuspensionLink

    @property
    def curvature(self) -> float:
        """Of the link's slot, whose centre is ahead, at the valve pin [1/mm]."""
        return 1.0 / (self.expansion_link.slot_radius or self.radius_rod.centres)


class AllanSide(RadiusRodSide):
    """One side of a sheet of the arrangement "allan"."""

    expansion_link: AllanLink
    radius_rod: AllanRod
    lifting_link: AllanLifter
    weighshaft: TwoArmedShaft

    @property
    def curvature(self) -> float:
        """Of the link's slot: it is straight."""
        return 0.0
