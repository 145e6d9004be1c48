"""The dial: the crank pin's place as a clock face seen from outside, the tight arc a band on it.

Its view is in radii of the dial; a crank angle runs clockwise where x runs to the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from linkage.mechanism import Point
from linkage.scene import style
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
from linkage.scene.moment import Moment, other_side
from linkage.scene.style import Pen
from linkage.tightspots import TightSpot
from linkage.units import clock

_TALL = 1.45  # half of what the box holds upwards
_BAND = (0.80, 1.0)  # from and to
_NARROW = math.radians(1.5)  # half of the band of an arc that is a single place
_STEP = math.radians(1.0)  # from corner to corner of round lines


def dial_view(moment: Moment, paper: Paper, degrees: bool = True, name: str = "dial") -> View:
    """Return where in the turn of its own crank a side is tight.

    `degrees`: whether it is told in degrees of the right-hand crank too.
    """
    wide = _TALL * paper.width / paper.height
    ends = (wide, -wide) if moment.mirrored else (-wide, wide)
    frame = Frame(paper, ends, (-_TALL, _TALL))
    angle = moment.crank if moment.spot is None else moment.spot.worst
    items = (
        *face(moment.arcs),
        *hours(frame),
        *pointer(angle),
        *front(min(1.62, wide - 0.25), 0.2),
        *_running(frame),
        *_where(moment, frame, angle, degrees),
    )
    title = f"Where the crank pin stands: {moment.seen}"
    return View(name, title, frame, items, bare=True)


def on_dial(angle: float, radius: float) -> Point:
    """Return where a crank angle [rad] stands on the dial, so far from its middle [radii]."""
    return radius * math.cos(angle), -radius * math.sin(angle)


def face(arcs: tuple[TightSpot, ...]) -> Iterator[Item]:
    """Yield the rim, the axle, and the bands of tight arcs."""
    yield Stroke(round_line(0.0, 2 * math.pi, 1.0), style.DIAL)
    for spot in arcs:
        yield band(spot)
    yield Shape((circle((0.0, 0.0), 0.05),), style.DISC)


def band(spot: TightSpot) -> Shape:
    """Return the band of a tight arc."""
    begin, end = spot.begin, spot.end
    if end - begin < 2 * _NARROW:
        begin, end = spot.worst - _NARROW, spot.worst + _NARROW
    return band_between(begin, end)


def band_between(begin: float, end: float) -> Shape:
    """Return the band from one crank angle to another [rad]."""
    inner, outer = (round_line(begin, end, radius) for radius in _BAND)
    return Shape(([*inner, *outer[::-1]],), style.BAND, "band")


def round_line(begin: float, end: float, radius: float) -> list[Point]:
    """Return the places of an arc of the dial, from one crank angle to another [rad, radii]."""
    steps = max(2, math.ceil((end - begin) / _STEP) + 1)
    return [on_dial(angle, radius) for angle in np.linspace(begin, end, steps).tolist()]


def hours(frame: Frame) -> Iterator[Item]:
    """Yield the hours as they are seen, whichever way x runs."""
    sign = -1.0 if frame.mirrored else 1.0
    for hour in range(1, 13):
        turned = math.radians(90 - 30 * hour)
        x, y = sign * math.cos(turned), math.sin(turned)
        main = hour % 3 == 0
        inner = 1.0 if main else 1.02
        pen = style.DIAL if main else style.HOUR
        yield Stroke([(inner * x, inner * y), (1.07 * x, 1.07 * y)], pen)
        if main:
            yield Words(f"{hour}", (1.18 * x, 1.18 * y), style.BOLD)


def pointer(angle: float) -> Iterator[Item]:
    """Yield an arrow to where the crank pin stands at a crank angle [rad], and the pin."""
    yield Arrow((0.0, 0.0), on_dial(angle, 0.8), style.POINTER, 11.0)
    yield Marks([on_dial(angle, 0.9)], style.AT_SIGN)


def front(x: float, half: float) -> Iterator[Item]:
    """Yield FRONT beside the dial, where the front is.

    `x`, `half` [radii]: the middle of its arrow, and half of its length.
    """
    yield Words("FRONT", (x, 0.1), style.BOLD, 0, -1)
    yield Arrow((x - half, 0.0), (x + half, 0.0), Pen(1.0), 9.0)


def _running(frame: Frame) -> Iterator[Item]:
    """Yield an arrow the way the crank turns in forward running."""
    begin, end = math.radians(20), math.radians(68)
    bow = 0.3 if frame.mirrored else -0.3
    yield Arrow(on_dial(begin, 1.2), on_dial(end, 1.2), style.RUNNING, 8.0, bow)
    hold = 1 if frame.mirrored else -1
    yield Words("forward\nrunning", on_dial(math.radians(45), 1.3), style.DARK_NOTE, hold, 1)


def _where(moment: Moment, frame: Frame, angle: float, degrees: bool) -> Iterator[Item]:
    """Yield the place as a clock and in degrees, behind the dial."""
    word = "worst" if moment.spot is not None else "nearest"
    if moment.spot is None and moment.pair is None:
        word = "drawn at"
    x, hold = -0.97 * max(frame.x), 1 if frame.mirrored else -1
    stands = clock(moment.side, angle).replace("past ", "past\u00a0")
    yield Words(f"{word}\n{stands}", (x, 1.3), style.BOLD, hold, 1)
    lines = []
    if degrees:
        at = round(moment.degrees(angle)) % 360
        lines.append(f"{moment.crank_word.replace(' ', chr(10))}\nat {at}°")
    other = other_side(moment)
    if other is not None:
        turned = angle + other.crank - moment.crank
        lines.append(f"{other.side} pin then\n{clock(other.side, turned)}")
    if lines:
        yield Words("\n".join(lines), (x, -1.3), style.NOTE, hold, -1)
