"""The marks of a tight spot on a moving picture: rings, hatched overlap, names that stay."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.clearance import Contact
from linkage.mechanism import Place, Point
from linkage.scene import style
from linkage.scene.bodies import claimed
from linkage.scene.detail import overlap
from linkage.scene.drawing import Frame, Item, Marks, Stroke, Words
from linkage.scene.moment import Moment, placed
from linkage.scene.names import Name, names_of, row_place, rows_of
from linkage.scene.plan import meeting
from linkage.scene.side import ring
from linkage.scene.skeleton import wheel_pins
from linkage.tightspots import Fouls, PlayUsedUp, RunsOff


@dataclass(frozen=True)
class Staying:
    """A name at a fixed place of a view, and the place of a part that it leads to."""

    name: Name  # what is written
    at: Point  # [mm] where it stands, and where the line to its part begins
    foot: Point
    place: Place  # where that ends, on the part


def side_marks(moment: Moment, lit: bool) -> Iterator[Item]:
    """Yield a spot's marks in side view; lit, with heavy rings and what two parts claim hatched."""
    if lit and isinstance(moment.spot, Fouls):
        yield from overlap(claimed(moment))
    for spot in _spots(moment):
        yield from ring(spot, lit)


def plan_marks(moment: Moment, lit: bool) -> Iterator[Item]:
    """Yield the marks where two parts meet in plan; none where the spot is not one of two parts."""
    contact = moment.contact
    if contact is not None:
        if lit and contact.lateral < 0:
            yield from overlap(claimed(moment, above=True))
        yield from ring((_meeting_place(moment, contact)[0], meeting(contact)), lit)


def _meeting_place(moment: Moment, contact: Contact) -> Point:
    """Return where two parts meet: the middle of what both cover, or else of their near places."""
    shape = claimed(moment) or [
        placed(moment.poses[name], own)
        for name, own in zip(contact.parts, contact.on_parts, strict=True)
    ]
    x, y = np.mean(shape, axis=0).tolist()
    return x, y


def _spots(moment: Moment) -> list[Point]:
    """Return what to ring: where parts meet, what runs off, what cannot be joined, crank pins."""
    spot = moment.spot
    if moment.contact is not None:
        return [_meeting_place(moment, moment.contact)]
    if spot is None:
        return []
    if isinstance(spot, RunsOff):
        return [moment.place(moment.joint(spot.run_off.travel.joint).a)]
    if isinstance(spot, PlayUsedUp):
        axles = {hole.axle for hole in spot.arc.holes if hole.kind == "hole"}
        wheels = [part for part in moment.parts_seen if part.axle in axles]
        return [moment.place(pin) for part in wheels for pin in wheel_pins(part)]
    parts = set(spot.parts)
    return [moment.place(j.a) for j in moment.joints_seen if {j.a.part, j.b.part} <= parts]


def staying_names(moment: Moment, frame: Frame) -> tuple[Staying, ...]:
    """Find places for the names of the parts that a view is about, or of all, that stay."""
    names = _one_a_part(moment)
    rows = rows_of(frame, names)
    found = []
    for row, top in ((rows.upper, True), (rows.lower, False)):
        for k, middle in row:
            name = names[k]
            own = Place(name.part, *_own(moment.poses[name.part], name.spot))
            found.append(Staying(name, *row_place(frame, middle, top), own))
    return tuple(found)


def _one_a_part(moment: Moment) -> list[Name]:
    """Return a name for each part, the one that tells which piece of it meets the other."""
    found: dict[str, Name] = {}
    for name in names_of(moment):
        told = name.text != name.part
        if (name.heavy or not moment.parts) and (name.part not in found or told):
            found[name.part] = name
    if isinstance(moment.spot, RunsOff):  # what runs off may be no part itself, but ride on one
        travel = moment.spot.run_off.travel
        part, rides = moment.joint(travel.joint).a.part, travel.part
        if part in found and part != rides:
            found[part] = replace(found[part], text=f"{part}, with the {rides}")
    return list(found.values())


def _own(pose: Array, point: Point) -> Point:
    """Return a point of the frame's axes in a part's own."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    x, y = point[0] - float(pose[0]), point[1] - float(pose[1])
    return cos * x + sin * y, cos * y - sin * x


def moving_names(moment: Moment, names: Sequence[Staying]) -> Iterator[Item]:
    """Yield names where they stay, with lines to where their parts are now."""
    for one in names:
        spot = moment.place(one.place)
        pen = style.LEADER_HEAVY if one.name.heavy else style.LEADER
        yield Stroke([one.foot, spot], pen)
        yield Marks([spot], style.END_SIGN)
        yield Words(one.name.text, one.at, one.name.letters)
