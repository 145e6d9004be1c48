"""Two eccentrics, their rods and the slotted link between them: what three gears have alike."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from linkage.arrangements.assembly import Assembly, bar, disc, turn
from linkage.arrangements.eccentric_links.side import EccentricLinkSide, RadiusRodSide
from linkage.arrangements.eccentric_links.start import LinkStart, die_at_height
from linkage.arrangements.eccentric_links.tables import (
    BACK,
    FORE,
    LINK,
    EccentricRod,
    Link,
)
from linkage.arrangements.links import slot_body
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.slider_crank import slider_crank
from linkage.arrangements.starts import DieStart, circle_on_line
from linkage.arrangements.valves import SPINDLE, VALVE_PIN, VALVE_SLIDE, add_spindle, watch_valve
from linkage.mechanism import Part, Piece, Place, Point, Slot, Sort, Travel
from linkage.tables.coupled import DRIVING
from linkage.tables.rods import Rod

DIE, RADIUS_ROD, LIFTING_LINK = "die block", "radius rod", "lifting link"
WEIGHSHAFT, SUSPENSION_PIN = "weighshaft", "suspension pin"


@dataclass(frozen=True)
class _OnPin:
    """An eccentric's rod, and the pin of the link that it takes."""

    pin: str
    name: str
    eccentric: str
    key: str
    rod: EccentricRod


def _rods(side: EccentricLinkSide) -> tuple[_OnPin, _OnPin]:
    """Return the rod of the upper pin and that of the lower one."""
    fore = (f"{FORE} rod", FORE, "fore_eccentric_rod", side.fore_eccentric_rod)
    back = (f"{BACK} rod", BACK, "back_eccentric_rod", side.back_eccentric_rod)
    upper, lower = (fore, back) if side.expansion_link.fore_rod == "top" else (back, fore)
    return _OnPin("top", *upper), _OnPin("bottom", *lower)


def _pins(link: Link) -> dict[str, Point]:
    """Return the link's pins, from the middle of its slot, upright [mm]."""
    return {
        "top pin": (-link.top_pin.back, link.top_pin.above),
        "bottom pin": (-link.bottom_pin.back, -link.bottom_pin.below),
        SUSPENSION_PIN: (-link.suspension_pin.back, link.suspension_pin.up),
    }


@dataclass(frozen=True)
class Hangs:
    """How a link hangs with the crank straight ahead.

    `middle` [mm] and `lean` [rad] are in axes with x along the cylinder, `inclination` [rad].
    """

    middle: Point
    lean: float
    inclination: float

    def at(self, point: Point) -> Point:
        """Return where a point of the link stands in the frame's axes [mm]."""
        x, y = turn(point, self.lean)
        return turn((self.middle[0] + x, self.middle[1] + y), self.inclination)


def hangs_from(side: EccentricLinkSide, end: Point, length: float) -> Hangs:
    """Return how the link hangs.

    `end`, `length` [mm]: where what it hangs by is held, and the length of that.
    """
    inclination = side.cylinder.inclination
    pins = _pins(side.expansion_link)
    centres = {FORE: side.fore_eccentric.centre, BACK: side.back_eccentric.centre}
    upper, lower = (
        (turn(centres[held.eccentric], -inclination), eye_to_eye(held.rod)) for held in _rods(side)
    )
    start = LinkStart(
        upper,
        lower,
        top=pins["top pin"],
        bottom=pins["bottom pin"],
        suspension=pins[SUSPENSION_PIN],
        hung_from=turn(end, -inclination),
        hanger=length,
    )
    return Hangs(*start.stands(), inclination)


def gear_without_die(side: EccentricLinkSide, hangs: Hangs) -> Assembly:
    """Return engine, eccentrics, their rods and the link, which nothing carries as yet."""
    assembly = slider_crank(side)
    crank = assembly.points["crank"]
    crank[FORE], crank[BACK] = side.fore_eccentric.centre, side.back_eccentric.centre
    link = side.expansion_link
    points = {"middle": (0.0, 0.0), "slot": (0.0, 0.0), **_pins(link)}
    assembly.part(Part(LINK, key="expansion_link"), points, _link_pieces(link, side.curvature))
    for held in _rods(side):
        _add_rod(assembly, held, hangs.at(points[f"{held.pin} pin"]))
    return assembly


def _add_rod(assembly: Assembly, held: _OnPin, near: Point) -> None:
    """Add an eccentric's rod, its strap about the sheave, and pin it to the link."""
    length = eye_to_eye(held.rod)
    strap = disc(
        (0.0, 0.0), held.rod.strap, (held.rod.out, held.rod.thickness), f"{held.eccentric} strap"
    )
    assembly.part(
        Part(held.name, key=held.key, sort=Sort.ROD),
        {"eccentric": (0.0, 0.0), "link pin": (length, 0.0)},
        (*rod_pieces(held.rod, length), strap),
    )
    assembly.ride(held.name, "eccentric", {DRIVING: 1.0})
    assembly.ride(held.name, "link pin", {})
    assembly.pin(
        held.eccentric,
        assembly.place("crank", held.eccentric),
        assembly.place(held.name, "eccentric"),
    )
    assembly.pin(
        f"{held.pin} link pin",
        assembly.place(held.name, "link pin"),
        assembly.place(LINK, f"{held.pin} pin"),
        near=near,
    )


def _link_pieces(link: Link, curvature: float) -> tuple[Piece, ...]:
    """Return the link's body, as if there were no slot, and its lugs out to the pins."""
    pins = _pins(link)
    body, ends = slot_body(link, curvature)
    lugs = [
        bar((end, pins[f"{name} pin"]), link.width, link.out, link.thickness, f"{name} lug")
        for name, end in zip(("bottom", "top"), ends, strict=True)
    ]
    return (*body, *lugs)


def add_hanger(assembly: Assembly, names: tuple[str, str, str], rod: Rod, held: Place) -> None:
    """Add a link that something hangs by, and pin its upper end.

    `names`: its own, and those of the joints at its upper and its lower end. `held`: where the
    upper one is held.
    """
    name, joint, foot = names
    length = eye_to_eye(rod)
    assembly.part(
        Part(name, key=name.replace(" ", "_"), sort=Sort.ROD),
        {joint: (0.0, 0.0), foot: (length, 0.0)},
        rod_pieces(rod, length),
    )
    assembly.pin(joint, assembly.place(name, joint), held)


def add_slot(assembly: Assembly, side: EccentricLinkSide, part: str, near: Point) -> None:
    """Run the point "die block" of a part in the link's slot."""
    link = side.expansion_link
    die, slot = assembly.place(part, DIE), assembly.place(LINK, "slot")
    # upwards, a slot whose centre is ahead turns to the right
    assembly.slot(Slot(DIE, die, slot, math.pi / 2, -side.curvature, near=near))
    most = link.slot_half_length - link.die_length / 2
    assembly.travels.append(Travel(DIE, DIE, "slot", -most, most))
    assembly.keep_apart(part, LINK)


def finish_valve(assembly: Assembly, side: EccentricLinkSide) -> Assembly:
    """Return the gear with what its motion is told by."""
    watched = watch_valve(assembly.watched, VALVE_SLIDE, side.valve)
    assembly.watched = replace(watched, link=LINK, die=DIE)
    return assembly


def add_direct_die(assembly: Assembly, side: EccentricLinkSide, hangs: Hangs) -> None:
    """Add the spindle; its end is forked about the link, in whose slot its die runs."""
    add_spindle(assembly, side.valve_spindle, side.cylinder.inclination)
    assembly.points[SPINDLE][DIE] = (0.0, 0.0)
    reach = 1.5 * side.expansion_link.slot_half_length
    die = die_at_height(hangs.middle, hangs.lean, side.valve_spindle.height, side.curvature, reach)
    add_slot(assembly, side, SPINDLE, turn(die, hangs.inclination))


@dataclass(frozen=True)
class _Lifted:
    """Where a radius rod lies with the crank straight ahead, in the frame's axes [mm]."""

    die: Point
    lifting_pin: Point
    valve_pin: Point


@dataclass(frozen=True)
class _RodStart:
    """What holds a radius rod: its slot and lifting link, its length and the spindle's line."""

    slot: DieStart
    rod: float
    height: float
    slope: float

    def front(self, die: Point) -> Point:
        """Return where the valve's pin is for a die [mm]."""
        ahead = circle_on_line(turn(die, -self.slope), self.rod, self.height)
        return turn((ahead, self.height), self.slope)


def _lifted(side: RadiusRodSide, hangs: Hangs, end: Point) -> _Lifted:
    """Return where the radius rod lies, its lifting link held by an arm's end [mm]."""
    rod, lifting, slope = side.radius_rod, side.lifting_link, side.cylinder.inclination
    slot = DieStart(
        hangs.at((0.0, 0.0)),
        hangs.lean + slope,
        side.curvature,
        side.expansion_link.slot_half_length,
        end,
        eye_to_eye(lifting),
        lifting.pin.place,
    )
    return _lies(_RodStart(slot, eye_to_eye(rod), side.valve_spindle.height, slope))


@lru_cache(maxsize=512)  # the sides of an engine, and many variants of a sheet, have it alike
def _lies(start: _RodStart) -> _Lifted:
    offset = start.slot.offset(start.front)
    die = start.slot.die(offset)
    pin = start.slot.lifting_place(offset, start.front)
    return _Lifted(die, pin, start.front(die))


def add_radius_rod(assembly: Assembly, side: RadiusRodSide, hangs: Hangs, end: Place) -> None:
    """Add the radius rod, what lifts it, and the spindle.

    `end`: where the weighshaft's arm holds the lifting link.
    """
    rod, lifting = side.radius_rod, side.lifting_link
    near = _lifted(side, hangs, (end.x, end.y))
    length = eye_to_eye(rod)
    assembly.part(
        Part(RADIUS_ROD, key="radius_rod", sort=Sort.ROD),
        {DIE: (0.0, 0.0), VALVE_PIN: (length, 0.0), "lifting pin": lifting.pin.place},
        rod_pieces(rod, length),
    )
    add_slot(assembly, side, RADIUS_ROD, near.die)
    add_hanger(assembly, (LIFTING_LINK, "weighshaft pin", "lifting pin"), lifting, end)
    assembly.pin(
        "lifting pin",
        assembly.place(LIFTING_LINK, "lifting pin"),
        assembly.place(RADIUS_ROD, "lifting pin"),
        near=near.lifting_pin,
    )
    add_spindle(assembly, side.valve_spindle, side.cylinder.inclination)
    assembly.keep_apart(SPINDLE, RADIUS_ROD)
    assembly.pin(
        VALVE_PIN,
        assembly.place(RADIUS_ROD, VALVE_PIN),
        assembly.place(SPINDLE, VALVE_PIN),
        near=near.valve_pin,
    )


def hang_link(assembly: Assembly, name: str, hangs: Hangs, side: EccentricLinkSide) -> None:
    """Pin the link to the foot of what it hangs by."""
    pin = _pins(side.expansion_link)[SUSPENSION_PIN]
    assembly.pin(
        SUSPENSION_PIN,
        assembly.place(name, SUSPENSION_PIN),
        assembly.place(LINK, SUSPENSION_PIN),
        near=hangs.at(pin),
    )
