"""Where the calliper goes on a linkage of parts and pins: places, and lengths from eye to eye."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from linkage.form.model import Model, Models
from linkage.form.sketch import Detail, Sketch, Span, Spot, Word
from linkage.kinematics import solve_turn
from linkage.mechanism import FRAME, Place, Point
from linkage.scene.moment import placed

AXLE: Point = (0.0, 0.0)
_HEIGHT = 30.0
Lines = tuple[tuple[Point, Point], ...]


def linkage_detail(models: Models, section: str) -> Detail | None:
    """Return the drawing of one table of a linkage.

    None where the table holds words alone.

    `section`: "crank", "part." or "pin." and its name; what stands above all tables has none.
    """
    kind, _, name = section.partition(".")
    model = models.plain
    if kind == "crank":
        return _crank(model)
    if kind == "part":
        return _part(model, name)
    shown = {line.key for line in models.lines if line.section == section and line.unit != "word"}
    return _pin(model, section, name, shown) if kind == "pin" and shown else None


def _crank(model: Model) -> Detail:
    """Return the crank in its own axes, along it to the right."""
    pins = {name: at for name, at in model.points["crank"].items() if name != "axle"}
    sketch = Sketch(
        "the crank lying flat: along it to the right, across it up",
        (),
        tuple(Spot(f"crank.pins.{name}", at) for name, at in pins.items()),
        (AXLE, *pins.values()),
        tuple((AXLE, at) for at in pins.values()),
        (Word("axle", AXLE, "left"),),
        front="",
        height=_HEIGHT,
    )
    return Detail(((sketch,),))


def _part(model: Model, name: str) -> Detail:
    """Return a part lying flat."""
    (first, start), (second, end) = list(model.points[name].items())[:2]
    sketch = Sketch(
        f"lying flat: {first} to the left, {second} to the right",
        (),
        (Span(f"part.{name}.centres", start, end),),
        (start, end),
        ((start, end),),
        front="",
        height=_HEIGHT,
    )
    return Detail(((sketch,),))


def _pin(model: Model, section: str, name: str, shown: set[str]) -> Detail:
    """Return where a pin stands, with the crank straight ahead."""
    joint = next(joint for joint in model.mechanism.joints if joint.name == name)
    marks = []
    if "near" in shown and joint.near is not None:
        marks.append(Spot(f"{section}.near", joint.near))
    if "joins" in shown:
        place = joint.a if joint.a.part == FRAME else joint.b
        marks.append(Spot(f"{section}.joins", (place.x, place.y)))
    skeleton = _skeleton(model)
    sketch = Sketch(
        "the whole, crank straight ahead; from the axle: [ahead, up]",
        (),
        tuple(marks),
        tuple(dict.fromkeys(point for line in skeleton for point in line)),
        skeleton,
        (Word("axle", AXLE, "left"),),
        height=_HEIGHT,
    )
    return Detail(((sketch,),))


def _skeleton(model: Model) -> Lines:
    """Return the lines between the joints of every part, with the crank straight ahead."""
    motion = solve_turn(model.mechanism, np.zeros(1))
    poses = {name: pose[0] for name, pose in motion.poses.items()}

    def stands(place: Place) -> Point:
        if place.part == FRAME:
            return place.x, place.y
        return placed(poses[place.part], (place.x, place.y))

    lines = []
    for part in model.mechanism.parts:
        held = [p for j in model.mechanism.joints for p in (j.a, j.b) if p.part == part.name]
        ends = [stands(place) for place in held]
        if part.name == model.mechanism.crank:
            ends.insert(0, model.mechanism.axle)
        lines += list(pairwise(ends))
    return tuple(lines)
