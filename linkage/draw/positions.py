"""Many positions of a side over one another: its centre lines at equal steps of the crank."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from linkage.arrays import Array
from linkage.draw.curves import crank_word, right_hand_degrees
from linkage.draw.labels import scale_bar
from linkage.draw.notes import Note, kept_free, write_notes
from linkage.draw.page import BOTTOM, LEFT, RIGHT, TOP, new_page
from linkage.draw.paths import draw_background
from linkage.draw.said import say_gaps, say_marked
from linkage.draw.scene import Scene
from linkage.draw.side_view import frame_window, window_about, write_front
from linkage.draw.skeleton import TURN, crank_pin, lines_of, path_of, seen_points
from linkage.draw.style import BLACK, GREY, HEAVY, PLAIN, SMALL, THIN, our_look
from linkage.kinematics import Motion, solve_at

COUNT = 12
"""Positions drawn where no other number is asked for: one an hour."""

MOST = 36
_ASIDE = 60.0  # room for the numbers behind the crank [points]


def draw_positions(scene: Scene, count: int = COUNT) -> Figure:
    """Draw a side's centre lines at equal steps of its crank, over one another.

    Parameters
    ----------
    count : int
        How many positions; the first has the crank straight ahead.
    """
    with our_look():
        motion = solve_at(scene.findings.course, np.arange(count) * TURN / count)
        figure = new_page(scene.examination.sheet, _say(scene, motion), "positions round the turn")
        axis = figure.add_axes((LEFT, BOTTOM + 0.04, RIGHT - LEFT, TOP - BOTTOM - 0.04))
        axis.set_label("positions")
        _draw(axis, scene, motion)
        figure.text(LEFT, BOTTOM + 0.03, _legend(scene, motion), fontsize=SMALL, va="top")
    return figure


def _say(scene: Scene, motion: Motion) -> str:
    count, lost = len(motion.crank), int((~motion.reached).sum())
    missing = f" {lost} of the {count} positions have no place." if lost else ""
    return f"{say_marked(scene, 'Heavy')} {say_gaps(scene)}{missing}".strip()


def _legend(scene: Scene, motion: Motion) -> str:
    count = len(motion.crank)
    return (
        f"{count} positions, {360 / count:.4g} degrees of the crank apart, numbered at the crank "
        f"in degrees of the {crank_word(scene)}. Darker: each quarter of the turn."
    )


def _draw(axis: Axes, scene: Scene, motion: Motion) -> None:
    frame_window(axis, scene, window_about(axis, seen_points(scene, motion), _ASIDE))
    axis.set_title(f"Positions round the turn: side view, {scene.seen}")
    draw_background(axis, scene)
    drawn = [_draw_position(axis, scene, motion, k) for k in range(len(motion.crank))]
    if scene.spot is not None:
        for lines in lines_of(scene).values():
            for line in lines:
                at = np.array([scene.place(place) for place in line])
                axis.plot(*at.T, color=BLACK, linewidth=1.4 * HEAVY, zorder=4,
                          solid_capstyle="round", label="heavy")  # fmt: skip
    write_front(axis)
    scale_bar(axis, (0.94, 0.16), 0.1)
    write_notes(axis, _numbers(scene, motion), np.concatenate(drawn), kept_free(axis))


def _draw_position(axis: Axes, scene: Scene, motion: Motion, k: int) -> Array:
    """Draw the centre lines of one position, and return spots along them [mm]."""
    quarter = math.isclose(math.degrees(motion.crank[k]) % 90, 0, abs_tol=1e-9)
    found = [np.zeros((0, 2))]
    for lines in lines_of(scene).values():
        for line in lines:
            at = np.array([path_of(motion, place)[k] for place in line])
            axis.plot(*at.T, color=BLACK if quarter else GREY, marker="o", markersize=2.2,
                      linewidth=PLAIN if quarter else THIN, zorder=3.2 if quarter else 3,
                      label=f"position {k}")  # fmt: skip
            shares = np.linspace(0, 1, 40)[:, None]
            found += [a + shares * (b - a) for a, b in pairwise(at)]
    return np.concatenate(found)


def _numbers(scene: Scene, motion: Motion) -> Iterator[Note]:
    """Yield the number of each position, outside the crank pin's circle; the heavy one first."""
    pin, axle = crank_pin(scene), scene.findings.mechanism.axle
    if scene.spot is not None:
        degrees = round(right_hand_degrees(scene, scene.crank)) % 360
        yield Note(f"heavy {degrees}°", (scene.place(pin),), bold=True, away=axle)
    for crank, at in zip(motion.crank.tolist(), path_of(motion, pin).tolist(), strict=True):
        text = f"{right_hand_degrees(scene, crank) % 360:.4g}°"
        quarters = math.degrees(crank) / 90
        if pin.y == 0 and math.isclose(quarters, round(quarters), abs_tol=1e-9):
            hour = 3 * (3 - round(quarters) if scene.mirrored else 1 + round(quarters))
            text = f"{hour % 12 or 12} o'clock {text}"
        yield Note(text, ((at[0], at[1]),), away=axle)
