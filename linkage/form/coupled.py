"""Where the calliper goes on coupled wheels, their axles and rods."""

from __future__ import annotations

import math

import numpy as np

from linkage.form.engine import side_play
from linkage.form.model import Models, faces_of, span_of, within
from linkage.form.rods import rod_plan, rod_side
from linkage.form.sketch import Arc, Detail, Outline, Sketch, Span, Word
from linkage.form.tables import AXLE
from linkage.mechanism import PieceSort
from linkage.scene.drawing import circle
from linkage.wheels import CoupledWheels


def coupling(models: Models) -> Detail:
    """Return what holds for all coupled wheels: eye and pin, plan, boxes, side play."""
    return Detail(
        (
            (_eye(models), _pin_plan(models)),
            (_boxes(_of(models)), side_play(models.plain, "leading wheel", "coupling.side_play")),
        )
    )


def _of(models: Models) -> CoupledWheels:
    assert models.wheels is not None
    return models.wheels


def _eye(models: Models) -> Sketch:
    """Return an eye on its pin from the side, the play between them as it is."""
    model = models.plain
    pin = model.piece("leading wheel", PieceSort.CRANK_PIN).radius
    eye = _of(models).rods[0].eyes[-1]
    hole = pin + eye.along
    low, high = span_of(model.seen("coupling rod"), 1)
    x = eye.place[0]
    room = 3.0 * pin
    return Sketch(
        "side view: an eye of a rod, and the pin in its hole",
        (
            Outline(within(model.seen("coupling rod"), x - room, x + room)),
            Outline([circle((x, 0.0), hole)], "hole"),
            Outline([circle((x, 0.0), pin)], "about"),
        ),
        (
            Span("coupling.pin", (x - pin, 0.0), (x + pin, 0.0), "below"),
            Span("coupling.hole", (x - hole, 0.0), (x + hole, 0.0), "above"),
            Span("coupling.width", (x - room, low), (x - room, high), "left"),
        ),
        ((x, 0.0),),
    )


def _pin_plan(models: Models) -> Sketch:
    model = models.plain
    x = model.points["leading wheel"]["crank pin"][0]
    head, rod = model.piece("leading wheel", PieceSort.NUT), model.piece("coupling rod")
    room = 2.6 * head.radius
    place = model.points["coupling rod"]["leading pin"][0]
    inner, outer = faces_of(rod)
    on_pin = [[(px - place + x, out) for px, out in shape] for shape in model.above("coupling rod")]
    cut = within(on_pin, x - room, x + 10 * room)
    wheel = within(model.above("leading wheel", PieceSort.RIM), x - room, x + room)
    far = span_of(cut, 0)[1]
    first, last = faces_of(head)
    return Sketch(
        "plan: rod and head on the pin, over the wheel's face",
        (
            Outline(wheel, "about"),
            Outline(model.above("leading wheel", PieceSort.CRANK_PIN), "about"),
            Outline(cut),
            Outline(model.above("leading wheel", PieceSort.NUT)),
        ),
        (
            Span("coupling.thickness", (far, inner), (far, outer), "right"),
            Span("coupling.out", (x - room, 0.0), (x - room, inner), "left"),
            Span("coupling.head.diameter", (x - head.radius, last), (x + head.radius, last)),
            Span("coupling.head.thickness", (x - head.radius, first), (x - head.radius, last),
                 "left"),
        ),
        plan=True,
    )  # fmt: skip


def _boxes(wheels: CoupledWheels) -> Sketch:
    """Return an axle at both ends of its play, an axle drawn thin so that its play is seen."""
    axle = wheels.axles[-1]
    far, high = axle.fore_aft, axle.vertical
    thin = 5 * max(far, high)
    places = ((-far, -high), (far, high))
    (x, y), (to_x, to_y) = ((x - thin, y - thin) for x, y in places)
    return Sketch(
        "an axle, drawn thin; dashed: ahead and up",
        (Outline([circle(places[0], thin)]), Outline([circle(places[1], thin)], "dashed")),
        (
            Span("coupling.box_play.fore_aft", (x, places[0][1]), (to_x, places[1][1])),
            Span("coupling.box_play.vertical", (places[0][0], y), (places[1][0], to_y), "left"),
        ),
        places,
    )


def leading_axle(models: Models) -> Detail:
    """Return the leading axle from the driving one, with its own crank."""
    model, axle = models.plain, _of(models).axles[-1]
    place = (axle.ahead, axle.up)
    x, _ = model.points["leading wheel"]["crank pin"]
    pin = (place[0] + x, place[1])
    quarter = axle.pins["right"].angle - axle.pins["left"].angle
    left = (place[0] + x * math.cos(quarter), place[1] + x * math.sin(quarter))
    pose = np.array([*place, 0.0])
    sketch = Sketch(
        "side view, right cranks ahead; dashed: left crank",
        (
            Outline(model.seen("crank", PieceSort.RIM), "about"),
            Outline(model.seen("leading wheel", PieceSort.RIM, pose=pose), "about"),
            Outline([circle(pin, 0.2 * x)]),
            Outline([circle(left, 0.2 * x)], "dashed"),
        ),
        (
            Span("axles.leading.ahead", AXLE, place),
            Span("axles.leading.throw", place, pin),
            Arc("axles.leading.quarter", place, 0.0, quarter, 1.5 * x),
        ),
        (AXLE, place, pin, left),
        (),
        (Word("driving axle", AXLE, "above"),),
    )
    return Detail(((sketch,),))


def coupling_rod(models: Models) -> Detail:
    """Return the coupling rod lying flat with its holes, and its edge, straight and bent."""
    head = "coupling_rods.front"
    pin = models.plain.piece("leading wheel", PieceSort.CRANK_PIN).radius
    eyes = _of(models).rods[0].eyes
    holes = [(eye.place, pin + eye.along) for eye in eyes]
    side = rod_side(models, "coupling rod")
    marks = tuple(
        Span(f"{head}.holes.{number}", (x - radius, y), (x + radius, y), "above")
        for number, ((x, y), radius) in enumerate(holes, 1)
    )
    flat = Sketch(
        side.title,
        (*side.outlines, *(Outline([circle(place, radius)], "hole") for place, radius in holes)),
        (*side.marks, *marks),
        side.centres,
    )
    return Detail(((flat,), (rod_plan(models, "coupling rod"),)), aligned=True)
