"""Any rod lying flat: its centres and depth from the side, its edge in plan."""

from __future__ import annotations

from linkage.form.model import Model, Models, faces_of, span_of
from linkage.form.sketch import Outline, Sketch, Span


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
