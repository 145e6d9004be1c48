"""A side at one crank angle, every part and every joint of it named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from matplotlib.figure import Figure

from linkage.arrays import Array
from linkage.draw.page import BOTTOM, LEFT, RIGHT, TOP, across, box, new_page, write_table
from linkage.draw.paint import our_look, paint
from linkage.draw.said import say_at, say_marked
from linkage.mechanism import Point
from linkage.scene import side, style
from linkage.scene.bodies import bodies_of, side_shape
from linkage.scene.dial import dial_view
from linkage.scene.drawing import Frame, Item, Paper, View
from linkage.scene.moment import Moment
from linkage.scene.names import Note, in_rows, names_of, noted, rows_of
from linkage.scene.placing import Box
from linkage.scene.plan import plan_view
from linkage.scene.skeleton import PinSeen, pins_of

_NAMED = 6  # so many joints are named in full in the drawing
_WITHIN = 45.0  # of its joint such a name stands [points]
_LOW = 0.235  # upper edge of the dial and the key, as a share of the paper
_DIAL = (LEFT, BOTTOM, 0.36, _LOW - BOTTOM - 0.005)
_ROW = 15.0  # height of a row of names [points]


def draw_mechanism(moment: Moment) -> Figure:
    """Draw a side at one crank angle: side view, plan and dial, all parts and joints named."""
    low = _LOW + 0.03
    split = low + 0.4 * (TOP - low) if moment.outlined else low
    above, below = (LEFT, split, RIGHT - LEFT, TOP - split), (LEFT, low, RIGHT - LEFT,
                                                              split - low - 0.035)  # fmt: skip
    pins = pins_of(moment)
    view = named_view(moment, pins, box(above))
    with our_look():
        figure = new_page(moment.examination.sheet, _say(moment), "parts and joints")
        paint(figure, above, view)
        if moment.outlined:
            paint(figure, below, plan_view(moment, box(below), view.frame))
        paint(figure, _DIAL, dial_view(moment, box(_DIAL)))
        corner = (LEFT + _DIAL[2] + 0.02, _LOW + 0.01)
        rows = [("", "joint"), *((pin.letter, pin.name) for pin in pins)]
        write_table(figure, rows, corner, across(RIGHT - corner[0]))
    return figure


def _say(moment: Moment) -> str:
    said = f"The crank pin stands at {say_at(moment, moment.crank)}."
    return f"{said} {say_marked(moment, 'Heavy')}" if moment.parts else said


def named_view(moment: Moment, pins: Sequence[PinSeen], paper: Paper) -> View:
    """Return the side view with the names of all parts about it, and a letter at each joint."""
    frame = side.frame_about(moment, paper, side.side_points(moment))
    names = names_of(moment, every=True)
    rows = rows_of(frame, names)
    notes = [*_letters(moment, pins), *(Note(names[k].text, [names[k].spot]) for k in rows.left)]
    items: list[Item] = [*side.wheel(moment), *side.parts(moment), *side.front(frame),
                         *side.scale_bar(frame, side.voice_of(moment)),
                         *in_rows(frame, names, rows)]  # fmt: skip
    items += noted(frame, notes, _along(moment), _taken(frame))
    return View("side", f"Side view: {moment.seen}{moment.gear}", frame, tuple(items))


def _letters(moment: Moment, pins: Sequence[PinSeen]) -> Iterator[Note]:
    """Yield a note for each joint: its letter, and its name where there are few."""
    spots: dict[Point, list[PinSeen]] = {}
    for pin in pins:
        x, y = moment.place(pin.place)
        spots.setdefault((round(x, 6), round(y, 6)), []).append(pin)
    for spot, group in spots.items():
        letters = ", ".join(pin.letter for pin in group)
        if len(pins) <= _NAMED:
            full = ", ".join(f"{pin.letter} {pin.name}" for pin in group)
            yield Note(full, [spot], _WITHIN, letters, style.NOTE_BOLD)
        else:
            yield Note(letters, [spot], letters=style.NOTE_BOLD)


def _along(moment: Moment) -> Array:
    """Return spots along the outlines and the lines of the parts, shape (N, 2) [mm]."""
    share = np.linspace(0.0, 1.0, 40)[:, None]
    shapes = [o for body in bodies_of(moment) for o in side_shape(body, moment).outlines]
    shapes += [
        [moment.place(place) for place in moment.places_on(part.name)]
        for part in moment.parts_seen
        if not part.pieces
    ]
    found = []
    for corners in map(np.array, shapes):
        ends = zip(corners, np.roll(corners, -1, axis=0), strict=True)
        found += [a + share * (b - a) for a, b in ends]
    return np.concatenate(found)


def _taken(frame: Frame) -> list[Box]:
    """Return the boxes of FRONT, the scale bar and the rows of names."""
    width, height = frame.paper.width, frame.paper.height
    rows = [(0.0, 0.0, width, _ROW), (0.0, height - _ROW, width, height)]
    return [*side.kept_free(frame), *rows]
