"""The Walschaerts arrangement: return crank, expansion link, radius rod, combination lever."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Self

from linkage.arrangements.assembly import Assembly, bar, disc, turn
from linkage.arrangements.lifting import LiftingLink
from linkage.arrangements.links import slot_body
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.slider_crank import (
    CRANK_PIN_KEY,
    crosshead_start,
    slider_crank,
)
from linkage.arrangements.starts import (
    DieStart,
    LeverStart,
    angle_of,
    circle_on_line,
    link_lean,
    slot_point,
)
from linkage.arrangements.valves import VALVE_SLIDE, add_spindle, watch_valve
from linkage.arrangements.walschaerts.side import LeverSide, ReturnCrankSide, WalschaertsSide
from linkage.arrangements.walschaerts.tables import (
    CombinationLever,
    EccentricRod,
    ExpansionLink,
    RadiusRod,
)
from linkage.arrangements.weighshaft import Weighshaft, add_weighshaft, arm_end, reverser_of
from linkage.mechanism import (
    FRAME,
    Part,
    Piece,
    PieceSort,
    Place,
    Point,
    Running,
    Slot,
    Sort,
    Travel,
)
from linkage.tables.coupled import DRIVING
from linkage.tables.rods import Rod

DIE = "die block"
LINK = "expansion link"


def walschaerts(side: WalschaertsSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints, besides those of the slider-crank: "return crank pin", "link foot pin",
    "trunnion", "die block", "lifting pin", "weighshaft pin", "radius rod pin", "valve pin",
    "union pin", "drop arm pin" and "valve spindle slide", as far as the gear has them.

    Parameters
    ----------
    running : str or float or None
        Position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    assembly = slider_crank(side)
    start = _find_start(side, running)
    add_return_crank(assembly, side)
    rod, link = side.eccentric_rod, side.expansion_link
    add_eccentric_rod(assembly, rod, link, start.foot_pin, _slot_radius(side))
    _add_link(assembly, side)
    _add_radius_rod(assembly, side, start)
    if side.lifting_link is not None and side.weighshaft is not None:
        _add_lifting(assembly, side.lifting_link, side.weighshaft, start)
        assembly.reverser = reverser_of(side.weighshaft, running)
    add_spindle(assembly, side.valve_spindle, side.cylinder.inclination)
    if side.combination_lever is None:
        _join_rod_to_spindle(assembly, start)
    else:
        add_lever(assembly, side.combination_lever, start.lever)
        add_union(assembly, side, start.lever)
    lever = side.combination_lever
    assembly.watched = replace(
        watch_valve(assembly.watched, VALVE_SLIDE, side.valve, lever.admission if lever else None),
        link=LINK,
        die=DIE if side.radius_rod.die_offset is None else "",
    )
    return assembly


# --- where things are with the crank straight ahead ---------------------------------------------


@dataclass(frozen=True)
class LeverPlaces:
    """Where the lever's pins are, and the drop arm's, in the frame's axes [mm]."""

    rod_front: Point
    valve_pin: Point
    union_pin: Point
    drop_arm: Point

    @classmethod
    def of(cls, lever: LeverStart, tilt: float, inclination: float) -> Self:
        """Return those of a lever that leans so far [rad], the cylinder at an inclination [rad]."""
        return cls(
            turn(lever.top(tilt), inclination),
            turn(lever.down(tilt, lever.valve), inclination),
            turn(lever.down(tilt, lever.foot), inclination),
            turn(lever.drop_arm, inclination),
        )


@dataclass(frozen=True)
class _Start:
    """Where the gear is, in the frame's axes [mm, rad]."""

    foot_pin: Point
    die: Point
    lever: LeverPlaces
    arm_end: Point
    lifting_pin: Point


def _slot_radius(side: WalschaertsSide) -> float:
    return side.expansion_link.slot_radius or side.radius_rod.centres


@dataclass(frozen=True)
class _Given:
    """All that says where the gear is: what is sideways, or wide, has no say."""

    foot: Point  # of the link, from its trunnion, as it leans
    free: DieStart
    fixed: float | None  # how far up the slot the die is, where the sheet says it
    hangs: bool  # whether a lever hangs from the rod
    lever: LeverStart  # with its die where the trunnion is, in the frame's axes
    inclination: float

    def lever_at(self, die: Point) -> LeverStart:
        """Return what moves the lever, in axes along the cylinder, for a die [mm]."""
        return replace(self.lever, die=turn(die, -self.inclination))

    def rod_front(self, die: Point) -> Point:
        """Return the radius rod's front pin [mm] for a die [mm]."""
        lever = self.lever_at(die)
        if self.hangs:
            front = lever.top(lever.lean())
        else:
            front = circle_on_line(lever.die, lever.rod, lever.height), lever.height
        return turn(front, self.inclination)


def lever_start(side: LeverSide, die: Point) -> LeverStart:
    """Return what moves the lever, its radius rod from there [mm]."""
    lever, arm = side.combination_lever, side.crosshead.drop_arm_pin
    ahead, below = (arm.ahead, arm.below) if arm else (0.0, 0.0)
    valve = lever.radius_rod_pin_to_valve_pin if lever else 0.0
    inside = lever is not None and lever.admission == "inside"
    return LeverStart(
        die=die,
        rod=eye_to_eye(side.radius_rod),
        height=side.valve_spindle.height,
        drop_arm=(crosshead_start(side) + ahead, side.cylinder.axis_height - below),
        union=eye_to_eye(side.union_link) if side.union_link else None,
        valve=valve if inside else -valve,
        foot=lever.radius_rod_pin_to_union_pin if lever else 0.0,
        past_middle=side.wheels.throw,
        forward=side.union_link.points == "forward"
        if side.union_link and side.union_link.points
        else None,
    )


def _find_start(side: WalschaertsSide, running: Running) -> _Start:
    link, trunnion = side.expansion_link, side.expansion_link.trunnion
    pivot = (trunnion.ahead, trunnion.up)
    foot = (-link.foot_pin.back, -link.foot_pin.below)
    return_pin = side.return_crank.pin(side.wheels.throw)
    lean = link_lean(pivot, foot, return_pin, eye_to_eye(side.eccentric_rod))
    end, held = (0.0, 0.0), (0.0, 0.0)
    shaft, lifting = side.weighshaft, side.lifting_link
    if shaft is not None and lifting is not None:
        end, held = arm_end(shaft, running), lifting.pin.place
    free = DieStart(
        pivot,
        lean,
        1.0 / _slot_radius(side),
        link.slot_half_length,
        end,
        eye_to_eye(lifting) if lifting else 0.0,
        held,
    )
    hangs = side.combination_lever is not None
    fixed, inclination = side.radius_rod.die_offset, side.cylinder.inclination
    return _start(
        _Given(turn(foot, lean), free, fixed, hangs, lever_start(side, pivot), inclination)
    )


@lru_cache(maxsize=512)  # of many variants of a sheet most have it alike
def _start(given: _Given) -> _Start:
    free, (x, y) = given.free, given.foot
    offset = given.fixed if given.fixed is not None else free.offset(given.rod_front)
    die = free.die(offset)
    lever = given.lever_at(die)
    tilt = lever.lean() if given.hangs else 0.0
    return _Start(
        foot_pin=(free.trunnion[0] + x, free.trunnion[1] + y),
        die=die,
        lever=replace(
            LeverPlaces.of(lever, tilt, given.inclination), rod_front=given.rod_front(die)
        ),
        arm_end=free.arm_end,
        lifting_pin=free.lifting_place(offset, given.rod_front),
    )


# --- parts and joints ---------------------------------------------------------------------------


def add_rod(assembly: Assembly, name: str, key: str, rod: Rod, ends: tuple[str, str]) -> None:
    """Add a rod with its first eye at the origin and its second on x."""
    length = eye_to_eye(rod)
    points = {ends[0]: (0.0, 0.0), ends[1]: (length, 0.0)}
    assembly.part(Part(name, key=key, sort=Sort.ROD), points, rod_pieces(rod, length))


def add_return_crank(assembly: Assembly, side: ReturnCrankSide) -> None:
    """Add the return crank to the crank: it is fast on the crank pin."""
    crank, throw = side.return_crank, side.wheels.throw
    pin = crank.pin(throw)
    assembly.points["crank"]["return crank pin"] = pin
    pieces = assembly.pieces["crank"]
    arm = ((throw, 0.0), pin)
    metal = bar(arm, crank.width, crank.out, crank.thickness, "return crank")
    pieces.append(replace(metal, key="return_crank"))
    if side.crank_pin is not None:
        reach = side.connecting_rod.out + side.connecting_rod.thickness
        if crank.out > reach:
            length = crank.out - reach
            size, layer = side.crank_pin.diameter, (reach, length)
            metal = disc((throw, 0.0), size, layer, "pin", PieceSort.CRANK_PIN)
            pieces.append(replace(metal, key=CRANK_PIN_KEY))


def add_eccentric_rod(
    assembly: Assembly, rod: EccentricRod, link: ExpansionLink, foot_pin: Point, radius: float
) -> None:
    """Add the eccentric rod on the return crank, and the link that it rocks about its trunnion.

    `foot_pin` [mm]: about where it is with the crank straight ahead. `radius` [mm]: of the slot.
    """
    ends = ("return crank pin", "foot pin")
    add_rod(assembly, "eccentric rod", "eccentric_rod", rod, ends)
    assembly.ride("eccentric rod", "return crank pin", {DRIVING: 1.0})
    assembly.ride("eccentric rod", "foot pin", {})
    foot, trunnion = link.foot_pin, link.trunnion
    assembly.part(
        Part(LINK, key="expansion_link"),
        {"trunnion": (0.0, 0.0), "foot pin": (-foot.back, -foot.below)},
        _link_pieces(link, radius),
    )
    assembly.pin(
        "return crank pin",
        assembly.place("crank", "return crank pin"),
        assembly.place("eccentric rod", "return crank pin"),
    )
    assembly.pin(
        "link foot pin",
        assembly.place("eccentric rod", "foot pin"),
        assembly.place(LINK, "foot pin"),
        near=foot_pin,
    )
    assembly.pin(
        "trunnion",
        assembly.place(LINK, "trunnion"),
        Place(FRAME, trunnion.ahead, trunnion.up),
    )


def _add_link(assembly: Assembly, side: WalschaertsSide) -> None:
    """Name the link's slot, and where the die is in it if it is fixed."""
    offset = side.radius_rod.die_offset
    points = assembly.points[LINK]
    points["slot"] = (0.0, 0.0)
    if offset is not None:
        points[DIE] = slot_point(1.0 / _slot_radius(side), offset)


def _link_pieces(link: ExpansionLink, radius: float) -> tuple[Piece, ...]:
    """Return the link's curved body, as if there were no slot, and its tail."""
    body, (lower, _) = slot_body(link, 1.0 / radius)
    foot = (-link.foot_pin.back, -link.foot_pin.below)
    return (*body, bar((lower, foot), link.width, link.out, link.thickness, "link tail"))


def _add_radius_rod(assembly: Assembly, side: WalschaertsSide, start: _Start) -> None:
    rod: RadiusRod = side.radius_rod
    add_rod(assembly, "radius rod", "radius_rod", rod, (DIE, "front pin"))
    die = assembly.place("radius rod", DIE)
    if rod.die_offset is not None:
        assembly.pin(DIE, die, assembly.place(LINK, DIE), near=start.die)
        return
    link = side.expansion_link
    slot = assembly.place(LINK, "slot")
    assembly.slot(Slot(DIE, die, slot, math.pi / 2, -1.0 / _slot_radius(side), near=start.die))
    most = link.slot_half_length - link.die_length / 2
    assembly.travels.append(Travel(DIE, DIE, "slot", -most, most))


def _add_lifting(
    assembly: Assembly, lifting: LiftingLink, shaft: Weighshaft, start: _Start
) -> None:
    assembly.points["radius rod"]["lifting pin"] = lifting.pin.place
    ends = ("weighshaft pin", "lifting pin")
    add_rod(assembly, "lifting link", "lifting_link", lifting, ends)
    add_weighshaft(assembly, shaft, start.arm_end)
    assembly.pin(
        "weighshaft pin",
        assembly.place("lifting link", "weighshaft pin"),
        assembly.place("weighshaft", "arm end"),
    )
    assembly.pin(
        "lifting pin",
        assembly.place("lifting link", "lifting pin"),
        assembly.place("radius rod", "lifting pin"),
        near=start.lifting_pin,
    )


def _join_rod_to_spindle(assembly: Assembly, start: _Start) -> None:
    assembly.pin(
        "valve pin",
        assembly.place("radius rod", "front pin"),
        assembly.place("valve spindle", "valve pin"),
        near=start.lever.rod_front,
    )


def _lever_pieces(lever: CombinationLever) -> tuple[Piece, ...]:
    """Return the lever's outline, from its topmost pin down; y is up the lever."""
    outside = lever.admission == "outside"
    top = lever.radius_rod_pin_to_valve_pin if outside else 0.0
    # Turned a quarter clockwise, the bar's x runs down the lever and its y points ahead.
    return tuple(
        replace(piece, corners=tuple((y, top - x) for x, y in piece.corners))
        for piece in rod_pieces(lever, lever.length)
    )


def add_lever(assembly: Assembly, lever: CombinationLever, start: LeverPlaces) -> None:
    """Add the combination lever between radius rod and spindle."""
    valve = lever.radius_rod_pin_to_valve_pin
    points = {
        "radius rod pin": (0.0, 0.0),
        "valve pin": (0.0, -valve if lever.admission == "inside" else valve),
        "union pin": (0.0, -lever.radius_rod_pin_to_union_pin),
    }
    part = Part("combination lever", key="combination_lever", sort=Sort.ROD)
    assembly.part(part, points, _lever_pieces(lever))
    assembly.pin(
        "radius rod pin",
        assembly.place("radius rod", "front pin"),
        assembly.place("combination lever", "radius rod pin"),
        near=start.rod_front,
    )
    assembly.pin(
        "valve pin",
        assembly.place("combination lever", "valve pin"),
        assembly.place("valve spindle", "valve pin"),
        near=start.valve_pin,
    )


def add_union(assembly: Assembly, side: LeverSide, start: LeverPlaces) -> None:
    """Join the lever's foot to the drop arm, by the union link or by a slot in the lever."""
    arm_pin = assembly.place("crosshead", "drop arm pin")
    foot = assembly.place("combination lever", "union pin")
    if side.union_link is None:
        assembly.slot(Slot("drop arm pin", arm_pin, foot, -math.pi / 2, 0.0, near=start.drop_arm))
        assembly.keep_apart("crosshead", "combination lever")
        return
    length = eye_to_eye(side.union_link)
    forward = math.cos(angle_of(start.union_pin, start.drop_arm)) >= 0
    assembly.part(
        Part("union link", key="union_link", sort=Sort.ROD),
        {"drop arm pin": (0.0, 0.0), "union pin": (length, 0.0)},
        rod_pieces(side.union_link, length, flip=1.0 if forward else -1.0),
    )
    assembly.pin(
        "drop arm pin", arm_pin, assembly.place("union link", "drop arm pin"), near=start.drop_arm
    )
    assembly.pin("union pin", assembly.place("union link", "union pin"), foot, near=start.union_pin)
