"""The plan: the same parts at the same crank angle, seen from above; y is outward, down."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.clearance import Contact, out_at
from linkage.mechanism import Point
from linkage.scene import style
from linkage.scene.bodies import Body, bodies_of, heavy_bodies, plan_shape
from linkage.scene.drawing import Frame, Item, Paper, Shape, Stroke, View, Words
from linkage.scene.moment import Moment
from linkage.scene.names import Name, leading
from linkage.scene.placing import spread
from linkage.scene.side import cut, front, ring, scale_bar, voice_of

_TIMES = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.5, 0.25, 0.1)
_STRIP = 9.0  # of dots behind the face of the wheel [points]
_ROOM = 0.16  # of the height, at either edge, for words [1]
_ENDS = (0.21, 0.88)  # of the row of names, where x runs to the right [shares of the width]
_LEVEL = 8.0  # of it, from the lower edge [points]
_FRONT, _NEAR_FRONT = (
    48.0,
    24.0,
)  # how wide FRONT stands, and how near it words run into it [points]


def plan_view(moment: Moment, paper: Paper, above: Frame) -> View:
    """Return a side from above, in line with its side view: away from the frames is down.

    `above`: of the side view, as wide as the paper.
    """
    times, frame = frame_across(paper, above.x, reach(moment))
    drawn = "one scale both ways" if times == 1 else (
        f"across drawn {times:g} times as large as along"
    )  # fmt: skip
    face = frame.y[0] / (frame.y[0] - frame.y[1])  # how high the face of the wheel stands
    items: list[Item] = list(wheel_face(frame))
    at = None if moment.contact is None else (moment.contact.spot[0], meeting(moment.contact))
    if at is not None:
        items.append(cut(frame, at[0]))
    items += metal(moment)
    if at is not None:
        items += ring(at)
    items += [*front(frame), *ways(frame), *_names(moment, frame)]
    items += scale_bar(frame, voice_of(moment), (0.94, 0.16 if face > 0.4 else 0.8))
    return View("plan", f"Plan: the same, seen from above; {drawn}", frame, tuple(items))


def metal(moment: Moment) -> Iterator[Shape]:
    """Yield the parts seen from above, faint what the picture is not about, the heavy ones last."""
    for body in bodies_of(moment):
        yield plan_shape(body, moment, bool(moment.parts) and not body.heavy)


def wheel_face(frame: Frame) -> Iterator[Item]:
    """Yield the face of the wheel as a line, dotted on the wheel's side."""
    left, right = frame.x
    strip = -_STRIP / frame.paper.height * (frame.y[0] - frame.y[1])
    strip_box = ((left, strip), (right, strip), (right, 0.0), (left, 0.0))
    yield Shape((strip_box,), style.WHEEL_SIDE)
    yield Stroke([(left, 0.0), (right, 0.0)], style.FACE)


def reach(moment: Moment) -> tuple[float, float]:
    """Return how far in and out a plan has to reach, the wheel face always in it [mm]."""
    moving = [body for body in bodies_of(moment) if body.heavy or not body.part.fixed]
    outs = [out for b in moving for shape in plan_shape(b, moment).outlines for _, out in shape]
    return min([0.0, *outs]), max([0.1, *outs])


def frame_across(
    paper: Paper, along: tuple[float, float], ends: tuple[float, float]
) -> tuple[float, Frame]:
    """Return how many times larger across is drawn than along, a round number, and the frame.

    `along` [mm]: x at the left and right edge. `ends` [mm]: from `reach`.
    """
    low, high = ends
    scale = abs(along[1] - along[0]) / paper.width
    fits = (1 - 2 * _ROOM) * paper.height * scale / (high - low)
    times = next((t for t in _TIMES if t <= fits), _TIMES[-1])
    middle, half = (low + high) / 2, paper.height * scale / times / 2
    return times, Frame(paper, along, (middle + half, middle - half))


def meeting(contact: Contact) -> float:
    """Return the lateral place half-way between the faces that meet [mm]."""
    return sum(faces(contact)) / 2


def faces(contact: Contact) -> tuple[float, float]:
    """Return where the faces that meet lie at the spot: of the inner part, of the outer [mm]."""
    near, far = 1 - contact.outer, contact.outer
    inner, outer = (out_at(contact.pieces[k], contact.on_parts[k]) for k in (near, far))
    return inner + contact.pieces[near].thickness / 2, outer - contact.pieces[far].thickness / 2


def ways(frame: Frame) -> Iterator[Item]:
    """Yield which way the frames are, and which line is the face of the wheel."""
    edge, hold = (0.992, 1) if frame.mirrored else (0.008, -1)
    for level, text in ((0.94, "↑ towards the frames"), (0.06, "↓ away from the frames")):
        yield Words(text, frame.at(edge, level), style.NOTE, hold, 0, style.CLEAR)
    face = frame.y[0] / (frame.y[0] - frame.y[1])
    beside = _FRONT if abs(face - 0.5) * frame.paper.height < _NEAR_FRONT else 0.0
    far = frame.at(0.015 if frame.mirrored else 0.985, face, hold * beside, 3)
    yield Words("face of the wheel", far, style.NOTE, -hold, -1, style.CLEAR)


def _names(moment: Moment, frame: Frame) -> Iterator[Item]:
    """Yield the names of the heavy bodies along the lower edge."""
    found = {body.name: _name(moment, body) for body in heavy_bodies(moment)}
    names = sorted(found.values(), key=lambda name: frame.points([name.spot])[0, 0])
    start, end = ((1 - k) if frame.mirrored else k for k in _ENDS)
    start, end = (min(start, end) * frame.paper.width, max(start, end) * frame.paper.width)
    wanted = [float(frame.points([name.spot])[0, 0]) - start for name in names]
    sizes = [frame.paper.measure(name.text, name.letters) for name in names]
    for name, x in zip(names, spread(wanted, sizes, end - start), strict=True):
        foot = frame.back(start + x, _LEVEL + 0.6 * style.TEXT)
        yield from leading(name, frame.back(start + x, _LEVEL), foot)


def _name(moment: Moment, body: Body) -> Name:
    """Return a body's name, pointing at its outer face a little aside of where it meets another."""
    outlines = plan_shape(body, moment).outlines
    xs = [x for outline in outlines for x, _ in outline]
    low, high = min(xs), max(xs)
    aims = [low + share * (high - low) for share in (0.5, 0.3, 0.7)]
    if moment.contact is not None:
        at = moment.contact.spot[0]
        aims.sort(key=lambda x: abs(x - at) < 0.15 * (high - low))
    outs = [
        max(out for _, out in outline)
        for outline in outlines
        if min(x for x, _ in outline) <= aims[0] <= max(x for x, _ in outline)
    ]
    spot: Point = (aims[0], max(outs, default=0.0))
    return Name(body.name, body.part.name, spot, heavy=True)
