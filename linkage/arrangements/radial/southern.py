"""The Southern gear: the eccentric rod swings from a hanger, whose top is shifted to reverse.

A return crank of throw r, a quarter turn ahead of the crank, moves the rear of the eccentric rod
by ``r (-sin t, -cos t)``. The rod is hung, h from its rear pin, from a block in a link that stays
where it is, curved about where the hanger's foot stands at the dead centres. With the hanger
leaning forward by a its foot goes up by tan a of what it goes back. The yoke's pin, k h from the
rear, goes up by ::

    k r tan a sin t + (k - 1) r cos t

and a bell crank turns that towards the valve. Lap and lead, (k - 1) r times its arms' ratio, are
those of every gear, for at the dead centres the hanger's foot is where its link's curve has its
centre: ``sqrt(h**2 - r**2)`` ahead of the axle.

References
----------
Textbook kinematics of radial gears, from memory; no source was compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import ClassVar

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement, Removable
from linkage.arrangements.assembly import Assembly, disc
from linkage.arrangements.radial.levers import (
    BELL_CRANK,
    VALVE_ARM,
    BellCrank,
    Hung,
    ReversingArm,
    add_bar,
    add_bell_crank,
    between,
    leans,
)
from linkage.arrangements.radial.shaft import add_reversing_arm, add_valve_rod, leaning
from linkage.arrangements.radial.sides import DrivenValveSide
from linkage.arrangements.radial.tables import (
    DrivenRod,
    DrivenSpindle,
    ShaftGear,
    layer_of,
    within_of,
)
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.shared_tables import SpindleGuide, guide_between, spindle_height
from linkage.arrangements.slider_crank import ENGINE, ROD_OFF, slider_crank
from linkage.arrangements.starts import crossings
from linkage.arrangements.walschaerts.parts import add_return_crank
from linkage.arrangements.walschaerts.side import ReturnCrankSide
from linkage.arrangements.walschaerts.tables import ReturnCrank
from linkage.arrangements.weighshaft import AHEAD, UP, faults_of_running, set_angle
from linkage.mechanism import Part, Point, Running
from linkage.tables.coupled import DRIVING
from linkage.tables.engine import INNER_FACE, OUT
from linkage.tables.facts import Degrees, assumed, dim, maybe
from linkage.tables.fields import Angle, Length, Location, Size
from linkage.tables.rods import BENT, BOW, CENTRES, DEPTH, DEPTH_OF, OVER_EYES, SQUARE, Bend, Rod
from linkage.tables.views import AT_AXLE, AXLE, Between, PointOf, Seen, Turned, View
from linkage.tables.words import Entry

_ROD, _HANGER, _YOKE, _BLOCK = "eccentric rod", "hanger", "transmission yoke", "link block"
_REAR, _HUNG, _FRONT = "return crank pin", "hanger pin", "yoke pin"
_ARM_PIN = "bell crank pin"


class SouthernCrank(ReturnCrank):
    """The return crank."""

    pin_circle: Size | None = maybe(
        "axle centre to the return crank's pin: a radius",
        1.7,
        rare=False,
        calliper=Between(AXLE, PointOf("crank", "return crank pin"), "left"),
        owner="how far the pin of {} stands from the axle",
        full_size=(60.0, 300.0),
        throws=(0.2, 0.95),
        twice="is this the diameter of the circle?",
    )
    leads: Angle | None = maybe(
        "degrees; ahead of the crank pin, forward; or write follows = ...",
        Degrees(90.0),
        rare=False,
        calliper=Turned(AXLE, PointOf("crank", "return crank pin"), PointOf("crank", "crank pin")),
        bench="how far {} is ahead of the crank pin",
        owner="how far {} is turned ahead of the {pin}",
    )
    out: Length = assumed(INNER_FACE, layer_of("connecting_rod", 4), **OUT)


class HungRod(Rod):
    """Eccentric rod: return crank to the transmission yoke, hung from the hanger."""

    END_NAMES = (("return crank", "rear"), ("yoke", "front"))
    BETWEEN = ("hanger_pin",)
    ITS_OWN = (*Rod.ITS_OWN, *BETWEEN)

    centres: Size = dim(OVER_EYES, 18.0, **CENTRES, full_size=(700.0, 3500.0), throws=(2.0, 11.0))
    hanger_pin: Size = dim(
        "return crank's pin to the hanger's",
        14.0,
        calliper=Between(PointOf(_ROD, _REAR), PointOf(_ROD, _HUNG), view="flat"),
        bench="how far {}'s pin for the hanger is from the return crank's",
        owner="how far from its rear end {} hangs",
    )
    width: Size = assumed(DEPTH, 1.2, 1.2, owner=DEPTH_OF)
    thickness: Size = assumed(SQUARE, 0.4, 0.4)
    out: Length = assumed(INNER_FACE, layer_of("return_crank", 2), **OUT)
    bend: tuple[Bend, ...] = maybe(BENT, BOW, ())


class Hanger(Hung):
    """Hanger: the block in its link to the eccentric rod."""

    END_NAMES = (("link block", "top"), ("hanger pin", "bottom"))

    out: Length = assumed(INNER_FACE, layer_of("return_crank"), **OUT)


class StationaryLink(ReversingArm):
    """The link in which the hanger's block is shifted; it is fast on the frame."""

    VIEWS: ClassVar[Mapping[str, View]] = {
        "": View(
            "side view, from the driving axle; the hanger upright",
            (Seen(_HANGER, look="about"),),
            words=AT_AXLE,
        )
    }

    ahead: Length = dim(
        "the centre of its curve, from the driving axle: where the hanger's foot stands at the "
        "dead centres",
        13.9,
        **AHEAD,
        no_place="where the hanger's foot stands, the crank at either dead centre",
    )
    up: Length = dim(
        "the same above the driving axle",
        0.0,
        **UP,
        no_place="where the hanger's foot stands, the crank at either dead centre",
    )
    gear: ShaftGear | None = leans(22.0)


class Yoke(Hung):
    """Transmission yoke: bell crank to the eccentric rod."""

    END_NAMES = (("bell crank", "top"), ("yoke pin", "bottom"))

    centres: Size = dim(OVER_EYES, 5.0, **CENTRES, full_size=(150.0, 1500.0), throws=(0.4, 5.0))
    out: Length = assumed(INNER_FACE, layer_of("return_crank"), **OUT)


class SouthernValveRod(DrivenRod):
    """Valve rod: bell crank to the valve spindle."""

    out: Length = assumed(INNER_FACE, within_of("bell_crank", "valve_rod"), **OUT)


class SouthernSpindle(DrivenSpindle):
    """The valve spindle, forked about the valve rod's eye."""

    height: Length = spindle_height(7.5)
    guide: SpindleGuide | None = guide_between(31.0, 38.0)


class SouthernSide(ReturnCrankSide, DrivenValveSide):
    """One side of a sheet of the arrangement "southern"."""

    return_crank: SouthernCrank
    eccentric_rod: HungRod
    stationary_link: StationaryLink
    hanger: Hanger
    transmission_yoke: Yoke
    bell_crank: BellCrank
    valve_rod: SouthernValveRod
    valve_spindle: SouthernSpindle

    def running_faults(self, running: object) -> Iterator[tuple[Location, str]]:
        """Yield what is wrong with where the reverser is set: the place, and the fault."""
        yield from faults_of_running(self.stationary_link, running, "stationary_link", "lean")


def southern(side: SouthernSide, running: Running = None) -> Assembly:
    """Return an engine with its return crank, hung rod, yoke, bell crank, and the valve's rod.

    Joints, besides those of the slider-crank: "return crank pin", "link block", "hanger pin",
    "yoke pin", "bell crank pin", "bell crank pivot", "valve rod pin", "valve pin" and
    "valve spindle slide".

    `running`: a name of ``stationary_link.gear``, or how far forward the hanger leans [rad].
    """
    assembly = slider_crank(side)
    add_return_crank(assembly, side)
    rod, hanger, yoke = side.eccentric_rod, side.hanger, side.transmission_yoke
    add_bar(assembly, _ROD, rod, {_REAR: 0.0, _FRONT: 1.0, _HUNG: rod.hanger_pin})
    assembly.ride(_ROD, _REAR, {DRIVING: 1.0})
    assembly.ride(_ROD, _FRONT, {})
    add_bar(assembly, _HANGER, hanger, {_BLOCK: 0.0, _HUNG: 1.0})
    add_bar(assembly, _YOKE, yoke, {_ARM_PIN: 0.0, _FRONT: 1.0})
    link = side.stationary_link
    centre = (link.ahead, link.up)
    arm = (centre, eye_to_eye(hanger), set_angle(link.gear, link.lean, running))
    block = disc(leaning(*arm), hanger.width, (hanger.out, hanger.thickness), "block")
    part = Part(_BLOCK, fixed=True, key="stationary_link")
    add_reversing_arm(assembly, part, arm, ("stationary_link.gear", link.gear), [block])
    assembly.keep_apart(_BLOCK, _HANGER)
    add_bell_crank(assembly, side.bell_crank)
    start = _find_start(side, leaning(*arm))
    for name, one, other, near in (
        (_REAR, assembly.place("crank", _REAR), assembly.place(_ROD, _REAR), None),
        (_BLOCK, assembly.place(_BLOCK, "end"), assembly.place(_HANGER, _BLOCK), None),
        (_HUNG, assembly.place(_ROD, _HUNG), assembly.place(_HANGER, _HUNG), start[_HUNG]),
        (_FRONT, assembly.place(_ROD, _FRONT), assembly.place(_YOKE, _FRONT), start[_FRONT]),
        (
            _ARM_PIN,
            assembly.place(_YOKE, _ARM_PIN),
            assembly.place(BELL_CRANK, "arm pin"),
            start[_ARM_PIN],
        ),
    ):
        assembly.pin(name, one, other, near=near)
    rear = assembly.place(BELL_CRANK, VALVE_ARM)
    return add_valve_rod(assembly, side, side.valve_rod, rear, start[VALVE_ARM])


def _find_start(side: SouthernSide, block: Point) -> dict[str, Point]:
    """Return where the pins stand with the crank straight ahead [mm]."""
    rod, crank = side.eccentric_rod, side.bell_crank
    rear = side.return_crank.pin(side.wheels.throw)
    foot = min(
        crossings(rear, rod.hanger_pin, block, eye_to_eye(side.hanger)), key=lambda at: at[1]
    )
    front = between(rear, foot, eye_to_eye(rod) / rod.hanger_pin)
    pivot = (crank.pivot.ahead, crank.pivot.up)
    both = crossings(front, eye_to_eye(side.transmission_yoke), pivot, crank.arm)
    pin = min(both, key=lambda at: at[0])
    turned = math.atan2(pin[1] - pivot[1], pin[0] - pivot[0]) - crank.angle
    valve = (
        pivot[0] + crank.valve_arm * math.cos(turned),
        pivot[1] + crank.valve_arm * math.sin(turned),
    )
    return {_HUNG: foot, _FRONT: front, _ARM_PIN: pin, VALVE_ARM: valve}


_GEAR = frozenset(
    {"eccentric_rod", "hanger", "transmission_yoke", "bell_crank", "valve_rod", "valve_spindle"}
)
_CRANK_OFF = Removable("return_crank", 3.0, _GEAR | {"return_crank"})
_ROD_OFF = Removable(
    "connecting_rod", ROD_OFF.minutes + _CRANK_OFF.minutes, ROD_OFF.stills | _CRANK_OFF.stills
)

SOUTHERN = Arrangement(
    name="southern",
    does="a return crank's rod on a hanger that is shifted, and a bell crank",
    sides=BOTH_SIDES,
    tables=SouthernSide,
    build=southern,
    measured=(
        *ENGINE,
        "return_crank",
        "eccentric_rod",
        "stationary_link",
        "hanger",
        "transmission_yoke",
        "bell_crank",
        "valve_rod",
        "valve_spindle",
        "valve",
        "joint_play",
    ),
    differs="eccentric_rod.centres",
    words=(
        Entry(
            "hanger",
            "radius hanger",
            "The link that the rod from the wheel hangs by.",
            "the link that the bar hangs by",
        ),
        Entry(
            "link block",
            "link block",
            "The block that the hanger hangs from, shifted to reverse.",
            "the block that is shifted for reversing",
        ),
        Entry(
            "transmission yoke",
            "transmission yoke",
            "The upright link to the bell crank.",
            "the upright link to the bent lever",
        ),
        Entry(
            "bell crank",
            "bell crank",
            "The lever with two arms that turns up and down into to and fro.",
            "the bent lever that moves the valve",
        ),
    ),
    removable=(_CRANK_OFF, _ROD_OFF),
)
