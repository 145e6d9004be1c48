"""Coupled wheels of one side as parts and joints: the other wheels and the coupling rods.

Neither is held by the other, since a coupling rod on two wheels holds them once too often, and at
its dead centres not at all. Each rod is pinned to one wheel and keeps its direction; each wheel
turns as the driving wheel does. Both by an unseen carriage with two slides::

    frame --ahead--> carriage --up--> rod          crank --along--> carriage --across--> wheel
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, combinations

from linkage.arrangements.arrangement import BOTH_SIDES, Arrangement
from linkage.arrangements.assembly import Assembly, bar, disc, turn
from linkage.arrangements.rods import eye_to_eye, height_at, rod_pieces
from linkage.arrangements.slider_crank import DRIVING_WHEEL, LEANING, ends_of_pin
from linkage.mechanism import (
    FRAME,
    Grip,
    Part,
    Piece,
    PieceSort,
    Place,
    Point,
    Running,
    Slide,
    Sort,
    Wheelset,
)
from linkage.tables.coupled import DRIVING, KNUCKLE, CouplingRodTable, PinHead
from linkage.tables.couplings import axle_names, axle_place, pin_of
from linkage.tables.damage import PinLean, pin_at
from linkage.tables.rods import Rod
from linkage.tables.sides import CoupledSide, SliderCrankSide

CRANK_PIN = "crank pin"
_ON_THE_PIN = (PieceSort.CRANK_PIN, PieceSort.BOSS, PieceSort.NUT)
_STEPS = 4  # rounds in which the holes of a bent rod are found: each leaves a hundredth or less


@dataclass(frozen=True)
class RodShape:
    """A coupling rod in its own axes: its first hole at the origin, its last on x.

    Attributes
    ----------
    places : tuple of (float, float) [mm]
        Of its holes, rear to front, in the order of the table's `points`.
    pieces : tuple of Piece
        Its outline, without the tails that carry other rods.
    out : (float, float) [mm]
        Lateral middle of its rear and of its front end.
    """

    places: tuple[Point, ...]
    pieces: tuple[Piece, ...]
    out: tuple[float, float]


def wheel_name(axle: str) -> str:
    """Return the name of the part that turns on an axle; the driving one is the crank."""
    return "crank" if axle == DRIVING else f"{axle} wheel"


def rod_name(side: CoupledSide, name: str) -> str:
    """Return the name of a coupling rod's part: short where a side has only one."""
    return "coupling rod" if len(side.coupling_rods) == 1 else f"{name} coupling rod"


def throw_of(side: CoupledSide, axle: str) -> float:
    """Return an axle's throw [mm]."""
    own = side.axles[axle].throw if axle in side.axles else None
    return side.wheels.throw if own is None else own


def tread_of(side: CoupledSide, axle: str) -> float | None:
    """Return the diameter of an axle's wheel over the tread [mm]; None where it is not given."""
    own = side.axles[axle].tread if axle in side.axles else None
    return side.wheels.tread if own is None else own


def lean_of(side: CoupledSide, axle: str) -> PinLean | None:
    """Return how an axle's crank pin leans; None where it is upright."""
    if axle == DRIVING:
        return side.crank_pin.lean if side.crank_pin else None
    return side.axles[axle].lean if axle in side.axles else None


def rods_out(side: CoupledSide, axle: str) -> float:
    """Return how far out the middle of the coupling rods on an axle's pin is [mm]."""
    on = [rod.out + rod.thickness / 2 for rod in side.coupling_rods.values() if axle in rod.axles]
    return on[0] if on else 0.0


def pin_in_rods(side: CoupledSide, axle: str) -> Point:
    """Return where an axle's crank pin stands in the coupling rods, in the wheel's axes [mm]."""
    return pin_at(lean_of(side, axle), throw_of(side, axle), rods_out(side, axle))


def side_play(side: CoupledSide, axle: str) -> float:
    """Return how far an axle's wheelset goes to either side of its middle [mm]."""
    own = side.axles[axle].side_play if axle in side.axles else None
    if own is not None:
        return own
    if axle == DRIVING and "side_play" in side.wheels.model_fields_set:
        return side.wheels.side_play
    return side.coupling.side_play if side.coupling else side.wheels.side_play


@lru_cache(maxsize=64)
def rod_shape(rod: CouplingRodTable) -> RodShape:
    """Return where a coupling rod's holes are, and its outline.

    In the rod's own axes.

    Notes
    -----
    A bend in the side view takes the middle holes of a rod in one piece off the line of its ends.
    """
    if len(rod.spans) == 1:
        fields = {name: getattr(rod, name) for name in type(rod).model_fields}
        one = _NamedRod.model_construct(**{**fields, "centres": rod.spans[0], "table": rod})
        places: list[Point] = [(0.0, 0.0), (eye_to_eye(one), 0.0)]
    else:
        places = _holes_in_line(rod)
    length = places[-1][0]
    pieces = rod_pieces(rod, length)
    line = [piece for piece in pieces if len(piece.corners) > 1]
    return RodShape(tuple(places), pieces, (line[0].out[0], line[-1].out[-1]))


class _NamedRod(Rod):
    """A coupling rod with two holes, its ends named as on the sheet."""

    table: CouplingRodTable

    def end_names(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return self.table.end_names()


def _holes_in_line(rod: CouplingRodTable) -> list[Point]:
    along = list(accumulate(rod.spans, initial=0.0))
    heights = [0.0] * len(along)
    for _ in range(_STEPS):
        heights = [height_at(rod, along[-1], place) for place in along]
        steps = [
            math.sqrt(span**2 - (heights[k + 1] - heights[k]) ** 2)
            for k, span in enumerate(rod.spans)
        ]
        along = list(accumulate(steps, initial=0.0))
    return list(zip(along, heights, strict=True))


def knuckle_place(carrier: CouplingRodTable, along: float) -> Point:
    """Return where a rod carries another's knuckle, in its own axes.

    Parameters
    ----------
    along : float [mm]
        Of the knuckle, forward of the carrier's end hole on that side.

    Returns
    -------
    (float, float) [mm]
        Beyond its rear hole where `along` is negative, else beyond its front one.
    """
    places = rod_shape(carrier).places
    crank_pins = [
        place for place, point in zip(places, carrier.points, strict=True) if point != KNUCKLE
    ]
    x, y = crank_pins[0] if along < 0 else crank_pins[-1]
    return x + along, y


def rod_lean(side: CoupledSide, name: str) -> float:
    """Return the direction of a coupling rod as its axles stand [rad], ahead 0."""
    rod = side.coupling_rods[name]
    (x, y), (to_x, to_y) = (_spot(side, rod, point) for point in (rod.points[0], rod.points[-1]))
    return math.atan2(to_y - y, to_x - x)


def _spot(side: CoupledSide, rod: CouplingRodTable, point: str) -> Point:
    """Return where one of a rod's holes stands, with the throw taken off [mm]."""
    if rod.knuckle is None or point != KNUCKLE:
        return axle_place(side, point)
    lean, along = rod_lean(side, rod.knuckle.on), rod.knuckle.along
    x, y = axle_place(side, rod.knuckle.axle)
    return x + along * math.cos(lean), y + along * math.sin(lean)


def anchor_of(rod: CouplingRodTable) -> str:
    """Return the axle on whose crank pin a rod is carried round: the driving one if it can be."""
    return DRIVING if DRIVING in rod.axles else rod.axles[0]


# --- parts and joints ---------------------------------------------------------------------------


def coupled_crank(side: CoupledSide, _running: Running = None) -> Assembly:
    """Return the crank alone, for a sheet of coupled wheels and nothing else.

    Holds the part "crank".
    """
    assembly = Assembly()
    throw, pin = side.wheels.throw, side.crank_pin
    pieces = _rim(side)
    if pin is not None:
        pieces += ends_of_pin(pin, throw)
    points = {"axle": (0.0, 0.0), CRANK_PIN: pin_in_rods(side, DRIVING)}
    assembly.part(DRIVING_WHEEL, points, pieces)
    return assembly


def add_coupled(assembly: Assembly, side: CoupledSide) -> None:
    """Add the other coupled wheels and the coupling rods to a crank.

    Parameters
    ----------
    assembly : Assembly
        Changed in place; its crank is the driving wheel.
    """
    assembly.curve = side.wheels.curve or 0.0
    assembly.wheelsets = tuple(
        Wheelset(axle, axle_place(side, axle)[0], side_play(side, axle))
        for axle in axle_names(side)
    )
    assembly.ride("crank", "axle", {DRIVING: 1.0})
    assembly.pieces["crank"] += [*_pin_through_rods(assembly, side), *_hub(side, DRIVING)]
    for axle in axle_names(side):
        if axle != DRIVING:
            _add_wheel(assembly, side, axle)
    for name in side.coupling_rods:
        _add_rod(assembly, side, name)
        _let_ride(assembly, side, name)
    _hold_rods(assembly, side)
    for one, other in _lapped(side):
        assembly.keep_apart(rod_name(side, one), rod_name(side, other))


def _hold_rods(assembly: Assembly, side: CoupledSide) -> None:
    """Note what is between the wheel and the head on each crank pin, where the bush is given."""
    bush = side.coupling.bush if side.coupling else None
    if bush is None:
        return
    for axle in axle_names(side):
        on = [name for name, rod in side.coupling_rods.items() if axle in rod.axles]
        if on:
            stack = sum(side.coupling_rods[name].thickness for name in on)
            parts = rod_name(side, on[0]), wheel_name(axle)
            assembly.grips.append(Grip(parts, f"{axle} crank pin", stack, bush, "coupling.bush"))


def _rim(side: CoupledSide) -> list[Piece]:
    radius, tyre = side.wheels.rim_radius, side.wheels.rim_thickness
    if radius is None:
        return []
    return [disc((0.0, 0.0), 2 * radius, (-tyre, tyre), "wheel", PieceSort.RIM)]


def _hub(side: CoupledSide, axle: str) -> list[Piece]:
    own = side.axles[axle].hub if axle in side.axles else None
    hub = own or (side.coupling.hub if side.coupling else None)
    return [] if hub is None else [disc((0.0, 0.0), hub.diameter, (hub.out, hub.thickness), "hub")]


def outer_face(side: CoupledSide, axle: str) -> float:
    """Return how far out the coupling rods on a crank pin reach [mm]; 0 where there are none."""
    faces = [0.0]
    for rod in side.coupling_rods.values():
        if axle in rod.axles:
            ends = dict(zip((rod.points[0], rod.points[-1]), rod_shape(rod).out, strict=True))
            middle = ends.get(axle, rod.out + rod.thickness / 2)
            faces.append(middle + rod.thickness / 2)
    return max(faces)


def face_under_nut(side: CoupledSide, axle: str) -> float:
    """Return how far out what runs under a crank pin's nut reaches [mm]: its rods.

    `axle`: its name, or "wheels" for the driving one with the connecting rod on it.
    """
    if isinstance(side, SliderCrankSide) and axle in (DRIVING, "wheels"):
        return side.connecting_rod.out + side.connecting_rod.thickness
    return outer_face(side, DRIVING if axle == "wheels" else axle)


def _pin_piece(side: CoupledSide, axle: str) -> list[Piece]:
    reach = outer_face(side, axle)
    if reach <= 0:
        return []
    centre = pin_in_rods(side, axle)
    return [disc(centre, pin_of(side, axle), (0.0, reach), CRANK_PIN, PieceSort.CRANK_PIN)]


def _pin_through_rods(assembly: Assembly, side: CoupledSide) -> list[Piece]:
    """Return the driving crank pin, where the sheet has not given it for the connecting rod."""
    if any(piece.sort is PieceSort.CRANK_PIN for piece in assembly.pieces["crank"]):
        return []
    return _pin_piece(side, DRIVING) if side.coupling_rods else []


def _wheel_pieces(side: CoupledSide, axle: str) -> list[Piece]:
    table, coupling = side.axles[axle], side.coupling
    pieces = [*_rim(side), *_hub(side, axle), *_pin_piece(side, axle)]
    boss = table.boss or (coupling.boss if coupling else None)
    head: PinHead | None = table.head or (coupling.head if coupling else None)
    if boss is not None:
        layer = boss.out, boss.thickness
        centre = _pin_at(side, axle, layer)
        pieces.append(disc(centre, boss.diameter, layer, "boss", PieceSort.BOSS))
    if head is not None:
        out = outer_face(side, axle) if head.out is None else head.out
        centre = _pin_at(side, axle, (out, head.thickness))
        pieces.append(disc(centre, head.diameter, (out, head.thickness), "head", PieceSort.NUT))
    return pieces


def _pin_at(side: CoupledSide, axle: str, layer: tuple[float, float]) -> Point:
    """Return where a crank pin stands in the middle of a layer, in the wheel's axes [mm]."""
    out, thickness = layer
    return pin_at(lean_of(side, axle), throw_of(side, axle), out + thickness / 2)


def _add_wheel(assembly: Assembly, side: CoupledSide, axle: str) -> None:
    wheel, carriage = wheel_name(axle), f"{wheel_name(axle)} carriage"
    points = {"axle": (0.0, 0.0), CRANK_PIN: pin_in_rods(side, axle)}
    assembly.part(Part(carriage, unseen=True), {"middle": (0.0, 0.0)})
    part = Part(wheel, key=f"axles.{axle}", sort=Sort.WHEEL)
    assembly.part(part, points, _wheel_pieces(side, axle))
    assembly.ride(wheel, "axle", {axle: 1.0})
    assembly.pin(
        f"{axle} axle", assembly.place(wheel, "axle"), Place(FRAME, *axle_place(side, axle))
    )
    _guide(assembly, wheel, "crank", axle_place(side, axle))


def _guide(assembly: Assembly, part: str, by: str, start: Point, turned: float = 0.0) -> None:
    """Let a part keep its direction against another, free to move any way.

    `start` is where its origin stands with the crank straight ahead.
    """
    middle = Place(f"{part} carriage", 0.0, 0.0)
    ahead = Slide(f"{part} carriage ahead", middle, Place(by, 0.0, 0.0), near=(start[0], 0.0))
    origin = Place(part, 0.0, 0.0)
    up = Slide(f"{part} carriage up", origin, middle, math.pi / 2, turned=turned, near=start)
    assembly.joints.extend((ahead, up))


def _add_rod(assembly: Assembly, side: CoupledSide, name: str) -> None:
    rod, part = side.coupling_rods[name], rod_name(side, name)
    shape, anchor = rod_shape(rod), anchor_of(rod)
    points = {
        point if point == KNUCKLE else f"{point} pin": place
        for point, place in zip(rod.points, shape.places, strict=True)
    }
    assembly.part(Part(f"{part} carriage", unseen=True), {"middle": (0.0, 0.0)})
    pieces = [*shape.pieces, *_tails(side, name, shape)]
    assembly.part(Part(part, key=f"coupling_rods.{name}", sort=Sort.ROD), points, pieces)
    wheel = wheel_name(anchor)
    point = LEANING if LEANING in assembly.points[wheel] else CRANK_PIN
    (x, y), (ahead, up) = axle_place(side, anchor), assembly.points[wheel][point]
    pin, lean = (x + ahead, y + up), rod_lean(side, name)
    aside = turn(points[f"{anchor} pin"], lean)
    assembly.pin(
        f"{part} pin",
        assembly.place(wheel, point),
        assembly.place(part, f"{anchor} pin"),
        near=pin,
    )
    _guide(assembly, part, FRAME, (pin[0] - aside[0], pin[1] - aside[1]), lean)
    for axle in rod.axles:
        if axle != DRIVING:
            for sort in _ON_THE_PIN:
                assembly.keep_apart(wheel_name(axle), part, sort)


def _let_ride(assembly: Assembly, side: CoupledSide, name: str) -> None:
    """Let a coupling rod go sideways with the wheels, or the rod, that carry its ends."""
    rod, part = side.coupling_rods[name], rod_name(side, name)
    for point in (rod.points[0], rod.points[-1]):
        axles: dict[str, float] = {}
        for axle, weight in _carried(side, rod, point):
            axles[axle] = axles.get(axle, 0.0) + weight
        assembly.ride(part, point if point == KNUCKLE else f"{point} pin", axles)


def _carried(side: CoupledSide, rod: CouplingRodTable, point: str) -> Iterator[tuple[str, float]]:
    """Yield the axles that a rod's hole goes sideways with, and how far for each mm."""
    if rod.knuckle is None or point != KNUCKLE:
        yield point, 1.0
        return
    carrier = side.coupling_rods[rod.knuckle.on]
    places = dict(zip(carrier.points, rod_shape(carrier).places, strict=True))
    rear, front = carrier.points[0], carrier.points[-1]
    along = knuckle_place(carrier, rod.knuckle.along)[0]
    share = (along - places[rear][0]) / (places[front][0] - places[rear][0])
    for end, part in ((rear, 1 - share), (front, share)):
        for axle, weight in _carried(side, carrier, end):
            yield axle, part * weight


def _tails(side: CoupledSide, name: str, shape: RodShape) -> Iterator[Piece]:
    """Yield what of a rod reaches beyond its end holes to carry the knuckles of others."""
    rod = side.coupling_rods[name]
    for other in side.coupling_rods.values():
        if other.knuckle is not None and other.knuckle.on == name:
            along = other.knuckle.along
            x, y = knuckle_place(rod, along)
            middle = shape.out[0 if along < 0 else 1]
            ends = ((x - along, y), (x, y))
            yield bar(ends, rod.width, middle - rod.thickness / 2, rod.thickness, "knuckle")


def _lapped(side: CoupledSide) -> Iterator[tuple[str, str]]:
    """Yield the pairs of rods that lap one another, on one crank pin or at a knuckle."""
    for (one, rod), (other, to) in combinations(side.coupling_rods.items(), 2):
        carried = (rod.knuckle and rod.knuckle.on == other) or (to.knuckle and to.knuckle.on == one)
        if set(rod.axles) & set(to.axles) or carried:
            yield one, other


COUPLED_WHEELS = Arrangement(
    name="coupled-wheels",
    does="axles and coupling rods alone",
    sides=BOTH_SIDES,
    tables=CoupledSide,
    build=coupled_crank,
    measured=("wheels", "crank_pin", "coupling", "axles.leading", "coupling_rods.front"),
    differs="coupling_rods.front.centres",
)
