"""A small gear defined here alone: an eccentric fast on its axle, straight to the valve."""

from __future__ import annotations

import math
from dataclasses import replace

from linkage.arrangements.arrangement import ONE_SIDE, Arrangement, Running
from linkage.arrangements.assembly import Assembly, bar, disc
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.slider_crank import ENGINE, slider_crank, square_to
from linkage.arrangements.starts import circle_on_line
from linkage.mechanism import Part, Sort
from linkage.tables.facts import Degrees, assumed, dim
from linkage.tables.fields import Angle, Length, Size, Table
from linkage.tables.rods import DEPTH, INNER_FACE, OVER_EYES, SQUARE, Rod
from linkage.tables.sides import SliderCrankSide
from linkage.tables.views import AXLE, Between, OnFrame, PointOf, Turned
from linkage.tables.words import Entry

BEHIND_WHEEL = -4.0


class Eccentric(Table):
    """The eccentric."""

    throw: Size = dim(
        "axle centre to the eccentric's centre: half the valve's travel",
        1.3,
        calliper=Between(AXLE, PointOf("crank", "eccentric"), "left"),
    )
    leads: Angle = dim(
        "degrees; ahead of the crank pin, in forward running",
        Degrees(110.0),
        calliper=Turned(AXLE, PointOf("crank", "eccentric"), PointOf("crank", "crank pin")),
    )
    diameter: Size = assumed("over the sheave", 3.6)
    thickness: Size = assumed(SQUARE, 0.8)
    out: Length = assumed(INNER_FACE, BEHIND_WHEEL)

    @property
    def centre(self) -> tuple[float, float]:
        """Its centre in the crank's axes [mm]."""
        return self.throw * math.cos(self.leads), -self.throw * math.sin(self.leads)


class ValveRod(Rod):
    """From the eccentric to the valve's spindle."""

    END_NAMES = (("eccentric", "rear"), ("spindle", "front"))

    centres: Size = dim(OVER_EYES, 30.0)
    width: Size = assumed(DEPTH, 1.2)
    thickness: Size = assumed(SQUARE, 0.8)
    out: Length = assumed(INNER_FACE, lambda near: near.size("eccentric.out"))


class Spindle(Table):
    """The valve's spindle."""

    height: Length = dim(
        "above the driving axle, at the axle",
        2.0,
        calliper=Between(AXLE, OnFrame("spindle slide"), "left"),
    )
    length: Size = assumed("from the rod's pin to its front end", 5.0)
    diameter: Size = assumed("of the rod", 0.8)


class FastEccentricSide(SliderCrankSide):
    """One side with such an eccentric."""

    eccentric: Eccentric
    eccentric_rod: ValveRod
    spindle: Spindle


def fast_eccentric(side: FastEccentricSide, _running: Running = None) -> Assembly:
    """Return an engine with its eccentric, the rod and the valve's spindle."""
    assembly = slider_crank(side)
    sheave, rod, spindle = side.eccentric, side.eccentric_rod, side.spindle
    assembly.points["crank"]["eccentric"] = sheave.centre
    layer = (sheave.out - sheave.thickness, sheave.thickness)
    assembly.pieces["crank"].append(disc(sheave.centre, sheave.diameter, layer, "eccentric"))
    length = eye_to_eye(rod)
    assembly.part(
        Part("eccentric rod", key="eccentric_rod", sort=Sort.ROD),
        {"eccentric": (0.0, 0.0), "spindle pin": (length, 0.0)},
        rod_pieces(rod, length),
    )
    middle = rod.out + rod.thickness
    metal = bar(((0.0, 0.0), (spindle.length, 0.0)), spindle.diameter, middle, spindle.diameter)
    assembly.part(Part("spindle", key="spindle"), {"pin": (0.0, 0.0)}, [metal])
    assembly.pin(
        "eccentric",
        assembly.place("crank", "eccentric"),
        assembly.place("eccentric rod", "eccentric"),
    )
    x = circle_on_line(sheave.centre, length, spindle.height)
    assembly.pin(
        "spindle pin",
        assembly.place("eccentric rod", "spindle pin"),
        assembly.place("spindle", "pin"),
        near=(x, spindle.height),
    )
    base = square_to(0.0, spindle.height)
    assembly.slide("spindle slide", assembly.place("spindle", "pin"), base, 0.0)
    assembly.watched = replace(assembly.watched, valve="spindle slide")
    return assembly


FAST_ECCENTRIC = Arrangement(
    name="fast-eccentric",
    does="an eccentric straight to the valve",
    sides=ONE_SIDE,
    tables=FastEccentricSide,
    build=fast_eccentric,
    measured=(*ENGINE, "eccentric", "eccentric_rod", "spindle", "joint_play"),
    words=(
        Entry("eccentric", "eccentric", "The disc on the axle that moves the valve."),
        Entry("spindle", "valve stem", "The little rod that moves the valve."),
    ),
)
