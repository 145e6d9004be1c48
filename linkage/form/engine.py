"""Where the calliper goes on wheels, cylinder, crosshead and rods: one detail a table."""

from __future__ import annotations

import math

import numpy as np

from linkage.form.model import Model, Models, Polygons, faces_of, span_of, within
from linkage.form.sketch import Arc, Detail, Outline, Sketch, Span, Spot, Word
from linkage.form.tables import AXLE, views_of
from linkage.mechanism import PieceSort, Point
from linkage.scene.drawing import circle

AT_AXLE = Word("driving axle", AXLE, "left")


def wheels(models: Models) -> Detail:
    """Return the crank seen from the side, and a wheelset gone sideways."""
    model = models.plain
    pin = model.points["crank"]["crank pin"]
    rim = -max(x for shape in model.seen("crank", PieceSort.RIM) for x, _ in shape)
    lead = model.sheet.right_leads_by
    throw = math.hypot(*pin)
    left = (throw * math.cos(lead), throw * math.sin(lead))
    side = Sketch(
        "side view, right crank ahead; dashed: left crank",
        (
            Outline(model.seen("crank", PieceSort.RIM), "about"),
            Outline(_crank_arm(pin), "part"),
            Outline(_crank_arm(left), "dashed"),
        ),
        (
            Span("wheels.throw", AXLE, pin),
            Arc("wheels.right_leads_by", AXLE, 0.0, lead, 1.55 * throw),
            Span("wheels.rim_radius", (rim, 0.0), AXLE),
        ),
        (AXLE, pin, left),
        height=52.0,
    )
    play = side_play(model, "crank", "wheels.side_play")
    return Detail(((side, play),))


def _crank_arm(pin: Point) -> Polygons:
    """Return a crank's boss from axle to pin, only to be seen."""
    throw = math.hypot(*pin)
    return [circle(AXLE, 0.3 * throw), circle(pin, 0.17 * throw)]


def side_play(model: Model, wheel: str, key: str) -> Sketch:
    """Return a wheel in plan about its crank pin, in its middle and all the way over."""
    sets = {held.axle: held.side_play for held in model.mechanism.wheelsets}
    over = sets[model.mechanism.part(wheel).axle]
    x, _ = model.points[wheel]["crank pin"]
    room = 0.75 * x

    def about(shapes: Polygons) -> Polygons:
        return within(shapes, x - room, x + room)

    face = faces_of(model.piece(wheel, PieceSort.RIM))[1]
    moved = span_of(model.above(wheel, PieceSort.RIM, over=over), 1)[1]
    return Sketch(
        "plan; dashed: all the way over",
        (
            Outline(about(model.above(wheel, PieceSort.RIM, PieceSort.CRANK_PIN))),
            Outline(about(model.above(wheel, PieceSort.RIM, over=over)), "dashed"),
        ),
        (Span(key, (x + room, face), (x + room, moved), "right"),),
        plan=True,
    )


def crank_pin(models: Models) -> Detail:
    """Return the crank pin and its nut in plan."""
    model = models.plain
    x = model.points["crank"]["crank pin"][0]
    pin, nut = model.piece("crank", PieceSort.CRANK_PIN), model.piece("crank", PieceSort.NUT)
    level, room = 0.45 * faces_of(pin)[1], 4 * pin.radius
    inner, outer = faces_of(nut)
    sketch = Sketch(
        "plan: the pin between the wheel's face and its nut",
        (
            Outline(within(model.above("crank", PieceSort.RIM), x - room, x + room), "about"),
            Outline(model.above("crank", PieceSort.CRANK_PIN)),
            Outline(model.above("crank", PieceSort.NUT)),
        ),
        (
            Span("crank_pin.diameter", (x - pin.radius, level), (x + pin.radius, level), "here"),
            Span("crank_pin.nut.diameter", (x - nut.radius, outer), (x + nut.radius, outer)),
            Span("crank_pin.nut.out", (x - nut.radius, 0.0), (x - nut.radius, inner), "left"),
            Span("crank_pin.nut.thickness", (x + nut.radius, inner), (x + nut.radius, outer),
                 "right"),
        ),
        plan=True,
    )  # fmt: skip
    return Detail(((sketch,),))


def cylinder(models: Models) -> Detail:
    """Return the cylinder along its centre line; below, what its fields say of it."""
    return Detail(((_along(models.plain),), views_of(models, "cylinder")))


def _along(model: Model) -> Sketch:
    piston, head = model.tables.cylinder.piston, "cylinder."
    cover = model.seen("cylinder cover")
    low, high = span_of(cover, 1)
    rear, front = span_of(cover, 0)
    ends = {t.against: t for t in model.mechanism.travels if t.part == "piston"}
    half = piston.thickness / 2
    faces = (
        ends["rear cover"].least + piston.ahead_of_crosshead_pin - half,
        ends["front cover"].most + piston.ahead_of_crosshead_pin + half,
    )
    pin = (ends["rear cover"].least + ends["front cover"].most) / 2
    at = pin + piston.ahead_of_crosshead_pin
    bore = 0.55 * low, 0.55 * high
    return Sketch(
        "along the centre line, from the driving axle: crosshead, piston and covers",
        (
            Outline(cover, "about"),
            Outline(_box(faces, bore), "about"),
            Outline(_box((at - half, at + half), bore)),
            Outline(
                model.seen("crosshead", PieceSort.SLIPPER, pose=np.array([pin, 0.0, 0.0])), "about"
            ),
        ),
        (
            Span(f"{head}piston.ahead_of_crosshead_pin", (pin, 0.0), (at, 0.0), "above"),
            Span(f"{head}piston.thickness", (at - half, bore[0]), (at + half, bore[0])),
            Span(f"{head}rear_cover", AXLE, (faces[0], bore[0])),
            Span(f"{head}front_cover", AXLE, (faces[1], bore[0])),
            Span(f"{head}body.rear", AXLE, (rear, low)),
            Span(f"{head}body.front", AXLE, (front, low)),
            Span(f"{head}body.depth", (front, low), (front, high), "right"),
        ),
        (AXLE, (pin, 0.0)),
        ((AXLE, (at, 0.0)),),
        (AT_AXLE, Word("crosshead pin", (pin - 2.8 * half, -half), "left")),
        height=64.0,
    )


def _box(xs: tuple[float, float], ys: tuple[float, float]) -> Polygons:
    return [[(xs[0], ys[0]), (xs[1], ys[0]), (xs[1], ys[1]), (xs[0], ys[1])]]


def fixed(models: Models) -> Detail:
    """Return something fixed to the frame, by its corners and in plan."""
    model = models.plain
    name = next(line.value for line in models.lines if line.full == "fixed.name")
    piece = model.piece(name)
    (inner, outer), (low, high) = faces_of(piece), span_of(model.above(name), 0)
    corners = tuple(
        Spot(f"fixed.side_view.{number}", corner) for number, corner in enumerate(piece.corners, 1)
    )
    side = Sketch("side view, corners from the driving axle",
                  (Outline(model.seen(name)),), corners, (AXLE,),
                  (), (Word("driving axle", AXLE, "above"),))  # fmt: skip
    plan = Sketch(
        "plan",
        (Outline(model.above(name)),),
        (
            Span("fixed.out", (low, 0.0), (low, inner), "left"),
            Span("fixed.thickness", (high, inner), (high, outer), "right"),
        ),
        plan=True,
    )
    return Detail(((side, plan),))
