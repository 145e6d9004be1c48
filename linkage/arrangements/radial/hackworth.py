"""The Hackworth gear: one eccentric, its rod's far end in a slide that is tilted to reverse.

The eccentric of throw r stands opposite the crank, its upright rod of length L carries the die at
its far end and the valve rod's pin at the share f of its length. With the crank at t from straight
ahead and the slide leaning forward by a, the eccentric is ``r (-cos t, sin t)``; the die goes up
and down with it by r sin t, and so to and fro by r sin t tan a. The valve's pin goes by ::

    -(1 - f) r cos t + f r sin t tan a

Lap and lead are (1 - f) r in every gear, exactly, where the slide's centre is where the die stands
at the dead centres: ``sqrt(L**2 - r**2)`` above the axle. With the pin beyond the die (f > 1), or
with the eccentric beside the crank pin, the valve goes the other way.

References
----------
Textbook kinematics of radial gears, from memory: W. E. Dalby, *Valves and Valve-Gear Mechanisms*
(1906).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly, disc
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
    within_of,
)
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.shared_tables import (
    SpindleGuide,
    StrappedRod,
    guide_between,
    spindle_height,
)
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.mechanism import Part, PieceSort, Point, Running, Sort
from linkage.tables.coupled import DRIVING
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import SLIPPED, Degrees, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Size, Table
from linkage.tables.rods import BENT, CENTRES, OVER_EYES, Bend
from linkage.tables.shapes import JointPlay, play_of
from linkage.tables.views import AXLE, Between, Circle, OnFrame, PointOf, Seen, Share, Turned, View
from linkage.tables.words import Entry

BEHIND_WHEEL = -5.0
_ECCENTRIC, _ROD = "eccentric", "eccentric rod"
_CENTRE, _CRANK_PIN = PointOf("crank", _ECCENTRIC), PointOf("crank", "crank pin")


class HackworthEccentric(Table):
    """The eccentric, fast on the driving axle."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from outside: crank pin ahead",
            (
                Circle(_CENTRE, Share(AXLE, _CENTRE, 1.6)),
                Seen("crank", (PieceSort.CRANK_PIN,), look="about"),
            ),
            ((AXLE, _CRANK_PIN), (AXLE, _CENTRE)),
            {AXLE: ("axle", "above"), _CRANK_PIN: ("crank pin", "right")},
        )
    }

    throw: Size = dim(
        "axle centre to the sheave's centre",
        1.6,
        calliper=Between(_CENTRE, AXLE),
        bench="the throw of {}",
        owner="how far the middle of {} stands from the axle",
        full_size=(40.0, 250.0),
        throws=(0.12, 0.8),
        twice="is this the whole movement, which is twice the throw?",
    )
    leads: Angle = dim(
        "degrees ahead of the crank pin in forward running: 180 opposite it, 0 beside it",
        Degrees(180.0),
        calliper=Turned(AXLE, _CRANK_PIN, _CENTRE),
        bench="how far {} is ahead of the crank pin",
        owner="how far {} is turned ahead of the {pin}",
        mends="turn",
        wrong=SLIPPED,
    )

    @property
    def centre(self) -> Point:
        """Its centre in the crank's axes, x through the crank pin [mm]."""
        return self.throw * math.cos(self.leads), -self.throw * math.sin(self.leads)


class UprightRod(StrappedRod):
    """Eccentric rod: strap to the die in the slide."""

    END_NAMES = (("eccentric", "bottom"), ("die block", "top"))
    UPRIGHT = True
    BETWEEN = ("valve_pin",)
    ITS_OWN = (*StrappedRod.ITS_OWN, *BETWEEN)

    centres: Size = dim(OVER_EYES, 11.0, **CENTRES, full_size=(400.0, 3000.0), throws=(1.2, 9.0))
    valve_pin: Size = dim(
        "the eccentric's centre to the valve rod's pin, along the rod",
        7.7,
        calliper=Between(PointOf(_ROD, _ECCENTRIC), PointOf(_ROD, "valve rod pin"), view="flat"),
        bench="how far {}'s pin for the valve rod is from the eccentric",
        owner="how far the pin in {} is from the axle's disc",
    )
    out: Length = assumed(INNER_FACE, BEHIND_WHEEL, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, UPRIGHT_BOW, ())


class HackworthShaft(SlideShaft):
    """The shaft with its straight slide."""

    ahead: Length = dim("its centre, from the driving axle", 0.0, no_place="0 above the axle")
    up: Length = dim(
        "its centre, from the driving axle",
        10.88,
        calliper=Between(AXLE, OnFrame("slide shaft"), "left"),
        bench="how far up {} stands",
        owner="how far above the driving axle {} stands",
    )
    gear: ShaftGear | None = gear_of(-25.0)
    out: Length = assumed(INNER_FACE, layer_of("eccentric_rod"), **OUT)


class HackworthValveRod(DrivenRod):
    """Valve rod: eccentric rod to the valve spindle."""

    centres: Size = dim(
        "pin to valve pin", 24.0, **CENTRES, full_size=(300.0, 3600.0), throws=(1.0, 12.0)
    )
    out: Length = assumed(INNER_FACE, within_of("eccentric_rod", "valve_rod"), **OUT)


class HackworthSpindle(DrivenSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    height: Length = spindle_height(7.6)
    guide: SpindleGuide | None = guide_between(21.0, 27.0)


class HackworthPlay(JointPlay):
    """Play in the joints of the gear, in all: hole less pin, or slot less block."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **JointPlay.JOINTS,
        _ECCENTRIC: "eccentric",
        DIE: "die_block",
    }

    eccentric: Amount | None = maybe("strap less sheave", **play_of("eccentric's strap"))
    die_block: Amount | None = maybe("slot less block", **play_of("die block"))


class HackworthSide(SlideShaftSide):
    """One side of a sheet of the arrangement "hackworth"."""

    joint_play: HackworthPlay = HackworthPlay.model_validate({})
    eccentric: HackworthEccentric
    eccentric_rod: UprightRod
    slide_shaft: HackworthShaft
    valve_rod: HackworthValveRod
    valve_spindle: HackworthSpindle


def hackworth(side: HackworthSide, running: Running = None) -> Assembly:
    """Return an engine with its eccentric, the rod, its slide, and what works the valve.

    Joints, besides those of the slider-crank: "eccentric", "slide shaft", "reversing arm",
    "die block", "valve rod pin", "valve pin" and "valve spindle slide".

    `running`: a name of ``slide_shaft.gear``, or how far forward the slide leans [rad].
    """
    assembly = slider_crank(side)
    rod, centre, shaft = side.eccentric_rod, side.eccentric.centre, side.slide_shaft
    assembly.points["crank"][_ECCENTRIC] = centre
    length = eye_to_eye(rod)
    strap = disc((0.0, 0.0), rod.strap, (rod.out, rod.thickness), "strap")
    assembly.part(
        Part(_ROD, key="eccentric_rod", sort=Sort.ROD),
        {_ECCENTRIC: (0.0, 0.0), DIE: (length, 0.0), "valve rod pin": (rod.valve_pin, 0.0)},
        (*rod_pieces(rod, length), strap),
    )
    assembly.ride(_ROD, _ECCENTRIC, {DRIVING: 1.0})
    assembly.ride(_ROD, DIE, {})
    assembly.pin(_ECCENTRIC, assembly.place("crank", _ECCENTRIC), assembly.place(_ROD, _ECCENTRIC))
    add_slide_shaft(assembly, shaft, 0.0, running)
    die = die_at(shaft, 0.0, running, (centre, length))
    run_die(assembly, shaft, _ROD, 0.0, die)
    share = rod.valve_pin / length
    start = (centre[0] + share * (die[0] - centre[0]), centre[1] + share * (die[1] - centre[1]))
    rear = assembly.place(_ROD, "valve rod pin")
    return add_valve_rod(assembly, side, side.valve_rod, rear, start)


HACKWORTH = Arrangement(
    name="hackworth",
    does="one eccentric, its rod in a slide that is tilted to reverse",
    sides=BOTH_SIDES,
    tables=HackworthSide,
    build=hackworth,
    measured=(
        *ENGINE,
        "eccentric",
        "eccentric_rod",
        "slide_shaft",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="valve_rod.centres",
    words=(
        Entry(
            "slide shaft",
            "slide shaft",
            "The shaft with a slotted slide, which is tilted to reverse.",
            "the slotted piece that is tilted for reversing",
        ),
    ),
    removable=(ROD_OFF,),
)
