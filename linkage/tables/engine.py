"""Tables of the wheels, the cylinder and the crosshead."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, ClassVar, Literal, Self

from pydantic import model_validator

from linkage.mechanism import PieceSort
from linkage.tables.damage import PinLean, ProudEnd
from linkage.tables.facts import NEVER, Beside, Degrees, Wrong, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size, Table
from linkage.tables.treads import tread
from linkage.tables.views import (
    AT_AXLE,
    AT_AXLE_LEFT,
    AXLE,
    Ahead,
    Between,
    Box,
    Circle,
    Edge,
    Meeting,
    OnFrame,
    OtherPin,
    PointOf,
    Room,
    Run,
    Seen,
    Share,
    Spot,
    Turned,
    View,
)

GAP = 0.2
"""Between neighbouring layers, assumed at 4 mm to the foot [mm]."""
CONNECTING_ROD_OUT = 2.6
INNER_FACE = "its inner face, outward from the wheel's face"
_fixed: Callable[..., Any] = partial(dim, rides="cylinder")
_cover_at: Callable[..., Any] = partial(maybe, rides="cylinder")
_ARM_BENT = Wrong(0.6, 0.3)  # a drop arm is a part like a rod, and may be another engine's
_layer: Callable[..., dict[str, Any]] = partial(dict, wrong=Wrong(0.4, 1.5))  # a washer too many
OUT = _layer(bench="how far out {} sits", owner="how far out {} stands from the wheel")
OUT_OF_SEVERAL = _layer(bench="how far out {} sit", owner="how far out {} stand from the wheel")
BEGINS = {
    "bench": "how far ahead {} begins",
    "owner": "how far ahead of the driving axle {} begins",
}
ENDS = {"bench": "how far ahead {} ends", "owner": "how far ahead of the driving axle {} ends"}
GEAR_ABOVE_ROD = 1.0  # air between connecting rod and gear: the drop arm's layer is there


def above_rod(near: Beside) -> float:
    """Return where the gear's first layer outside the connecting rod is assumed [mm]."""
    rod = near.size("connecting_rod.out") + near.size("connecting_rod.thickness")
    return rod + GEAR_ABOVE_ROD * near.factor


_CRANK, _RIM, _PIN_SORT = "crank", PieceSort.RIM, PieceSort.CRANK_PIN
_CRANK_PIN, _LEFT_PIN = PointOf(_CRANK, "crank pin"), OtherPin(_CRANK)


def _arm(pin: Spot, look: str) -> tuple[Circle, Circle]:
    """Return a crank's boss from axle to pin, only to be seen."""
    return Circle(AXLE, Share(AXLE, pin, 0.3), look), Circle(pin, Share(AXLE, pin, 0.17), look)


def gone_over(wheel: str) -> View:
    """Return a wheel in plan about its crank pin, in its middle and all the way over."""
    pin = PointOf(wheel, "crank pin")
    return View(
        "plan; dashed: all the way over",
        (Seen(wheel, (_RIM, _PIN_SORT)), Seen(wheel, (_RIM,), "dashed", over=1.0)),
        plan=True,
        room=Room(pin, Share(PointOf(wheel, "axle"), pin, 0.75)),
    )


def over(wheel: str, view: str) -> Between:
    """Return where the calliper goes for a side play in such a view."""
    return Between(
        Edge(wheel, 1.0, 1.0, _RIM), Edge(wheel, 1.0, 1.0, _RIM, over=1.0), "right", view
    )


class Wheels(Table):
    """The driving wheels."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, right crank ahead; dashed: left crank",
            (
                Seen(_CRANK, (_RIM,), "about"),
                *_arm(_CRANK_PIN, "part"),
                *_arm(_LEFT_PIN, "dashed"),
            ),
            height=52.0,
        ),
        "plan": gone_over(_CRANK),
    }

    throw: Size = dim(
        "axle centre to crank-pin centre: half the stroke",
        4.33,
        owner="the distance from {} to its {pin}",
        full_size=(180.0, 440.0),
        twice="is this the stroke, which is twice the throw?",
        cast=True,
        calliper=Between(AXLE, _CRANK_PIN),
    )
    right_leads_by: Angle = maybe(
        "degrees; right-hand crank before the left, forward",
        Degrees(90.0),
        math.pi / 2,
        bench="{}'s quartering",
        owner="the turn between the right-hand and the left-hand crank of {}",
        wrong=NEVER,
        calliper=Turned(AXLE, _CRANK_PIN, _LEFT_PIN, reach=1.55),
    )
    tread: Size | None = tread("diameter over the tread, not the flange")
    rim_radius: Size | None = maybe(
        "over the flange, where anything runs behind the wheel",
        12.0,
        calliper=Between(Edge(_CRANK, 0.0, AXLE, _RIM), AXLE),
    )
    rim_thickness: Size = assumed("width of the tyre, square to the wheel", 2.3, with_="rim_radius")
    side_play: Amount = maybe(
        "how far the wheelset slides to either side of its middle",
        0.15,
        0.0,
        rare=False,
        calliper=over(_CRANK, "plan"),
    )
    curve: Size | None = maybe("radius of the sharpest curve it stands on; else any place in play")


class Disc(Table):
    """A nut, a boss or a pin's head."""

    diameter: Size = dim("over its widest")
    out: Length = dim("inner face, outward from the wheel face", **OUT)
    thickness: Size = dim("thickness, square to the wheel")


def _nut(along: float, across: float | None) -> Edge:
    return Edge(_CRANK, along, across, PieceSort.NUT)


class Nut(Disc):
    """What is on the end of the driving crank pin."""

    diameter: Size = dim("over its widest", calliper=Between(_nut(0.0, 1.0), _nut(1.0, 1.0)))
    out: Length = dim(
        "inner face, outward from the wheel face",
        **OUT,
        calliper=Between(_nut(0.0, None), _nut(0.0, 0.0), "left"),
    )
    thickness: Size = dim(
        "thickness, square to the wheel",
        wrong=Wrong(0.4, 2.0),
        calliper=Between(_nut(1.0, 0.0), _nut(1.0, 1.0), "right"),
    )


def _pin(along: float) -> Edge:
    return Edge(_CRANK, along, 0.45, _PIN_SORT)


class CrankPin(Table):
    """The driving crank pin."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "plan: the pin between the wheel's face and its nut",
            (
                Seen(_CRANK, (_RIM,), "about"),
                Seen(_CRANK, (_PIN_SORT,)),
                Seen(_CRANK, (PieceSort.NUT,)),
            ),
            plan=True,
            room=Room(_CRANK_PIN, Share(_pin(0.0), _pin(1.0), 2.0)),
        )
    }

    diameter: Size = dim(
        "callipers on the pin, not on the bush", 1.5, calliper=Between(_pin(0.0), _pin(1.0), "here")
    )
    nut: Nut | None = maybe(
        "over its widest; out is its inner face, outward from the wheel's face",
        {"diameter": 2.4, "out": 3.5, "thickness": 0.6},
    )
    boss: Disc | None = None
    bush: Size | None = maybe(
        "or shoulder: what the connecting rod runs on, up to nut or return crank",
        bench="the length of the bush on {}",
        owner="the length of the bush on {}",
    )
    lean: PinLean | None = None


_SLIDE = OnFrame("crosshead slide")
_PIN, _ARM_PIN = PointOf("crosshead", "crosshead pin"), PointOf("crosshead", "drop arm pin")


def _slipper(along: float, across: float) -> Edge:
    return Edge("crosshead", along, across, PieceSort.SLIPPER)


def _cover(along: float, across: float | None) -> Edge:
    return Edge("cylinder cover", along, across)


_BORE_FOOT, _BORE_TOP = 0.225, 0.775  # of the cylinder's depth: only to be seen


def _piston(end: float, pin: Spot = _PIN) -> Ahead:
    """Return the middle (0), rear (-1) or front (1) of the piston, by where its pin stands."""
    return Ahead(pin, (("piston.ahead_of_crosshead_pin", 1.0), ("piston.thickness", end / 2)))


def _in_bore(spot: Spot, across: float = _BORE_FOOT) -> Meeting:
    return Meeting(spot, _cover(0.0, across))


def _inner_face(end: int) -> Ahead:
    """Return a cover's inner face, which the piston meets: the rear one (0), the front one (1)."""
    return _piston(2.0 * end - 1.0, Run(_SLIDE.joint, float(end), "piston"))


class Piston(Table):
    """The piston on its rod."""

    ahead_of_crosshead_pin: Length = dim(
        "crosshead pin to the middle of the piston",
        bench="how far {} is ahead of the crosshead's pin",
        owner="how far {} is ahead of the pin of the sliding block",
        calliper=Between(_PIN, _piston(0.0), "above"),
    )
    thickness: Size = dim(
        "along the rod", calliper=Between(_in_bore(_piston(-1.0)), _in_bore(_piston(1.0)))
    )


class Body(Table):
    """The cylinder as the motion may touch it, covers and all."""

    rear: Length = _fixed(
        "outer face of the rear cover, ahead of the axle along the centre line",
        **BEGINS,
        calliper=Between(AXLE, _cover(0.0, 0.0)),
    )
    front: Length = _fixed(
        "outer face of the front cover, ahead of the axle along the centre line",
        **ENDS,
        calliper=Between(AXLE, _cover(1.0, 0.0)),
    )
    depth: Size = dim(
        "over all in the side view, square to the centre line",
        calliper=Between(_cover(1.0, 0.0), _cover(1.0, 1.0), "right"),
    )
    out: Length = dim(
        "inner face, outward from the wheel face",
        calliper=Between(_cover(0.0, None), _cover(0.0, 0.0), "left", "plan"),
        **OUT,
    )
    thickness: Size = dim(
        "over all, square to the wheel",
        calliper=Between(_cover(1.0, 0.0), _cover(1.0, 1.0), "right", "plan"),
    )

    @model_validator(mode="after")
    def _long_enough(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


class Cylinder(Table):
    """The cylinder's centre line, and its covers."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "along the centre line, from the driving axle: crosshead, piston and covers",
            (
                Seen("cylinder cover", look="about"),
                Box(_in_bore(_inner_face(0)), _in_bore(_inner_face(1), _BORE_TOP), "about"),
                Box(_in_bore(_piston(-1.0)), _in_bore(_piston(1.0), _BORE_TOP)),
                Seen("crosshead", (PieceSort.SLIPPER,), "about", at=_SLIDE),
            ),
            ((AXLE, _piston(0.0)),),
            {**AT_AXLE_LEFT, _slipper(-0.025, 0.32): ("crosshead pin", "left")},
            height=64.0,
        ),
        "line": View(
            "the centre line, drawn inclined and high to be seen",
            (Seen("cylinder cover", look="about"),),
            ((AXLE, _SLIDE, _cover(0.5, 0.5)),),
            AT_AXLE,
            below=True,
        ),
        "plan": View("plan", (Seen("cylinder cover"),), plan=True),
    }

    inclination: Angle = maybe(
        "degrees by which its front end is raised; 0 level",
        Degrees(0.0),
        0.0,
        rare=False,
        calliper=Turned(_SLIDE, None, _cover(0.5, 0.5), "line"),
        drawn=Degrees(10.0),
    )
    axis_height: Length = maybe(
        "centre line above the axle, at the axle, square to the line",
        0.0,
        0.0,
        rare=False,
        calliper=Between(AXLE, _SLIDE, "here", "line"),
        drawn=5.0,
        bench="the height of {}'s centre line",
        owner="how far above the driving axle the middle line of {} passes",
    )
    rear_cover: Length | None = _cover_at(
        "axle to the inner face, along the centre line",
        44.5,
        bench="how far ahead the rear cover of {} is",
        owner="how far the rear cover of {} is from the driving axle",
        calliper=Between(AXLE, _in_bore(_inner_face(0))),
    )
    front_cover: Length | None = _cover_at(
        "axle to the inner face, along the centre line",
        55.5,
        bench="how far ahead the front cover of {} is",
        owner="how far the front cover of {} is from the driving axle",
        calliper=Between(AXLE, _in_bore(_inner_face(1))),
    )
    piston: Piston | None = maybe(
        "crosshead pin to the middle of the piston; needed with the covers",
        {"ahead_of_crosshead_pin": 12.0, "thickness": 1.5},
    )
    body: Body | None = maybe(
        "outside, covers and all; out may be negative, behind the wheel's face",
        {"rear": 48.5, "front": 57.0, "depth": 8.0, "out": -0.5, "thickness": 8.0},
    )

    @model_validator(mode="after")
    def _bore(self) -> Self:
        if self.piston is None and (self.rear_cover, self.front_cover) != (None, None):
            raise ValueError(
                "rear_cover and front_cover need "
                "piston = { ahead_of_crosshead_pin = ..., thickness = ... }"
            )
        rear, front = self.rear_cover, self.front_cover
        if rear is None or front is None or self.piston is None:
            return self
        if front - rear <= self.piston.thickness:
            raise ValueError("front_cover should be ahead of rear_cover by more than the piston")
        return self


def about_rod(key: str) -> Callable[[Beside], float]:
    """Return the rule that lays what has such a thickness about the connecting rod's middle."""

    def rule(near: Beside) -> float:
        rod = near.size("connecting_rod.out") + near.size("connecting_rod.thickness") / 2
        return rod - near.size(key) / 2

    return rule


def _bar(which: str, along: float, across: float) -> Edge:
    return Edge("slide bars", along, across, f"{which} bar")


class SlideBars(Table):
    """The slide bars."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle",
            (Seen("crosshead", look="about", at=_SLIDE), Seen("slide bars")),
            ((AXLE, Edge("slide bars", 1.0, None)),),
            AT_AXLE_LEFT,
        )
    }

    rear: Length = _fixed(
        "axle to the bars' rear end, along the centre line",
        31.0,
        calliper=Between(AXLE, _bar("lower", 0.0, 0.0)),
        bench="how far ahead {} begin",
        owner="how far ahead of the driving axle {} begin",
    )
    front: Length = _fixed(
        "axle to the bars' front end, along the centre line",
        45.0,
        calliper=Between(AXLE, _bar("lower", 1.0, 0.0)),
        bench="how far ahead {} end",
        owner="how far ahead of the driving axle {} end",
    )
    gap: Size = dim(
        "between upper and lower bar, at the front and at the back: the less",
        4.4,
        calliper=Between(_bar("lower", 1.0, 1.0), _bar("upper", 1.0, 0.0), "right"),
    )
    gap_rear: Size | None = maybe(
        "at the bars' rear end, where they are not parallel: then gap is that at the front",
        bench="the gap of {} at their rear end",
        owner="the gap between {} at their rear end",
    )
    depth: Size = assumed(
        "of one bar in the side view",
        1.0,
        1.0,
        calliper=Between(_bar("upper", 0.0, 0.0), _bar("upper", 0.0, 1.0), "left"),
    )
    thickness: Size = assumed("thickness, square to the wheel", 1.2)
    out: Length = assumed(INNER_FACE, about_rod("slide_bars.thickness"), **OUT_OF_SEVERAL)
    number: Literal["both", "upper", "lower"] = "both"

    @model_validator(mode="after")
    def _long_enough(self) -> Self:
        if self.front <= self.rear:
            raise ValueError("front should be ahead of rear")
        return self


class Slipper(Table):
    """The sliding block of the crosshead, from its pin."""

    ahead: Amount = dim(
        "crosshead pin to the block's front end",
        calliper=Between(_PIN, _slipper(1.0, 1.0), "above"),
        bench="how far {} reaches ahead of its pin",
        owner="how far {} reaches ahead of its pin",
    )
    back: Amount = dim(
        "crosshead pin to the block's rear end",
        calliper=Between(_PIN, _slipper(0.0, 1.0), "above"),
        bench="how far {} reaches behind its pin",
        owner="how far {} reaches behind its pin",
    )
    depth: Size = dim(
        "in the side view, as it runs between the bars",
        calliper=Between(_slipper(0.0, 0.0), _slipper(0.0, 1.0), "left"),
    )


class DropArmPin(Table):
    """Where the drop arm's pin stands, from the little-end pin, along and square to the slide."""

    ahead: Length = maybe(
        "ahead of the little-end pin, along the slide", default=0.0,
        calliper=Between(_PIN, _ARM_PIN), wrong=_ARM_BENT,
        bench="how far {} is ahead of the little end's pin",
        owner="how far {} is ahead of the pin of the sliding block",
    )  # fmt: skip
    below: Length = dim(
        "below the little-end pin, square to the slide",
        calliper=Between(_PIN, _ARM_PIN, "right"), wrong=_ARM_BENT,
        bench="how far {} is below the little end's pin",
        owner="how far {} is below the pin of the sliding block",
    )  # fmt: skip


class Crosshead(Table):
    """The crosshead with its drop arm."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View("side view, from its pin", (Seen("crosshead"),), words={_PIN: ("pin", "left")},
                 height=54.0)
    }  # fmt: skip

    slipper: Slipper | None = maybe(
        "the sliding block, from its pin: to the front end, to the rear end, and deep",
        {"ahead": 2.0, "back": 2.0, "depth": 4.2},
        rare=False,
    )
    thickness: Size = assumed("thickness, square to the wheel", 1.2)
    out: Length = assumed(INNER_FACE, about_rod("crosshead.thickness"), **OUT)
    pin: ProudEnd | None = None
    drop_arm_pin: DropArmPin | None = maybe(
        "from the crosshead's pin, along the slide and square to it"
    )
    drop_arm_width: Size = assumed("depth of the arm in the side view", 0.9, with_="drop_arm_pin")
    drop_arm_thickness: Size = assumed(
        "thickness of the drop arm, square to the wheel", 0.4, with_="drop_arm_pin"
    )
    drop_arm_out: Length = assumed(
        "inner face of the drop arm, outward from the wheel face",
        lambda near: (
            above_rod(near) - GAP * near.factor - near.size("crosshead.drop_arm_thickness")
        ),
        with_="drop_arm_pin",
        bench="how far out the drop arm of {} sits",
        owner="how far out the finger of {} stands from the wheel",
    )
