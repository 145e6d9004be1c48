"""A Stephenson gear: two eccentrics, their rods, and the link between them that is lifted."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from linkage.arrangements.assembly import Assembly, bar, disc, turn
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.slider_crank import slider_crank, square_to
from linkage.arrangements.stephenson.side import StephensonSide
from linkage.arrangements.stephenson.start import LinkStart, slot_behind
from linkage.arrangements.stephenson.tables import BACK, FORE, LINK, EccentricRod, ExpansionLink
from linkage.arrangements.valves import watch_valve
from linkage.arrangements.weighshaft import add_weighshaft, arm_end, reverser_of
from linkage.mechanism import Part, Piece, Point, Running, Slot, Sort, Travel
from linkage.tables.coupled import DRIVING

DIE, SPINDLE, VALVE_SLIDE = "die block", "valve spindle", "valve spindle slide"
LINK_STEPS = 12
"""Pieces in the curved body of the expansion link."""


def stephenson(side: StephensonSide, running: Running = None) -> Assembly:
    """Return one side with its whole gear.

    Joints, besides those of the slider-crank: "fore eccentric", "back eccentric", "top link pin",
    "bottom link pin", "suspension pin", "weighshaft pin", "die block" and "valve spindle slide".

    Parameters
    ----------
    running : str or float or None
        Position of the reverser: a name of ``weighshaft.gear``, or the arm's angle [rad].
    """
    assembly = slider_crank(side)
    crank = assembly.points["crank"]
    crank[FORE], crank[BACK] = side.fore_eccentric.centre, side.back_eccentric.centre
    start = _find_start(side, running)
    _add_link(assembly, side.expansion_link, side.slot_radius)
    top, bottom = _rods(side)
    _add_rod(assembly, top, start.top)
    _add_rod(assembly, bottom, start.bottom)
    _add_lifting(assembly, side, running, start)
    assembly.reverser = reverser_of(side.weighshaft, running)
    _add_spindle(assembly, side, start)
    assembly.watched = replace(
        watch_valve(assembly.watched, VALVE_SLIDE, side.valve), link=LINK, die=DIE
    )
    return assembly


# --- where things are with the crank straight ahead ---------------------------------------------


@dataclass(frozen=True)
class _Start:
    """Where the gear is, in the frame's axes [mm]."""

    top: Point
    bottom: Point
    suspension: Point
    die: Point


@dataclass(frozen=True)
class _OnPin:
    """An eccentric's rod, and the pin of the link that it takes."""

    pin: str
    name: str
    eccentric: str
    key: str
    rod: EccentricRod


def _rods(side: StephensonSide) -> tuple[_OnPin, _OnPin]:
    """Return the rod of the upper pin and that of the lower one."""
    fore = (f"{FORE} rod", FORE, "fore_eccentric_rod", side.fore_eccentric_rod)
    back = (f"{BACK} rod", BACK, "back_eccentric_rod", side.back_eccentric_rod)
    upper, lower = (fore, back) if side.expansion_link.fore_rod == "top" else (back, fore)
    return _OnPin("top", *upper), _OnPin("bottom", *lower)


def _pins(link: ExpansionLink) -> dict[str, Point]:
    """Return the link's pins, from the middle of its slot, upright [mm]."""
    return {
        "top pin": (-link.top_pin.back, link.top_pin.above),
        "bottom pin": (-link.bottom_pin.back, -link.bottom_pin.below),
        "suspension pin": (-link.suspension_pin.back, link.suspension_pin.up),
    }


def _find_start(side: StephensonSide, running: Running) -> _Start:
    level = -side.cylinder.inclination
    pins = _pins(side.expansion_link)
    centres = {FORE: side.fore_eccentric.centre, BACK: side.back_eccentric.centre}
    upper, lower = (
        (turn(centres[held.eccentric], level), eye_to_eye(held.rod)) for held in _rods(side)
    )
    hangs = LinkStart(
        upper,
        lower,
        top=pins["top pin"],
        bottom=pins["bottom pin"],
        suspension=pins["suspension pin"],
        arm_end=turn(arm_end(side.weighshaft, running), level),
        lifting=eye_to_eye(side.lifting_link),
        height=side.valve_spindle.height,
        radius=side.slot_radius,
        half_length=side.expansion_link.slot_half_length,
    )
    middle, lean = hangs.stands()

    def placed(pin: Point) -> Point:
        x, y = turn(pin, lean)
        return turn((middle[0] + x, middle[1] + y), -level)

    return _Start(
        placed(hangs.top),
        placed(hangs.bottom),
        placed(hangs.suspension),
        turn(hangs.die(middle, lean), -level),
    )


# --- parts and joints ---------------------------------------------------------------------------


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


def _add_link(assembly: Assembly, link: ExpansionLink, radius: float) -> None:
    points = {"middle": (0.0, 0.0), "slot": (0.0, 0.0), **_pins(link)}
    assembly.part(Part(LINK, key="expansion_link"), points, _link_pieces(link, radius))


def _link_pieces(link: ExpansionLink, radius: float) -> tuple[Piece, ...]:
    """Return the link's curved body, as if there were no slot, and its lugs out to the pins."""
    half, pins = link.slot_half_length, _pins(link)
    steps = [half * (2 * k / LINK_STEPS - 1) for k in range(LINK_STEPS + 1)]
    line = [slot_behind(radius, step) for step in steps]
    body = [
        bar((line[k], line[k + 1]), link.width, link.out, link.thickness) for k in range(LINK_STEPS)
    ]
    lugs = [
        bar((end, pins[f"{name} pin"]), link.width, link.out, link.thickness, f"{name} lug")
        for name, end in (("bottom", line[0]), ("top", line[-1]))
    ]
    return (*body, *lugs)


def _add_lifting(assembly: Assembly, side: StephensonSide, running: Running, start: _Start) -> None:
    link = side.lifting_link
    length = eye_to_eye(link)
    assembly.part(
        Part("lifting link", key="lifting_link", sort=Sort.ROD),
        {"weighshaft pin": (0.0, 0.0), "suspension pin": (length, 0.0)},
        rod_pieces(link, length),
    )
    add_weighshaft(assembly, side.weighshaft, arm_end(side.weighshaft, running))
    assembly.pin(
        "weighshaft pin",
        assembly.place("lifting link", "weighshaft pin"),
        assembly.place("weighshaft", "arm end"),
    )
    assembly.pin(
        "suspension pin",
        assembly.place("lifting link", "suspension pin"),
        assembly.place(LINK, "suspension pin"),
        near=start.suspension,
    )


def _add_spindle(assembly: Assembly, side: StephensonSide, start: _Start) -> None:
    """Add the spindle; its end is forked about the link, in whose slot its die runs."""
    spindle, link = side.valve_spindle, side.expansion_link
    rod = bar(((0.0, 0.0), (spindle.length, 0.0)), spindle.diameter, spindle.out, spindle.diameter)
    assembly.part(Part(SPINDLE, key="valve_spindle"), {"valve pin": (0.0, 0.0)}, [rod])
    direction = side.cylinder.inclination
    base = square_to(direction, spindle.height)
    assembly.slide(VALVE_SLIDE, assembly.place(SPINDLE, "valve pin"), base, direction)
    if spindle.guide is not None:
        assembly.travels.append(
            Travel(VALVE_SLIDE, SPINDLE, "guide", spindle.guide.rear, spindle.guide.front)
        )
    die, slot = assembly.place(SPINDLE, "valve pin"), assembly.place(LINK, "slot")
    curve = 1.0 / side.slot_radius
    assembly.slot(Slot(DIE, die, slot, math.pi / 2, curve, near=start.die))
    most = link.slot_half_length - link.die_length / 2
    assembly.travels.append(Travel(DIE, DIE, "slot", -most, most))
    assembly.keep_apart(SPINDLE, LINK)
