"""A gear that works its valve by a rocker: loose eccentric, its rod, a two-armed lever, the valve.

The rocker turns on the frame, one arm down to the eccentric rod, the other up to the valve rod, so
that the valve goes the other way than the eccentric, and by the ratio of the arms. With the
eccentric's throw r, an angle a ahead of a crank at t from straight ahead, lower arm l and upper u,
the valve goes, long rods taken as parallel to it ::

    s = -(u/l) r cos(t + a) = (u/l) r cos(t + a - 180)

as an eccentric of throw r u/l that leads by a - 180 would move it without. So for a valve that lets
steam in at its outer edges the eccentric goes behind the crank pin by a right angle less the
advance, where without a rocker it goes ahead by one more than that; and the other way about for
inside admission.

References
----------
Common practice of valve gears with a rocker, from memory: W. E. Dalby, *Valves and Valve-Gear
Mechanisms* (1906).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly, bar, turn
from linkage.arrangements.radial.shaft import add_valve_rod
from linkage.arrangements.radial.sides import DrivenValveSide
from linkage.arrangements.radial.tables import DrivenRod, DrivenSpindle, within_of
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.shared_tables import SpindleGuide
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.slip_eccentric import (
    CENTRE,
    CRANK_PIN,
    ECCENTRIC,
    ROD,
    SlipEccentric,
    SlipEccentricSide,
    SlipPlay,
    ValveRod,
    add_eccentric_rod,
    faults_of_stop,
    stops_of,
)
from linkage.arrangements.starts import crossings
from linkage.arrangements.weighshaft import AHEAD, UP
from linkage.mechanism import FRAME, Part, Place, Point, Running
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import SLIPPED, Degrees, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Location, Size, Table
from linkage.tables.rods import CENTRES, DEPTH_OF, OVER_EYES
from linkage.tables.shapes import play_of
from linkage.tables.views import AT_AXLE, AXLE, Between, OnFrame, PointOf, Seen, Turned, View
from linkage.tables.words import Entry

ROCKER, ROD_PIN, UPPER_PIN = "rocker", "rocker pin", "upper pin"
_PIVOT = OnFrame("rocker shaft")


class RockedEccentric(SlipEccentric):
    """The eccentric, and where either stop holds it."""

    leads: Angle = dim(
        "degrees ahead of the crank pin in forward running, as its stop carries it; below nought "
        "behind it, as for slide valves",
        Degrees(-65.0),
        calliper=Turned(AXLE, CRANK_PIN, CENTRE),
        bench="how far {} is ahead of the crank pin, carried forward",
        owner="how far {} is turned ahead of the {pin}, running forwards",
        mends="turn",
        wrong=SLIPPED,
    )
    follows: Angle = dim(
        "degrees behind the crank pin, as its other stop carries it round backward; below nought "
        "ahead of it",
        Degrees(-65.0),
        no_place="as leads, turned backward against the other stop",
        bench="how far {} is behind the crank pin, carried backward",
        owner="how far {} is turned behind the {pin}, running backwards",
        mends="turn",
        wrong=SLIPPED,
    )


class RockedRod(ValveRod):
    """Eccentric rod: strap to the rocker."""

    END_NAMES = (("eccentric", "rear"), ("rocker", "front"))

    centres: Size = dim(OVER_EYES, 20.0, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))


class RockerPivot(Table):
    """Where the rocker turns on the frame."""

    ahead: Length = dim("of the driving axle", **AHEAD, calliper=Between(AXLE, _PIVOT))
    up: Length = dim("above the driving axle", **UP, calliper=Between(AXLE, _PIVOT, "left"))


class Rocker(Table):
    """The rocker: one arm down to the eccentric rod, one up to the valve rod."""

    ORDER: ClassVar[tuple[str, ...]] = ("pivot", "lower_arm", "upper_arm", "angle")
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, its lower arm upright, from the driving axle",
            (Seen(ROCKER, at=_PIVOT),),
            words=AT_AXLE,
        )
    }

    pivot: RockerPivot = dim("from the driving axle", {"ahead": 20.0, "up": 4.0})
    lower_arm: Size = dim(
        "pivot to the eccentric rod's pin",
        4.0,
        calliper=Between(_PIVOT, PointOf(ROCKER, ROD_PIN), "right"),
        bench="the length of {}'s lower arm",
        owner="the length of the lower arm of {}",
    )
    upper_arm: Size = dim(
        "pivot to the valve rod's pin",
        4.0,
        calliper=Between(_PIVOT, PointOf(ROCKER, UPPER_PIN), "right"),
        bench="the length of {}'s upper arm",
        owner="the length of the upper arm of {}",
    )
    angle: Angle = maybe(
        "degrees between the two arms, measured ahead of the pivot",
        default=math.radians(180.0),
        no_place="seldom anything but straight",
        bench="the angle between {}'s arms",
        owner="the angle between the arms of {}",
    )
    width: Size = assumed("depth of an arm in the side view", 1.0, owner=DEPTH_OF)
    thickness: Size = assumed("of its arms, square to the wheel", 0.4)
    out: Length = assumed(
        "inner face of its lower arm, outward from the wheel face",
        within_of("eccentric_rod", "rocker"),
        **OUT,
    )
    upper_out: Length = assumed(
        "the same of its upper arm, where its shaft goes through the frames",
        lambda near: near.size("rocker.out"),
        bench="where the inner face of {}'s upper arm is",
        owner="how far out from the wheel the upper arm of {} is",
    )

    @property
    def pins(self) -> dict[str, Point]:
        """Its pins from its pivot, its lower arm upright [mm]."""
        up = self.angle - math.pi / 2
        return {
            "pivot": (0.0, 0.0),
            ROD_PIN: (0.0, -self.lower_arm),
            UPPER_PIN: (self.upper_arm * math.cos(up), self.upper_arm * math.sin(up)),
        }


class RockedValveRod(DrivenRod):
    """Valve rod: rocker to the valve spindle."""

    END_NAMES: ClassVar[tuple[tuple[str, ...], tuple[str, ...]]] = (
        ("rocker", "rear"),
        ("valve pin", "front"),
    )

    centres: Size = dim(
        "pin to valve pin", 10.0, **CENTRES, full_size=(300.0, 2600.0), throws=(1.0, 9.0)
    )
    out: Length = assumed(
        INNER_FACE,
        lambda near: (
            within_of("rocker", "valve_rod")(near)
            + near.size("rocker.upper_out")
            - near.size("rocker.out")
        ),
        **OUT,
    )


class RockedSpindle(DrivenSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    height: Length = dim(
        "above the driving axle, at the axle, square to the cylinder's line",
        8.0,
        calliper=Between(AXLE, OnFrame("valve spindle slide"), "left"),
    )
    guide: SpindleGuide | None = maybe(
        "axle to where the valve pin must not go", {"rear": 27.0, "front": 33.0}
    )


class RockerPlay(SlipPlay):
    """Play in the joints of the gear, in all: hole less pin, or strap less sheave."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **SlipPlay.JOINTS,
        ROD_PIN: "rocker_pin",
        "rocker shaft": "rocker_shaft",
        "valve rod pin": "valve_rod_pin",
    }

    rocker_pin: Amount | None = maybe("hole less pin", **play_of("rocker's lower pin"))
    rocker_shaft: Amount | None = maybe("bearing less shaft", **play_of("rocker's shaft"))
    valve_rod_pin: Amount | None = maybe("hole less pin", **play_of("valve rod's rear pin"))


class RockerSide(DrivenValveSide):
    """One side of a sheet of the arrangement "rocker"."""

    joint_play: RockerPlay = RockerPlay.model_validate({})
    eccentric: RockedEccentric
    eccentric_rod: RockedRod
    rocker: Rocker
    valve_rod: RockedValveRod
    valve_spindle: RockedSpindle

    PLACES = SlipEccentricSide.PLACES

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the eccentric is set: the place, and the fault."""
        yield from faults_of_stop(running)


def rocker(side: RockerSide, running: Running = None) -> Assembly:
    """Return an engine with its eccentric against a stop, the rod, the rocker and the valve's rod.

    Joints, besides those of the slider-crank: "eccentric", "rocker pin", "rocker shaft",
    "valve rod pin", "valve pin" and "valve spindle slide".

    `running`: "full_back" for the stop that carries the eccentric backward; else the other.
    """
    assembly = slider_crank(side)
    centre = add_eccentric_rod(assembly, side.eccentric, side.eccentric_rod, ROD_PIN, running)
    table = side.rocker
    pivot, pins = (table.pivot.ahead, table.pivot.up), table.pins
    arms = [
        bar((pins["pivot"], pins[pin]), table.width, out, table.thickness, label)
        for pin, out, label in (
            (ROD_PIN, table.out, "lower arm"),
            (UPPER_PIN, table.upper_out, "upper arm"),
        )
    ]
    assembly.part(Part(ROCKER, key="rocker"), pins, arms)
    assembly.pin("rocker shaft", assembly.place(ROCKER, "pivot"), Place(FRAME, *pivot))
    reach = eye_to_eye(side.eccentric_rod)
    pin = min(crossings(centre, reach, pivot, table.lower_arm), key=lambda point: point[1])
    assembly.pin(ROD_PIN, assembly.place(ROD, ROD_PIN), assembly.place(ROCKER, ROD_PIN), near=pin)
    lean = math.atan2(pin[1] - pivot[1], pin[0] - pivot[0]) + math.pi / 2
    x, y = turn(pins[UPPER_PIN], lean)
    rear = assembly.place(ROCKER, UPPER_PIN)
    add_valve_rod(assembly, side, side.valve_rod, rear, (pivot[0] + x, pivot[1] + y))
    assembly.reverser = stops_of(side.eccentric, running)
    return assembly


ROCKER_GEAR = Arrangement(
    name="rocker",
    does="a loose eccentric that works the valve by a rocker",
    sides=BOTH_SIDES,
    tables=RockerSide,
    build=rocker,
    measured=(
        *ENGINE,
        ECCENTRIC,
        "eccentric_rod",
        "rocker",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="valve_rod.centres",
    words=(
        Entry(
            "rocker",
            "rocker arm",
            "A lever with an arm down and an arm up, by which the eccentric's rod works the valve.",
            "the lever that passes the movement on to the valve",
        ),
    ),
    removable=(ROD_OFF,),
)
