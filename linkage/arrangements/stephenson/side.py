"""One side of a sheet with a Stephenson gear."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar, Self

from pydantic import model_validator

from linkage.arrangements.stephenson.tables import (
    BackEccentric,
    BackRod,
    ExpansionLink,
    ForeEccentric,
    ForeRod,
    LiftingLink,
    LinkSpindle,
    LinkWeighshaft,
)
from linkage.arrangements.weighshaft import Gear, faults_of_running
from linkage.tables.facts import maybe
from linkage.tables.fields import Amount, Location
from linkage.tables.shapes import JointPlay, play_of
from linkage.tables.sides import ValveGearSide


class StephensonPlay(JointPlay):
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


class StephensonSide(ValveGearSide):
    """One side of a sheet of the arrangement "stephenson"."""

    joint_play: StephensonPlay = StephensonPlay.model_validate({})
    fore_eccentric: ForeEccentric
    back_eccentric: BackEccentric
    fore_eccentric_rod: ForeRod
    back_eccentric_rod: BackRod
    expansion_link: ExpansionLink
    lifting_link: LiftingLink
    weighshaft: LinkWeighshaft
    valve_spindle: LinkSpindle

    LOCOMOTIVE = True
    PLACES = tuple(Gear.model_fields)

    @property
    def slot_radius(self) -> float:
        """Of the link's slot [mm]."""
        return self.expansion_link.slot_radius or self.fore_eccentric_rod.centres

    @model_validator(mode="after")
    def _slot_reaches(self) -> Self:
        if self.slot_radius <= self.expansion_link.slot_half_length:
            raise ValueError("expansion_link.slot_half_length should be less than its slot_radius")
        return self

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        yield from faults_of_running(self.weighshaft, running)
