"""Tables of a Stephenson gear's parts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, ClassVar, Literal, Self

from pydantic import model_validator

from linkage.arrangements.eccentric_links.layers import (
    LINK_OUT,
    about_link,
    behind_link,
    behind_rod_of,
    nearer_wheel,
)
from linkage.arrangements.shared_tables import (
    SlottedLink,
    SpindleGuide,
    StrappedRod,
    ValveSpindle,
    spindle_height,
)
from linkage.arrangements.weighshaft import (
    Gear,
    Weighshaft,
    arm_raised,
    arm_way,
    gear_either_way,
    lifting_arm,
    shaft_ahead,
    shaft_up,
)
from linkage.mechanism import PieceSort
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import SLIPPED, Degrees, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table, exactly_one
from linkage.tables.rods import CENTRES, DEPTH, DEPTH_OF, OVER_EYES, SQUARE, Rod
from linkage.tables.views import (
    AXLE,
    Between,
    Circle,
    InSlot,
    PointOf,
    Seen,
    Share,
    Turned,
    View,
)

FORE, BACK, LINK = "fore eccentric", "back eccentric", "expansion link"
_CRANK_PIN = PointOf("crank", "crank pin")
_MIDDLE = PointOf(LINK, "middle")


class Eccentric(Table):
    """One of the eccentrics, fast on the driving axle."""

    INSTEAD = ((("leads",), ("follows",)),)

    throw: Size
    leads: Angle | None
    follows: Angle | None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        exactly_one(self, ("leads", "follows"))
        return self

    @property
    def centre(self) -> tuple[float, float]:
        """Its centre in the crank's axes, x through the crank pin [mm].

        Forward running is clockwise, so what leads is at a negative angle.
        """
        angle = -self.leads if self.leads is not None else (self.follows or 0.0)
        return self.throw * math.cos(angle), self.throw * math.sin(angle)


def _throw(name: str) -> Any:
    return dim(
        "axle centre to the sheave's centre: half of what it moves",
        1.3,
        calliper=Between(AXLE, PointOf("crank", name), "left"),
        bench="the throw of {}",
        owner="how far the middle of {} stands from the axle",
        full_size=(40.0, 120.0),
        throws=(0.12, 0.5),
        twice="is this the whole movement, which is twice the throw?",
    )


def turned_from_pin(name: str, way: str, typical: Degrees | None) -> Any:
    """Return the field of how far an eccentric is turned one way from the crank pin."""
    return maybe(
        f"degrees; {way} the crank pin, in forward running; or write the other way",
        typical,
        rare=typical is None,
        calliper=Turned(AXLE, PointOf("crank", name), _CRANK_PIN),
        bench=f"how far {{}} is {way} the crank pin",
        owner=f"how far {{}} is turned {way} the {{pin}}",
        mends="turn",
        wrong=SLIPPED,
    )


def _view(name: str) -> Mapping[str, View]:
    centre = PointOf("crank", name)
    return {
        "": View(
            "side view, from outside: crank pin ahead",
            (
                Circle(centre, Share(AXLE, centre, 1.6)),
                Seen("crank", (PieceSort.CRANK_PIN,), look="about"),
            ),
            ((AXLE, _CRANK_PIN), (AXLE, centre)),
            {AXLE: ("axle", "above"), _CRANK_PIN: ("crank pin", "right")},
        )
    }


class ForeEccentric(Eccentric):
    """The eccentric for forward running."""

    VIEWS: ClassVar[Mapping[str, View]] = _view(FORE)

    throw: Size = _throw(FORE)
    leads: Angle | None = turned_from_pin(FORE, "ahead of", Degrees(110.0))
    follows: Angle | None = turned_from_pin(FORE, "behind", None)


class BackEccentric(Eccentric):
    """The eccentric for backward running."""

    VIEWS: ClassVar[Mapping[str, View]] = _view(BACK)

    throw: Size = _throw(BACK)
    leads: Angle | None = turned_from_pin(BACK, "ahead of", None)
    follows: Angle | None = turned_from_pin(BACK, "behind", Degrees(110.0))


class EccentricRod(StrappedRod):
    """Eccentric rod: strap to the link."""

    END_NAMES = (("eccentric", "rear"), ("link pin", "front"))

    centres: Size = dim(OVER_EYES, 18.8, **CENTRES, full_size=(700.0, 2600.0), throws=(2.0, 8.0))


class ForeRod(EccentricRod):
    """The fore eccentric's rod."""

    out: Length = assumed(INNER_FACE, behind_link, **OUT)


class BackRod(EccentricRod):
    """The back eccentric's rod."""

    out: Length = assumed(INNER_FACE, nearer_wheel, **OUT)


class TopPin(Table):
    """The upper rod's pin, from the middle of the slot, the link upright."""

    above: Size = dim(
        "above the middle of the slot",
        calliper=Between(_MIDDLE, PointOf(LINK, "top pin"), "right"),
        bench="how far {} is above the middle of the slot",
        owner="how far {} is above the middle of the opening",
    )
    back: Length = maybe(
        "behind the middle of the slot, towards the driving axle",
        default=0.0,
        calliper=Between(PointOf(LINK, "top pin"), _MIDDLE, "above"),
        drawn=1.5,
        bench="how far {} is behind the middle of the slot",
        owner="how far {} is behind the middle of the opening",
    )


class BottomPin(Table):
    """The lower rod's pin, from the middle of the slot, the link upright."""

    below: Size = dim(
        "below the middle of the slot",
        calliper=Between(_MIDDLE, PointOf(LINK, "bottom pin"), "right"),
        bench="how far {} is below the middle of the slot",
        owner="how far {} is below the middle of the opening",
    )
    back: Length = maybe(
        "behind the middle of the slot, towards the driving axle",
        default=0.0,
        calliper=Between(PointOf(LINK, "bottom pin"), _MIDDLE),
        drawn=1.5,
        bench="how far {} is behind the middle of the slot",
        owner="how far {} is behind the middle of the opening",
    )


class SuspensionPin(Table):
    """Where the lifting link holds it, from the middle of the slot, the link upright."""

    up: Length = maybe(
        "above the middle of the slot; below nought beneath it",
        default=0.0,
        no_place="a launch link hangs by its middle; else as the other pins",
        bench="how far up {} is from the middle of the slot",
        owner="how far up {} is from the middle of the opening",
    )
    back: Length = maybe(
        "behind the middle of the slot: the back-set of its saddle",
        default=0.0,
        no_place="as the other pins",
        bench="how far {} is behind the middle of the slot",
        owner="how far {} is behind the middle of the opening",
    )


class Link(SlottedLink):
    """The expansion link: launch link with its pins in line with the slot, or loco link behind."""

    ORDER: ClassVar[tuple[str, ...]] = (
        "top_pin",
        "bottom_pin",
        "slot_half_length",
        "slot_radius",
        "fore_rod",
    )
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, slot upright at its middle; pins drawn well back",
            (Seen(LINK),),
            (tuple(InSlot(LINK, along / 6) for along in range(-6, 7)),),
            {_MIDDLE: ("middle of the slot", "right")},
        )
    }

    top_pin: TopPin = dim(
        "from the middle of the slot, upright; back is towards the driving axle",
        {"above": 3.6, "back": 0.0},
    )
    bottom_pin: BottomPin = dim("likewise", {"below": 3.6, "back": 0.0})
    suspension_pin: SuspensionPin = SuspensionPin.model_validate({})
    fore_rod: Literal["top", "bottom"] = maybe(
        "which pin the fore eccentric's rod takes: top for open rods, bottom for crossed ones",
        "top",
        "top",
        rare=False,
        exchanges=("fore_eccentric_rod", "back_eccentric_rod"),
    )
    thickness: Size = assumed("thickness, square to the wheel", 0.8)
    out: Length = assumed(INNER_FACE, LINK_OUT, **OUT)


def slot_radius(length_of: str, typical: float) -> Any:
    """Return the field of a slot's radius, which is usually a rod's length."""
    return maybe(
        f"where it is not {length_of} length",
        typical,
        calliper=Between(InSlot(LINK, 2 / 3), InSlot(LINK, None), "here"),
    )


class ExpansionLink(Link):
    """A Stephenson link: its slot is curved about the axle."""

    slot_radius: Size | None = slot_radius("the fore eccentric rod's", 18.8)


class LiftingLink(Rod):
    """Lifting link: weighshaft arm to the expansion link."""

    END_NAMES = (("weighshaft pin", "top"), ("suspension pin", "bottom"))
    UPRIGHT = True

    centres: Size = dim(
        "weighshaft arm to expansion link, pin centres",
        8.7,
        **CENTRES,
        full_size=(150.0, 1200.0),
        throws=(0.4, 4.0),
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.5)
    out: Length = assumed(INNER_FACE, behind_rod_of("lifting_link"), **OUT)


_SHAFT, _ARM_END = PointOf("weighshaft", "shaft"), PointOf("weighshaft", "arm end")


class LinkWeighshaft(Weighshaft):
    """The weighshaft and the arm from which the expansion link hangs."""

    ahead: Length = shaft_ahead(24.8)
    up: Length = shaft_up(8.7)
    arm: Size = lifting_arm(6.0)
    arm_points: Literal["forward", "back"] = arm_way("back")
    arm_angle: Angle | None = arm_raised(-22.0)
    gear: Gear | None = gear_either_way(-22.0)


class LinkSpindle(ValveSpindle):
    """The valve spindle with the die block on its end, parallel to the cylinder."""

    height: Length = spindle_height(0.0, drawn=3.0)
    guide: SpindleGuide | None = maybe(
        "axle to where the die must not go", {"rear": 16.5, "front": 21.0}
    )
    length: Size = assumed("die block to the front end that can be seen", 9.0)
    out: Length = assumed("inner side of the rod, outward from the wheel face", about_link, **OUT)
