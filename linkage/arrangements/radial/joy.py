"""The Joy gear: worked from the connecting rod, its lever's die in a slide tilted to reverse.

The jack link hangs from a pin of the connecting rod, d from the crank pin of a rod of length l; its
foot, c below, is kept from going to and fro by the anchor link. The valve lever stands on the jack
link at the share q of c; its die is a above that, its pin for the valve rod b above the die. With
the throw R and the crank at t from straight ahead, the jack link's pin goes by R cos t ahead and
``v sin t`` down, v = R (1 - d/l); where the lever stands goes (1 - q) R cos t ahead. The slide
leaning forward by e, the die goes with it by -v sin t tan e, and the valve rod's pin by ::

    -(b/a) (1 - q) R cos t - (1 + b/a) v sin t tan e

Lap and lead are (b/a) (1 - q) R in every gear where the die stands at the slide's centre at both
dead centres. The lever leans there, which lowers its die by ``(1 - q)**2 R**2 / 2 a``; the jack
link leans too, which lifts the lever's foot by ``q R**2 / 2 c``: the die's travel is even either
way where these are alike, ``a = c (1 - q)**2 / q``. That is what the jack link is for.

References
----------
Textbook kinematics of radial gears, from memory: W. E. Dalby, *Valves and Valve-Gear Mechanisms*
(1906).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Self

from pydantic import ValidationInfo, model_validator

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly, turn
from linkage.arrangements.radial.levers import add_bar, between
from linkage.arrangements.radial.shaft import (
    DIE,
    add_slide_shaft,
    add_valve_rod,
    die_at,
    run_die,
)
from linkage.arrangements.radial.sides import SlideShaftSide
from linkage.arrangements.radial.tables import (
    UPRIGHT_BOW,
    DrivenRod,
    DrivenSpindle,
    ShaftGear,
    SlideShaft,
    gear_of,
    layer_of,
)
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.shared_tables import SpindleGuide, guide_between, spindle_height
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, crosshead_start, slider_crank
from linkage.arrangements.starts import crossings
from linkage.arrangements.weighshaft import AHEAD, UP, pivot_ahead
from linkage.mechanism import FRAME, Place, Point, Running
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Length, Size, Table, say_in
from linkage.tables.rods import BENT, CENTRES, DEPTH, DEPTH_OF, OVER_EYES, SQUARE, Bend, Rod
from linkage.tables.views import AT_AXLE, AXLE, Between, InSlot, OnFrame, PointOf, Seen, View
from linkage.tables.words import Entry

_JACK, _ANCHOR, _LEVER = "jack link", "anchor link", "valve lever"
_ROD_PIN, _LEVER_PIN, _ANCHOR_PIN = "jack link pin", "valve lever pin", "anchor pin"
_PIVOT = OnFrame("anchor link pivot")


class JackLink(Rod):
    """Jack link: connecting rod to the anchor link."""

    END_NAMES = (("connecting rod", "top"), ("anchor pin", "bottom"))
    UPRIGHT = True
    BETWEEN = ("lever_pin",)
    ITS_OWN = (*Rod.ITS_OWN, *BETWEEN)

    centres: Size = dim(OVER_EYES, 9.0, **CENTRES, full_size=(400.0, 1600.0), throws=(1.0, 5.0))
    on_rod: Size = dim(
        "crank pin to its pin on the connecting rod, along the rod",
        15.0,
        no_place="on the connecting rod, from the big end's centre",
        bench="how far {}'s pin on the connecting rod is from the crank pin",
        owner="how far from the wheel's peg {} hangs",
    )
    lever_pin: Size = dim(
        "connecting rod's pin to the valve lever's pin",
        3.15,
        calliper=Between(PointOf(_JACK, _ROD_PIN), PointOf(_JACK, _LEVER_PIN), view="flat"),
        bench="how far {}'s pin for the valve lever is from its upper end",
        owner="how far the middle pin of {} is from its upper end",
    )
    width: Size = assumed(DEPTH, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, layer_of("connecting_rod", 2), **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, UPRIGHT_BOW, ())


class AnchorPivot(Table):
    """Where the anchor link is held on the frame."""

    ahead: Length = pivot_ahead("anchor link pivot")
    up: Length = dim(
        "above the driving axle, below nought beneath it",
        **UP,
        calliper=Between(AXLE, _PIVOT, "left"),
    )


class AnchorLink(Rod):
    """Anchor link: jack link to the frame."""

    END_NAMES = (("jack link", "rear"), ("frame", "front"))
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle",
            (Seen(_ANCHOR, look="about", at=_PIVOT),),
            words=AT_AXLE,
        )
    }

    centres: Size = dim(OVER_EYES, 12.0, **CENTRES, full_size=(400.0, 2400.0), throws=(1.0, 7.0))
    pivot: AnchorPivot = dim("its pin on the frame", {"ahead": 26.9, "up": -8.7})
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, layer_of("jack_link", 1), **OUT)


class ValveLever(Rod):
    """Valve lever: jack link to the valve rod, its die between."""

    END_NAMES = (("jack link", "bottom"), ("valve rod", "top"))
    UPRIGHT = True
    BETWEEN = ("die",)
    ITS_OWN = (*Rod.ITS_OWN, *BETWEEN)

    centres: Size = dim(
        "jack link's pin to the valve rod's", 12.7, **CENTRES, full_size=(400.0, 2400.0),
        throws=(1.0, 6.0),
    )  # fmt: skip
    die: Size = dim(
        "jack link's pin to the die's",
        10.86,
        calliper=Between(PointOf(_LEVER, _LEVER_PIN), PointOf(_LEVER, DIE), view="flat"),
        bench="how far {}'s die is from the jack link's pin",
        owner="how far the sliding piece on {} is from its lower end",
    )
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    out: Length = assumed(INNER_FACE, layer_of("jack_link", 1), **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, UPRIGHT_BOW, ())


class JoyShaft(SlideShaft):
    """The shaft with its curved slide."""

    ORDER = ("ahead", "up", "slot_half_length", "slot_radius", "lean", "gear")

    ahead: Length = dim(
        "its centre, from the driving axle",
        15.0,
        **AHEAD,
        calliper=Between(AXLE, OnFrame("slide shaft")),
    )
    up: Length = dim(
        "its centre, from the driving axle",
        7.73,
        **UP,
        calliper=Between(AXLE, OnFrame("slide shaft"), "left"),
    )
    slot_radius: Size | None = maybe(
        "where it is not the valve rod's length",
        14.0,
        calliper=Between(InSlot("slide shaft", 2 / 3), InSlot("slide shaft", None), "here"),
    )
    gear: ShaftGear | None = gear_of(20.0)
    out: Length = assumed(INNER_FACE, layer_of("valve_lever"), **OUT)


class JoyValveRod(DrivenRod):
    """Valve rod: valve lever to the valve spindle."""

    out: Length = assumed(INNER_FACE, layer_of("jack_link"), **OUT)


class JoySpindle(DrivenSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    height: Length = spindle_height(9.55)
    guide: SpindleGuide | None = guide_between(25.5, 32.5)


class JoySide(SlideShaftSide):
    """One side of a sheet of the arrangement "joy"."""

    jack_link: JackLink
    anchor_link: AnchorLink
    valve_lever: ValveLever
    slide_shaft: JoyShaft
    valve_rod: JoyValveRod
    valve_spindle: JoySpindle

    @model_validator(mode="after")
    def _on_the_rod(self, info: ValidationInfo) -> Self:
        say, on, whole = say_in(info), self.jack_link.on_rod, self.connecting_rod.centres
        if on >= whole:
            raise ValueError(
                "jack_link.on_rod should be less than connecting_rod.centres, for its pin is on "
                f"that rod ({say(on)} of {say(whole)})"
            )
        return self

    @property
    def curvature(self) -> float:
        """Of the slide, its centre ahead [1/mm]."""
        return 1.0 / (self.slide_shaft.slot_radius or self.valve_rod.centres)


def joy(side: JoySide, running: Running = None) -> Assembly:
    """Return an engine with its jack link, anchor link, valve lever, slide, and the valve's rod.

    Joints, besides those of the slider-crank: "jack link pin", "anchor pin", "anchor link pivot",
    "valve lever pin", "slide shaft", "reversing arm", "die block", "valve rod pin", "valve pin" and
    "valve spindle slide".

    `running`: a name of ``slide_shaft.gear``, or how far forward the slide leans [rad].
    """
    assembly = slider_crank(side)
    start = _find_start(side, running)
    jack, anchor, lever = side.jack_link, side.anchor_link, side.valve_lever
    assembly.points["connecting rod"][_ROD_PIN] = (jack.on_rod, 0.0)
    add_bar(assembly, _JACK, jack, {_ROD_PIN: 0.0, _ANCHOR_PIN: 1.0, _LEVER_PIN: jack.lever_pin})
    add_bar(assembly, _ANCHOR, anchor, {_ANCHOR_PIN: 0.0, "anchor link pivot": 1.0})
    add_bar(assembly, _LEVER, lever, {_LEVER_PIN: 0.0, "valve rod pin": 1.0, DIE: lever.die})
    pivot = Place(FRAME, anchor.pivot.ahead, anchor.pivot.up)
    for name, parts, near in (
        (_ROD_PIN, ("connecting rod", _JACK), start.rod_pin),
        (_ANCHOR_PIN, (_JACK, _ANCHOR), start.anchor_pin),
        (_LEVER_PIN, (_JACK, _LEVER), start.lever_pin),
    ):
        one, other = (assembly.place(part, name) for part in parts)
        assembly.pin(name, one, other, near=near)
    assembly.pin("anchor link pivot", assembly.place(_ANCHOR, "anchor link pivot"), pivot)
    add_slide_shaft(assembly, side.slide_shaft, side.curvature, running)
    run_die(assembly, side.slide_shaft, _LEVER, side.curvature, start.die)
    rear = assembly.place(_LEVER, "valve rod pin")
    return add_valve_rod(assembly, side, side.valve_rod, rear, start.valve_rod_pin)


@dataclass(frozen=True)
class _Start:
    """Where the gear is with the crank straight ahead, in the frame's axes [mm]."""

    rod_pin: Point
    anchor_pin: Point
    lever_pin: Point
    die: Point
    valve_rod_pin: Point


def _find_start(side: JoySide, running: Running) -> _Start:
    jack, anchor, lever = side.jack_link, side.anchor_link, side.valve_lever
    crank = (side.wheels.throw, 0.0)
    cross = turn((crosshead_start(side), side.cylinder.axis_height), side.cylinder.inclination)
    rod_pin = between(crank, cross, jack.on_rod / math.dist(crank, cross))
    length, pivot = eye_to_eye(jack), (anchor.pivot.ahead, anchor.pivot.up)
    foot = min(crossings(rod_pin, length, pivot, eye_to_eye(anchor)), key=lambda point: point[1])
    lever_pin = between(rod_pin, foot, jack.lever_pin / length)
    die = die_at(side.slide_shaft, side.curvature, running, (lever_pin, lever.die))
    top = between(lever_pin, die, eye_to_eye(lever) / lever.die)
    return _Start(rod_pin, foot, lever_pin, die, top)


JOY = Arrangement(
    name="joy",
    does="a gear worked from the connecting rod, with a slide that is tilted to reverse",
    sides=BOTH_SIDES,
    tables=JoySide,
    build=joy,
    measured=(
        *ENGINE,
        "jack_link",
        "anchor_link",
        "valve_lever",
        "slide_shaft",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="jack_link.centres",
    words=(
        Entry(
            "jack link",
            "connecting link",
            "The bar that hangs from the connecting rod and works the valve.",
            "the bar that hangs from the bar to the wheel",
        ),
        Entry(
            "anchor link",
            "anchor link",
            "The bar that keeps the hanging bar's foot from swinging to and fro.",
            "the bar that holds the hanging bar's foot",
        ),
        Entry(
            "valve lever",
            "valve lever",
            "The lever that moves the valve, its middle in a slide.",
            "the upright lever with the slider in its middle",
        ),
    ),
    removable=(ROD_OFF,),
)
