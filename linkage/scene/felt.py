"""The dial of what was felt beside the dials of what each cause would make felt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linkage.cause import Cause, Weighing, how_felt
from linkage.report.causes import arcs_of, say_what_is_wrong, told
from linkage.report.feeling import say_stance
from linkage.report.voice import capital, to_bench
from linkage.scene import style
from linkage.scene.dial import band_between, front, hours, on_dial, round_line
from linkage.scene.drawing import Frame, Item, Paper, Shape, Stroke, View, Words, circle, wrapped
from linkage.tables.felt import Felt, What

MOST = 5
"""Causes that are drawn beside what was felt."""
# What a dial takes up about its middle, hours, FRONT and the words below it with it [radii].
_UP, _DOWN = 1.4, 2.1
_BEHIND, _AHEAD = 1.4, 1.95
_WORDS = -1.4  # where the words below the dial begin [radii]
_FRONT = 1.65  # middle of the arrow to the front [radii]
_TURN = 6.283185307179586


@dataclass(frozen=True)
class Dial:
    """One dial: its words, and the arcs on it."""

    words: str
    stopped: Sequence[tuple[float, float]]  # [rad] bands
    felt: Sequence[Felt]  # what was felt, drawn outside the rim


def dials_of(weighing: Weighing, causes: Sequence[Cause], side: str) -> tuple[Dial, ...]:
    """Return the dials of a side: what was felt with everything on, then each cause's.

    With the engine standing as when it was felt to stick.
    """
    stance = how_felt(weighing)
    lines = tuple(
        line
        for line in weighing.lines
        if isinstance(line, Felt)
        and line.side in ("", side)
        and not line.off
        and weighing.stance_of(line) == stance
    )
    dials = [Dial("Felt" if stance is None else f"Felt {say_stance(stance)}", [], lines)]
    voice = to_bench(weighing.sheet)
    for number, cause in enumerate(told(causes)[:MOST], 1):
        share = f"{max(round(100 * cause.chance), 1)} in 100"
        words = f"{number}. {capital(say_what_is_wrong(cause, voice))}: {share}"
        stopped = cause.stopped if stance is None else cause.elsewhere[stance]
        dials.append(Dial(words, arcs_of(stopped[side]), lines))
    return tuple(dials)


def side_of(weighing: Weighing) -> str:
    """Return the side whose dial is drawn: that of the first thing felt that says one."""
    sides = (line.side for line in weighing.lines if line.side in weighing.sheet.sides)
    return next(sides, next(iter(weighing.sheet.sides)))


def felt_view(dial: Dial, side: str, paper: Paper, name: str) -> View:
    """Return one dial as its side is seen from outside."""
    radius = min(paper.width / (_BEHIND + _AHEAD), paper.height / (_UP + _DOWN))
    spare = paper.width / radius - _BEHIND - _AHEAD
    behind, ahead = _BEHIND + spare / 2, _AHEAD + spare / 2
    ends = (ahead, -behind) if side == "left" else (-behind, ahead)
    frame = Frame(paper, ends, (_UP - paper.height / radius, _UP))
    items = (*_face(dial), *hours(frame), *front(_FRONT, 0.2),
             *_felt(dial), *_words(dial, frame))  # fmt: skip
    return View(name, "", frame, items, bare=True)


def _face(dial: Dial) -> Iterator[Item]:
    yield Stroke(round_line(0.0, _TURN, 1.0), style.DIAL)
    for begin, end in dial.stopped:
        yield band_between(begin, end)
    yield Shape((circle((0.0, 0.0), 0.05),), style.DISC)


def _felt(dial: Dial) -> Iterator[Item]:
    """Yield what was felt: a thick arc inside the rim where it locks, as far as it may be out."""
    for line in dial.felt:
        if not line.placed:
            continue
        begin, end = line.begin - line.error, line.end + line.error
        if line.what is What.FREE:
            yield Stroke(round_line(line.begin, line.end, 0.62), style.HOUR)
            continue
        yield Stroke(round_line(begin, end, 0.7), style.FELT)
        for angle in () if line.all_round else (line.begin, line.end):
            yield Stroke([on_dial(angle, 0.6), on_dial(angle, 0.8)], style.DIAL)


def _words(dial: Dial, frame: Frame) -> Iterator[Item]:
    width = 0.85 * frame.paper.width
    lines = wrapped(dial.words, style.NOTE_BOLD, width, frame.paper.measure)
    line_high = 1.3 * style.SMALL * (frame.y[1] - frame.y[0]) / frame.paper.height
    for number, line in enumerate(lines):
        yield Words(line, (0.0, _WORDS - number * line_high), style.NOTE_BOLD, 0, 1)
