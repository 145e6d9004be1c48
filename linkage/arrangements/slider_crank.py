"""Crank, connecting rod and crosshead: the arrangement "slider-crank", and part of any gear."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from linkage.arrangements.arrangement import ONE_SIDE, Arrangement, Removable
from linkage.arrangements.assembly import Assembly, bar, disc, turn
from linkage.arrangements.rods import eye_to_eye, rod_pieces
from linkage.arrangements.starts import circle_on_line
from linkage.mechanism import Grip, Part, Piece, PieceSort, Point, Running, Sort, Travel, Watched
from linkage.tables.coupled import DRIVING
from linkage.tables.crank_axle import CrankAxle
from linkage.tables.damage import pin_at
from linkage.tables.engine import CrankPin, Crosshead, Cylinder, SlideBars, Slipper
from linkage.tables.sides import SliderCrankSide

CROSSHEAD_SLIDE = "crosshead slide"
CRANK_PIN_KEY = "crank_pin"
BUSH = "crank_pin.bush"
NARROW = "narrow end of the slide bars"
LEANING = "crank pin in the coupling rods"
"""A leaning driving pin where the coupling rods run on it; else they have the big end's place."""
DRIVING_WHEEL = Part("crank", key="wheels", sort=Sort.CRANK)


def square_to(direction: float, height: float) -> Point:
    """Return the point so far square above the driving axle, for a line of that direction.

    Parameters
    ----------
    direction : float [rad]
        Of the line.
    height : float [mm]
        Of the line above the axle, square to it.

    Returns
    -------
    (float, float) [mm]
        The foot of the axle on the line.
    """
    return turn((0.0, height), direction)


def slider_crank(side: SliderCrankSide, _running: Running = None) -> Assembly:
    """Return the crank, the connecting rod, the crosshead and what the crosshead runs in.

    Joints "crank pin", "little end" and "crosshead slide". The crosshead's axes have their
    origin at its pin and x along the slide; its travel is counted ahead from the axle.
    """
    assembly = Assembly(watched=Watched(crosshead=CROSSHEAD_SLIDE))
    throw = side.wheels.throw
    points = {"axle": (0.0, 0.0), "crank pin": _big_end(side)}
    if side.crank_pin is not None and side.crank_pin.lean is not None and side.coupling:
        rods = side.coupling.out + side.coupling.thickness / 2
        points[LEANING] = pin_at(side.crank_pin.lean, throw, rods)
    assembly.part(DRIVING_WHEEL, points, _crank_pieces(side))
    length = eye_to_eye(side.connecting_rod)
    assembly.part(
        Part("connecting rod", key="connecting_rod", sort=Sort.ROD),
        {"big end": (0.0, 0.0), "little end": (length, 0.0)},
        rod_pieces(side.connecting_rod, length),
    )
    assembly.ride("connecting rod", "big end", {DRIVING: 1.0})
    assembly.ride("connecting rod", "little end", {})
    _add_crosshead(assembly, side.crosshead, side.slide_bars)
    assembly.pin(
        "crank pin",
        assembly.place("crank", "crank pin"),
        assembly.place("connecting rod", "big end"),
    )
    assembly.pin(
        "little end",
        assembly.place("connecting rod", "little end"),
        assembly.place("crosshead", "crosshead pin"),
        near=turn((crosshead_start(side), side.cylinder.axis_height), side.cylinder.inclination),
    )
    direction = side.cylinder.inclination
    base = square_to(direction, side.cylinder.axis_height)
    assembly.slide(CROSSHEAD_SLIDE, assembly.place("crosshead", "crosshead pin"), base, direction)
    if side.crank_pin is not None and side.crank_pin.bush is not None:
        rod = side.connecting_rod.thickness
        grip = Grip(("connecting rod", "crank"), "crank pin", rod, side.crank_pin.bush, BUSH)
        assembly.grips.append(grip)
    _add_slide_bars(assembly, side)
    _add_covers(assembly, side.cylinder)
    _add_body(assembly, side.cylinder)
    return assembly


def crosshead_start(side: SliderCrankSide) -> float:
    """Return the crosshead's travel with the crank straight ahead [mm]."""
    pin = turn((side.wheels.throw, 0.0), -side.cylinder.inclination)
    return circle_on_line(pin, eye_to_eye(side.connecting_rod), side.cylinder.axis_height)


def _big_end(side: SliderCrankSide) -> Point:
    """Return where the crank pin stands in the big end, in the crank's axes [mm]."""
    rod, pin = side.connecting_rod, side.crank_pin
    return pin_at(pin.lean if pin else None, side.wheels.throw, rod.out + rod.thickness / 2)


def _crank_pieces(side: SliderCrankSide) -> list[Piece]:
    """Return wheel, crank pin, boss, nut and webs, as far as the sheet gives them."""
    pieces = [*_webs(side.crank_axle, centre := _big_end(side))]
    wheels, pin = side.wheels, side.crank_pin
    if wheels.rim_radius is not None:
        tyre = wheels.rim_thickness
        pieces.append(
            disc((0.0, 0.0), 2 * wheels.rim_radius, (-tyre, tyre), "wheel", PieceSort.RIM)
        )
    if pin is not None:
        rod = side.connecting_rod
        reach = rod.out + rod.thickness
        if reach > 0:
            metal = disc(centre, pin.diameter, (0.0, reach), "pin", PieceSort.CRANK_PIN)
            pieces.append(replace(metal, key=CRANK_PIN_KEY))
        pieces += ends_of_pin(pin, wheels.throw)
    return pieces


def _webs(axle: CrankAxle | None, pin: Point) -> Iterator[Piece]:
    """Yield the webs of a crank axle, from the axle to its crank pin."""
    for name in ("inner_web", "outer_web"):
        web = getattr(axle, name, None)
        if web is not None:
            metal = bar(
                ((0.0, 0.0), pin), web.width, web.out, web.thickness, name.replace("_", " ")
            )
            yield replace(metal, key=f"crank_axle.{name}")


def ends_of_pin(pin: CrankPin, throw: float) -> Iterator[Piece]:
    """Yield boss and nut of the driving crank pin, as far as the sheet gives them."""
    for sort, size in ((PieceSort.BOSS, pin.boss), (PieceSort.NUT, pin.nut)):
        if size is not None:
            centre = pin_at(pin.lean, throw, size.out + size.thickness / 2)
            metal = disc(centre, size.diameter, (size.out, size.thickness), sort.value, sort)
            yield replace(metal, key=CRANK_PIN_KEY)


def _add_crosshead(assembly: Assembly, crosshead: Crosshead, bars: SlideBars | None) -> None:
    points: dict[str, Point] = {"crosshead pin": (0.0, 0.0)}
    pieces = []
    slipper = crosshead.slipper
    if slipper is not None:
        half = slipper.depth / 2
        corners = (
            (-slipper.back, -half),
            (slipper.ahead, -half),
            (slipper.ahead, half),
            (-slipper.back, half),
        )
        middle = crosshead.out + crosshead.thickness / 2
        pieces.append(
            Piece(corners, 0.0, (middle,) * 4, crosshead.thickness, "slipper", PieceSort.SLIPPER)
        )
    if crosshead.pin is not None and crosshead.pin.behind:
        behind = crosshead.pin.behind
        layer = crosshead.out - behind, behind
        end = disc((0.0, 0.0), crosshead.pin.diameter, layer, "pin", PieceSort.HEAD)
        pieces.append(replace(end, key="crosshead.pin"))
    arm = crosshead.drop_arm_pin
    if arm is not None:
        points["drop arm pin"] = (arm.ahead, -arm.below)
        ends = ((0.0, 0.0), points["drop arm pin"])
        width, out = crosshead.drop_arm_width, crosshead.drop_arm_out
        pieces.append(bar(ends, width, out, crosshead.drop_arm_thickness, "drop arm"))
    assembly.part(Part("crosshead", key="crosshead"), points, pieces)
    if bars is not None:
        assembly.keep_apart("crosshead", "slide bars", PieceSort.SLIPPER)


def _add_slide_bars(assembly: Assembly, side: SliderCrankSide) -> None:
    bars, slipper = side.slide_bars, side.crosshead.slipper
    if bars is None:
        return
    middle = bars.out + bars.thickness / 2
    rear_gap = bars.gap if bars.gap_rear is None else bars.gap_rear
    pieces = []
    for label, sign in (("upper", 1.0), ("lower", -1.0)):
        if bars.number in ("both", label):
            inner = [
                (x, sign * gap / 2) for x, gap in ((bars.rear, rear_gap), (bars.front, bars.gap))
            ]
            outer = [(x, y + sign * bars.depth) for x, y in inner]
            round_ = (*inner, *outer[::-1])[:: 1 if sign > 0 else -1]
            placed = tuple(
                turn((x, side.cylinder.axis_height + y), side.cylinder.inclination)
                for x, y in round_
            )
            pieces.append(Piece(placed, 0.0, (middle,) * 4, bars.thickness, f"{label} bar"))
    assembly.part(Part("slide bars", fixed=True, key="slide_bars", plural=True), {}, pieces)
    back, ahead = (slipper.back, slipper.ahead) if slipper else (0.0, 0.0)
    assembly.travels.append(
        Travel(CROSSHEAD_SLIDE, "crosshead", "slide bars", bars.rear + back, bars.front - ahead)
    )

    if slipper is not None and bars.gap_rear is not None:
        _add_narrows(assembly, bars, slipper)


def _add_narrows(assembly: Assembly, bars: SlideBars, slipper: Slipper) -> None:
    """Add how far the slipper goes before it is too deep for bars that are out of parallel.

    With the gap r at the rear end x_r and g at the front end, s = (g - r) / length for each mm, the
    slipper of depth d is free where its tight end has the gap d: at ``x_r + (d - r) / s``.
    """
    rear = bars.gap if bars.gap_rear is None else bars.gap_rear
    slope = (bars.gap - rear) / (bars.front - bars.rear)
    free = bars.rear + (slipper.depth - rear) / slope if slope else math.nan
    least = free + slipper.back if slope > 0 else -math.inf
    most = free - slipper.ahead if slope < 0 else math.inf
    assembly.travels.append(
        Travel(CROSSHEAD_SLIDE, "crosshead", NARROW, least, most, narrows=abs(slope))
    )


def _along_cylinder(
    cylinder: Cylinder, ends: tuple[float, float], heights: tuple[float, float]
) -> tuple[Point, ...]:
    """Return a rectangle along the centre line, its heights counted from it [mm]."""
    (rear, front), (low, high) = ends, (cylinder.axis_height + height for height in heights)
    corners = ((rear, low), (front, low), (front, high), (rear, high))
    return tuple(turn(corner, cylinder.inclination) for corner in corners)


def _add_body(assembly: Assembly, cylinder: Cylinder) -> None:
    """Add the outline of the cylinder, which crosshead and rods may meet."""
    body = cylinder.body
    if body is None:
        return
    half = body.depth / 2
    placed = _along_cylinder(cylinder, (body.rear, body.front), (-half, half))
    middle = body.out + body.thickness / 2
    piece = Piece(placed, 0.0, (middle,) * 4, body.thickness)
    assembly.part(Part("cylinder cover", fixed=True, key="cylinder"), {}, [piece])


def _add_covers(assembly: Assembly, cylinder: Cylinder) -> None:
    """Add how far the piston may go before it meets a cover."""
    piston = cylinder.piston
    if piston is None:
        return
    ahead, half = piston.ahead_of_crosshead_pin, piston.thickness / 2
    if cylinder.rear_cover is not None:
        least = cylinder.rear_cover + half - ahead
        assembly.travels.append(
            Travel(CROSSHEAD_SLIDE, "piston", "rear cover", least=least, stop=True)
        )
    if cylinder.front_cover is not None:
        most = cylinder.front_cover - half - ahead
        assembly.travels.append(
            Travel(CROSSHEAD_SLIDE, "piston", "front cover", most=most, stop=True)
        )


ENGINE = ("wheels", "crank_pin", "cylinder", "connecting_rod", "slide_bars", "crosshead")
"""The tables of an engine without its gear, in the order of measuring."""
ROD_OFF = Removable("connecting_rod", 6.0, frozenset({"connecting_rod", "crosshead"}))
"""Its connecting rod off, the crosshead tied up."""

SLIDER_CRANK = Arrangement(
    name="slider-crank",
    does="without the gear",
    sides=ONE_SIDE,
    tables=SliderCrankSide,
    build=slider_crank,
    measured=(*ENGINE, "joint_play"),
    removable=(ROD_OFF,),
)
