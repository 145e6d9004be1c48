"""Collects parts, points and joints while an arrangement is being built."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from linkage.mechanism import (
    FRAME,
    Grip,
    Joint,
    Mechanism,
    Part,
    Piece,
    PieceSort,
    Pin,
    Place,
    Point,
    Reverser,
    Runner,
    Slide,
    Slot,
    Travel,
    Twisted,
    Watched,
    Wheelset,
)
from linkage.riding import OnPin, Ride
from linkage.tables.damage import JointHead
from linkage.tables.shapes import JointPlay


def turn(point: Point, angle: float) -> Point:
    """Return a point turned about the origin.

    Parameters
    ----------
    point : (float, float) [mm]
        The point.
    angle : float [rad]
        Counter-clockwise.

    Returns
    -------
    (float, float) [mm]
        The point, turned.
    """
    c, s = math.cos(angle), math.sin(angle)
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def disc(
    centre: Point,
    diameter: float,
    layer: tuple[float, float],
    label: str,
    sort: PieceSort = PieceSort.BODY,
) -> Piece:
    """Return a round piece; its layer is its inner face and its thickness [mm]."""
    out, thickness = layer
    return Piece((centre,), diameter / 2, (out + thickness / 2,), thickness, label, sort)


def bar(
    ends: tuple[Point, Point], width: float, out: float, thickness: float, label: str = ""
) -> Piece:
    """Return a straight bar with round ends; `out` is its inner face [mm]."""
    middle = out + thickness / 2
    return Piece(ends, width / 2, (middle, middle), thickness, label)


@dataclass
class Assembly:
    """A mechanism on its way, with every named point of every part.

    Attributes
    ----------
    parts : dict of str to Part
        By name, in the order in which they came; without their outlines.
    pieces : dict of str to list of Piece
        Outlines by part.
    points : dict of str to dict of str to (float, float) [mm]
        Named points by part, in the part's own axes.
    """

    crank: str = "crank"
    axle: Point = (0.0, 0.0)
    parts: dict[str, Part] = field(default_factory=dict)
    pieces: dict[str, list[Piece]] = field(default_factory=dict)
    points: dict[str, dict[str, Point]] = field(default_factory=dict)
    joints: list[Joint] = field(default_factory=list)
    travels: list[Travel] = field(default_factory=list)
    apart: set[frozenset[Runner]] = field(default_factory=set)
    wheelsets: tuple[Wheelset, ...] = ()
    curve: float = 0.0
    play: dict[str, float] = field(default_factory=dict)
    watched: Watched = field(default_factory=Watched)
    reverser: Reverser | None = None
    grips: list[Grip] = field(default_factory=list)
    twisted: list[Twisted] = field(default_factory=list)
    along: tuple[tuple[OnPin, float], ...] = ()

    def part(
        self,
        part: Part,
        points: Mapping[str, Point],
        pieces: Iterable[Piece] = (),
    ) -> None:
        """Add a part with its named points and its outline."""
        self.parts[part.name] = part
        self.pieces[part.name] = list(pieces)
        self.points[part.name] = dict(points)

    def place(self, part: str, point: str) -> Place:
        """Return a named point of a part as a place."""
        x, y = self.points[part][point]
        return Place(part, x, y)

    def pin(self, name: str, a: Place, b: Place, near: Point | None = None) -> None:
        """Add a pin."""
        self.joints.append(Pin(name, a, b, near))

    def slide(self, name: str, a: Place, base: Point, direction: float) -> None:
        """Add a slide along a line of the frame; the part's x axis lies along the line."""
        self.joints.append(Slide(name, a, Place(FRAME, *base), direction, turned=direction))

    def slot(self, slot: Slot) -> None:
        """Add a slot."""
        self.joints.append(slot)

    def keep_apart(self, a: str, b: str, piece: PieceSort | None = None) -> None:
        """Note that two parts, or pieces of one sort of the first, run in one another."""
        self.apart.add(frozenset(((a, piece), (b, None))))

    def ride(self, part: str, point: str, axles: Mapping[str, float]) -> None:
        """Note that a named point of a part goes sideways with axles, so many times as far."""
        ride = Ride(self.points[part][point], tuple(axles.items()))
        held = self.parts[part]
        self.parts[part] = replace(held, rides=(*held.rides, ride))

    def finish(self) -> Mechanism:
        """Return the mechanism."""
        parts = tuple(
            replace(part, pieces=tuple(self.pieces[name])) for name, part in self.parts.items()
        )
        return Mechanism(
            parts=parts,
            joints=tuple(self.joints),
            crank=self.crank,
            axle=self.axle,
            travels=tuple(self.travels),
            apart=frozenset(self.apart),
            wheelsets=self.wheelsets,
            curve=self.curve,
            play=dict(self.play),
            along=self.along,
            watched=self.watched,
            reverser=self.reverser,
            grips=tuple(self.grips),
            twisted=tuple(self.twisted),
        )


def add_play(assembly: Assembly, table: JointPlay) -> None:
    """Note the play of the gear's joints, half of it either way.

    Parameters
    ----------
    assembly : Assembly
        Changed in place; without its coupled wheels, whose play is looked at by itself.
    """
    names = [*(joint.name for joint in assembly.joints), "driving axle"]
    assembly.play = {name: table.of(name) / 2 for name in names if table.of(name)}


def add_heads(
    assembly: Assembly, diameter: float, thickness: float, but: Collection[str] = ()
) -> None:
    """Put a head on every pin between two moving parts, on the outermost of the two.

    Parameters
    ----------
    diameter, thickness : float [mm]
        Of a head.
    but : collection of str
        Names of joints that have heads of their own.
    """
    fixed = {FRAME, *(part.name for part in assembly.parts.values() if part.fixed)}
    for joint in assembly.joints:
        own = {joint.a.part, joint.b.part} & fixed or joint.name in but
        if not isinstance(joint, Pin) or own:
            continue
        faces = [(_outer_face(assembly, place), place) for place in (joint.a, joint.b)]
        known = [(face, place) for face, place in faces if face is not None]
        if known:
            face, place = max(known, key=lambda pair: pair[0])
            where, name = (place.x, place.y), f"{joint.name} head"
            head = disc(where, diameter, (face, thickness), name, PieceSort.HEAD)
            assembly.pieces[place.part].append(head)


def add_own_head(assembly: Assembly, joint: Joint, head: JointHead, key: str) -> None:
    """Put a joint's own head on the outermost of its two parts, and its end on the innermost.

    `key`: of its table on the sheet.
    """
    places = (joint.a, joint.b)
    faces = [(_outer_face(assembly, place), place) for place in places]
    known = [(face, place) for face, place in faces if face is not None]
    if not known:
        return
    inner = [(_inner_face(assembly, place), place) for _, place in known]
    if head.grip is not None:
        stack = max(known, key=lambda pair: pair[0])[0] - min(inner, key=lambda pair: pair[0])[0]
        parts = joint.a.part, joint.b.part
        assembly.grips.append(Grip(parts, joint.name, stack, head.grip, f"{key}.grip"))
    face, place = max(known, key=lambda pair: pair[0])
    _add_head(assembly, place, head.diameter, (face, head.thickness), (f"{joint.name} head", key))
    if head.behind:
        face, place = min(inner, key=lambda pair: pair[0])
        layer = face - head.behind, head.behind
        _add_head(assembly, place, head.diameter, layer, (f"{joint.name}'s hidden end", key))


def _add_head(
    assembly: Assembly,
    place: Place,
    diameter: float,
    layer: tuple[float, float],
    names: tuple[str, str],
) -> None:
    metal = disc((place.x, place.y), diameter, layer, names[0], PieceSort.HEAD)
    assembly.pieces[place.part].append(replace(metal, key=names[1]))


def _inner_face(assembly: Assembly, place: Place) -> float:
    """Return how far out the inner face of a part is round one of its places [mm]."""
    return min(min(p.out) - p.thickness / 2 for p in _round_about(assembly, place))


def _outer_face(assembly: Assembly, place: Place) -> float | None:
    """Return how far out a part reaches round one of its places [mm]; None without metal."""
    faces = [max(p.out) + p.thickness / 2 for p in _round_about(assembly, place)]
    return max(faces, default=None)


def _round_about(assembly: Assembly, place: Place) -> list[Piece]:
    """Return the pieces of a part that have a corner at one of its places."""
    return [
        piece
        for piece in assembly.pieces.get(place.part, ())
        if any(
            math.dist(corner, (place.x, place.y)) <= piece.radius + 1e-9 for corner in piece.corners
        )
    ]
