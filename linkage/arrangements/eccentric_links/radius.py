"""Tables of what two gears have that lift a radius rod: those of Gooch and of Allan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Literal

from linkage.arrangements.eccentric_links.layers import about_radius_rod, behind_rod_of, beside_link
from linkage.arrangements.eccentric_links.tables import Link, slot_radius
from linkage.arrangements.lifting import LiftingLink
from linkage.arrangements.shared_tables import (
    SpindleGuide,
    ValveSpindle,
    guide_between,
    spindle_height,
)
from linkage.arrangements.weighshaft import (
    Gear,
    Weighshaft,
    arm_raised,
    arm_way,
    gear_either_way,
    lifting_arm,
    pivot_ahead,
    pivot_up,
    shaft_ahead,
    shaft_up,
)
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table
from linkage.tables.rods import BENT, BOW, CENTRES, DEPTH, DEPTH_OF, SQUARE, Bend, Rod
from linkage.tables.views import AT_AXLE, Between, OnFrame, PointOf, Seen, View

_HELD = OnFrame("suspension link pin")


class GoochLink(Link):
    """A Gooch link: its slot is curved about the valve's end of the radius rod."""

    slot_radius: Size | None = slot_radius("the radius rod's", 8.0)


class AllanLink(Link):
    """An Allan link: its slot is straight."""

    ORDER: ClassVar[tuple[str, ...]] = ("top_pin", "bottom_pin", "slot_half_length", "fore_rod")


class LiftedRod(Rod):
    """Radius rod: die block to the valve spindle."""

    END_NAMES = (("die block", "rear"), ("valve pin", "front"))

    centres: Size = dim(
        "die block to the valve pin", 8.0, **CENTRES, full_size=(300.0, 2600.0), throws=(1.0, 9.0)
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.5)
    out: Length = assumed(INNER_FACE, beside_link, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())


class AllanRod(LiftedRod):
    """Radius rod: die block to the valve spindle."""

    centres: Size = dim(
        "die block to the valve pin", 12.0, **CENTRES, full_size=(300.0, 2600.0), throws=(1.0, 9.0)
    )


class RodLifter(LiftingLink):
    """Lifting link: weighshaft arm to the radius rod."""

    centres: Size = dim(
        "weighshaft arm to radius rod, pin centres",
        6.0,
        **CENTRES,
        full_size=(150.0, 1200.0),
        throws=(0.4, 4.0),
    )
    pin: LiftingLink.RodPin = dim(
        "on the radius rod, from the die block; or behind_die",
        {"ahead_of_die": 4.0, "above": 0.4},
    )
    out: Length = assumed(INNER_FACE, behind_rod_of("lifting_link"), **OUT)


class Suspended(Rod):
    """Suspension link: what the expansion link hangs by."""

    END_NAMES = (("top",), ("suspension pin", "bottom"))
    UPRIGHT = True

    centres: Size = dim(
        "its upper pin to the expansion link, pin centres",
        8.7,
        **CENTRES,
        full_size=(150.0, 1500.0),
        throws=(0.4, 5.0),
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.5)
    out: Length = assumed(INNER_FACE, behind_rod_of("suspension_link"), **OUT)


class Pivot(Table):
    """Where the suspension link hangs on the frame."""

    ahead: Length = pivot_ahead("suspension link pin")
    up: Length = pivot_up("suspension link pin")


class SuspensionLink(Suspended):
    """Suspension link of a Gooch gear, from a pin on the frame."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle",
            (Seen("suspension link", look="about", at=_HELD),),
            words=AT_AXLE,
        )
    }

    pivot: Pivot = dim("its upper pin, from the driving axle", {"ahead": 18.4, "up": 8.7})


_SHAFT = PointOf("weighshaft", "shaft")
_ARM_END, _LINK_ARM = PointOf("weighshaft", "arm end"), PointOf("weighshaft", "link arm end")


class RodWeighshaft(Weighshaft):
    """The weighshaft and the arm that lifts the radius rod."""

    ahead: Length = shaft_ahead(26.4)
    up: Length = shaft_up(6.4)
    arm: Size = lifting_arm(4.0)
    arm_points: Literal["forward", "back"] = arm_way("back")
    arm_angle: Angle | None = arm_raised(15.0)
    gear: Gear | None = gear_either_way(15.0)
    out: Length = assumed(INNER_FACE, behind_rod_of("lifting_link", "weighshaft"), **OUT)


class TwoArmedShaft(RodWeighshaft):
    """The weighshaft of an Allan gear: one arm lifts the radius rod, the other lowers the link."""

    ahead: Length = shaft_ahead(20.9)
    up: Length = shaft_up(8.7)
    arm: Size = dim(
        "centre of the shaft to the lifting link's pin",
        2.5,
        calliper=Between(_SHAFT, _ARM_END, "here"),
        bench="the length of {}'s arm for the radius rod",
        owner="the length of the arm of {} that lifts the bar",
    )
    link_arm: Size = dim(
        "centre of the shaft to the suspension link's pin, the other way",
        2.5,
        calliper=Between(_LINK_ARM, _SHAFT, "here"),
        bench="the length of {}'s arm for the expansion link",
        owner="the length of the arm of {} that carries the curved piece",
    )
    arm_points: Literal["forward", "back"] = maybe(
        "forward or back, from the shaft: the arm of the radius rod", "forward", "forward"
    )
    arm_angle: Angle | None = arm_raised(18.0)
    gear: Gear | None = gear_either_way(18.0)


class AllanLifter(RodLifter):
    """Lifting link: weighshaft arm to the radius rod."""

    centres: Size = dim(
        "weighshaft arm to radius rod, pin centres",
        8.7,
        **CENTRES,
        full_size=(150.0, 1500.0),
        throws=(0.4, 5.0),
    )
    pin: LiftingLink.RodPin = dim(
        "on the radius rod, from the die block; or behind_die",
        {"ahead_of_die": 5.0, "above": 0.2},
    )


class RodSpindle(ValveSpindle):
    """The valve spindle, forked about the radius rod's eye."""

    height: Length = spindle_height(0.0, drawn=3.0)
    guide: SpindleGuide | None = guide_between(23.0, 34.0)
    length: Size = assumed("valve pin to the front end that can be seen", 9.0)
    out: Length = assumed(
        "inner side of the rod, outward from the wheel face", about_radius_rod, **OUT
    )
