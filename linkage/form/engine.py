"""Where the calliper goes on wheels, cylinder, crosshead and rods: one detail a table."""

from __future__ import annotations

import math

import numpy as np

from linkage.form.model import Model, Models, Polygons, faces_of, span_of, within
from linkage.form.sketch import Arc, Detail, Outline, Sketch, Span, Spot, Word
from linkage.mechanism import PieceSort, Point

AXLE: Point = (0.0, 0.0)
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
    ux, uy = pin[0] / throw, pin[1] / throw
    return [
        [
            (k * ux * throw + r * math.cos(t), k * uy * throw + r * math.sin(t))
            for t in np.linspace(0, 2 * math.pi, 24, endpoint=False).tolist()
        ]
        for k, r in ((0.0, 0.3 * throw), (1.0, 0.17 * throw))
    ]


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
    """Return the cylinder along its centre line, in plan, and how that line lies."""
    return Detail(((_along(models.plain),), (_line_lies(models.shown), _body_plan(models.plain))))


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
    bore = [(x, 0.55 * y) for x in faces for y in (low, high)]
    return Sketch(
        "along the centre line, from the driving axle: crosshead, piston and covers",
        (
            Outline(cover, "about"),
            Outline([[bore[0], bore[2], bore[3], bore[1]]], "about"),
            Outline(_box((at - half, at + half), (0.55 * low, 0.55 * high))),
            Outline(
                model.seen("crosshead", PieceSort.SLIPPER, pose=np.array([pin, 0.0, 0.0])), "about"
            ),
        ),
        (
            Span(f"{head}piston.ahead_of_crosshead_pin", (pin, 0.0), (at, 0.0), "above"),
            Span(f"{head}piston.thickness", (at - half, 0.55 * low), (at + half, 0.55 * low)),
            Span(f"{head}rear_cover", AXLE, (faces[0], 0.55 * low)),
            Span(f"{head}front_cover", AXLE, (faces[1], 0.55 * low)),
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


def _line_lies(model: Model) -> Sketch:
    """Return the centre line over the axle, drawn inclined and raised so that it can be seen."""
    slide = next(j for j in model.mechanism.joints if j.name == "crosshead slide")
    foot, turn = (slide.b.x, slide.b.y), model.tables.cylinder.inclination
    far = model.tables.cylinder.body.front

    def on_line(along: float) -> Point:
        return foot[0] + along * math.cos(turn), foot[1] + along * math.sin(turn)

    cross = on_line(-0.25 * far)
    return Sketch(
        "the centre line, drawn inclined and high to be seen",
        (Outline(model.seen("cylinder cover"), "about"),),
        (
            Arc("cylinder.inclination", cross, 0.0, turn, 0.85 * far),
            Span("cylinder.axis_height", AXLE, foot, "here"),
        ),
        (AXLE,),
        ((AXLE, foot), (cross, on_line(far)), (cross, (cross[0] + 1.1 * far, cross[1]))),
        (Word("driving axle", AXLE, "right"),),
    )


def _body_plan(model: Model) -> Sketch:
    piece = model.piece("cylinder cover")
    (low, high), (inner, outer) = span_of(model.above("cylinder cover"), 0), faces_of(piece)
    return Sketch(
        "plan",
        (Outline(model.above("cylinder cover")),),
        (
            Span("cylinder.body.out", (low, 0.0), (low, inner), "left"),
            Span("cylinder.body.thickness", (high, inner), (high, outer), "right"),
        ),
        plan=True,
    )


def rod_side(models: Models, name: str, model: Model | None = None) -> Sketch:
    """Return a rod seen from the side, with its centres and its depth as far as they are asked."""
    model = model or models.plain
    table = model.mechanism.part(name).key
    (first, start), (second, end) = list(model.points[name].items())[:2]
    low, high = span_of(model.seen(name), 1)
    width = Span(f"{table}.width", (0.3 * end[0], low), (0.3 * end[0], high), "here")
    asked = any(line.full == width.key for line in models.lines)
    return Sketch(
        f"side view, lying flat: {first} to the left, {second} to the right",
        (Outline(model.seen(name)),),
        (Span(f"{table}.centres", start, end), *((width,) if asked else ())),
        (start, end),
        front=_front(model, name, (first, second)),
    )


def _front(model: Model, name: str, ends: tuple[str, str]) -> str:
    """Return where the front is of a rod that lies with its first end to the left; "" if upright.

    By where its ends stand with the crank straight ahead.
    """
    spots = []
    for end in ends:
        x, y = model.points[name][end]
        spots += [
            model.stands(joint)
            for joint in model.mechanism.joints
            if any((p.part, p.x, p.y) == (name, x, y) for p in (joint.a, joint.b))
        ][:1]
    if len(spots) < 2:
        return "right"
    (ax, ay), (bx, by) = spots
    if abs(bx - ax) < abs(by - ay):
        return ""
    return "right" if bx > ax else "left"


def rod_plan(models: Models, name: str, model: Model | None = None) -> Sketch:
    """Return a rod's edge over the wheel's face; dashed, one that is bent."""
    model = model or models.plain
    table = model.mechanism.part(name).key
    straight = model.piece(name)
    inner, outer = faces_of(straight)
    low, high = span_of(model.above(name), 0)
    bent = models.bent if name in models.bent.points else model
    stations = sorted(
        {
            (corner[0], out)
            for piece in bent.pieces(name)
            if len(piece.corners) == 2
            for corner, out in zip(piece.corners, piece.out, strict=True)
        }
    )
    x, out = min(stations, key=lambda station: station[1])
    half = straight.thickness / 2
    edge = [
        *((at, middle - half) for at, middle in stations),
        *((at, middle + half) for at, middle in stations[::-1]),
    ]
    marks = (
        Span(f"{table}.thickness", (high, inner), (high, outer), "right"),
        Span(f"{table}.out", (low, 0.0), (low, inner), "left"),
        Span(f"{table}.bend", (x, out), (x, straight.out[0]), "here"),
    )
    asked = {line.full for line in models.lines}
    return Sketch(
        "plan: its edge; dashed: bowed towards the frames",
        (Outline(model.above(name)), Outline([edge], "dashed")),
        tuple(mark for mark in marks if mark.key in asked),
        plan=True,
        height=42.0,
    )


def slide_bars(models: Models) -> Detail:
    """Return the slide bars from the driving axle."""
    model = models.plain
    upper, lower = model.seen("slide bars", "upper bar"), model.seen("slide bars", "lower bar")
    rear, front = span_of(upper, 0)
    travel = next(t for t in model.mechanism.travels if t.against == "slide bars")
    at = np.array([(travel.least + travel.most) / 2, 0.0, 0.0])
    sketch = Sketch(
        "side view, from the driving axle",
        (Outline(model.seen("crosshead", pose=at), "about"), Outline(upper), Outline(lower)),
        (
            Span("slide_bars.rear", AXLE, (rear, span_of(lower, 1)[0])),
            Span("slide_bars.front", AXLE, (front, span_of(lower, 1)[0])),
            Span("slide_bars.gap", (front, span_of(lower, 1)[1]), (front, span_of(upper, 1)[0]),
                 "right"),
            Span("slide_bars.depth", (rear, span_of(upper, 1)[0]), (rear, span_of(upper, 1)[1]),
                 "left"),
        ),
        (AXLE,),
        ((AXLE, (front, 0.0)),),
        (AT_AXLE,),
    )  # fmt: skip
    return Detail(((sketch,),))


def crosshead(models: Models) -> Detail:
    """Return the crosshead about its pin."""
    model, head = models.plain, "crosshead."
    block = model.seen("crosshead", PieceSort.SLIPPER)
    (back, front), (low, high) = span_of(block, 0), span_of(block, 1)
    pin = model.points["crosshead"]["crosshead pin"]
    marks = [
        Span(f"{head}slipper.ahead", pin, (front, high), "above"),
        Span(f"{head}slipper.back", pin, (back, high), "above"),
        Span(f"{head}slipper.depth", (back, low), (back, high), "left"),
    ]
    arm = model.points["crosshead"].get("drop arm pin")
    if arm is not None:
        marks.append(Span(f"{head}drop_arm_pin.ahead", pin, arm))
        marks.append(Span(f"{head}drop_arm_pin.below", pin, arm, "right"))
    centres = (pin,) if arm is None else (pin, arm)
    words = (Word("pin", pin, "left"),)
    sketch = Sketch("side view, from its pin", (Outline(model.seen("crosshead")),), tuple(marks),
                    centres, (), words, height=54.0)  # fmt: skip
    return Detail(((sketch,),))


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
