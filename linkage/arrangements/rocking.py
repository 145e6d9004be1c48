"""A lever with two arms on the frame, and the rod and the spindle that it works a valve by.

What a gear has between its own movement and the valve: one arm down to what moves it, one up to
the valve rod, so that the valve goes the other way, by the ratio of the arms.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import ClassVar

from linkage.arrangements.assembly import Assembly, bar, turn
from linkage.arrangements.radial.shaft import add_valve_rod
from linkage.arrangements.radial.tables import DrivenRod, DrivenSpindle, within_of
from linkage.arrangements.shared_tables import (
    SpindleGuide,
    arm_length,
    guide_between,
    spindle_height,
)
from linkage.arrangements.weighshaft import pivot_ahead, pivot_up
from linkage.mechanism import FRAME, Part, Place, Point
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table
from linkage.tables.rods import CENTRES, DEPTH_OF
from linkage.tables.sides import ValveGearSide
from linkage.tables.views import AT_AXLE, Between, OnFrame, PointOf, Seen, View
from linkage.tables.words import Entry

ROCKER, LOWER_PIN, UPPER_PIN = "rocker", "rocker pin", "upper pin"
ROCKER_WORD = Entry(
    "rocker",
    "rocker arm",
    "A lever with an arm down and an arm up, by which the gear works the valve.",
    "the lever that passes the movement on to the valve",
)
_PIVOT = OnFrame("rocker shaft")


class RockerPivot(Table):
    """Where the rocker turns on the frame."""

    ahead: Length = pivot_ahead("rocker shaft")
    up: Length = pivot_up("rocker shaft")


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
    lower_arm: Size = arm_length(
        "lower",
        "pivot to the eccentric rod's pin",
        4.0,
        calliper=Between(_PIVOT, PointOf(ROCKER, LOWER_PIN), "right"),
    )
    upper_arm: Size = arm_length(
        "upper",
        "pivot to the valve rod's pin",
        4.0,
        calliper=Between(_PIVOT, PointOf(ROCKER, UPPER_PIN), "right"),
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
            LOWER_PIN: (0.0, -self.lower_arm),
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

    height: Length = spindle_height(8.0)
    guide: SpindleGuide | None = guide_between(27.0, 33.0)


class RockedSide(ValveGearSide):
    """A side whose valve is worked by a rocker."""

    rocker: Rocker
    valve_rod: RockedValveRod
    valve_spindle: RockedSpindle


def add_rocker(assembly: Assembly, table: Rocker) -> None:
    """Add the rocker on its shaft, with its points "rocker pin" and "upper pin"."""
    pins = table.pins
    arms = [
        bar((pins["pivot"], pins[pin]), table.width, out, table.thickness, label)
        for pin, out, label in (
            (LOWER_PIN, table.out, "lower arm"),
            (UPPER_PIN, table.upper_out, "upper arm"),
        )
    ]
    assembly.part(Part(ROCKER, key="rocker"), pins, arms)
    pivot = Place(FRAME, table.pivot.ahead, table.pivot.up)
    assembly.pin("rocker shaft", assembly.place(ROCKER, "pivot"), pivot)


def drive_valve(assembly: Assembly, side: RockedSide, lower: Point) -> Assembly:
    """Add the valve rod from the rocker's upper arm, and the spindle; return the whole gear.

    `lower` [mm]: where its lower pin stands with the crank straight ahead.
    """
    table = side.rocker
    ahead, up = table.pivot.ahead, table.pivot.up
    lean = math.atan2(lower[1] - up, lower[0] - ahead) + math.pi / 2
    x, y = turn(table.pins[UPPER_PIN], lean)
    rear = assembly.place(ROCKER, UPPER_PIN)
    return add_valve_rod(assembly, side, side.valve_rod, rear, (ahead + x, up + y))
