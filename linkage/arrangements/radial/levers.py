"""What gears have that hang a rod from an arm and pass its motion on by a bell crank."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, ClassVar

from linkage.arrangements.assembly import Assembly, bar
from linkage.arrangements.radial.tables import ShaftGear, layer_of
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.weighshaft import pivot_ahead, pivot_up
from linkage.mechanism import FRAME, Part, Place, Point, Sort
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import Degrees, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Size, Table
from linkage.tables.rods import BENT, CENTRES, DEPTH, DEPTH_OF, OVER_EYES, SQUARE, Bend, Rod
from linkage.tables.views import AT_AXLE, Between, OnFrame, PointOf, Seen, View

BELL_CRANK, VALVE_ARM = "bell crank", "valve rod pin"
_PIVOT = OnFrame("bell crank pivot")
_ARM, _VALVE = PointOf(BELL_CRANK, "arm pin"), PointOf(BELL_CRANK, VALVE_ARM)


class BellCrankPivot(Table):
    """Where the bell crank turns on the frame."""

    ahead: Length = pivot_ahead("bell crank pivot")
    up: Length = pivot_up("bell crank pivot")


class BellCrank(Table):
    """The bell crank: one arm back, moved up and down; one arm up, which moves the valve."""

    ORDER: ClassVar[tuple[str, ...]] = ("pivot", "arm", "valve_arm", "angle")
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, its arm level, from the driving axle",
            (Seen(BELL_CRANK, at=_PIVOT),),
            words=AT_AXLE,
        )
    }

    pivot: BellCrankPivot = dim("from the driving axle", {"ahead": 20.5, "up": 5.0})
    arm: Size = dim(
        "pivot to the pin of its arm that points back",
        2.5,
        calliper=Between(_ARM, _PIVOT),
        bench="the length of {}'s arm that points back",
        owner="the length of the level arm of {}",
    )
    valve_arm: Size = dim(
        "pivot to the valve rod's pin",
        2.5,
        calliper=Between(_PIVOT, _VALVE, "right"),
        bench="the length of {}'s arm for the valve",
        owner="the length of the upright arm of {}",
    )
    angle: Angle = maybe(
        "degrees between the two arms",
        default=math.radians(90.0),
        no_place="seldom anything but a right angle",
        bench="the angle between {}'s arms",
        owner="the angle between the arms of {}",
    )
    width: Size = assumed("depth of an arm in the side view", 1.0, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, layer_of("eccentric_rod"), **OUT)

    @property
    def pins(self) -> dict[str, Point]:
        """Its pins from its pivot, its arm level and back [mm]."""
        up = math.pi - self.angle
        return {
            "pivot": (0.0, 0.0),
            "arm pin": (-self.arm, 0.0),
            VALVE_ARM: (self.valve_arm * math.cos(up), self.valve_arm * math.sin(up)),
        }


def add_bell_crank(assembly: Assembly, crank: BellCrank) -> None:
    """Add the bell crank on its pivot."""
    pins = crank.pins
    arms = [
        bar((pins["pivot"], pins[pin]), crank.width, crank.out, crank.thickness)
        for pin in ("arm pin", VALVE_ARM)
    ]
    assembly.part(Part(BELL_CRANK, key="bell_crank"), pins, arms)
    pivot = Place(FRAME, crank.pivot.ahead, crank.pivot.up)
    assembly.pin("bell crank pivot", assembly.place(BELL_CRANK, "pivot"), pivot)


def add_bar(assembly: Assembly, name: str, rod: Rod, points: Mapping[str, float]) -> None:
    """Add a bar with its points, by how far they are along it [mm]; the second is its far end."""
    length = eye_to_eye(rod)
    (first, _), (second, _), *others = points.items()
    along = {first: 0.0, second: length, **dict(others)}
    assembly.part(
        Part(name, key=name.replace(" ", "_"), sort=Sort.ROD),
        {point: (x, 0.0) for point, x in along.items()},
        rod_pieces(rod, length),
    )


def between(start: Point, end: Point, share: float) -> Point:
    """Return the place at a share of the way from one place to another [mm]."""
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


class Hung(Rod):
    """A link that hangs upright."""

    UPRIGHT = True

    centres: Size = dim(OVER_EYES, 6.0, **CENTRES, full_size=(150.0, 1500.0), throws=(0.4, 5.0))
    width: Size = assumed(DEPTH, 1.0, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4)
    bend: tuple[Bend, ...] = maybe(
        BENT, ({"kind": "bow", "from": "bottom", "towards_frames": 0.5},), ()
    )


class ReversingArm(Table):
    """What a link hangs from, turned to reverse: its place, and where it leans in each gear."""

    lean: Angle | None = maybe(
        "degrees by which it leans forward, to the chimney; below nought, back",
        no_place="read off with the reverser set",
        bench="how far forward {} leans",
        owner="how far forward {} leans",
    )
    gear: ShaftGear | None


def leans(full: float) -> Any:
    """Return the field of an arm's places, so many degrees forward in full forward gear."""
    return maybe(
        "degrees by which it leans forward, in the named places of the reverser",
        {"full_forward": Degrees(full), "mid": Degrees(0.0), "full_back": Degrees(-full)},
        rare=False,
        no_place="read off with the reverser set there",
    )
