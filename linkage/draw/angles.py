"""Transmission angles round the turn: how squarely each link pushes the next, on either side."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from linkage.arrays import Array
from linkage.draw.curves import at_edge, frame_turn, over_turn, right_hand_degrees, shade
from linkage.draw.notes import Note, write_notes
from linkage.draw.page import PAPER, RIGHT, TOP, new_page, share_up
from linkage.draw.said import say_at, say_gaps
from linkage.draw.scene import Scene
from linkage.draw.style import BLACK, GREY, PLAIN, SMALL, TEXT, our_look
from linkage.kinematics import transmission_angles
from linkage.report.voice import listed
from linkage.tightspots import LEAST_TRANSMISSION, CannotClose, PoorTransmission

_STYLES: tuple[tuple[float, tuple[float, ...]], ...] = (
    (1.8, ()), (1.2, (6, 2)), (1.2, (2, 1.5)), (1.2, (8, 2, 2, 2)), (0.8, ()), (0.8, (12, 3)),
)  # fmt: skip
_WIDE = 0.52  # of the curves, as a share of the paper
_LIST = 0.69  # where the list beside them starts
_PITCH = SMALL * 1.35  # from line to line of the list [points]


@dataclass(frozen=True)
class Squarest:
    """How squarely a group of links is driven.

    Attributes
    ----------
    parts : tuple of str
        The links.
    values : array, shape (N,) [degrees]
        At the survey's crank angles.
    at : float [rad]
        That side's own crank angle where it is least.
    least : float [degrees]
        There.
    """

    parts: tuple[str, ...]
    values: Array
    at: float
    least: float


def draw_angles(scenes: Sequence[Scene]) -> Figure:
    """Draw the transmission angle of every pair of links round the turn, both sides on one page."""
    with our_look():
        figure = new_page(scenes[0].examination.sheet, _say(scenes), "transmission angles")
        high = (TOP - 0.07) / len(scenes)
        for number, scene in enumerate(scenes):
            top = TOP - 0.02 - number * high
            axis = figure.add_axes((0.055, top - high + 0.1, _WIDE, high - 0.12))
            axis.set_label(f"angles {scene.side}")
            found = squareness_of(scene)
            _draw(axis, scene, found)
            _write_list(figure, scene, found, (top - 0.01, high - 0.1))
    return figure


def _say(scenes: Sequence[Scene]) -> str:
    limit = f"{np.degrees(LEAST_TRANSMISSION):.0f}"
    gaps = dict.fromkeys(gap for scene in scenes if (gap := say_gaps(scene)))
    return (
        "How squarely each link pushes the next: 90 degrees is best, 0 a dead point. A pair of "
        f"links that comes below {limit} degrees is apt to jam on its own friction. "
        + " ".join(gaps)
    )


def squareness_of(scene: Scene) -> list[Squarest]:
    """Return the transmission angles of a side's links, the worst first.

    Of what is metal.
    """
    unseen = {part.name for part in scene.findings.mechanism.parts if part.unseen}
    crank, found = scene.findings.survey.crank, []
    for parts, values in transmission_angles(scene.findings.motion).items():
        if not unseen & set(parts):
            worst = int(np.nanargmin(values))
            degrees = np.degrees(values)
            found.append(Squarest(parts, degrees, float(crank[worst]), float(degrees[worst])))
    return sorted(found, key=lambda one: one.least)


def _style(number: int) -> tuple[float, tuple[float, ...], str]:
    width, dashes = _STYLES[number % len(_STYLES)]
    return width, dashes, BLACK if number < len(_STYLES) else GREY


def _draw(axis: Axes, scene: Scene, found: Sequence[Squarest]) -> None:
    where = "" if scene.side == "only" else f", {scene.side} side"
    axis.set_title(f"Transmission angle, degrees{where}")
    axis.set_ylim(0, 95)
    axis.set_yticks([0, 30, 60, 90])
    limit = float(np.degrees(LEAST_TRANSMISSION))
    axis.axhline(limit, color=BLACK, linewidth=PLAIN, linestyle=(0, (1, 2)), zorder=1.5)
    at_edge(axis, [(limit, f"{limit:.0f}: apt to jam")])
    frame_turn(axis, scene)
    for spot in scene.examination.spots:
        if spot.side == scene.side and isinstance(spot, PoorTransmission | CannotClose):
            shade(axis, scene, spot)
    notes, lines = [], [np.zeros((0, 2))]
    for number, one in enumerate(found):
        width, dashes, grey = _style(number)
        x, y = over_turn(scene, one.values)
        axis.plot(x, y, color=grey, linewidth=width, dashes=dashes or (None, None),
                  label=listed(list(one.parts)), zorder=3)  # fmt: skip
        spot_at = (right_hand_degrees(scene, one.at) % 360, one.least)
        axis.plot(*spot_at, marker="o", markersize=5, color=BLACK, zorder=5)
        notes.append(Note(f"{chr(65 + number % 26)} {one.least:.1f}°", (spot_at,), bold=True))
        lines.append(np.stack((x, y), axis=-1))
    write_notes(axis, notes, np.concatenate(lines))
    if not found:
        axis.text(0.5, 0.6, _NOTHING, transform=axis.transAxes, ha="center", va="center",
                  fontsize=TEXT)  # fmt: skip


_NOTHING = (
    "No link pushes another here: the coupling rods carry the wheels round together.\n"
    "Whether they bind is a question of the play in their holes."
)


def _write_list(
    figure: Figure, scene: Scene, found: Sequence[Squarest], place: tuple[float, float]
) -> None:
    """Write each curve's name and least beside the curves, with a piece of its line."""
    top, high = place
    entries = [_entry(scene, number, one) for number, one in enumerate(found)]
    room = high / share_up(_PITCH)
    y = top
    for number, lines in enumerate(entries):
        room -= len(lines) + 0.6
        if room < 2 and number + 1 < len(entries):
            figure.text(_LIST + 0.045, y, f"and {len(entries) - number} more, squarer than these",
                        fontsize=SMALL, va="top")  # fmt: skip
            break
        width, dashes, grey = _style(number)
        figure.add_artist(
            Line2D([_LIST, _LIST + 0.038], [y - share_up(SMALL * 0.6)] * 2, color=grey,
                   linewidth=width, dashes=dashes or (None, None))
        )  # fmt: skip
        for k, line in enumerate(lines):
            figure.text(_LIST + 0.045, y - share_up(k * _PITCH), line, fontsize=SMALL, va="top",
                        fontweight="bold" if k == 0 else "normal")  # fmt: skip
        y -= share_up((len(lines) + 0.6) * _PITCH)


def _entry(scene: Scene, number: int, one: Squarest) -> list[str]:
    """Return the lines of the list for one group."""
    across = int((RIGHT - _LIST - 0.045) * PAPER[0] * 72 / (0.62 * SMALL))
    letter = chr(65 + number % 26)
    names = f"{letter}  {listed(list(one.parts))}"
    said = f"least {one.least:.1f} degrees at {say_at(scene, one.at)}"
    if len(one.parts) > 2:
        said += "; no limit is accepted for more links than two"
    return [*textwrap.wrap(names, across - 6), *textwrap.wrap(said, across)]
