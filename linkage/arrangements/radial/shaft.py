"""The slide shaft, and the end of any gear that works its valve by a rod.

The shaft is held by the reverser's arm: a fixed part, turned about the shaft's centre, whose end
runs in a straight slot of the shaft. So where the reverser stands comes in by a place of a fixed
part, as in every gear.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from linkage.arrangements.assembly import Assembly, turn
from linkage.arrangements.links import slot_body
from linkage.arrangements.radial.tables import SHAFT, DrivenRod, ShaftGear, SlideShaft
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.starts import StandingSlot, circle_on_line
from linkage.arrangements.valves import SPINDLE, VALVE_PIN, VALVE_SLIDE, add_spindle, watch_valve
from linkage.arrangements.weighshaft import set_angle
from linkage.mechanism import (
    FRAME,
    Part,
    Piece,
    Place,
    Point,
    Reverser,
    Running,
    Slot,
    Sort,
    Travel,
)
from linkage.tables.sides import ValveGearSide

DIE, VALVE_ROD = "die block", "valve rod"
_ARM = "reversing arm"


def add_slide_shaft(
    assembly: Assembly, shaft: SlideShaft, curvature: float, running: Running
) -> None:
    """Add the shaft with its slide, and what sets it.

    `curvature` [1/mm]: of its slot, as in `starts.slot_point`.
    """
    pivot, half = (shaft.ahead, shaft.up), shaft.slot_half_length
    lean = set_angle(shaft.gear, shaft.lean, running)
    end = leaning(pivot, half, lean)
    body, _ = slot_body(shaft, curvature)
    assembly.part(Part(SHAFT, key="slide_shaft"), {"shaft": (0.0, 0.0), "slot": (0.0, 0.0)}, body)
    arm = Part(_ARM, fixed=True, unseen=True)
    add_reversing_arm(assembly, arm, (pivot, half, lean), ("slide_shaft.gear", shaft.gear))
    assembly.pin(SHAFT, assembly.place(SHAFT, "shaft"), Place(FRAME, *pivot))
    held = Slot(_ARM, Place(_ARM, *end), Place(SHAFT, 0.0, 0.0), math.pi / 2, 0.0, near=end)
    assembly.slot(held)


def leaning(centre: Point, length: float, lean: float) -> Point:
    """Return the end of an arm of such a length [mm] that leans forward from upright [rad]."""
    x, y = turn((0.0, length), -lean)
    return centre[0] + x, centre[1] + y


def add_reversing_arm(
    assembly: Assembly,
    part: Part,
    arm: tuple[Point, float, float],
    places: tuple[str, ShaftGear | None],
    pieces: Iterable[Piece] = (),
) -> None:
    """Add a fixed part with its point "end", which is turned to reverse.

    `arm`: where it turns [mm], how long it is [mm] and how far it leans forward [rad]. `places`:
    the key of the table of its named places, and that table.
    """
    centre, length, lean = arm
    assembly.part(part, {"end": leaning(centre, length, lean), "pivot": centre}, pieces)
    key, gear = places
    named = () if gear is None else tuple(gear.named().items())
    assembly.reverser = Reverser(part.name, centre, lean, -1.0, key, named)


def run_die(
    assembly: Assembly, shaft: SlideShaft, part: str, curvature: float, near: Point
) -> None:
    """Run the point "die block" of a part in the shaft's slot, about there [mm]."""
    die, slot = assembly.place(part, DIE), assembly.place(SHAFT, "slot")
    assembly.slot(Slot(DIE, die, slot, math.pi / 2, -curvature, near=near))
    most = shaft.slot_half_length - shaft.die_length / 2
    assembly.travels.append(Travel(DIE, DIE, "slot", -most, most))
    assembly.keep_apart(part, SHAFT)


def die_at(
    shaft: SlideShaft, curvature: float, running: Running, held: tuple[Point, float]
) -> Point:
    """Return about where the die is, at a distance from a place, both [mm]: as `held` has them."""
    lean = set_angle(shaft.gear, shaft.lean, running)
    slot = StandingSlot((shaft.ahead, shaft.up), -lean, curvature, shaft.slot_half_length)
    return slot.at_distance(*held)


def add_valve_rod(
    assembly: Assembly, side: ValveGearSide, rod: DrivenRod, rear: Place, start: Point
) -> Assembly:
    """Add the valve rod from a place of a part, and the spindle; return the whole gear.

    `start` [mm]: where that place stands with the crank straight ahead.
    """
    spindle, slope = side.valve_spindle, side.cylinder.inclination  # type: ignore[attr-defined]
    length = eye_to_eye(rod)
    assembly.part(
        Part(VALVE_ROD, key="valve_rod", sort=Sort.ROD),
        {"rear": (0.0, 0.0), VALVE_PIN: (length, 0.0)},
        rod_pieces(rod, length),
    )
    add_spindle(assembly, spindle, slope)
    assembly.keep_apart(SPINDLE, VALVE_ROD)
    assembly.pin("valve rod pin", rear, assembly.place(VALVE_ROD, "rear"), near=start)
    ahead = circle_on_line(turn(start, -slope), length, spindle.height)
    assembly.pin(
        VALVE_PIN,
        assembly.place(VALVE_ROD, VALVE_PIN),
        assembly.place(SPINDLE, VALVE_PIN),
        near=turn((ahead, spindle.height), slope),
    )
    watched = watch_valve(assembly.watched, VALVE_SLIDE, side.valve)
    assembly.watched = replace(watched, die=DIE if DIE in _slots(assembly) else "")
    return assembly


def _slots(assembly: Assembly) -> set[str]:
    return {joint.name for joint in assembly.joints if isinstance(joint, Slot)}
