"""Many positions of a side over one another: its centre lines at equal steps of the crank."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from matplotlib.figure import Figure

from linkage.draw.page import BOTTOM, LEFT, RIGHT, TOP, box, new_page, write
from linkage.draw.paint import our_look, paint
from linkage.draw.said import say_gaps, say_marked
from linkage.kinematics import Motion
from linkage.scene import side, style
from linkage.scene.drawing import Item, Marks, Paper, Stroke, View
from linkage.scene.moment import Moment
from linkage.scene.motion import TURN, motion_at
from linkage.scene.names import Note, noted
from linkage.scene.skeleton import background, lines_of, path_of, seen_points, standing

COUNT = 12
"""Positions drawn where no other number is asked for: one an hour."""

_PLACE = (LEFT, BOTTOM + 0.04, RIGHT - LEFT, TOP - BOTTOM - 0.04)
_ASIDE = 60.0  # room for the numbers behind the crank [points]


def draw_positions(moment: Moment, count: int = COUNT) -> Figure:
    """Draw a side's centre lines at equal steps of its crank, over one another.

    `count`: how many positions; the first has the crank straight ahead.
    """
    motion = motion_at(moment.findings, np.arange(count) * TURN / count)
    lost = int((~motion.reached).sum())
    missing = f" {lost} of the {count} positions have no place." if lost else ""
    said = f"{say_marked(moment, 'Heavy')} {say_gaps(moment)}{missing}".strip()
    legend = (
        f"{count} positions, {360 / count:.4g} degrees of the crank apart, numbered at the crank "
        f"in degrees of the {moment.crank_word}. Darker: each quarter of the turn."
    )
    with our_look():
        figure = new_page(moment.examination.sheet, said, "positions round the turn")
        paint(figure, _PLACE, positions_view(moment, motion, box(_PLACE)))
        write(figure, (LEFT, BOTTOM + 0.03), legend)
    return figure


def positions_view(moment: Moment, motion: Motion, paper: Paper) -> View:
    """Return the centre lines of every position, numbered at the crank."""
    frame = side.frame_about(moment, paper, seen_points(moment, motion), _ASIDE)
    drawn = [line for k in range(len(motion.crank)) for line in _position(moment, motion, k)]
    items: list[Item] = list(background(moment))
    for line, quarter in sorted(drawn, key=lambda each: each[1]):
        items += [line, Marks(line.places, style.KNEE_SIGNS[quarter])]
    if moment.spot is not None:
        items += standing(moment, style.STANDING, "heavy")
    share = np.linspace(0, 1, 40)[:, None]
    along = [
        np.array(a) + share * (np.array(b) - np.array(a))
        for line, _ in drawn
        for a, b in pairwise(line.places)
    ]
    items += [*side.front(frame), *side.scale_bar(frame, side.voice_of(moment))]
    items += noted(frame, _numbers(moment, motion), np.concatenate(along), side.kept_free(frame))
    title = f"Positions round the turn: side view, {moment.seen}{moment.gear}"
    return View("positions", title, frame, tuple(items))


def _position(moment: Moment, motion: Motion, k: int) -> Iterator[tuple[Stroke, bool]]:
    """Yield the centre lines of one position, and whether it is one of the quarters."""
    quarter = math.isclose(math.degrees(motion.crank[k]) % 90, 0, abs_tol=1e-9)
    pen = style.QUARTER if quarter else style.POSITION
    for line in lines_of(moment):
        places = [tuple(path_of(motion, place)[k].tolist()) for place in line]
        yield Stroke(places, pen, f"position {k}"), quarter


def _numbers(moment: Moment, motion: Motion) -> Iterator[Note]:
    """Yield the number of each position, outside the crank pin's circle; the heavy one first."""
    pin, axle = moment.crank_pin, moment.mechanism.axle
    if moment.spot is not None:
        degrees = round(moment.degrees(moment.crank)) % 360
        yield Note(f"heavy {degrees}°", [moment.place(pin)], letters=style.NOTE_BOLD, away=axle)
    for crank, at in zip(motion.crank.tolist(), path_of(motion, pin).tolist(), strict=True):
        text = f"{moment.degrees(crank) % 360:.4g}°"
        quarters = math.degrees(crank) / 90
        if pin.y == 0 and math.isclose(quarters, round(quarters), abs_tol=1e-9):
            hour = 3 * (3 - round(quarters) if moment.mirrored else 1 + round(quarters))
            text = f"{hour % 12 or 12} o'clock {text}"
        yield Note(text, [(at[0], at[1])], away=axle)
