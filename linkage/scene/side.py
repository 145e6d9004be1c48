"""The side view: every part in place at one crank angle, as seen from outside that side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from linkage.mechanism import FRAME, Pin, Point, Slide, Slot
from linkage.report.spots import all_round
from linkage.report.voice import Voice
from linkage.scene import style
from linkage.scene.bodies import bodies_of, side_shape
from linkage.scene.drawing import (
    Arrow,
    Frame,
    Item,
    Marks,
    Paper,
    Shape,
    Stroke,
    View,
    Words,
    circle,
)
from linkage.scene.moment import Moment, slot_line
from linkage.scene.names import named
from linkage.scene.placing import Box
from linkage.scene.style import Pen
from linkage.tightspots import CannotClose
from linkage.units import clock

_ROW = 19.0  # room for a row of names, above and below [points]
_MARGIN = 5.0  # about the drawing [points]
_FRONT = 50.0  # room for FRONT and its arrow [points]
_CORNER = (0.94, 0.16)  # of the scale bar, where x runs to the right [shares of the box]


def side_view(
    moment: Moment, paper: Paper, everything: bool = True, owner: bool = False, name: str = "side"
) -> View:
    """Return a side as seen from outside it.

    `everything`: true to name all parts, not only what the picture is about. `owner`: true for
    lengths in full words.
    """
    frame = frame_about(moment, paper, side_points(moment))
    items: list[Item] = [] if moment.outlined else [*paths(moment)]
    if moment.contact is not None:
        items.append(cut(frame, moment.contact.spot[0]))
    items += [*wheel(moment), *parts(moment)]
    if moment.contact is not None:
        items += ring(moment.contact.spot)
    items += [*named(moment, frame, everything), *front(frame),
              *scale_bar(frame, voice_of(moment, owner))]  # fmt: skip
    return View(name, side_title(moment), frame, tuple(items))


def voice_of(moment: Moment, owner: bool = False) -> Voice:
    """Return how lengths are said in a picture of a moment."""
    return Voice(owner, moment.examination.sheet.lengths)


def side_title(moment: Moment) -> str:
    """Return what a side view is called; that of an open loop says where it stands."""
    if not isinstance(moment.spot, CannotClose):
        return f"Side view: {moment.seen}{moment.gear}"
    if all_round(moment.spot):  # it has no place there at all
        return f"Side view: {moment.seen}{moment.gear}, where it can be put together"
    stops = clock(moment.side, moment.crank)
    if moment.crank == moment.spot.begin:
        return (
            f"Side view: {moment.seen}{moment.gear}, where it stops when turned forwards: {stops}"
        )
    return f"Where it stops when turned backwards: {stops}"


def frame_about(moment: Moment, paper: Paper, places: Iterable[Point], aside: float = 0.0) -> Frame:
    """Return the frame that holds all of some places at one scale, with room for names.

    `aside` [points]: room to be left before and behind it for words.
    """
    seen = np.array(list(places))
    low, high = seen.min(axis=0), seen.max(axis=0)
    margin = _MARGIN + aside
    free = np.array([paper.width - 2 * margin - _FRONT, paper.height - 2 * _MARGIN - 2 * _ROW])
    scale = float(((high - low) / free).max())
    back = (free[0] - (high[0] - low[0]) / scale) / 2 + margin
    below = (free[1] - (high[1] - low[1]) / scale) / 2 + _MARGIN + _ROW
    x, y = float(low[0] - back * scale), float(low[1] - below * scale)
    ends = (x, float(x + paper.width * scale))
    return Frame(
        paper, ends[::-1] if moment.mirrored else ends, (y, float(y + paper.height * scale))
    )


def side_points(moment: Moment) -> Iterator[Point]:
    """Yield what a side view has to hold: outlines, the crank's circle, joints, paths [mm]."""
    for body in bodies_of(moment):
        for outline in side_shape(body, moment).outlines:
            yield from outline
    (x, y), throw = moment.mechanism.axle, moment.throw
    yield from ((x - throw, y - throw), (x + throw, y + throw))
    for joint in moment.joints_seen:
        yield from (moment.place(joint.a), moment.place(joint.b))
        if not moment.outlined:
            path = moment.findings.motion.joint(joint.name)
            yield from path[np.isfinite(path).all(axis=1)].tolist()


def parts(moment: Moment, only: tuple[str, ...] = ()) -> Iterator[Item]:
    """Yield the parts in place, nearest the frames first, what the picture is about last.

    `only`: parts drawn in full, all others faint; empty for all in full.
    """
    for body in bodies_of(moment):
        yield side_shape(body, moment, bool(only) and body.part.name not in only)
    for part in moment.parts_seen:
        if not part.pieces:
            spots = [moment.place(place) for place in moment.links(part.name)]
            pen = style.LINK_HEAVY if part.name in moment.parts else style.LINK
            yield Stroke([*spots, spots[0]] if len(spots) > 2 else spots, pen)
    yield from joints(moment)


def joints(moment: Moment) -> Iterator[Item]:
    """Yield pins as small circles, those on the frame on a foot, slots as their centre line."""
    fixed = {FRAME, *(part.name for part in moment.mechanism.parts if part.fixed)}
    for joint in moment.joints_seen:
        at = [moment.place(joint.a)]
        if isinstance(joint, Pin) and fixed & {joint.a.part, joint.b.part}:
            yield Marks(at, style.FOOT_SIGN)
        if isinstance(joint, Slot):
            yield Stroke([moment.place(p) for p in slot_line(moment, joint)], style.SLOT)
        slides = isinstance(joint, Slide | Slot)
        yield Marks(at, style.SLIDE_SIGN if slides else style.PIN_SIGN)


def paths(moment: Moment) -> Iterator[Item]:
    """Yield dotted where every joint goes in a turn."""
    for joint in moment.joints_seen:
        yield Stroke(moment.findings.motion.joint(joint.name).tolist(), style.DOTTED)


def wheel(moment: Moment) -> Iterator[Item]:
    """Yield the circle the crank pin goes round, the crank, and the axle."""
    path = circle(moment.mechanism.axle, moment.throw, 180)
    yield Stroke([*path, path[0]], style.PIN_CIRCLE)
    yield Stroke([moment.mechanism.axle, moment.place(moment.crank_pin)], style.CRANK)
    yield from axle(moment)


def axle(moment: Moment) -> Iterator[Item]:
    """Yield the axle of the crank."""
    yield from (Marks([moment.mechanism.axle], sign) for sign in style.AXLE_SIGNS)


def cut(frame: Frame, x: float) -> Item:
    """Return the line across a view where the contact is, in line with that of the other view.

    `x` [mm]: where.
    """
    return Stroke([(x, frame.y[0]), (x, frame.y[1])], style.CUT)


def ring(spot: Point, lit: bool = True) -> Iterator[Item]:
    """Yield a ring about a place, heavy or thin."""
    yield from (Marks([spot], sign) for sign in (style.RING_SIGNS if lit else style.THIN_RING))


def front(frame: Frame) -> Iterator[Item]:
    """Yield FRONT at the front edge of a view, with an arrow that way."""
    tip, back, hold = (0.007, 22, -1) if frame.mirrored else (0.993, -22, 1)
    yield Arrow(frame.at(tip, 0.46, back), frame.at(tip, 0.46), Pen(1.0), 12.0)
    yield Words("FRONT", frame.at(tip, 0.5), style.BOLD, hold, -1)


def scale_bar(
    frame: Frame, voice: Voice, corner: Point = _CORNER, share: float = 0.1
) -> Iterator[Item]:
    """Yield a bar of a round length along x, with the length written on it.

    `corner` [1]: where its middle stands, as shares of the box, where x runs to the right. `share`
    [1]: the most of the box's width it may take.
    """
    width, measure = frame.paper.width, frame.paper.measure
    span = abs(frame.x[1] - frame.x[0])
    length, said = voice.lengths.ruler(span * share)
    half = length / span / 2 * width
    x, y = (1 - corner[0] if frame.mirrored else corner[0]) * width, corner[1]
    said = voice.length(length) if voice.owner else said
    words = min(max(x, need := measure(said, style.NOTE) / 2 + 3), width - need)  # in the box
    box = (min(x - half - 3, words - need), max(x + half + 3, words + need))
    yield Shape(
        ([frame.at(box[k] / width, y, 0, up) for k, up in ((0, -4), (1, -4), (1, 12), (0, 12))],),
        style.Ink(Pen(0.0)),
    )
    yield Stroke([frame.at((x + k * half) / width, y) for k in (-1, 1)], style.SCALE)
    yield Words(said, frame.at(words / width, y, 0, 2.5), style.NOTE, 0, -1)


def kept_free(frame: Frame) -> list[Box]:
    """Return the boxes that FRONT and the scale bar of a side view take [points]."""
    width, height = frame.paper.width, frame.paper.height
    low, high = 0.42 * height, 0.5 * height + 14
    near = (0.0, low, 62.0, high) if frame.mirrored else (width - 62, low, width, high)
    middle = _CORNER[1] * height
    bar = (0.0, 0.13 * width) if frame.mirrored else (0.87 * width, width)
    return [near, (bar[0], middle - 6, bar[1], middle + 16)]
