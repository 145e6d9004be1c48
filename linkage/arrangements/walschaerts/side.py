"""One side of a sheet with the gear: all its tables together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar, Self

from pydantic import model_validator

from linkage.arrangements.lifting import LiftingLink
from linkage.arrangements.shared_tables import ValveSpindle, within
from linkage.arrangements.walschaerts.doubts import (
    asked_of_height,
    asked_of_middle,
    asked_of_swing,
)
from linkage.arrangements.walschaerts.layers import under_radius_rod
from linkage.arrangements.walschaerts.tables import (
    CombinationLever,
    EccentricRod,
    ExpansionLink,
    RadiusRod,
    ReturnCrank,
    UnionLink,
)
from linkage.arrangements.weighshaft import Gear, Weighshaft, faults_of_running
from linkage.lengths import Say
from linkage.tables.engine import INNER_FACE, OUT, Crosshead, DropArmPin
from linkage.tables.facts import assumed, maybe
from linkage.tables.fields import Amount, At, Length, Location
from linkage.tables.rods import ConnectingRod, Rod
from linkage.tables.shapes import FELT, JointPlay, play_of
from linkage.tables.sides import SliderCrankSide, ValveGearSide


class GearedConnectingRod(ConnectingRod):
    """Connecting rod: crank pin to crosshead."""

    out: Length = assumed(INNER_FACE, under_radius_rod, 2.6, rare=False, **OUT)


class GearPlay(JointPlay):
    """Play in the joints of the gear, in all: hole less pin, or slot less block."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **JointPlay.JOINTS,
        "return crank pin": "return_crank_pin",
        "link foot pin": "link_foot_pin",
        "trunnion": "trunnion",
        "die block": "die_block",
        "lifting pin": "lifting_pin",
        "weighshaft pin": "weighshaft_pin",
        "radius rod pin": "radius_rod_pin",
        "valve pin": "valve_pin",
        "valve spindle slide": "valve_spindle_slide",
        "union pin": "union_pin",
        "drop arm pin": "drop_arm_pin",
    }

    return_crank_pin: Amount | None = maybe(
        "or any joint that is worn more than the rest",
        0.06,
        no_place=f"{FELT}, or hole less pin",
        **play_of("return crank's pin"),
    )
    link_foot_pin: Amount | None = maybe("hole less pin", **play_of("link's foot pin"))
    trunnion: Amount | None = maybe("hole less pin", **play_of("trunnion"))
    die_block: Amount | None = maybe("slot less block", **play_of("die block"))
    lifting_pin: Amount | None = maybe("hole less pin", **play_of("lifting pin"))
    weighshaft_pin: Amount | None = maybe("hole less pin", **play_of("weighshaft's pin"))
    radius_rod_pin: Amount | None = maybe("hole less pin", **play_of("radius rod's pin"))
    valve_pin: Amount | None = maybe("hole less pin", **play_of("valve pin"))
    valve_spindle_slide: Amount | None = maybe("in all", **play_of("valve spindle in its guide"))
    union_pin: Amount | None = maybe("hole less pin", **play_of("union pin"))
    drop_arm_pin: Amount | None = maybe("hole less pin", **play_of("drop arm's pin"))


class GearedCrosshead(Crosshead):
    """The crosshead with its drop arm."""

    drop_arm_pin: DropArmPin | None = maybe(
        "from the crosshead's pin, along the slide and square to it",
        {"ahead": 2.0, "below": 3.0},
        rare=False,
    )
    drop_arm_out: Length = assumed(
        "inner face of the drop arm, outward from the wheel face",
        within("crosshead.drop_arm_thickness"),
        with_="drop_arm_pin",
        bench="how far out the drop arm of {} sits",
        owner="how far out the finger of {} stands from the wheel",
    )


class ReturnCrankSide(SliderCrankSide):
    """A side whose gear is worked by a return crank."""

    return_crank: ReturnCrank


class LeverSide(ReturnCrankSide, ValveGearSide):
    """A side whose lap and lead come of a combination lever."""

    connecting_rod: GearedConnectingRod
    crosshead: GearedCrosshead
    radius_rod: Rod
    combination_lever: CombinationLever | None = None
    union_link: UnionLink | None = None
    valve_spindle: ValveSpindle

    @model_validator(mode="after")
    def _lever_moved(self) -> Self:
        if self.combination_lever and self.crosshead.drop_arm_pin is None:
            raise ValueError("combination_lever needs crosshead.drop_arm_pin to move its foot")
        if self.union_link and not self.combination_lever:
            raise ValueError("union_link needs a combination_lever to move")
        return self

    @model_validator(mode="after")
    def _admits_alike(self) -> Self:
        lever, valve = self.combination_lever, self.valve
        said = valve.admission if valve else None
        if lever is not None and said not in (None, lever.admission):
            raise At(
                ("valve", "admission"),
                f"combination_lever is pinned for {lever.admission} admission",
            )
        return self


class WalschaertsSide(LeverSide):
    """One side of a sheet of the arrangement "walschaerts"."""

    joint_play: GearPlay = GearPlay.model_validate({})
    eccentric_rod: EccentricRod
    expansion_link: ExpansionLink
    radius_rod: RadiusRod
    lifting_link: LiftingLink | None = None
    weighshaft: Weighshaft | None = None

    LOCOMOTIVE = True
    PLACES = tuple(Gear.model_fields)
    EITHER = ("radius_rod.die_above_trunnion",), ("lifting_link", "weighshaft")

    @model_validator(mode="after")
    def _die_held(self) -> Self:
        holds = {
            "radius_rod.die_above_trunnion": self.radius_rod.die_above_trunnion,
            "radius_rod.die_below_trunnion": self.radius_rod.die_below_trunnion,
            "lifting_link": self.lifting_link,
        }
        given = [name for name, held in holds.items() if held is not None]
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

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        shaft = self.weighshaft
        if shaft is None:
            yield from SliderCrankSide.running_faults(self, running)
        else:
            yield from faults_of_running(shaft, running)

    def odd_proportions(self, say: Say) -> Iterator[tuple[Location, str]]:
        """Yield places whose numbers its proportions give away as hardly meant, with a question."""
        link, rod = self.expansion_link, self.radius_rod.centres
        yield from asked_of_swing(self.return_crank, link, say)
        signs = tuple(asked_of_middle(link, self.eccentric_rod, say))
        yield from signs
        if not signs:  # a trunnion on the wrong side of the axle makes the spindle look wrong too
            trunnion, slope = link.trunnion, math.tan(self.cylinder.inclination)
            height = self.valve_spindle.height / math.cos(self.cylinder.inclination)
            rise = (trunnion.ahead + rod) * slope
            yield from asked_of_height(trunnion.up, rod, height, rise, say)

    def taken_for_granted(self) -> Iterator[str]:
        """Yield what is assumed of it that is no size, in plain words."""
        if self.expansion_link.slot_radius is None:
            yield "the expansion link's slot has the radius rod's length for its radius"
