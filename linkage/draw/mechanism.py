"""A side at one crank angle, every part and every joint of it named."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.arrays import Array
from linkage.draw.dial import draw_dial
from linkage.draw.labels import box_points, label_row, scale_bar
from linkage.draw.names import rows_of
from linkage.draw.notes import Box, Note, kept_free, write_notes
from linkage.draw.page import BOTTOM, LEFT, PAPER, RIGHT, TOP, new_page, write_table
from linkage.draw.plan import draw_plan
from linkage.draw.said import say_at, say_marked
from linkage.draw.scene import Scene, places_on
from linkage.draw.shapes import bodies_of, side_shapes
from linkage.draw.side_view import draw_parts, draw_wheel, frame_window, whole_window, write_front
from linkage.draw.skeleton import PinSeen, pins_of
from linkage.draw.style import our_look

_NAMED = 6  # so many joints are named in full in the drawing
_LOW = 0.235  # upper edge of the dial and the key, as a share of the paper
_DIAL = 0.36  # how wide the dial's box is


def draw_mechanism(scene: Scene) -> Figure:
    """Draw a side at one crank angle: side view, plan and dial, all parts and joints named.

    Parameters
    ----------
    scene : Scene
        The side; where it stands; what is heavy.
    """
    with our_look():
        pins = pins_of(scene)
        figure = new_page(scene.examination.sheet, _say(scene), "parts and joints")
        low = _LOW + 0.03
        split = low + 0.4 * (TOP - low) if scene.outlined else low
        side = figure.add_axes((LEFT, split, RIGHT - LEFT, TOP - split))
        side.set_label("side")
        _draw_side(side, scene, pins)
        if scene.outlined:
            plan = figure.add_axes((LEFT, low, RIGHT - LEFT, split - low - 0.035))
            plan.set_label("plan")
            draw_plan(plan, scene, side)
        dial = figure.add_axes((LEFT, BOTTOM, _DIAL, _LOW - BOTTOM - 0.005))
        dial.set_label("dial")
        draw_dial(dial, scene)
        _write_key(figure, pins)
    return figure


def _say(scene: Scene) -> str:
    said = f"The crank pin stands at {say_at(scene, scene.crank)}."
    return f"{said} {say_marked(scene, 'Heavy')}" if scene.parts else said


def _write_key(figure: Figure, pins: Sequence[PinSeen]) -> None:
    corner = (LEFT + _DIAL + 0.02, _LOW + 0.01)
    rows = [("", "joint"), *((pin.letter, pin.name) for pin in pins)]
    write_table(figure, rows, corner, (RIGHT - corner[0]) * PAPER[0] * 72)


def _draw_side(axis: Axes, scene: Scene, pins: Sequence[PinSeen]) -> None:
    frame_window(axis, scene, whole_window(axis, scene))
    axis.set_title(f"Side view: {scene.seen}")
    draw_parts(axis, scene)
    draw_wheel(axis, scene)
    write_front(axis)
    scale_bar(axis, (0.94, 0.16), 0.1)
    upper, lower, left = rows_of(axis, scene)
    label_row(axis, upper, True, (0.005, 0.995))
    label_row(axis, lower, False, (0.005, 0.995))
    notes = [Note(label.name, (label.spot,)) for label in left]
    write_notes(axis, [*_letters(scene, pins), *notes], _along(scene), _taken(axis))


def _letters(scene: Scene, pins: Sequence[PinSeen]) -> list[Note]:
    """Return a note for each joint: its letter, and its name where there are few."""
    spots: dict[tuple[float, float], list[PinSeen]] = {}
    for pin in pins:
        x, y = scene.place(pin.place)
        spots.setdefault((round(x, 6), round(y, 6)), []).append(pin)
    found = []
    for spot, group in spots.items():
        letters = ", ".join(pin.letter for pin in group)
        full = ", ".join(f"{pin.letter} {pin.name}" for pin in group)
        text, short = (full, letters) if len(pins) <= _NAMED else (letters, "")
        within = 45.0 if short else math.inf
        found.append(Note(text, (spot,), within, short, bold=True))
    return found


def _along(scene: Scene) -> Array:
    """Return spots along the outlines and the lines of the parts [mm]."""
    share = np.linspace(0.0, 1.0, 40)[:, None]
    found = []
    shapes = [shape for body in bodies_of(scene) for shape in side_shapes(body, scene)]
    shapes += [
        [scene.place(place) for place in places_on(scene, part)]
        for part in scene.parts_seen
        if not part.pieces
    ]
    for shape in shapes:
        corners = np.array(shape)
        found += [a + share * (b - a)
                  for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]  # fmt: skip
    return np.concatenate(found)


def _taken(axis: Axes) -> list[Box]:
    """Return the boxes of FRONT, the scale bar and the rows of names."""
    width, height = box_points(axis)
    return [*kept_free(axis), (0.0, 0.0, width, 15.0), (0.0, height - 15.0, width, height)]
