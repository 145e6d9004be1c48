"""The marks of a tight spot on a moving picture: rings, hatched overlap, names with lines."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon as Patch

from linkage.arrays import Array
from linkage.clearance import Contact
from linkage.draw.labels import Label, box_points, fitting, spread, text_width
from linkage.draw.names import labels_of
from linkage.draw.plan import meeting
from linkage.draw.scene import Scene, placed
from linkage.draw.shapes import Polygon, bodies_of, common, plan_shape, side_shape
from linkage.draw.side_view import ring
from linkage.draw.skeleton import wheel_pins
from linkage.draw.style import BLACK, GREY, OVERLAP_HATCH, PLAIN, SMALL, TEXT, THIN
from linkage.mechanism import Piece, Point
from linkage.tightspots import Fouls, PlayUsedUp, RunsOff

_EDGE = 8.0  # from the edge of a view to the middle of a row of names [points]


@dataclass(frozen=True)
class Name:
    """A name at a fixed place of a view, and the place of a part that it leads to.

    Attributes
    ----------
    text : str
        The name.
    heavy : bool
        Whether it is a part that the picture is about.
    at : (float, float) [mm]
        Middle of the lettering, in the frame's axes.
    foot : (float, float) [mm]
        Where the line to the part begins.
    part : str
        The part.
    spot : (float, float) [mm]
        In the part's own axes.
    """

    text: str
    heavy: bool
    at: Point
    foot: Point
    part: str
    spot: Point


def mark_side(axis: Axes, scene: Scene, lit: bool) -> Axes:
    """Mark a tight spot in side view: rings, and what two parts both claim.

    Parameters
    ----------
    lit : bool
        True for heavy rings and hatching, False for a thin ring.
    """
    if lit and scene.contact is not None and isinstance(scene.spot, Fouls):
        _hatch(axis, _claimed(scene, scene.contact))
    for spot in _spots(scene):
        _ring(axis, spot, lit)
    return axis


def mark_plan(axis: Axes, scene: Scene, lit: bool) -> Axes:
    """Mark the place where two parts meet in plan.

    The same; unmarked where the spot is not one of two parts that meet.

    Parameters
    ----------
    lit : bool
        As for `mark_side`.
    """
    contact = scene.contact
    if contact is None:
        return axis
    if lit and contact.lateral < 0:
        shapes = _pieces(scene, contact, plan_shape)
        _hatch(axis, common(*shapes))
    _ring(axis, (_meeting_place(scene, contact)[0], meeting(contact)), lit)
    return axis


def _hatch(axis: Axes, shape: Polygon) -> None:
    if shape:
        axis.add_patch(Patch(shape, facecolor="1.0", edgecolor=BLACK, hatch=OVERLAP_HATCH,
                             linewidth=1.0, zorder=5.1))  # fmt: skip


def _ring(axis: Axes, spot: Point, lit: bool) -> None:
    if lit:
        ring(axis, spot)
    else:
        axis.plot(*spot, marker="o", markersize=17, fillstyle="none", color=GREY,
                  markeredgewidth=PLAIN, zorder=8)  # fmt: skip


def _pieces(
    scene: Scene, contact: Contact, shape: Callable[[Piece, Array], Polygon]
) -> list[Polygon]:
    return [
        shape(piece, scene.poses[name])
        for piece, name in zip(contact.pieces, contact.parts, strict=True)
    ]


def _claimed(scene: Scene, contact: Contact) -> Polygon:
    """Return what both pieces that meet cover, seen from the side."""
    first, second = _pieces(scene, contact, side_shape)
    return common(first, second)


def _meeting_place(scene: Scene, contact: Contact) -> Point:
    """Return where two parts meet: the middle of what both cover, or else of their near places."""
    shape = _claimed(scene, contact)
    if not shape:
        shape = [
            placed(scene.poses[name], own)
            for name, own in zip(contact.parts, contact.on_parts, strict=True)
        ]
    x, y = np.mean(shape, axis=0).tolist()
    return x, y


def _spots(scene: Scene) -> list[Point]:
    """Return what to ring: where parts meet, what runs off, what cannot be joined, crank pins."""
    spot = scene.spot
    if scene.contact is not None:
        return [_meeting_place(scene, scene.contact)]
    if spot is None:
        return []
    if isinstance(spot, RunsOff):
        name = spot.run_off.travel.joint
        return [scene.place(j.a) for j in scene.joints_seen if j.name == name]
    if isinstance(spot, PlayUsedUp):
        axles = dict.fromkeys(hole.axle for hole in spot.arc.holes if hole.kind == "hole")
        wheels = [part for part in scene.parts_seen if part.axle in axles]
        return [scene.place(pin) for part in wheels for pin in wheel_pins(part)]
    parts = set(spot.parts)
    return [scene.place(j.a) for j in scene.joints_seen if {j.a.part, j.b.part} <= parts]


def lay_names(axis: Axes, scene: Scene) -> tuple[Name, ...]:
    """Find places for the names of the parts that a view is about, or of all, that stay.

    In a row above and a row below.

    Parameters
    ----------
    axis : Axes
        The side view; its limits must stand already.
    """
    labels = _one_a_part(scene)
    if not labels:
        return ()
    level = float(np.median([label.spot[1] for label in labels.values()]))
    upper = [label for label in labels.values() if label.spot[1] >= level]
    lower = [label for label in labels.values() if label.spot[1] < level]
    found = []
    for row, top in ((upper, True), (lower, False)):
        for label, at, foot in _row(axis, row, top):
            part = next(name for name, other in labels.items() if other is label)
            own = _own(scene.poses[part], label.spot)
            found.append(Name(label.name, label.heavy, at, foot, part, own))
    return tuple(found)


def _one_a_part(scene: Scene) -> dict[str, Label]:
    """Return a name for each part, the one that tells which piece of it meets the other."""
    owners = {body.name: body.part.name for body in bodies_of(scene)}
    found: dict[str, Label] = {}
    for label in labels_of(scene):
        part = owners.get(label.name, label.name)
        if (label.heavy or not scene.parts) and (part not in found or "," in label.name):
            found[part] = label
    if isinstance(scene.spot, RunsOff):  # what runs off may be no part itself, but ride on one
        travel = scene.spot.run_off.travel
        joint = next(j for j in scene.joints_seen if j.name == travel.joint)
        part, rides = joint.a.part, travel.part
        if part in found and part != rides:
            found[part] = replace(found[part], name=f"{part}, with the {rides}")
    return found


def _row(axis: Axes, labels: Sequence[Label], top: bool) -> list[tuple[Label, Point, Point]]:
    """Spread a row of names along an edge of a view; places in the frame's axes [mm]."""
    width, height = box_points(axis)
    (left, right), (low, high) = axis.get_xlim(), axis.get_ylim()
    kept = sorted(
        fitting(labels, width - 4), key=lambda label: (label.spot[0] - left) * (right - left)
    )
    wide = [text_width(k.name, TEXT if k.heavy else SMALL, k.heavy) for k in kept]
    best = [(k.spot[0] - left) / (right - left) * width for k in kept]
    point = (high - low) / height
    y = high - _EDGE * point if top else low + _EDGE * point
    foot = y - 4 * point if top else y + 4 * point
    xs = [left + at / width * (right - left) for at in spread(best, wide, width - 2)]
    return [(label, (x, y), (x, foot)) for label, x in zip(kept, xs, strict=True)]


def _own(pose: Array, point: Point) -> Point:
    """Return a point of the frame's axes in a part's own."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    x, y = point[0] - float(pose[0]), point[1] - float(pose[1])
    return cos * x + sin * y, cos * y - sin * x


def write_moving(axis: Axes, scene: Scene, names: Sequence[Name]) -> Axes:
    """Write names where they stay, with lines to where their parts are now.

    Parameters
    ----------
    names : sequence of Name
        From `lay_names`.
    """
    for name in names:
        x, y = placed(scene.poses[name.part], name.spot)
        width = 0.9 if name.heavy else THIN
        axis.plot([name.foot[0], x], [name.foot[1], y], color=BLACK if name.heavy else GREY,
                  linewidth=width, zorder=8.5)  # fmt: skip
        axis.plot(x, y, marker="o", markersize=2.5, color=BLACK, zorder=8.5)
        axis.text(*name.at, name.text, ha="center", va="center", zorder=9,
                  fontsize=TEXT if name.heavy else SMALL,
                  fontweight="bold" if name.heavy else "normal")  # fmt: skip
    return axis
