"""Where the calliper goes on the valve gear: one detail a table."""

from __future__ import annotations

import math

import numpy as np

from linkage.form.engine import AXLE, rod_plan, rod_side
from linkage.form.model import Model, Models, Polygons, span_of
from linkage.form.sketch import Arc, Curve, Detail, Outline, Sketch, Span, Word
from linkage.mechanism import Point

_ALONG = math.pi / 2  # a lever drawn lying down, its top to the left


def expansion_link(models: Models) -> Detail:
    """Return the link with its slot upright, from the driving axle."""
    model, head = models.shown, "expansion_link."
    joint = next(j for j in model.mechanism.joints if j.name == "trunnion")
    pivot = (joint.b.x, joint.b.y)
    pose = np.array([*pivot, 0.0])

    def placed(point: Point) -> Point:
        return pivot[0] + point[0], pivot[1] + point[1]

    foot = placed(model.points["expansion link"]["foot pin"])
    slot = slot_line(model)
    radius = model.tables.expansion_link.slot_radius
    centre = _centre_of(slot)
    upper = slot[len(slot) // 2 :]
    assert radius is not None
    sketch = Sketch(
        "side view, slot upright at the pivot, from the driving axle; foot pin drawn well back",
        (Outline(model.seen("expansion link", pose=pose)),),
        (
            Span(f"{head}trunnion.ahead", AXLE, pivot),
            Span(f"{head}trunnion.up", AXLE, pivot, "left"),
            Span(f"{head}foot_pin.below", pivot, foot, "right"),
            Span(f"{head}foot_pin.back", foot, pivot),
            Curve(f"{head}slot_half_length", tuple(placed(p) for p in upper)),
            Span(f"{head}slot_radius", placed(slot[-3]), placed(centre), "here"),
        ),
        (AXLE, pivot, foot, placed(centre)),
        tuple(zip([placed(p) for p in slot], [placed(p) for p in slot[1:]], strict=False)),
        (Word("driving axle", AXLE, "right"), Word("foot pin", foot, "left")),
    )
    return Detail(((sketch,),))


def slot_line(model: Model) -> list[Point]:
    """Return the slot's centre line in the link's axes, from its lower to its upper end."""
    pieces = model.pieces("expansion link", "")
    return [pieces[0].corners[0], *(piece.corners[1] for piece in pieces)]


def _centre_of(slot: list[Point]) -> Point:
    """Return the centre of the circle through a slot's ends and its middle, which is upright."""
    (x, y), (_, middle) = slot[-1], slot[len(slot) // 2]
    return (x**2 + (y - middle) ** 2) / (2 * x), middle


def radius_rod(models: Models) -> Detail:
    """Return the radius rod lying flat, its edge, and where its die block is in the link."""
    model = models.plain
    die = model.joint("die block", "expansion link")
    slot = slot_line(model)
    centre = _centre_of(slot)
    steps = [math.atan2(die[1], centre[0] - die[0]) * k / 8 for k in range(9)]
    radius = centre[0]
    line = tuple((radius * (1 - math.cos(a)), radius * math.sin(a)) for a in steps)
    link = Sketch(
        "the die block in the link, slot upright",
        (Outline(model.seen("expansion link"), "about"),),
        (Curve("radius_rod.die_above_trunnion", line),),
        (AXLE, die),
        (),
        (Word("die block", (0.06 * radius, die[1])), Word("pivot", (0.06 * radius, 0.0))),
    )
    return Detail(((rod_side(models, "radius rod"),), (rod_plan(models, "radius rod"), link)))


def combination_lever(models: Models) -> Detail:
    """Return the lever lying down, its top to the left."""
    model, head = models.plain, "combination_lever.radius_rod_pin_to_"
    pins = {name: (-y, x) for name, (x, y) in model.points["combination lever"].items()}
    top = pins["radius rod pin"]
    sketch = Sketch(
        "lying down: top to the left, front up; drawn for inside admission",
        (Outline(model.seen("combination lever", pose=np.array([0.0, 0.0, _ALONG]))),),
        (
            Span(f"{head}valve_pin", top, pins["valve pin"], "above"),
            Span(f"{head}union_pin", top, pins["union pin"]),
        ),
        tuple(pins.values()),
        front="up",
        height=30.0,
    )
    return Detail(((sketch,),))


def weighshaft(models: Models) -> Detail:
    """Return the weighshaft and its arm from the driving axle."""
    model = models.lifted
    arm = model.piece("weighshaft", "arm")
    shaft, end = arm.corners[0], arm.corners[1]
    turn = math.atan2(end[1] - shaft[1], end[0] - shaft[0]) % (2 * math.pi)
    level = math.pi
    reach = math.dist(shaft, end)
    far = (shaft[0] - 2.2 * reach, shaft[1])
    sketch = Sketch(
        "side view, from the driving axle; arm pointing back and down, so below the horizontal",
        (Outline(model.seen("weighshaft")),),
        (
            Span("weighshaft.ahead", AXLE, shaft),
            Span("weighshaft.up", AXLE, shaft, "left"),
            Span("weighshaft.arm", end, shaft, "here"),
            Arc("weighshaft.arm_angle", shaft, level, turn, 1.9 * reach),
        ),
        (AXLE, shaft, end),
        ((shaft, far),),
        (Word("driving axle", AXLE, "right"),),
    )
    return Detail(((sketch,),))


def valve_spindle(models: Models) -> Detail:
    """Return the spindle's line over the axle, and between which places its pin stays."""
    model = models.plain
    slide = next(j for j in model.mechanism.joints if j.name == "valve spindle slide")
    foot = (slide.b.x, slide.b.y)
    travel = next(t for t in model.mechanism.travels if t.against == "guide")
    pin = (travel.least + travel.most) / 2
    spindle = model.seen("valve spindle", pose=np.array([pin, foot[1], 0.0]))
    low, high = span_of(spindle, 1)
    deep = high - low
    sketch = Sketch(
        "side view, from the driving axle; the pin must stay between the two stops",
        (
            Outline(spindle),
            Outline(_stops(travel.least, travel.most, (low - deep, high + deep)), "about"),
        ),
        (
            Span("valve_spindle.height", AXLE, foot, "left"),
            Span("valve_spindle.guide.rear", AXLE, (travel.least, low - deep)),
            Span("valve_spindle.guide.front", AXLE, (travel.most, low - deep)),
        ),
        (AXLE, (pin, foot[1])),
        ((foot, (pin, foot[1])),),
        (Word("driving axle", AXLE, "right"),),
    )
    return Detail(((sketch,),))


def _stops(rear: float, front: float, ys: tuple[float, float]) -> Polygons:
    """Return two thin plates, one at either end of a guide."""
    thick = 0.03 * (front - rear)
    return [
        [(a, ys[0]), (b, ys[0]), (b, ys[1]), (a, ys[1])]
        for a, b in ((rear - thick, rear), (front, front + thick))
    ]
