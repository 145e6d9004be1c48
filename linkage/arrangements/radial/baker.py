"""The Baker gear: pins alone, a yoke that is tilted, and a combination lever.

A return crank of throw r, a quarter turn ahead of the crank, swings the foot of the gear rod to and
fro by -r sin t. The gear rod's top is on the level arm of a bell crank; m below its top it is held
by a radius bar from the reverse yoke, and its foot is n below. The yoke leaning forward by a, what
the radius bar holds goes up by tan a of what it goes back, and the bell crank's arm with it, by ::

    (m / n) r tan a sin t

in first order. The yoke turns about where the radius bar's foot stands at the dead centres, so that
tilting it moves nothing then; lap and lead come from the crosshead, by the combination lever, and
are the same in every gear.

References
----------
Textbook kinematics, from memory; no source was compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Removable
from linkage.arrangements.assembly import Assembly, bar, turn
from linkage.arrangements.radial.levers import (
    BELL_CRANK,
    VALVE_ARM,
    BellCrank,
    BellCrankPivot,
    Hung,
    ReversingArm,
    add_bar,
    add_bell_crank,
    between,
    leans,
)
from linkage.arrangements.radial.shaft import add_reversing_arm, leaning
from linkage.arrangements.radial.tables import ShaftGear
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.shared_tables import within
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.starts import crossings
from linkage.arrangements.valves import VALVE_SLIDE, add_spindle, watch_valve
from linkage.arrangements.walschaerts.layers import outer_layer, outermost
from linkage.arrangements.walschaerts.parts import (
    LeverPlaces,
    add_lever,
    add_return_crank,
    add_union,
    lever_start,
)
from linkage.arrangements.walschaerts.side import LeverSide
from linkage.arrangements.walschaerts.tables import CombinationLever, EccentricRod, UnionLink
from linkage.arrangements.weighshaft import AHEAD, UP, Gear, faults_of_running, set_angle
from linkage.mechanism import Part, Point, Running
from linkage.tables.coupled import DRIVING
from linkage.tables.engine import INNER_FACE, OUT, above_rod
from linkage.tables.facts import assumed, dim, maybe
from linkage.tables.fields import Length, Location, Size
from linkage.tables.rods import BENT, BOW, CENTRES, DEPTH, DEPTH_OF, OVER_EYES, SQUARE, Bend, Rod
from linkage.tables.views import AT_AXLE, AXLE, Between, OnFrame, PointOf, Seen, View
from linkage.tables.words import Entry

_ROD, _GEAR_ROD, _BAR, _YOKE = "eccentric rod", "gear rod", "radius bar", "reverse yoke"
_REAR, _FOOT, _HELD = "return crank pin", "gear rod foot pin", "radius bar pin"
_TOP, _YOKE_PIN = "bell crank pin", "yoke pin"
_RADIUS_ROD = "radius rod"


class GearRod(Hung):
    """Gear rod: bell crank to the eccentric rod, held by the radius bar."""

    END_NAMES = (("bell crank", "top"), ("eccentric rod", "bottom"))
    BETWEEN = ("radius_bar_pin",)
    ITS_OWN = (*Hung.ITS_OWN, *BETWEEN)

    centres: Size = dim(OVER_EYES, 4.5, **CENTRES, full_size=(150.0, 1500.0), throws=(0.4, 5.0))
    radius_bar_pin: Size = dim(
        "its top pin to the radius bar's",
        2.6,
        calliper=Between(PointOf(_GEAR_ROD, _TOP), PointOf(_GEAR_ROD, _HELD), view="flat"),
        bench="how far {}'s pin for the radius bar is from its top",
        owner="how far the middle pin of {} is from its top",
    )
    out: Length = assumed(INNER_FACE, outer_layer, **OUT)


class RadiusBar(Hung):
    """Radius bar: reverse yoke to the gear rod."""

    END_NAMES = (("reverse yoke", "top"), ("gear rod", "bottom"))

    centres: Size = dim(OVER_EYES, 3.0, **CENTRES, full_size=(100.0, 900.0), throws=(0.3, 3.0))
    out: Length = assumed(INNER_FACE, lambda near: near.size("radius_rod.out"), **OUT)


class ReverseYoke(ReversingArm):
    """The reverse yoke; from its far end hangs the radius bar."""

    ORDER: ClassVar[tuple[str, ...]] = ("ahead", "up", "arm", "lean", "gear")
    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View("side view, from the driving axle", (Seen(_YOKE),), words=AT_AXLE)
    }

    ahead: Length = dim(
        "its pivot, from the driving axle",
        25.5,
        **AHEAD,
        calliper=Between(AXLE, PointOf(_YOKE, "pivot")),
    )
    up: Length = dim(
        "its pivot, from the driving axle",
        1.9,
        **UP,
        calliper=Between(AXLE, PointOf(_YOKE, "pivot"), "left"),
    )
    arm: Size = dim(
        "pivot to the radius bar's pin",
        3.0,
        calliper=Between(PointOf(_YOKE, "pivot"), PointOf(_YOKE, "end"), "here"),
        bench="the length of {}",
        owner="the length of {}",
    )
    gear: ShaftGear | None = leans(22.0)
    width: Size = assumed("depth in the side view", 1.0, owner=DEPTH_OF)
    thickness: Size = assumed("thickness, square to the wheel", 0.4)
    out: Length = assumed(INNER_FACE, within("reverse_yoke.thickness"), **OUT)


class BakerBellCrank(BellCrank):
    """The bell crank: one arm back, moved up and down; one arm up, which moves the valve."""

    pivot: BellCrankPivot = dim("from the driving axle", {"ahead": 27.9, "up": 4.5})
    arm: Size = dim(
        "pivot to the gear rod's pin, of the arm that points back",
        2.4,
        calliper=Between(PointOf(BELL_CRANK, "arm pin"), OnFrame("bell crank pivot")),
        bench="the length of {}'s arm that points back",
        owner="the length of the level arm of {}",
    )
    valve_arm: Size = dim(
        "pivot to the radius rod's pin",
        2.8,
        calliper=Between(OnFrame("bell crank pivot"), PointOf(BELL_CRANK, VALVE_ARM), "right"),
        bench="the length of {}'s arm for the valve",
        owner="the length of the upright arm of {}",
    )
    out: Length = assumed(INNER_FACE, outermost, **OUT)


class BakerRod(Rod):
    """Radius rod: bell crank to the combination lever; some call it the valve rod."""

    END_NAMES = (("bell crank", "rear"), ("lever pin", "front"))

    centres: Size = dim(OVER_EYES, 8.6, **CENTRES, full_size=(300.0, 2600.0), throws=(1.0, 9.0))
    width: Size = assumed(DEPTH, 1.2, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4, 0.4)
    out: Length = assumed(INNER_FACE, above_rod, 4.4, **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())


class BakerEccentricRod(EccentricRod):
    """Eccentric rod: return crank to the gear rod's foot."""

    END_NAMES = (("return crank pin", "return crank", "rear"), ("gear rod", "front"))

    centres: Size = dim(OVER_EYES, 25.55, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))


class BakerSide(LeverSide):
    """One side of a sheet of the arrangement "baker"."""

    eccentric_rod: BakerEccentricRod
    gear_rod: GearRod
    radius_bar: RadiusBar
    reverse_yoke: ReverseYoke
    bell_crank: BakerBellCrank
    radius_rod: BakerRod
    combination_lever: CombinationLever
    union_link: UnionLink

    LOCOMOTIVE = True
    PLACES = tuple(Gear.model_fields)

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        yield from faults_of_running(self.reverse_yoke, running, "reverse_yoke", "lean")


def baker(side: BakerSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints, besides those of the slider-crank: "return crank pin", "gear rod foot pin",
    "radius bar pin", "yoke pin", "bell crank pin", "bell crank pivot", "radius rod rear pin",
    "radius rod pin", "valve pin", "union pin", "drop arm pin" and "valve spindle slide".

    `running`: a name of ``reverse_yoke.gear``, or how far forward the yoke leans [rad].
    """
    assembly = slider_crank(side)
    add_return_crank(assembly, side)
    rod, gear_rod = side.eccentric_rod, side.gear_rod
    add_bar(assembly, _ROD, rod, {_REAR: 0.0, _FOOT: 1.0})
    assembly.ride(_ROD, _REAR, {DRIVING: 1.0})
    assembly.ride(_ROD, _FOOT, {})
    add_bar(assembly, _GEAR_ROD, gear_rod, {_TOP: 0.0, _FOOT: 1.0, _HELD: gear_rod.radius_bar_pin})
    add_bar(assembly, _BAR, side.radius_bar, {_YOKE_PIN: 0.0, _HELD: 1.0})
    _add_yoke(assembly, side.reverse_yoke, running)
    add_bell_crank(assembly, side.bell_crank)
    start = _find_start(side)
    for name, parts, near in (
        (_REAR, ("crank", _ROD), None),
        (_FOOT, (_ROD, _GEAR_ROD), start[_FOOT]),
        (_HELD, (_GEAR_ROD, _BAR), start[_HELD]),
    ):
        one, other = (assembly.place(part, name) for part in parts)
        assembly.pin(name, one, other, near=near)
    assembly.pin(_YOKE_PIN, assembly.place(_BAR, _YOKE_PIN), assembly.place(_YOKE, "end"))
    top, arm = assembly.place(_GEAR_ROD, _TOP), assembly.place(BELL_CRANK, "arm pin")
    assembly.pin(_TOP, top, arm, near=start[_TOP])
    _add_front(assembly, side, start[VALVE_ARM])
    return assembly


def _add_yoke(assembly: Assembly, yoke: ReverseYoke, running: Running) -> None:
    arm = ((yoke.ahead, yoke.up), yoke.arm, set_angle(yoke.gear, yoke.lean, running))
    metal = bar((arm[0], leaning(*arm)), yoke.width, yoke.out, yoke.thickness)
    part = Part(_YOKE, fixed=True, key="reverse_yoke")
    add_reversing_arm(assembly, part, arm, ("reverse_yoke.gear", yoke.gear), [metal])


def _find_start(side: BakerSide) -> dict[str, Point]:
    """Return about where the pins stand with the crank straight ahead [mm].

    What the radius bar holds stands at the yoke's pivot then.
    """
    yoke, crank, rod = side.reverse_yoke, side.bell_crank, side.gear_rod
    held = (yoke.ahead, yoke.up)
    pivot = (crank.pivot.ahead, crank.pivot.up)
    both = crossings(held, rod.radius_bar_pin, pivot, crank.arm)
    top = min(both, key=lambda at: at[0])
    turned = math.atan2(top[1] - pivot[1], top[0] - pivot[0]) - crank.angle
    x, y = turn((crank.valve_arm, 0.0), turned)
    return {
        _TOP: top,
        _HELD: held,
        _FOOT: between(top, held, eye_to_eye(rod) / rod.radius_bar_pin),
        VALVE_ARM: (pivot[0] + x, pivot[1] + y),
    }


def _add_front(assembly: Assembly, side: BakerSide, rear: Point) -> None:
    """Add radius rod, combination lever, union link and spindle; `rear` [mm]: of the rod."""
    slope = side.cylinder.inclination
    lever = lever_start(side, turn(rear, -slope))
    places = LeverPlaces.of(lever, lever.lean(), slope)
    add_bar(assembly, _RADIUS_ROD, side.radius_rod, {"rear pin": 0.0, "front pin": 1.0})
    one, other = assembly.place(_RADIUS_ROD, "rear pin"), assembly.place(BELL_CRANK, VALVE_ARM)
    assembly.pin("radius rod rear pin", one, other, near=rear)
    add_spindle(assembly, side.valve_spindle, slope)
    add_lever(assembly, side.combination_lever, places)
    add_union(assembly, side, places)
    admission = side.combination_lever.admission
    assembly.watched = watch_valve(assembly.watched, VALVE_SLIDE, side.valve, admission)


_GEAR = frozenset({
    "eccentric_rod", "gear_rod", "radius_bar", "bell_crank", "radius_rod", "combination_lever",
    "union_link", "valve_spindle",
})  # fmt: skip
_CRANK_OFF = Removable("return_crank", 3.0, _GEAR | {"return_crank"})
_ROD_OFF = Removable(
    "connecting_rod", ROD_OFF.minutes + _CRANK_OFF.minutes, ROD_OFF.stills | _CRANK_OFF.stills
)

BAKER = Arrangement(
    name="baker",
    does="a return crank, pins alone with a yoke that is tilted, and a combination lever",
    sides=BOTH_SIDES,
    tables=BakerSide,
    build=baker,
    measured=(
        *ENGINE,
        "return_crank",
        "eccentric_rod",
        "gear_rod",
        "radius_bar",
        "reverse_yoke",
        "bell_crank",
        "radius_rod",
        "combination_lever",
        "union_link",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="eccentric_rod.centres",
    words=(
        Entry(
            "gear rod",
            "gear connection rod",
            "The upright bar between the bar from the wheel and the bent lever.",
            "the upright bar of the valve gear",
        ),
        Entry(
            "radius bar",
            "radius bar",
            "The short link that hangs from the yoke and holds the upright bar.",
            "the short link that hangs from the reversing yoke",
        ),
        Entry(
            "reverse yoke",
            "reverse yoke",
            "The frame that is tilted to reverse.",
            "the frame that is tilted for reversing",
        ),
    ),
    removable=(_CRANK_OFF, _ROD_OFF),
)
