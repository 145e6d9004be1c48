"""Transmission angles round the turn: how squarely each link pushes the next, on either side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from linkage.arrays import Array
from linkage.draw.page import FULL, RIGHT, TOP, across, box, new_page, share_up, write
from linkage.draw.paint import our_look, paint, text_width
from linkage.draw.said import say_at, say_gaps
from linkage.report.voice import listed
from linkage.scene import style
from linkage.scene.curves import (
    LIMIT,
    WHOLE,
    Line,
    at_edge,
    closed,
    over_turn,
    shade,
    turn_frame,
    turn_view,
    turned,
)
from linkage.scene.drawing import Item, Marks, Paper, Stroke, View, Words, wrapped
from linkage.scene.moment import Moment
from linkage.scene.motion import transmission_of
from linkage.scene.names import Note, noted
from linkage.scene.style import NOTE, NOTE_BOLD, SMALL, Pen
from linkage.tightspots import CannotClose, PoorTransmission

_WIDE = 0.52  # of the curves, as a share of the paper
_LIST, _WORDS = 0.69, 0.735  # where the list beside them starts, and its words
_PITCH = SMALL * 1.35  # from line to line of the list [points]
_APART = 0.6  # between its entries [lines]
_TOP = 95.0  # upper edge of the curves [degrees]
_MARKS = (0, 30, 60, 90)
_NOTHING = (
    "No link pushes another here: the coupling rods carry the wheels round together.\n"
    "Whether they bind is a question of the play in their holes."
)


@dataclass(frozen=True)
class GroupAngle:
    """The transmission angle of a group of links."""

    parts: tuple[str, ...]  # the links
    letter: str  # by which it is told among those of its side
    pen: Pen  # its line
    values: Array  # (N,) [degrees] at the survey's crank angles
    at: float  # [rad] that side's own crank angle where it is least
    least: float  # [degrees] there


def draw_angles(moments: Sequence[Moment]) -> Figure:
    """Draw the transmission angle of every pair of links round the turn, both sides on one page."""
    with our_look():
        figure = new_page(moments[0].examination.sheet, _say(moments), "transmission angles")
        high = (TOP - 0.07) / len(moments)
        for number, moment in enumerate(moments):
            top = TOP - 0.02 - number * high
            place = (0.055, top - high + 0.1, _WIDE, high - 0.12)
            found = group_angles(moment)
            paint(figure, place, angles_view(moment, found, box(place)))
            _write_list(figure, moment, found, (top - 0.01, high - 0.1))
    return figure


def _say(moments: Sequence[Moment]) -> str:
    gaps = dict.fromkeys(gap for moment in moments if (gap := say_gaps(moment)))
    return (
        "How squarely each link pushes the next: 90 degrees is best, 0 a dead point. A pair of "
        f"links that comes below {LIMIT:.0f} degrees is apt to jam on its own friction. "
        + " ".join(gaps)
    )


def group_angles(moment: Moment) -> list[GroupAngle]:
    """Return the transmission angles of a side's links, of what is metal, the worst first."""
    unseen = {part.name for part in moment.mechanism.parts if part.unseen}
    crank, found = moment.findings.survey.crank, []
    for parts, values in transmission_of(moment.findings).items():
        if not unseen & set(parts):
            worst = int(np.nanargmin(values))
            found.append((float(np.degrees(values[worst])), float(crank[worst]), parts, values))
    found.sort(key=lambda one: one[0])
    pens = style.GROUPS
    return [
        GroupAngle(
            parts, chr(65 + k % 26), pens[min(k, len(pens) - 1)], np.degrees(values), at, least
        )
        for k, (least, at, parts, values) in enumerate(found)
    ]


def angles_view(moment: Moment, found: Sequence[GroupAngle], paper: Paper) -> View:
    """Return the curves of a side, each lettered at its least."""
    frame = turn_frame(paper, 0.0, _TOP)
    items: list[Item] = [
        item
        for spot in moment.examination.spots
        if spot.side == moment.side and isinstance(spot, PoorTransmission | CannotClose)
        for item in shade(moment, frame, spot)
    ]
    items += [Stroke([(0.0, LIMIT), (WHOLE, LIMIT)], style.LIMIT)]
    items += at_edge(frame, [(LIMIT, f"{LIMIT:.0f}: apt to jam")])
    notes, lines = [], [np.zeros((0, 2))]
    for one in found:
        line = Line(over_turn(moment, one.values), one.pen, listed(list(one.parts)))
        items.append(closed(turned(moment), line))
        lines.append(np.array(closed(turned(moment), line).places))
        at = (moment.degrees(one.at) % WHOLE, one.least)
        notes.append((Marks([at], style.LEAST_SIGN),
                      Note(f"{one.letter} {one.least:.1f}°", [at], letters=NOTE_BOLD)))  # fmt: skip
    items += [mark for mark, _ in notes]
    items += noted(frame, [note for _, note in notes], np.concatenate(lines))
    if not found:
        items.append(Words(_NOTHING, frame.at(0.5, 0.6)))
    where = "" if moment.side == "only" else f", {moment.side} side"
    title = f"Transmission angle, degrees{where}"
    return turn_view(f"angles {moment.side}", title, moment, frame, items, _MARKS)


def _write_list(
    figure: Figure, moment: Moment, found: Sequence[GroupAngle], place: tuple[float, float]
) -> None:
    """Write each curve's name and least beside the curves, with a piece of its line."""
    y, high = place
    entries = [_entry(moment, one) for one in found]
    room = high / share_up(_PITCH)
    for number, (one, lines) in enumerate(zip(found, entries, strict=True)):
        room -= len(lines) + _APART
        if room < 2 and number + 1 < len(entries):
            left = len(entries) - number
            write(figure, (_WORDS, y), f"and {left} more, squarer than these")
            break
        level = y - share_up(SMALL * 0.6)
        figure.add_artist(
            Line2D([_LIST, _LIST + 0.038], [level, level], color=one.pen.grey,
                   linewidth=one.pen.width, dashes=one.pen.dashes or (None, None))
        )  # fmt: skip
        for k, (line, letters) in enumerate(lines):
            write(figure, (_WORDS, y - share_up(k * _PITCH)), line, letters)
        y -= share_up((len(lines) + _APART) * _PITCH)


def _entry(moment: Moment, one: GroupAngle) -> list[tuple[str, style.Letters]]:
    """Return the lines of the list for one group."""
    said = f"least {one.least:.1f} degrees at {say_at(moment, one.at)}"
    if len(one.parts) > 2:
        said += "; no limit is accepted for more links than two"
    return [
        (line, letters)
        for text, letters in ((f"{one.letter}  {listed(list(one.parts))}", NOTE_BOLD), (said, NOTE))
        for line in wrapped(text, letters, FULL * across(RIGHT - _WORDS), text_width)
    ]
