"""Parts, joints and outlines of the user's own, alone or added to a named arrangement."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from pydantic import Field

from linkage.arrangements.arrangement import ONE_SIDE, Arrangement
from linkage.arrangements.assembly import Assembly, add_heads, add_own_head
from linkage.arrangements.plates import shape_pieces
from linkage.arrangements.rods import rod_pieces
from linkage.errors import Problem
from linkage.mechanism import FRAME, Part, Pin, Place, Point, Running, Slide, Slot, Sort, Travel
from linkage.tables.damage import Pins
from linkage.tables.facts import maybe
from linkage.tables.fields import Spot2D, Table, did_you_mean
from linkage.tables.shapes import FreePart, FreePin, FreeSlide, FreeSlot, Side


class CrankTable(Table):
    """The crank of a free linkage; its pins from its axle, [along, across] the crank."""

    axle: Spot2D = maybe("", default=(0.0, 0.0), no_place="all is measured from it")
    pins: dict[str, Spot2D] = Field(min_length=1)


class LinkageSide(Side):
    """A sheet of the arrangement "linkage": parts and joints alone."""

    crank: CrankTable


def free_crank(side: LinkageSide, _running: Running = None) -> Assembly:
    """Return a crank alone, for a sheet of parts and joints.

    Holds the part "crank", with the pins the sheet names.
    """
    assembly = Assembly(axle=side.crank.axle)
    assembly.part(Part("crank", key="crank", sort=Sort.CRANK), dict(side.crank.pins))
    return assembly


@dataclass
class _Adding:
    """An assembly that things are being added to, and what is wrong with them."""

    assembly: Assembly
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, key: str, wrong: str, found: str = "") -> None:
        self.problems.append(Problem(key, wrong, found))

    def known(self, key: str, part: str) -> bool:
        """Return whether there is a part of that name; note a problem where there is none."""
        if part == FRAME or part in self.assembly.pieces:
            return True
        near = did_you_mean(part, [FRAME, *self.assembly.pieces])
        self.wrong(key, f"names a part that is not there{near}", f'"{part}"')
        return False

    def place(self, key: str, name: str | Point) -> Place | None:
        """Return a named or bare place; None, and a problem noted, where there is none."""
        if not isinstance(name, str):
            return Place(FRAME, *name)
        part, _, point = name.rpartition(".")
        if not self.known(key, part):
            return None
        points = self.assembly.points.get(part, {})
        if point not in points:
            has = f": it has {', '.join(points)}" if points else ""
            self.wrong(key, f'names a point that "{part}" does not have{has}', f'"{name}"')
            return None
        return Place(part, *points[point])

    def moves(self, part: str) -> bool:
        """Return whether a part moves, and not as the crank does."""
        fast = part in (FRAME, self.assembly.crank)
        return not fast and not self.assembly.parts[part].fixed

    def new_name(self, key: str, name: str, names: Iterable[str]) -> bool:
        """Return whether a name is free; note a problem where it is not."""
        if name in names:
            self.wrong(key, "is the name of another", f'"{name}"')
            return False
        return True


def add_own_parts(assembly: Assembly, side: Side) -> list[Problem]:
    """Add what a sheet gives of its own to an assembly.

    Names that are not there, or twice, and joints that do not say where they are.
    """
    adding = _Adding(assembly)
    for number, part in enumerate(side.part, 1):
        _add_part(adding, f"part[{number}]", part)
    _add_fixed(adding, side)
    for number, pin in enumerate(side.pin, 1):
        _add_pin(adding, f"pin[{number}]", pin)
    for number, slide in enumerate(side.slide, 1):
        _add_slide(adding, f"slide[{number}]", slide)
    for number, slot in enumerate(side.slot, 1):
        _add_slot(adding, f"slot[{number}]", slot)
    for number, extra in enumerate(side.extra, 1):
        if adding.known(f"extra[{number}].on", extra.on) and extra.on != FRAME:
            assembly.pieces[extra.on].extend(shape_pieces(extra, extra.name))
    _add_heads(adding, side.pins)
    return adding.problems


def _add_heads(adding: _Adding, pins: Pins) -> None:
    """Add the heads of the joints' pins, those that are alike and those that have their own."""
    assembly = adding.assembly
    joints = {joint.name.replace(" ", "_"): joint for joint in assembly.joints}
    for name, head in pins.heads.items():
        key = f"pins.heads.{name}"
        if name in joints:
            add_own_head(assembly, joints[name], head, key)
        else:
            adding.wrong(key, f"names a joint that is not there{did_you_mean(name, joints)}")
    if pins.head is not None:
        own = [name.replace("_", " ") for name in pins.heads]
        add_heads(assembly, pins.head.diameter, pins.head.thickness, own)


def _add_part(adding: _Adding, key: str, part: FreePart) -> None:
    if not adding.new_name(f"{key}.name", part.name, (FRAME, *adding.assembly.pieces)):
        return
    rod = part.bar()
    points = dict(part.points or {})
    if part.centres is not None:
        points = {"rear": (0.0, 0.0), "front": (part.centres, 0.0)}
    pieces = rod_pieces(rod, rod.centres) if rod is not None else ()
    sort = Sort.OTHER if rod is None else Sort.ROD
    adding.assembly.part(Part(part.name, key=key, sort=sort), points, pieces)


def _add_fixed(adding: _Adding, side: Side) -> None:
    shapes = [(f"fixed[{number}]", shape) for number, shape in enumerate(side.fixed, 1)]
    if side.motion_bracket is not None:
        shapes.append(("motion_bracket", side.motion_bracket))
    for key, shape in shapes:
        if adding.new_name(f"{key}.name", shape.name, (FRAME, *adding.assembly.pieces)):
            adding.assembly.part(Part(shape.name, fixed=True, key=key), {}, shape_pieces(shape))


def _joint_is_new(adding: _Adding, key: str, name: str) -> bool:
    return adding.new_name(f"{key}.name", name, [joint.name for joint in adding.assembly.joints])


def _add_pin(adding: _Adding, key: str, pin: FreePin) -> None:
    places = [
        adding.place(f"{key}.joins[{number}]", place) for number, place in enumerate(pin.joins, 1)
    ]
    a, b = places
    if a is None or b is None or not _joint_is_new(adding, key, pin.name):
        return
    if a.part == b.part:
        adding.wrong(f"{key}.joins", "should name two different parts", f'"{a.part}" twice')
    elif pin.near is None and adding.moves(a.part) and adding.moves(b.part):
        adding.wrong(
            f"{key}.near",
            "is missing: about where the pin stands when the crank points straight ahead",
        )
    else:
        adding.assembly.joints.append(Pin(pin.name, a, b, pin.near))


def _add_slide(adding: _Adding, key: str, slide: FreeSlide) -> None:
    a = adding.place(f"{key}.moves", slide.moves)
    if a is None or not adding.known(f"{key}.on", slide.on):
        return
    if not _joint_is_new(adding, key, slide.name):
        return
    turned = slide.direction if slide.turned is None else slide.turned
    b = Place(slide.on, *slide.along)
    adding.assembly.joints.append(
        Slide(slide.name, a, b, slide.direction, turned=turned, near=slide.near)
    )
    if slide.travel is not None:
        least = -math.inf if slide.travel.least is None else slide.travel.least
        most = math.inf if slide.travel.most is None else slide.travel.most
        adding.assembly.travels.append(Travel(slide.name, a.part, slide.name, least, most))


def _add_slot(adding: _Adding, key: str, slot: FreeSlot) -> None:
    a = adding.place(f"{key}.pin", slot.pin)
    if a is None or not adding.known(f"{key}.on", slot.on):
        return
    if not _joint_is_new(adding, key, slot.name):
        return
    curvature = 0.0
    if slot.radius is not None:
        curvature = (1.0 if slot.curves == "left" else -1.0) / slot.radius
    b = Place(slot.on, *slot.middle)
    adding.assembly.joints.append(Slot(slot.name, a, b, slot.direction, curvature, near=slot.near))
    if slot.half_length is not None:
        adding.assembly.travels.append(
            Travel(slot.name, a.part, slot.name, -slot.half_length, slot.half_length)
        )


_BLANK = """\
title = ""
arrangement = "linkage"
units = "mm"
scale = "4 mm"
measured_to = "callipers"

[crank]
axle = [0.0, 0.0]               # from where all places on the frame are measured
pins = { pin = [10.0, 0.0] }    # a guess, measure yours: from the axle, [along, across] the crank

[[part]]
name = "coupler"
centres = "about 30.0"          # a guess, measure yours: "rear" and "front" are its two eyes

[[part]]
name = "rocker"
centres = "about 25.0"          # a guess, measure yours

[[pin]]
name = "crank pin"
joins = ["crank.pin", "coupler.rear"]

[[pin]]
name = "coupler pin"
joins = ["coupler.front", "rocker.front"]
near = [33.0, 19.0]             # about where it is when the crank points straight ahead

[[pin]]
name = "rocker pivot"
joins = ["rocker.rear", [35.0, 0.0]]  # a guess, measure yours: a bare [ahead, up] is on the frame
"""
LINKAGE = Arrangement(
    name="linkage",
    does="parts and joints of your own",
    sides=ONE_SIDE,
    tables=LinkageSide,
    build=free_crank,
    blank=_BLANK,
)
