"""The mechanisms that measuring drawings are taken from: those of the blank sheet itself."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.arrangements import build, coupled_wheels, points_of
from linkage.arrangements.numbers import facts_at
from linkage.arrays import Array
from linkage.clearance import shift
from linkage.clearance.outlines import slopes
from linkage.geometry import clip_half_plane
from linkage.mechanism import FRAME, Joint, Mechanism, Part, Piece, PieceSort, Place, Point
from linkage.scene.bodies import plan_outline, side_outline
from linkage.scene.moment import placed
from linkage.sheet import Sheet, sheet_from
from linkage.sheet.blank import Made, arranged, scale_factor
from linkage.sheet.lines import BlankLine, blank_lines
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.coupled import DRIVING
from linkage.tables.facts import Degrees, is_list
from linkage.tables.shapes import Side
from linkage.wheels import Axle, CoupledWheels

Polygons = list[list[Point]]
_ROUND = 49  # points of half a circle
_FLAT = np.zeros(3)


@dataclass(frozen=True)
class Model:
    """One mechanism made from a blank sheet."""

    sheet: Sheet
    side: str  # which side is drawn
    mechanism: Mechanism  # of that side
    wheels: CoupledWheels | None  # axles and coupling rods, where there are any
    points: Mapping[str, Mapping[str, Point]]  # [mm] named points of every part, in its own axes

    @property
    def tables(self) -> Any:
        """The side's tables."""
        return self.sheet.sides[self.side]

    def pieces(self, part: str, *what: str | PieceSort) -> list[Piece]:
        """Return the pieces of a part, or those of some names or sorts."""
        held = self.mechanism.part(part).pieces
        return [p for p in held if not what or p.label in what or p.sort in what]

    def piece(self, part: str, *what: str | PieceSort) -> Piece:
        """Return the first piece of a part, or of some names or sorts."""
        return self.pieces(part, *what)[0]

    def seen(self, part: str, *what: str | PieceSort, pose: Array = _FLAT) -> Polygons:
        """Return a part's outlines in side view; in its own axes unless a pose is given [mm]."""
        return [_smooth(piece, pose) for piece in self.pieces(part, *what)]

    def above(
        self, part: str, *what: str | PieceSort, over: float = 0.0, pose: Array = _FLAT
    ) -> Polygons:
        """Return a part's outlines in plan, (x, out), its wheelset so far over [mm]."""
        held: Part = self.mechanism.part(part)
        axles = [axle for ride in held.rides for axle, _ in ride.axles]
        if over:
            held = shift(held, tuple((axle, over) for axle in dict.fromkeys(axles)))
        return [
            plan_outline(piece, pose, round_ends=True)
            for piece in held.pieces
            if not what or piece.label in what or piece.sort in what
        ]

    def stands(self, joint: Joint) -> Point:
        """Return where a joint stands with the crank straight ahead [mm], about."""
        still = {FRAME, self.mechanism.crank}
        still |= {part.name for part in self.mechanism.parts if part.fixed}
        known = [(p.x, p.y) for p in (joint.a, joint.b) if p.part in still]
        return known[0] if known else joint.near or (0.0, 0.0)

    def axle(self, wheel: str) -> Point:
        """Return where the axle of a wheel stands [mm]."""
        if wheel == self.mechanism.crank:
            return self.mechanism.axle
        pairs = [pair for j in self.mechanism.joints for pair in ((j.a, j.b), (j.b, j.a))]
        return next((b.x, b.y) for a, b in pairs if (a.part, b.part) == (wheel, FRAME))

    def side_play(self, wheel: str) -> float:
        """Return how far the wheelset of a wheel goes to either side of its middle [mm]."""
        axle = self.mechanism.part(wheel).axle
        return next(w.side_play for w in self.mechanism.wheelsets if w.axle == axle)

    def quarter(self, wheel: str) -> float:
        """Return by how much the right crank pin of a wheel's axle is before its left [rad].

        Of a sheet with one side, the usual.
        """
        pins = {} if self.wheels is None else self.coupled(wheel).pins
        if "left" not in pins:
            return self.sheet.right_leads_by
        return pins["right"].angle - pins["left"].angle

    def coupled(self, wheel: str) -> Axle:
        """Return the coupled axle that a wheel turns on; KeyError where no wheels are coupled."""
        axles = self.wheels.axles if self.wheels else ()
        return {axle.name: axle for axle in axles}[self.mechanism.part(wheel).axle]

    @property
    def coupling(self) -> tuple[str, str]:
        """One coupling rod, and the name of an axle but the driving one that it couples."""
        rods = self.wheels.rods if self.wheels else ()
        return next(
            (rod.name, eye.axle)
            for rod in rods
            for eye in rod.eyes
            if eye.axle != DRIVING and self.mechanism.with_key(rod.key) is not None
        )

    def holes(self, rod: str) -> Mapping[str, tuple[Point, float]]:
        """Return the holes of a coupling rod by the wheels whose pins run in them, from the rear.

        Of each its place in the rod's own axes, and how far along the rod it reaches from there
        [mm].
        """
        key = self.mechanism.part(rod).key
        held = next(r for r in (self.wheels.rods if self.wheels else ()) if r.key == key)
        wheels = {part.axle: part.name for part in self.mechanism.parts if part.axle}
        found = {}
        for eye in held.eyes:
            wheel = wheels[eye.axle]
            pin = self.piece(wheel, PieceSort.CRANK_PIN).radius
            found[wheel] = eye.place, pin + eye.along
        return found

    def joint(self, name: str, part: str) -> Point:
        """Return where a joint is on a part, in the part's own axes [mm]."""
        joint = next(j for j in self.mechanism.joints if j.name == name)
        place: Place = next(p for p in (joint.a, joint.b) if p.part == part)
        return place.x, place.y


@dataclass(frozen=True)
class Models:
    """All that the drawings of one arrangement are taken from."""

    lines: tuple[BlankLine, ...]  # everything the blank sheet asks for
    plain: Model  # the sheet with all that may be left out, but for bends and lifting gear
    # [mm or degrees] what is drawn in place of what is 0 and could not be seen, by key
    instead: Mapping[str, float]
    shown: Model  # the same with those
    bent: Model  # the same with every rod bent
    lifted: Model  # the same with lifting link and weighshaft; `plain` itself where there are none

    def key_of(self, section: str) -> str:
        """Return the key of the part of a table, in whose list on the form it is the only one."""
        return f"{section}[1]" if self.is_list(section) else section

    def is_list(self, key: str) -> bool:
        """Return whether a key of the sheet holds a list of tables."""
        return is_list(type(self.plain.tables), key)

    def with_part(self, section: str) -> Model:
        """Return the mechanism in which a table's part is, if any is."""
        return self.plain if self.plain.mechanism.with_key(self.key_of(section)) else self.lifted


def models_of(
    arrangement: str,
    scale: str | None = None,
    wheels: WheelArrangement | None = None,
    unit: str = "mm",
) -> Models:
    """Return the mechanisms of an arrangement's blank sheet.

    Of the right side, or the only one. `scale`: a key of `linkage.units.SCALES`. `wheels`: the
    coupled axles; as the arrangement has them where not given. `unit`: in which lengths are
    written.
    """
    lines = blank_lines(arrangement, scale, wheels, unit)
    held = arranged(arrangement)
    if held.blank:
        alone = _model(tomllib.loads(held.blank))
        return Models(lines, alone, {}, alone, alone, alone)
    instead = dict(_instead(lines, Made(scale_factor(scale), unit), held.tables))
    straight = [line for line in lines if line.key != "bend"]
    fixed, lifted = held.tables.EITHER
    plain = _model(_data(straight, lifted))
    return Models(
        lines,
        plain,
        instead,
        _model(_data(straight, lifted, instead)),
        _model(_data(lines, lifted)),
        _model(_data(straight, fixed)),
    )


def _instead(
    lines: Sequence[BlankLine], made: Made, tables: type[Side]
) -> Iterator[tuple[str, float]]:
    for line in lines:
        match facts_at(line.full, tables).drawn:
            case Degrees(degrees):
                yield line.full, degrees
            case float(length):
                yield line.full, made.typical(length)
            case None:
                pass


def _model(data: Mapping[str, Any]) -> Model:
    sheet = sheet_from(data, "blank sheet", ask=False)
    side = next(iter(sheet.sides))
    mechanism = build(sheet, side)[side]
    return Model(sheet, side, mechanism, coupled_wheels(sheet), points_of(sheet)[side])


def _data(
    lines: Sequence[BlankLine], without: tuple[str, ...], instead: Mapping[str, float] | None = None
) -> dict[str, Any]:
    """Return the data of a sheet with these lines on it."""
    data: dict[str, Any] = {}
    for line in lines:
        if line.full in without or line.section in without:
            continue
        *above, last = line.full.split(".")
        table = data
        for step in above:
            table = table.setdefault(step, {})
        table[last] = (instead or {}).get(line.full, line.value)
    tables = arranged(data["arrangement"]).tables
    listed: dict[str, Any] = _listed(data)
    return {key: [held] if is_list(tables, key) else held for key, held in listed.items()}


def _listed(value: Any) -> Any:
    """Return tables whose keys are numbers as lists, all the way down."""
    if not isinstance(value, dict):
        return value
    if value and all(key.isdigit() for key in value):
        return list(value.values())
    return {key: _listed(held) for key, held in value.items()}


def _smooth(piece: Piece, pose: Array) -> list[Point]:
    """Return a piece's outline, its round ends in finer steps than elsewhere: it is drawn large."""
    if len(piece.corners) > 2 or slopes(piece):
        return side_outline(piece, pose)
    (ax, ay), (bx, by) = piece.corners[0], piece.corners[-1]
    lean = math.atan2(by - ay, bx - ax)
    steps = np.linspace(-math.pi / 2, math.pi / 2, _ROUND)
    ends = [(bx, by, lean + step) for step in steps.tolist()]
    ends += [(ax, ay, lean + math.pi + step) for step in steps.tolist()]
    r = piece.radius
    return [placed(pose, (x + r * math.cos(t), y + r * math.sin(t))) for x, y, t in ends]


def within(shapes: Polygons, low: float, high: float) -> Polygons:
    """Return what of some outlines lies from one x to another [mm].

    `shapes` [mm]: convex outlines.
    """
    cut = [
        clip_half_plane(clip_half_plane(shape, (1.0, 0.0), low), (-1.0, 0.0), -high)
        for shape in shapes
    ]
    return [shape for shape in cut if len(shape) > 2]


def faces_of(piece: Piece) -> tuple[float, float]:
    """Return the inner and the outer face of a flat piece, outward from the wheel's face [mm]."""
    return piece.out[0] - piece.thickness / 2, piece.out[0] + piece.thickness / 2


def span_of(shapes: Polygons, which: int) -> tuple[float, float]:
    """Return from where to where outlines reach along x (0) or y (1) [mm]."""
    values = [point[which] for shape in shapes for point in shape]
    return min(values), max(values)
