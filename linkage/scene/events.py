"""Valve events as pictures: valve against piston, Zeuner's and Reuleaux's diagrams, openings, lead.

Both diagrams stand for a valve that moves as a sine, ``s = a cos t + b sin t``, t being turned
since the front dead centre the way the engine runs. Zeuner's has s along the crank itself: two
circles through the axle. Reuleaux's has it across a line through the axle: the crank pin's circle,
cut by chords as far off that line as the laps. The true valve is drawn the same way beside either.
Cited from memory: G. Zeuner, *Die Schiebersteuerungen* (1858); F. Reuleaux, *Der Constructeur*.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from linkage.arrays import Array
from linkage.events import End, EndEvents, Event, PlaceEvents, SideEvents
from linkage.lengths import Lengths
from linkage.mechanism import Point, Running
from linkage.scene import style
from linkage.scene.drawing import Frame, Item, Marks, Paper, Stroke, Ticks, View, Words, circle
from linkage.scene.names import Note, noted
from linkage.scene.style import Pen

_ROOM = 1.22  # of a round diagram, in its own radii
_OVER = 0.12  # room above and below a curve, in heights of it
_SHOWN = 3  # at most so many places are drawn over one another
_NONE = np.zeros((0, 2))


@dataclass(frozen=True)
class Said:
    """How things are said on paper."""

    names: Mapping[Running, str]  # what a place of the reverser is called
    lengths: Lengths

    def levels(self, low: float, high: float) -> list[tuple[float, str]]:
        """Return round levels between two [mm], and what is written there."""
        scale = self.lengths.scale
        return [(scale * one, f"{one:g}") for one in _levels(low / scale, high / scale)]


@dataclass(frozen=True)
class Sine:
    """The sine that is nearest to a valve's motion, the way the engine runs."""

    a: float  # [mm] with the crank
    b: float  # [mm] a quarter turn behind it

    @property
    def radius(self) -> float:
        """Half of its travel [mm]."""
        return math.hypot(self.a, self.b)

    def at(self, turned: Array) -> Array:
        """Return the valve's way from its middle [mm] at angles since the dead centre [rad]."""
        return self.a * np.cos(turned) + self.b * np.sin(turned)


@dataclass(frozen=True)
class Turned:
    """A place's valve round the turn, the way the engine runs."""

    held: PlaceEvents
    dead: float  # [rad] that side's own crank angle at the front dead centre

    @cached_property
    def turned(self) -> Array:
        """Angles since the front dead centre [rad], closed."""
        return self._closed((1.0 if self.held.forward else -1.0) * (self.held.crank - self.dead))

    @cached_property
    def valve(self) -> Array:
        """The valve's way from its middle at them [mm]."""
        return self._closed(self.held.valve)

    @staticmethod
    def _closed(values: Array) -> Array:
        return np.concatenate((values, values[:1]))

    @property
    def sine(self) -> Sine:
        """The sine nearest to it."""
        turned, valve = self.turned[:-1], self.valve[:-1]
        return Sine(float(2 * np.mean(valve * np.cos(turned))),
                    float(2 * np.mean(valve * np.sin(turned))))  # fmt: skip


def dead_centre(held: PlaceEvents) -> float:
    """Return about where the front dead centre is, by the sampled piston [rad]."""
    k = int(np.argmin(held.piston))
    before, here, after = (held.piston[(k + by) % len(held.piston)] for by in (-1, 0, 1))
    bent = before - 2 * here + after
    return float(held.crank[k] + (before - after) / (2 * bent) * (held.crank[1] - held.crank[0]))


def shown_places(one: SideEvents) -> list[tuple[PlaceEvents, Pen]]:
    """Return the places that are drawn over one another, those with names, and their lines."""
    whole = [held for held in one.places if held.whole]
    named = [held for held in whole if isinstance(held.place.at, str)] or whole[:1]
    return list(zip(named[:_SHOWN], style.GROUPS, strict=False))


def _between(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = _OVER * (high - low or 1.0)
    return low - room, high + room


def _levels(low: float, high: float) -> list[float]:
    """Return round numbers between two, four to eight of them."""
    step = 10.0 ** math.floor(math.log10((high - low) / 4 or 1.0))
    step = next(step * by for by in (1, 2, 5, 10) if (high - low) / (step * by) <= 8)
    first = math.ceil(low / step)
    return [round(step * k, 6) for k in range(first, math.floor(high / step) + 1)]


def valve_view(one: SideEvents, said: Said, paper: Paper) -> View:
    """Return the valve against the piston at each place, with its laps and ports."""
    shown = shown_places(one)
    ports = one.mechanism.watched.ports
    low, high = _between([v for held, _ in shown for v in (held.valve.min(), held.valve.max())])
    frame = Frame(paper, (0.0, 100.0), (low, high))
    items: list[Item] = [Stroke([(0.0, 0.0), (100.0, 0.0)], style.GREY_LEVEL)]
    beside: list[Item] = []
    for sign, end in ((1.0, "front"), (-1.0, "back")):
        if ports.steam_lap is not None:
            level = sign * ports.steam_lap
            items.append(Stroke([(0.0, level), (100.0, level)], style.WANTED))
            at = frame.back(paper.width + 3, 0.0)[0], level
            beside.append(Words(f"{end}\nopens", at, style.NOTE, -1))
    lines, notes = [_NONE], []
    for held, pen in shown:
        places = np.stack((100 * held.piston, held.valve), axis=-1)
        places = np.concatenate((places, places[:1]))
        items.append(Stroke(places.tolist(), pen))
        lines.append(places)
        notes.append(Note(said.names[held.place.at], places[::8].tolist()))
    items += noted(frame, notes, np.concatenate(lines))
    ticks = Ticks([(at, f"{at:g}") for at in (0.0, 25.0, 50.0, 75.0, 100.0)], (),
                  said.levels(low, high),
                  "piston, per cent of the stroke from the front")  # fmt: skip
    title = f"Valve from its middle, {said.lengths.unit}"
    return View("valve", title, frame, tuple(items), ticks, beside=tuple(beside))


def _round_frame(paper: Paper, radius: float) -> Frame:
    """Return a frame about the axle in which circles are round."""
    unit = _ROOM * radius / (min(paper.width, paper.height) / 2)
    x, y = unit * paper.width / 2, unit * paper.height / 2
    return Frame(paper, (-x, x), (-y, y))


def _events_of(end: EndEvents) -> list[tuple[str, Event]]:
    named = (("admission", end.admission), ("cut-off", end.cut_off), ("release", end.release),
             ("compression", end.compression))  # fmt: skip
    return [(name, event) for name, event in named if event is not None]


def _axes(radius: float) -> Iterator[Item]:
    yield Stroke([(-1.1 * radius, 0.0), (1.1 * radius, 0.0)], style.GREY_LEVEL)
    yield Stroke([(0.0, -1.1 * radius), (0.0, 1.1 * radius)], style.GREY_LEVEL)


def _dead_centre(radius: float) -> Note:
    return Note("front dead centre", [(1.1 * radius, 0.0)], letters=style.GREY_NOTE)


def _said(name: str, event: Event) -> str:
    return f"{name} {math.degrees(event.turned):.0f}°"


def zeuner_view(held: PlaceEvents, one: SideEvents, paper: Paper) -> View:
    """Return Zeuner's diagram of a place for the front end, the true valve heavy."""
    true = Turned(held, dead_centre(held))
    sine, ports = true.sine, one.mechanism.watched.ports
    radius = max(sine.radius, float(np.abs(true.valve).max()))
    frame = _round_frame(paper, radius)
    items: list[Item] = list(_axes(radius))
    for lap, pen in ((ports.steam_lap, style.WANTED), (ports.exhaust_lap, style.DOTTED)):
        if lap:
            items.append(_ring((0.0, 0.0), abs(lap), pen))
    for sign in (1.0, -1.0):
        middle = (sign * sine.a / 2, sign * sine.b / 2)
        items.append(_ring(middle, sine.radius / 2, style.SINGLE_THIN))
    ways = np.stack((np.cos(true.turned), np.sin(true.turned)), axis=-1)
    curve = np.abs(true.valve)[:, None] * ways
    items.append(Stroke(curve.tolist(), style.CURVE))
    notes = []
    for name, event in _events_of(held.end("front")):
        tip = 1.08 * radius * np.array([math.cos(event.turned), math.sin(event.turned)])
        items.append(Stroke([(0.0, 0.0), tuple(tip.tolist())], style.LEADER_HEAVY))
        notes.append(Note(_said(name, event), [tuple(tip.tolist())]))
    items += noted(frame, [*notes, _dead_centre(radius)], curve)
    return View("zeuner", "Zeuner, front end: true heavy, sine thin", frame, tuple(items))


def _ring(middle: Point, radius: float, pen: Pen) -> Stroke:
    places = circle(middle, radius, 96)
    return Stroke([*places, places[0]], pen)


def reuleaux_view(held: PlaceEvents, one: SideEvents, paper: Paper) -> View:
    """Return Reuleaux's diagram of a place for the front end, the true valve heavy."""
    true = Turned(held, dead_centre(held))
    sine, ports = true.sine, one.mechanism.watched.ports
    radius = max(sine.radius, float(np.abs(true.valve).max()))
    frame = _round_frame(paper, radius)
    items: list[Item] = list(_axes(radius))
    along = np.array([sine.a, sine.b]) / (sine.radius or 1.0)
    across = np.array([-along[1], along[0]])
    items.append(_ring((0.0, 0.0), sine.radius, style.SINGLE_THIN))
    exhaust = None if ports.exhaust_lap is None else -ports.exhaust_lap
    for level, pen in ((0.0, style.CUT), (ports.steam_lap, style.WANTED), (exhaust, style.DOTTED)):
        if level is not None:
            half = 1.08 * math.sqrt(max(radius**2 - level**2, 0.0))
            ends = [level * along + by * half * across for by in (-1, 1)]
            items.append(Stroke([tuple(end.tolist()) for end in ends], pen))

    def spot(turned: Array, valve: Array) -> Array:
        pin = sine.radius * np.stack((np.cos(turned), np.sin(turned)), axis=-1)
        return pin + (valve - sine.at(turned))[..., None] * along

    curve = spot(true.turned, true.valve)
    items.append(Stroke(curve.tolist(), style.CURVE))
    notes = []
    for name, event in _events_of(held.end("front")):
        lap = ports.steam_lap if name in ("admission", "cut-off") else exhaust
        at = spot(np.array([event.turned]), np.array([lap or 0.0]))[0].tolist()
        items.append(Marks([tuple(at)], style.AT_SIGN))
        notes.append(Note(_said(name, event), [tuple(at)], away=(0.0, 0.0)))
    items += noted(frame, [*notes, _dead_centre(radius)], curve)
    return View("reuleaux", "Reuleaux, front end: true heavy, sine thin", frame, tuple(items))


def _open(held: PlaceEvents, end: End, lap: float, port: float | None) -> Array:
    """Return how far a port is open against the stroke from its end, (N, 2) [per cent, mm]."""
    sign = 1.0 if end == "front" else -1.0
    share = held.piston if end == "front" else 1.0 - held.piston
    opening = sign * held.valve - lap
    opening = opening if port is None else np.minimum(opening, port)
    found = np.stack((100 * share, np.where(opening > 0, opening, np.nan)), axis=-1)
    start = int(np.argmin(np.where(opening > 0, 1, 0)))  # begin where it is shut
    return np.concatenate((np.roll(found, -start, axis=0), found[start : start + 1]))


def opening_view(one: SideEvents, said: Said, paper: Paper) -> View:
    """Return how far the ports are open to steam against the stroke, at each place."""
    ports = one.mechanism.watched.ports
    title = f"Port open to steam, {said.lengths.unit} (back end grey)"
    if ports.steam_lap is None or not one.mechanism.watched.admits:
        return _idle("opening", title, paper, "needs valve.steam_lap\nand which edge admits")
    found = [(held, end, pen, _open(held, end, ports.steam_lap, ports.width))
             for held, pen in shown_places(one) for end in ("front", "back")]  # fmt: skip
    most = max(float(np.nanmax(spots[:, 1], initial=0.0)) for *_, spots in found) or 1.0
    frame = Frame(paper, (0.0, 100.0), (0.0, 1.2 * most))
    items: list[Item] = []
    lines, notes = [_NONE], []
    for held, end, pen, spots in found:
        items.append(
            Stroke(spots.tolist(), pen if end == "front" else replace(pen, grey=style.GREY))
        )
        known = spots[np.isfinite(spots[:, 1])]
        lines.append(known)
        if end == "front" and len(known):
            notes.append(Note(said.names[held.place.at], known[len(known) // 3 :: 4].tolist()))
    if ports.width is not None and most > 0.9 * ports.width:
        items.append(Stroke([(0.0, ports.width), (100.0, ports.width)], style.WANTED))
    items += noted(frame, notes, np.concatenate(lines))
    ticks = Ticks([(at, f"{at:g}") for at in (0.0, 25.0, 50.0, 75.0, 100.0)], (),
                  said.levels(0.0, 1.2 * most), "per cent of the stroke from that end")  # fmt: skip
    return View("opening", title, frame, tuple(items), ticks)


def _idle(name: str, title: str, paper: Paper, said: str) -> View:
    """Return a chart of which nothing can be drawn, with the reason."""
    frame = Frame(paper, (0.0, 1.0), (0.0, 1.0))
    return View(name, title, frame, (Words(said, (0.5, 0.5)),))


def reverser_view(one: SideEvents, said: Said, what: str, paper: Paper) -> View:
    """Return travel or lead against the place of the reverser.

    `what`: "travel" or "lead".
    """
    title = f"{what.capitalize()} against the reverser, {said.lengths.unit}"
    whole = [held for held in one.places if held.whole]
    if len(whole) < 2:
        return _idle(what, title, paper, "one place of the reverser only")
    x = [held.place.share for held in whole]
    curves: list[tuple[str, Pen, list[float | None]]] = []
    if what == "travel":
        curves.append(("travel", style.CURVE, [held.travel for held in whole]))
    else:
        for number, pen in enumerate((style.CURVE, style.WANTED)):
            ends = [held.ends[number] for held in whole]
            curves.append((f"{ends[0].end} end", pen, [end.lead for end in ends]))
    if any(value is None for _, _, values in curves for value in values):
        return _idle(what, title, paper, "needs valve.steam_lap\nand which edge admits")
    known = [(name, pen, [float(value or 0.0) for value in values]) for name, pen, values in curves]
    low, high = _between([0.0, *(value for *_, values in known for value in values)])
    frame = Frame(paper, (-0.04, 1.04), (low, high))
    items: list[Item] = [Stroke([(-0.04, 0.0), (1.04, 0.0)], style.GREY_LEVEL)]
    lines, notes = [_NONE], []
    for name, pen, values in known:
        spots = list(zip(x, values, strict=True))
        items += [Stroke(spots, pen), Marks(spots, style.END_SIGN)]
        lines.append(np.array(spots))
        if len(known) > 1:
            notes.append(Note(name, spots))
    items += noted(frame, notes, np.concatenate(lines))
    below = [(held.place.share, said.names[held.place.at]) for held in whole
             if isinstance(held.place.at, str)]  # fmt: skip
    ticks = Ticks(below, (), said.levels(low, high), "place of the reverser")
    return View(what, title, frame, tuple(items), ticks)
