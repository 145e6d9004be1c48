"""The slip eccentric: loose on the axle, carried round by a stop, straight to the valve spindle.

Pushed the other way the wheels turn within it until its other stop takes it along, and the engine
is reversed. Between the frames, behind the wheel; `out` is below nought there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly, disc, turn
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.shared_tables import (
    SpindleGuide,
    StrappedRod,
    ValveSpindle,
    guide_between,
)
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.starts import circle_on_line
from linkage.arrangements.valves import SPINDLE, VALVE_SLIDE, add_spindle, watch_valve
from linkage.mechanism import Part, PieceSort, Point, Reverser, Running, Sort
from linkage.tables.coupled import DRIVING
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import SLIPPED, Beside, Degrees, assumed, dim, maybe
from linkage.tables.fields import Amount, Angle, Length, Location, Size, Table
from linkage.tables.rods import CENTRES, OVER_EYES
from linkage.tables.shapes import JointPlay, play_of
from linkage.tables.sides import ValveGearSide
from linkage.tables.views import AXLE, Between, Circle, PointOf, Seen, Share, Turned, View

BEHIND_WHEEL = -5.0
ECCENTRIC, ROD = "eccentric", "eccentric rod"
CENTRE, CRANK_PIN = PointOf("crank", ECCENTRIC), PointOf("crank", "crank pin")
FORWARD, BACK = "full_forward", "full_back"
"""The eccentric against either of its stops, by the names that places of a reverser have."""


class SlipEccentric(Table):
    """The eccentric, and where either stop holds it."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from outside: crank pin ahead, turned forward against its stop",
            (
                Circle(CENTRE, Share(AXLE, CENTRE, 1.6)),
                Seen("crank", (PieceSort.CRANK_PIN,), look="about"),
            ),
            ((AXLE, CRANK_PIN), (AXLE, CENTRE)),
            {AXLE: ("axle", "above"), CRANK_PIN: ("crank pin", "right")},
        )
    }

    throw: Size = dim(
        "axle centre to the sheave's centre: half the valve's travel",
        1.3,
        calliper=Between(AXLE, CENTRE, "left"),
        bench="the throw of {}",
        owner="how far the middle of {} stands from the axle",
        full_size=(40.0, 140.0),
        throws=(0.12, 0.6),
        twice="is this the valve's whole travel, which is twice the throw?",
    )
    leads: Angle = dim(
        "degrees ahead of the crank pin in forward running, as its stop carries it",
        Degrees(115.0),
        calliper=Turned(AXLE, CENTRE, CRANK_PIN),
        bench="how far {} is ahead of the crank pin, carried forward",
        owner="how far {} is turned ahead of the {pin}, running forwards",
        mends="turn",
        wrong=SLIPPED,
    )
    follows: Angle = dim(
        "degrees behind the crank pin, as its other stop carries it round backward",
        Degrees(115.0),
        no_place="as leads, turned backward against the other stop",
        bench="how far {} is behind the crank pin, carried backward",
        owner="how far {} is turned behind the {pin}, running backwards",
        mends="turn",
        wrong=SLIPPED,
    )

    def centre(self, running: Running) -> Point:
        """Return its centre in the crank's axes, x through the crank pin [mm].

        Forward running is clockwise, so what leads is at a negative angle.
        """
        angle = self.stands(running)
        return self.throw * math.cos(angle), self.throw * math.sin(angle)

    def stands(self, running: Running) -> float:
        """Return the angle of its centre in the crank's axes, as a stop holds it [rad]."""
        return self.follows if running == BACK else -self.leads


class ValveRod(StrappedRod):
    """Eccentric rod: strap to the valve spindle."""

    END_NAMES = (("eccentric", "rear"), ("valve spindle", "front"))

    centres: Size = dim(OVER_EYES, 26.0, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))
    out: Length = assumed(INNER_FACE, BEHIND_WHEEL, **OUT)


def _beside_rod(near: Beside) -> float:
    """Return where the spindle is: in line with the rod, its fork about the rod's eye [mm]."""
    rod = near.size("eccentric_rod.out") + near.size("eccentric_rod.thickness") / 2
    return rod - near.size("valve_spindle.diameter") / 2


class Spindle(ValveSpindle):
    """The valve spindle, forked about the eccentric rod's eye."""

    guide: SpindleGuide | None = guide_between(23.5, 28.5)
    out: Length = assumed("inner side of the rod, outward from the wheel face", _beside_rod, **OUT)


class SlipPlay(JointPlay):
    """Play in the joints of the gear, in all: hole less pin, or strap less sheave."""

    JOINTS: ClassVar[Mapping[str, str]] = {
        **JointPlay.JOINTS,
        ECCENTRIC: "eccentric",
        "valve pin": "valve_pin",
    }

    eccentric: Amount | None = maybe("strap less sheave", **play_of("eccentric's strap"))
    valve_pin: Amount | None = maybe("hole less pin", **play_of("valve pin"))


class SlipEccentricSide(ValveGearSide):
    """One side of a sheet of the arrangement "slip-eccentric"."""

    joint_play: SlipPlay = SlipPlay.model_validate({})
    eccentric: SlipEccentric
    eccentric_rod: ValveRod
    valve_spindle: Spindle

    LOCOMOTIVE = True
    PLACES = (FORWARD, BACK)

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the eccentric is set: the place, and the fault."""
        yield from faults_of_stop(running)


def faults_of_stop(running: object) -> Iterator[tuple[Location, str]]:
    """Yield what is wrong with the stop that an eccentric is set against: the place, the fault."""
    if running not in (None, FORWARD, BACK):
        yield ("running",), f'should be "{FORWARD}" or "{BACK}" for a slip eccentric'


def slip_eccentric(side: SlipEccentricSide, running: Running = None) -> Assembly:
    """Return an engine with its eccentric against a stop, the rod and the valve's spindle.

    Joints, besides those of the slider-crank: "eccentric", "valve pin", "valve spindle slide".

    `running`: "full_back" for the stop that carries it backward; else the other.
    """
    assembly = slider_crank(side)
    centre = add_eccentric_rod(assembly, side.eccentric, side.eccentric_rod, "valve pin", running)
    add_spindle(assembly, side.valve_spindle, side.cylinder.inclination)
    assembly.keep_apart(SPINDLE, ROD)
    length = eye_to_eye(side.eccentric_rod)
    level = -side.cylinder.inclination
    height = side.valve_spindle.height
    x = circle_on_line(turn(centre, level), length, height)
    assembly.pin(
        "valve pin",
        assembly.place(ROD, "valve pin"),
        assembly.place(SPINDLE, "valve pin"),
        near=turn((x, height), -level),
    )
    assembly.watched = watch_valve(assembly.watched, VALVE_SLIDE, side.valve)
    assembly.reverser = stops_of(side.eccentric, running)
    return assembly


def add_eccentric_rod(
    assembly: Assembly, eccentric: SlipEccentric, rod: StrappedRod, end: str, running: Running
) -> Point:
    """Add the eccentric against a stop and its rod, with its far point of that name.

    Returns where the eccentric's centre is with the crank straight ahead [mm].
    """
    centre, length = eccentric.centre(running), eye_to_eye(rod)
    assembly.points["crank"][ECCENTRIC] = centre
    strap = disc((0.0, 0.0), rod.strap, (rod.out, rod.thickness), "strap")
    assembly.part(
        Part(ROD, key="eccentric_rod", sort=Sort.ROD),
        {ECCENTRIC: (0.0, 0.0), end: (length, 0.0)},
        (*rod_pieces(rod, length), strap),
    )
    assembly.ride(ROD, ECCENTRIC, {DRIVING: 1.0})
    assembly.ride(ROD, end, {})
    assembly.pin(ECCENTRIC, assembly.place("crank", ECCENTRIC), assembly.place(ROD, ECCENTRIC))
    return centre


def stops_of(eccentric: SlipEccentric, running: Running) -> Reverser:
    """Return what the stops are to the mechanism: a reverser that stands at either."""
    named = tuple((name, eccentric.stands(name)) for name in SlipEccentricSide.PLACES)
    stands = eccentric.stands(running)
    return Reverser("crank", (0.0, 0.0), stands, 1.0, "eccentric", named, ECCENTRIC)


SLIP_ECCENTRIC = Arrangement(
    name="slip-eccentric",
    does="crank, crosshead and a loose eccentric straight to the valve",
    sides=BOTH_SIDES,
    tables=SlipEccentricSide,
    build=slip_eccentric,
    measured=(
        *ENGINE,
        "eccentric",
        "eccentric_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="eccentric_rod.centres",
    removable=(ROD_OFF,),
)
