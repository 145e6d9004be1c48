"""Curves over the turn: clearances, travels, transmission angles, play; and their chart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.clearance import PairClearance, RunOff
from linkage.clearance.near import WITHIN
from linkage.mechanism import Point, Slot
from linkage.play import PlayFindings
from linkage.scene import style
from linkage.scene.drawing import Frame, Item, Paper, Shape, Stroke, Ticks, View, Words
from linkage.scene.moment import Moment
from linkage.scene.motion import transmission_of
from linkage.scene.placing import ROW_GAP, spread
from linkage.scene.style import Letters, Pen
from linkage.tightspots import (
    LEAST_TRANSMISSION,
    CannotClose,
    Close,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    RunsOff,
    TightSpot,
    Uneven,
    UnlikeWheels,
)

WHOLE = 360.0
_NAMED = 5  # at most so many of the other pairs are named
_BELOW, _OVER = 0.27, 0.02  # room for words below a curve, and above it, in heights of it
_MARKS = 5  # at most so many values are written at the edge, and nought
_GROUPS = 4  # at most so many groups of links are drawn where one is meant
LIMIT = float(np.degrees(LEAST_TRANSMISSION))
"""Below this a pair of links is apt to jam [degrees]."""


@dataclass(frozen=True)
class Line:
    """A curve [as its title says], how it is drawn, whose it is, where its least is."""

    values: Array
    pen: Pen
    name: str = ""
    least: Point | None = None


@dataclass(frozen=True)
class Level:
    """A level of a curve, what it means, and how it is drawn."""

    value: float
    text: str
    pen: Pen


@dataclass(frozen=True)
class Curve:
    """What a finding is best seen by."""

    title: str  # what it is, and its unit
    crank: Array  # (N,) [degrees] right-hand crank, rising within a turn
    lines: tuple[Line, ...]  # what it is about is the last; those that only go with it before
    levels: tuple[Level, ...]  # levels with a meaning
    low: float  # [as the title says] what is to be in sight
    high: float
    marks: Sequence[float] | None = None  # what is written at the edge; None for round numbers
    of_both: bool = False  # whether it is of both sides together


def curve_of(moment: Moment) -> Curve:
    """Return the curve that shows best what a moment is about."""
    spot, play = moment.spot, moment.examination.play
    if play is not None and (spot is None or isinstance(spot, PlayUsedUp | Limps | UnlikeWheels)):
        return _of_play(play)
    if isinstance(spot, RunsOff):
        return _of_travel(moment, spot.run_off)
    by_air = isinstance(spot, CannotClose | Pinched | Uneven | Mistimed) and moment.outlined
    if moment.pair is not None or by_air:
        return _of_clearance(moment)
    return _of_transmission(moment)


def over_turn(moment: Moment, values: Array) -> Array:
    """Return what is known at the survey's crank angles in the order of the right-hand crank.

    `values`, shape (N,) [any unit]: at the survey's crank angles.
    """
    return values[np.argsort(_degrees(moment))]


def _degrees(moment: Moment) -> Array:
    return (np.degrees(moment.findings.survey.crank) + moment.degrees(0.0)) % WHOLE


def turned(moment: Moment) -> Array:
    """Return the survey's crank angles as the right-hand crank's, rising, shape (N,) [degrees]."""
    return np.sort(_degrees(moment))


def _of_clearance(moment: Moment) -> Curve:
    """Return the pair's clearance, the others with it; where nothing was looked at, a gap."""
    survey, pair = moment.findings.survey, moment.pair
    whose = "all pairs" if pair is None else " and ".join(pair.parts)
    wanted = moment.examination.sheet.wanted_clearance
    asked = wanted if pair is None else pair.asked
    near = [
        other for other in survey.pairs if other is not pair and other.least < 2 * wanted - WITHIN
    ]
    lines = [
        _line(moment, other, style.OTHER_CURVE, other in near[:_NAMED])
        for other in survey.pairs
        if other is not pair
    ]
    if pair is not None:
        lines.append(_line(moment, pair, style.CURVE, named=False))
    lengths = moment.examination.sheet.lengths
    one = lengths.small_scale
    lows = [other.least / one for other in survey.pairs] or [0.0]
    high = max(3 * asked / one, 2.5 * abs(min(lows)), 0.05 / one)
    levels = (
        Level(0.0, "0: they touch", style.LEVEL),
        Level(asked / one, f"{lengths.small_figure(asked)} wanted", style.WANTED),
    )
    title = f"Clearance of {whose}, {lengths.small_unit}"
    return Curve(title, turned(moment), tuple(lines), levels, min(0.0, *lows), high)


def _line(moment: Moment, pair: PairClearance, pen: Pen, named: bool) -> Line:
    looked_at = pair.curve < moment.findings.survey.reach - 1e-9
    values = over_turn(moment, np.where(looked_at, pair.curve, np.nan))
    name = f"{pair.parts[0]} / {pair.parts[1]}" if named else ""
    one = moment.examination.sheet.lengths.small_scale
    return Line(values / one, pen, name, (moment.degrees(pair.at) % WHOLE, pair.least / one))


def _of_travel(moment: Moment, run_off: RunOff) -> Curve:
    """Return the travel that runs off, and where its ends are."""
    travel, lengths = run_off.travel, moment.examination.sheet.lengths
    values = moment.findings.motion.travel(travel.joint) / lengths.scale
    slot = isinstance(moment.joint(travel.joint), Slot)
    words = ("one end", "other end") if slot else ("rear end", "front end")
    levels = tuple(
        Level(level / lengths.scale, word, style.WANTED)
        for level, word in zip((travel.least, travel.most), words, strict=True)
        if math.isfinite(level)
    )
    seen = [*values[np.isfinite(values)].tolist(), *(level.value for level in levels)]
    return Curve(
        f"Travel of the {travel.part} round the turn, {lengths.unit}", turned(moment),
        (Line(over_turn(moment, values), style.CURVE),), levels, min(seen), max(seen),
    )  # fmt: skip


def _of_play(play: PlayFindings) -> Curve:
    """Return how much of their play the coupled wheels need."""
    levels = (Level(1.0, "1: it binds", style.WANTED), Level(0.0, "", style.GREY_LEVEL))
    most = max(1.1, float(play.used.used.max()))
    return Curve(
        "Play needed by the coupled wheels, 1: all there is", np.degrees(play.used.crank),
        (Line(play.used.used, style.CURVE),), levels, 0.0, most, _from_nought(most), of_both=True,
    )  # fmt: skip


def _from_nought(most: float) -> tuple[float, ...]:
    """Return round values from nought on, a few of them, for what is never below it [any unit]."""
    steps = (m * 10.0**k for k in range(-1, 9) for m in (1.0, 2.0, 5.0))
    step = next(step for step in steps if most / step <= _MARKS)
    return tuple(step * k for k in range(int(most / step) + 1))


def _of_transmission(moment: Moment) -> Curve:
    """Return how squarely the links push, the spot's own group or the worst last."""
    angles = transmission_of(moment.findings)
    least = {parts: float(np.nanmin(values, initial=math.inf)) for parts, values in angles.items()}
    own = None if moment.spot is None else moment.spot.parts
    groups = sorted(angles, key=lambda parts: (parts != own, least[parts]))[:_GROUPS]
    lines = tuple(
        Line(over_turn(moment, np.degrees(angles[parts])), pen, _short(parts))
        for pen, parts in zip(style.GROUPS, groups, strict=False)
    )[::-1]
    level = Level(LIMIT, f"{LIMIT:.0f}: apt to jam", style.GREY_LEVEL)
    return Curve(
        "Transmission angle, degrees: 90 best, 0 a dead point", turned(moment), lines, (level,),
        0.0, 96.0, (0, 30, 60, 90),
    )  # fmt: skip


def _short(parts: tuple[str, ...]) -> str:
    """Return the names of a group, no more than two of them."""
    return " and ".join(parts) if len(parts) < 3 else f"{parts[0]} to {parts[-1]}"


# --- the chart ------------------------------------------------------------------------------------


def curve_view(moment: Moment, paper: Paper) -> View:
    """Return the chart of what a moment is about, its arcs shaded, with room for words below."""
    curve = curve_of(moment)
    room = curve.high - curve.low
    frame = turn_frame(paper, curve.low - _BELOW * room, curve.high + _OVER * room)
    items: list[Item] = [item for spot in moment.arcs for item in shade(moment, frame, spot)]
    items += [Stroke([(0.0, level.value), (WHOLE, level.value)], level.pen)
              for level in curve.levels]  # fmt: skip
    items += [closed(curve.crank, line) for line in curve.lines]
    items += at_edge(frame, [(level.value, level.text) for level in curve.levels if level.text])
    named = [line for line in curve.lines[::-1] if line.name]
    beside = () if curve.marks is None else tuple(_key(frame, named))
    items += _name_others(frame, () if beside else curve.lines)
    items += _angles(moment, frame)
    view = turn_view("curve", curve.title, moment, frame, items, curve.marks)
    return replace(view, beside=beside)


def turn_frame(paper: Paper, low: float, high: float) -> Frame:
    """Return the frame of one turn between two levels [mm, or degrees, or a share]."""
    return Frame(paper, (0.0, WHOLE), (low, high))


def turn_view(  # noqa: PLR0913 (what a view is made of)
    name: str,
    title: str,
    moment: Moment,
    frame: Frame,
    items: Sequence[Item],
    marks: Sequence[float] | None = None,
) -> View:
    """Return a chart with the turn along the bottom in degrees, and along the top as the clock."""
    below = [(float(at), f"{at}") for at in range(0, 361, 30)]
    above = []
    for hour in range(1, 13):
        own = 30 * (9 - hour if moment.mirrored else hour - 3)
        above.append(((own + moment.degrees(0.0)) % WHOLE, f"{hour}"))
    under = f"{moment.crank_word}, degrees (0 straight ahead, growing in forward running)"
    whose = "" if moment.side == "only" else f", {moment.side} side"
    left = None if marks is None else [(mark, f"{mark:g}") for mark in marks]
    ticks = Ticks(below, above, left, under, f"o'clock{whose}, seen from outside")
    return View(name, title, frame, tuple(items), ticks)


def closed(crank: Array, line: Line) -> Stroke:
    """Return a curve round the turn, from just before 0 to 360 or just after.

    `crank`, shape (N,) [degrees]: rising within a turn.
    """
    x = np.concatenate((crank[-1:] - WHOLE, crank, crank[:1] + WHOLE))
    y = np.concatenate((line.values[-1:], line.values, line.values[:1]))
    return Stroke(np.stack((x, y), axis=-1).tolist(), line.pen, line.name)


def at_edge(frame: Frame, levels: Sequence[tuple[float, str]]) -> Iterator[Words]:
    """Yield what levels mean, outside the right edge; those too near one another a little apart.

    `levels` [mm, or degrees, or a share]: levels of the curve, and the words for them.
    """
    said = sorted(levels)
    wanted = [float(frame.points([(0.0, level)])[0, 1]) for level, _ in said]
    sizes = [style.SMALL for _ in said]
    for (_, text), up in zip(said, spread(wanted, sizes, frame.paper.height, 0.0), strict=True):
        yield Words(text, frame.back(frame.paper.width + 4, up), style.NOTE, -1)


def shade(moment: Moment, frame: Frame, spot: TightSpot) -> Iterator[Item]:
    """Yield an arc, shaded; one that passes the end of the turn comes in again at its start."""
    begin = moment.degrees(spot.begin)
    shift = WHOLE * math.floor(begin / WHOLE)
    begin, end = begin - shift, moment.degrees(spot.end) - shift
    low, high = frame.y
    if end == begin:
        yield Stroke([(begin, low), (begin, high)], style.SINGLE)
    ink = style.SHADE_CLOSE if isinstance(spot, Close) else style.SHADE
    for left, right in ((begin, min(end, WHOLE)), (0.0, end - WHOLE)):
        if right > left:
            box = ((left, low), (right, low), (right, high), (left, high))
            yield Shape((box,), ink, "arc")
            yield Stroke([*box, box[0]], style.SHADE_EDGE)


def _name_others(frame: Frame, lines: Sequence[Line]) -> Iterator[Item]:
    """Yield the names of other pairs that come near, each at its least: the nearest that fit."""
    near = sorted((line.least[1], line.least, line.name)
                  for line in lines if line.name and line.least)  # fmt: skip
    wide = np.cumsum([frame.paper.measure(name, style.GREY_NOTE) + ROW_GAP for *_, name in near])
    fit = int((wide <= frame.paper.width + ROW_GAP).sum())
    named = sorted((spot, name) for _, spot, name in near[:fit])
    yield from _in_row(frame, named, style.GREY_NOTE, 0.72 * frame.paper.height, style.LEADER)


def _angles(moment: Moment, frame: Frame) -> Iterator[Item]:
    """Yield where each arc begins, is worst and ends, along the bottom."""
    if moment.spot is None:
        marks = [] if moment.pair is None else [(moment.crank, "least")]
    else:
        marks = _marks(moment.arcs)
    foot = frame.back(0.0, 22.0)[1]
    said = sorted((moment.degrees(angle) % WHOLE, word) for angle, word in marks)
    texts = [((at, foot), f"{word} {round(at) % 360}°") for at, word in said]
    yield from _in_row(frame, texts, style.NOTE_BOLD, 9.0, Pen(0.7))


def _in_row(
    frame: Frame, said: Sequence[tuple[Point, str]], letters: Letters, up: float, pen: Pen
) -> Iterator[Item]:
    """Yield words side by side at a height [points], each with a line to its spot."""
    wanted = [float(frame.points([spot])[0, 0]) for spot, _ in said]
    sizes = [frame.paper.measure(text, letters) for _, text in said]
    places = [frame.back(x, up) for x in spread(wanted, sizes, frame.paper.width)]
    yield from (Stroke([at, spot], pen) for at, (spot, _) in zip(places, said, strict=True))
    for at, (_, text) in zip(places, said, strict=True):
        yield Words(text, at, letters, ground=style.CLEAR)


def _marks(spots: Sequence[TightSpot]) -> list[tuple[float, str]]:
    """Return the angles to write, with their words; those of the spot shown in full."""
    first, *others = spots
    if first.end == first.begin:
        marks = [(first.worst, "at")]
    elif first.end - first.begin >= 2 * math.pi - 1e-9:
        marks = [(first.worst, "all round, worst")]
    else:
        marks = [(first.begin, "from"), (first.worst, "worst"), (first.end, "to")]
    return marks + [(spot.worst, "again") for spot in others[:4]]


def _key(frame: Frame, lines: Sequence[Line]) -> Iterator[Item]:
    """Yield a piece of each line with what it is, beside the chart."""
    left = 1.21 * frame.paper.width
    for number, line in enumerate(lines):
        y = frame.paper.height - style.SMALL * (0.7 + 1.5 * number)
        yield Stroke([frame.back(left, y), frame.back(left + 4 * style.SMALL, y)], line.pen)
        yield Words(line.name, frame.back(left + 5 * style.SMALL, y), style.NOTE, -1)
