"""Tables of the Walschaerts gear."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, ClassVar, Literal, Self

from pydantic import ValidationInfo, model_validator

from linkage.arrangements.shared_tables import SlottedLink
from linkage.arrangements.walschaerts.layers import outer_layer, outermost
from linkage.arrangements.weighshaft import AHEAD, UP
from linkage.mechanism import PieceSort
from linkage.tables.engine import INNER_FACE, OUT, above_rod
from linkage.tables.facts import NEVER, SLIPPED, Degrees, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table, exactly_one, say_in
from linkage.tables.rods import (
    BENT,
    BOW,
    CENTRES,
    DEPTH,
    DEPTH_OF,
    OVER_EYES,
    SQUARE,
    Bar,
    Bend,
    Rod,
)
from linkage.tables.views import (
    AT_AXLE,
    AXLE,
    Along,
    Between,
    Edge,
    InSlot,
    OnFrame,
    PointOf,
    Seen,
    Turned,
    View,
)

_ARM = "return crank"
_ARM_PIN, _CRANK_PIN = PointOf("crank", "return crank pin"), PointOf("crank", "crank pin")


class ReturnCrank(Table):
    """The return crank, by its pin circle or by its arm."""

    INSTEAD = (
        (("pin_circle", "leads", "follows"), ("arm", "lean", "leans")),
        (("leads",), ("follows",)),
    )
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from outside: crank pin ahead",
            (Seen("crank", (_ARM,)), Seen("crank", (PieceSort.CRANK_PIN,), look="about")),
            ((AXLE, _CRANK_PIN),),
            {AXLE: ("axle", "above"), _CRANK_PIN: ("crank pin", "right")},
        )
    }

    pin_circle: Size | None = maybe(
        "axle centre to the return crank's pin: a radius",
        1.55,
        rare=False,
        calliper=Between(AXLE, _ARM_PIN, "left"),
        owner="how far the pin of {} stands from the axle",
        full_size=(60.0, 300.0),
        throws=(0.2, 0.95),
        twice="is this the diameter of the circle?",
    )
    leads: Angle | None = maybe(
        "degrees; ahead of the crank pin, forward; or write follows = ...",
        Degrees(90.0),
        rare=False,
        calliper=Turned(AXLE, _ARM_PIN, _CRANK_PIN),
        wrong=NEVER,
        bench="how far {} is ahead of the crank pin",
        owner="how far {} is turned ahead of the {pin}",
    )
    follows: Angle | None = maybe(
        "degrees behind the crank pin, forward running",
        wrong=NEVER,
        bench="how far {} is behind the crank pin",
        owner="how far {} is turned behind the {pin}",
    )
    arm: Size | None = maybe(
        "crank pin to return-crank pin",
        bench="{}'s length, pin to pin",
        owner="the length of {} from pin to pin",
    )
    lean: Angle | None = maybe(
        "degrees between the arm and the line from crank pin to axle",
        mends="reset",
        wrong=SLIPPED,
        owner="how far {} leans",
    )
    leans: Literal["leading", "following"] | None = maybe(
        "whether that lean puts the pin ahead of or behind the crank pin"
    )
    width: Size = assumed("depth of the arm in the side view", 1.4, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, outer_layer, **OUT)

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = exactly_one(self, ("pin_circle", "arm"))
        idle = ("lean", "leans") if given == "pin_circle" else ("leads", "follows")
        for name in idle:
            if getattr(self, name) is not None:
                raise ValueError(f"{name} does not go with {given}")
        if given == "pin_circle":
            exactly_one(self, ("leads", "follows"))
        elif self.lean is None or self.leans is None:
            raise ValueError('arm needs lean and leans = "leading" or "following" beside it')
        return self

    def pin(self, throw: float) -> tuple[float, float]:
        """Return where its pin stands in the crank's axes, x through the crank pin [mm].

        Forward running is clockwise, so a pin that leads is at a negative angle.

        `throw` [mm]: axle to crank pin.
        """
        if self.arm is not None and self.lean is not None:
            side = -1.0 if self.leans == "leading" else 1.0
            return throw - self.arm * math.cos(self.lean), side * self.arm * math.sin(self.lean)
        radius = self.pin_circle or 0.0
        angle = -self.leads if self.leads is not None else (self.follows or 0.0)
        return radius * math.cos(angle), radius * math.sin(angle)

    def other_ways(self, side: Any) -> Mapping[str, Any]:
        """Return its circle and lead where its arm and lean were typed, and the other way about.

        `side`: a side with the driving wheels.
        """
        throw = side.wheels.throw
        x, y = self.pin(throw)
        if self.arm is not None:
            turned = "leads" if y < 0 else "follows"
            angle = math.degrees(math.atan2(abs(y), x))
            return {"pin_circle": f"{math.hypot(x, y)!r} mm", turned: angle}
        return {
            "arm": f"{math.hypot(throw - x, y)!r} mm",
            "lean": math.degrees(math.atan2(abs(y), throw - x)),
            "leans": "leading" if y < 0 else "following",
        }


_TRUNNION = OnFrame("trunnion")


class Trunnion(Table):
    """Where the expansion link swings, from the driving axle."""

    ahead: Length = dim(
        "of the driving axle",
        **AHEAD,
        full_size=(700.0, 3500.0),
        throws=(2.0, 11.0),
        calliper=Between(AXLE, _TRUNNION),
    )
    up: Length = dim("above the driving axle", **UP, calliper=Between(AXLE, _TRUNNION, "left"))


_FOOT_PIN, _LINK = PointOf("expansion link", "foot pin"), "expansion link"


class FootPin(Table):
    """Where the eccentric rod takes hold, from the trunnion, with the link upright."""

    below: Size = dim(
        "below the trunnion",
        calliper=Between(_TRUNNION, _FOOT_PIN, "right"),
        bench="how far {} is below the trunnion",
        owner="how far {} is below its pivot",
    )
    back: Length = maybe(
        "behind the trunnion, towards the cab",
        default=0.0,
        calliper=Between(_FOOT_PIN, _TRUNNION),
        drawn=1.5,
        bench="how far {} is behind the trunnion",
        owner="how far {} is behind its pivot",
    )


class ExpansionLink(SlottedLink):
    """The expansion link; upright means its slot upright at the trunnion."""

    ORDER = ("trunnion", "foot_pin", "slot_half_length", "slot_radius")
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, slot upright at the pivot, from the driving axle; foot pin drawn well back",
            (Seen(_LINK, at=_TRUNNION),),
            (tuple(InSlot(_LINK, along / 6) for along in range(-6, 7)),),
            {**AT_AXLE, _FOOT_PIN: ("foot pin", "left")},
        )
    }

    trunnion: Trunnion = dim("its pivot, from the driving axle", {"ahead": 20.2, "up": 7.0})
    foot_pin: FootPin = dim(
        "from the pivot, with the slot held upright; back is towards the cab",
        {"below": 6.9, "back": 0.0},
    )
    slot_radius: Size | None = maybe(
        "where it is not the radius rod's length",
        16.4,
        calliper=Between(InSlot(_LINK, 2 / 3), InSlot(_LINK, None), "here"),
    )
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, outer_layer, **OUT)


class EccentricRod(Rod):
    """Eccentric rod: return crank to the expansion link's foot."""

    END_NAMES = (("return crank pin", "return crank", "rear"), ("foot pin", "front"))

    centres: Size = dim(OVER_EYES, 20.6, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))
    width: Size = assumed(DEPTH, 1.2, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4, 0.4)
    out: Length = assumed(INNER_FACE, outermost, 4.4, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())


class UnionLink(Rod):
    """Union link: drop arm to the combination lever's foot."""

    END_NAMES = (("drop arm pin", "drop arm"), ("union pin", "combination lever"))
    ORDER = ("centres", "points")

    centres: Size = dim(
        "drop arm's pin to the lever's foot",
        4.2,
        **CENTRES,
        full_size=(150.0, 900.0),
        throws=(0.4, 3.0),
    )
    points: Literal["forward", "back"] | None = maybe(
        "forward or back, from the drop arm's pin; needed where the lever could hang either way"
    )
    width: Size = assumed(DEPTH, 0.9, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, lambda near: near.size("radius_rod.out"), **OUT)


class RadiusRod(Rod):
    """Radius rod: die block to the combination lever, or to the valve spindle."""

    END_NAMES = (("die block", "rear"), ("lever pin", "valve pin", "front"))
    ORDER = ("centres", "die_above_trunnion")
    INSTEAD = ((("die_above_trunnion",), ("die_below_trunnion",)),)
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "the die block in the link, slot upright",
            (Seen(_LINK, look="about"),),
            words={
                Edge(_LINK, 1.0, PointOf(_LINK, "die block")): ("die block", "right"),
                Edge(_LINK, 1.0, PointOf(_LINK, "trunnion")): ("pivot", "right"),
            },
        )
    }

    centres: Size = dim(
        "die block to the front pin", 16.4, **CENTRES, full_size=(500.0, 2600.0), throws=(1.5, 9.0)
    )
    die_above_trunnion: Length | None = maybe(
        "along the slot; or die_below_trunnion = ..., or [lifting_link] and [weighshaft]",
        2.2,
        rare=False,
        calliper=Along(_LINK, PointOf(_LINK, "die block")),
        bench="how far above the trunnion {}'s die block is held",
        owner="how far above the pivot of the curved piece {} takes hold",
    )
    die_below_trunnion: Length | None = maybe(
        "how far along the slot below the trunnion the die is fixed",
        bench="how far below the trunnion {}'s die block is held",
        owner="how far below the pivot of the curved piece {} takes hold",
    )
    width: Size = assumed(DEPTH, 1.2, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4, 0.4)
    out: Length = assumed(INNER_FACE, above_rod, 4.4, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())

    @property
    def die_offset(self) -> float | None:
        """Where the die is fixed, upward along the slot [mm]; None where it is free."""
        if self.die_above_trunnion is not None:
            return self.die_above_trunnion
        return None if self.die_below_trunnion is None else -self.die_below_trunnion


_LEVER = "combination lever"
_LEVER_TOP = PointOf(_LEVER, "radius rod pin")


class CombinationLever(Bar):
    """Combination lever, hanging: union pin at the foot."""

    END_NAMES = (("top",), ("union pin", "bottom"))
    ORDER = ("radius_rod_pin_to_valve_pin", "radius_rod_pin_to_union_pin", "admission")
    UPRIGHT = True

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "lying down: top to the left, front up; drawn for inside admission",
            (Seen(_LEVER),),
            turn=math.pi / 2,
            front="up",
            height=30.0,
        )
    }

    radius_rod_pin_to_valve_pin: Size = dim(
        "pin centres",
        1.21,
        calliper=Between(_LEVER_TOP, PointOf(_LEVER, "valve pin"), "above"),
        bench="how far apart {}'s pins for the radius rod and the valve are",
        owner="how far apart the two upper pins of {} are",
    )
    radius_rod_pin_to_union_pin: Size = dim(
        "pin centres",
        9.0,
        full_size=(350.0, 1500.0),
        throws=(1.0, 4.5),
        calliper=Between(_LEVER_TOP, PointOf(_LEVER, "union pin")),
        bench="how far apart {}'s pins for the radius rod and the union link are",
        owner="how far apart the pins for the thin bar and at the foot of {} are",
    )
    admission: Literal["inside", "outside"] = maybe(
        "inside: radius-rod pin on top, valve pin below it; outside: the other way",
        "inside",
        "inside",
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, outer_layer, **OUT)

    ITS_OWN = (*Bar.ITS_OWN, "radius_rod_pin_to_valve_pin", "radius_rod_pin_to_union_pin")

    def end_for_end(
        self, typed: Mapping[str, Any], length: Callable[[float, str], str]
    ) -> dict[str, Any]:
        """Return its numbers, as typed, when it hangs upside down.

        Between the same outer pins: the third is as far from the other one.
        """
        turned = super().end_for_end(typed, length)
        if self.admission == "inside":
            by = self.radius_rod_pin_to_union_pin - self.radius_rod_pin_to_valve_pin
            turned["radius_rod_pin_to_valve_pin"] = length(by, "radius_rod_pin_to_valve_pin")
        return turned

    @property
    def length(self) -> float:
        """Topmost pin to union pin [mm]."""
        extra = self.radius_rod_pin_to_valve_pin if self.admission == "outside" else 0.0
        return self.radius_rod_pin_to_union_pin + extra

    @model_validator(mode="after")
    def _pins_in_order(self, info: ValidationInfo) -> Self:
        if self.radius_rod_pin_to_valve_pin >= self.radius_rod_pin_to_union_pin:
            raise ValueError(
                "radius_rod_pin_to_valve_pin should be less than radius_rod_pin_to_union_pin"
            )
        self.check_bends(self.length, say_in(info))
        return self
