"""Tables of what reverses the gear: the weighshaft, and the link that lifts the radius rod."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Literal, Self

from pydantic import model_validator

from linkage.arrangements.walschaerts.layers import behind_lifting, within
from linkage.arrangements.walschaerts.tables import AHEAD, UP
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import Degrees, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table, exactly_one
from linkage.tables.rods import CENTRES, DEPTH, DEPTH_OF, SQUARE, Rod
from linkage.tables.views import AT_AXLE, AXLE, Between, PointOf, Seen, Turned, View


def _arm_in(position: str) -> dict[str, str]:
    """Return the phrases for the arm's angle in a position of the reverser."""
    return {
        "bench": f"the angle of the weighshaft's arm in {position}",
        "owner": f"how the arm of the reversing shaft stands in {position}",
    }


class Gear(Table):
    """Angles of the weighshaft arm in the named positions of the reverser, and nothing else."""

    full_forward: Angle = dim("in full forward gear", **_arm_in("full forward gear"))
    mid: Angle = dim("in mid-gear", **_arm_in("mid-gear"))
    full_back: Angle = dim("in full backward gear", **_arm_in("full backward gear"))

    def named(self) -> dict[str, float]:
        """Return the angles by the names of their places, from full forward to full back [rad]."""
        return {place: getattr(self, place) for place in type(self).model_fields}


_DIE, _LIFTING = PointOf("radius rod", "die block"), PointOf("radius rod", "lifting pin")
_SHAFT, _ARM_END = PointOf("weighshaft", "shaft"), PointOf("weighshaft", "arm end")


class Weighshaft(Table):
    """The weighshaft and its lifting arm, fixed while the wheels turn."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle; arm pointing back and down, so below the horizontal",
            (Seen("weighshaft"),),
            words=AT_AXLE,
        )
    }

    ahead: Length = dim(
        "its centre, from the driving axle",
        29.0,
        rare=True,
        **AHEAD,
        calliper=Between(AXLE, _SHAFT),
    )
    up: Length = dim(
        "its centre, from the driving axle",
        11.0,
        rare=True,
        **UP,
        calliper=Between(AXLE, _SHAFT, "left"),
    )
    arm: Size = dim(
        "centre of the shaft to the lifting link's pin",
        4.0,
        rare=True,
        calliper=Between(_ARM_END, _SHAFT, "here"),
        bench="the length of {}'s arm",
        owner="the length of the arm of {}",
    )
    arm_angle: Angle | None = maybe(
        "degrees above the horizontal",
        Degrees(-20.0),
        calliper=Turned(_SHAFT, None, _ARM_END, reach=1.9),
    )
    arm_points: Literal["forward", "back"] = maybe(
        "forward or back, from the shaft", "back", "forward"
    )
    gear: Gear | None = maybe("the arm's angles in the named positions of the reverser")
    width: Size = assumed("depth of the arm in the side view", 1.0, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, behind_lifting, **OUT)


class LiftingLink(Rod):
    """Lifting link: weighshaft arm to the radius rod."""

    END_NAMES = (("weighshaft pin", "top"), ("lifting pin", "bottom"))
    UPRIGHT = True
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "its pin on the radius rod; die block to the left",
            (Seen("radius rod", look="about"),),
            height=28.0,
        )
    }

    class RodPin(Table):
        """Where it holds the radius rod, measured along the rod from the die block."""

        INSTEAD = ((("ahead_of_die",), ("behind_die",)),)

        ahead_of_die: Length | None = maybe(
            "of the die block",
            calliper=Between(_DIE, _LIFTING),
            bench="how far {} is ahead of the die block",
            owner="how far {} is ahead of the sliding piece in the slot",
        )
        behind_die: Length | None = maybe(
            "behind the die block",
            bench="how far {} is behind the die block",
            owner="how far {} is behind the sliding piece in the slot",
        )
        above: Length = maybe(
            "above the rod's centre line",
            default=0.0,
            calliper=Between(_DIE, _LIFTING, "left"),
            bench="how far {} is above the radius rod's centre line",
            owner="how far {} is above the middle of the bar that it lifts",
        )

        @model_validator(mode="after")
        def _one_way(self) -> Self:
            exactly_one(self, ("ahead_of_die", "behind_die"))
            return self

    centres: Size = dim(
        "weighshaft arm to radius rod, pin centres",
        3.5,
        rare=True,
        **CENTRES,
        full_size=(150.0, 1200.0),
        throws=(0.4, 4.0),
    )
    pin: RodPin = dim(
        "on the radius rod, from the die block; or behind_die",
        {"ahead_of_die": 5.0, "above": 0.4},
        rare=True,
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, within("lifting_link.thickness"), **OUT)
