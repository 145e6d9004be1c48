"""Below a moving picture: a small dial of the turn, and a board with words that change."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.film.animation import Take
from linkage.report.spots import say_here
from linkage.report.voice import degrees, to_bench
from linkage.scene import dial, style
from linkage.scene.drawing import Frame, Item, Marks, Paper, Words, wrapped
from linkage.units import clock

_TALL, _BEHIND, _AHEAD = 1.4, 1.35, 2.55  # what the dial's box holds [radii]
_FRONT = 1.95  # where FRONT stands, clear of the 3 or 9 [radii]
_LEFT, _LINE = 8.0, 11.0  # of the words of the board; from line to line [points]
_FLASH = 60.0  # down to the middle of the words that flash [points]
NO_POSITION = "locks here: no position"
"""What a frame says at a crank angle at which the loops do not close."""


def small_dial(paper: Paper, mirrored: bool) -> Frame:
    """Return the frame of the dial, at one scale both ways [radii]."""
    wide = _TALL * paper.width / paper.height
    behind = (2 * wide - _AHEAD - _BEHIND) / 2 + _BEHIND
    ends = (-behind, 2 * wide - behind)
    return Frame(paper, ends[::-1] if mirrored else ends, (-_TALL, _TALL))


def still_dial(frame: Frame, take: Take) -> Iterator[Item]:
    """Yield what stands still of the dial: hours, the tight arcs, FRONT."""
    arcs = tuple(moment.spot for moment in take.moments if moment.spot is not None)
    yield from dial.face(arcs)
    yield from dial.hours(frame)
    yield from dial.front(_FRONT, 0.4)


def moving_dial(take: Take, frame: int) -> Iterator[Item]:
    """Yield where the crank pin stands; a hollow dot where it is asked to be, if elsewhere."""
    yield from dial.pointer(float(take.stands[frame]))
    if take.held[frame]:
        yield Marks([dial.on_dial(float(take.crank[frame]), 0.9)], style.ASKED_SIGN)


def board(paper: Paper, take: Take, frame: int) -> Iterator[Words]:
    """Yield where the crank is, which way and how fast it is turned, and what happens there.

    Places are points, down from the upper left corner.
    """
    moment, angle = take.moments[0], float(take.stands[frame])
    way = "turned backwards" if take.timing.backwards else "turned forwards"
    pin = "crank pin" if moment.side == "only" else f"{moment.side} crank pin"
    at = degrees(moment.examination.right_hand(moment.side, angle))
    lines = (f"{pin} at {clock(moment.side, angle)}", f"{moment.crank_word} {at} degrees", way)
    for number, line in enumerate(lines):
        yield Words(line, (_LEFT, 8 + _LINE * number), style.WORDS, -1)
    if take.timing.slow[frame] and not take.held[frame]:
        after = _LEFT + paper.measure(way, style.WORDS) + 6
        yield Words("slowly", (after, 8 + 2 * _LINE), style.BOLD, -1)
    active = int(take.active[frame])
    spot = take.moments[active].spot if active >= 0 else None
    if spot is not None:
        there = take.here[frame]
        voice = to_bench(moment.examination.sheet)
        here = say_here(there or spot, voice, worst=there is None)
        said = f"{here}\n{NO_POSITION}" if take.held[frame] else here
        yield _flash(paper, said, bool(take.lit[frame]))


def _flash(paper: Paper, text: str, lit: bool) -> Words:
    """Return the words of the spot, white on black and black on white in turn."""
    ground = style.FLASH[lit]
    room = paper.width - _LEFT - 2 * ground.pad
    lines = [part for line in text.split("\n")
             for part in wrapped(line, style.HEADING, room, paper.measure)]  # fmt: skip
    letters = style.HEADING_WHITE if lit else style.HEADING
    return Words("\n".join(lines), (_LEFT + ground.pad, _FLASH), letters, -1, 0, ground)
