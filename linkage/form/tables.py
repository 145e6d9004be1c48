"""Where the calliper goes on any table, from what the table and its fields say of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import assert_never

from linkage.arrangements.numbers import facts_at
from linkage.form.model import Model, Models
from linkage.form.places import Places, on_arc
from linkage.form.rods import rod_plan, rod_side
from linkage.form.sketch import Arc, Curve, Detail, Mark, Outline, Sketch, Span, Word
from linkage.form.sketch import Spot as Corner
from linkage.mechanism import Point
from linkage.scene.moment import placed
from linkage.sheet.lines import BlankLine
from linkage.tables.facts import table_of
from linkage.tables.views import (
    AT_AXLE_LEFT,
    AXLE,
    FLAT,
    Along,
    Between,
    Box,
    Calliper,
    Circle,
    Corners,
    Figure,
    HoleFor,
    InHoles,
    OnRim,
    PointOf,
    Seen,
    Spot,
    Stop,
    Turned,
    View,
)

_CHORDS = 8  # of a length along a slot


@dataclass(frozen=True)
class _Asked:
    """One reading of a table, and where the calliper goes for it."""

    line: BlankLine
    calliper: Calliper


def table_detail(models: Models, section: str) -> Detail | None:
    """Return the drawings of a table: of a rod lying flat with its edge, and what its fields say.

    None where nothing of it can be drawn.
    """
    if not section:
        return None
    rows = _rows(models, section)
    model = models.with_part(section)
    part = model.mechanism.with_key(section)
    if part is None or all(line.full != f"{section}.centres" for line in models.lines):
        return Detail(rows) if rows else None
    flat, edge = rod_side(models, part.name, model), rod_plan(models, part.name, model)
    if on_it := _asked(models, section).get(FLAT):
        own = _drawing(models, section, model, View("", ())).sketch(on_it)
        outlines, marks = (*flat.outlines, *own.outlines), (*flat.marks, *own.marks)
        flat = replace(flat, outlines=outlines, marks=marks)
    beside = ((edge,) if edge.marks else ()) + (rows[0] if rows else ())
    return Detail(((flat,), beside) if beside else ((flat,),), aligned=not rows)


def views_of(models: Models, section: str) -> tuple[Sketch, ...]:
    """Return a table's own views, with where the calliper goes by its fields."""
    return tuple(sketch for row in _rows(models, section) for sketch in row)


def _rows(models: Models, section: str) -> tuple[tuple[Sketch, ...], ...]:
    """Return the same in rows."""
    asked = _asked(models, section)
    views = table_of(type(models.plain.tables), section.split(".")).VIEWS if asked else {}
    rows: list[tuple[Sketch, ...]] = []
    for name in [name for name in views or asked if name in asked and name != FLAT]:
        seen = any(a.line.full in models.instead for a in asked[name])
        model = models.shown if seen else models.with_part(section)
        view = views[name] if views else _about(model, asked[name])
        sketch = _drawing(models, section, model, view).sketch(asked[name])
        if view.below or not rows:
            rows.append(())
        rows[-1] = (*rows[-1], sketch)
    return tuple(rows)


def _drawing(models: Models, section: str, model: Model, view: View) -> _Drawing:
    part = model.mechanism.with_key(models.key_of(section))
    return _Drawing(Places(model, view, section, part.name if part else ""))


def _asked(models: Models, section: str) -> Mapping[str, list[_Asked]]:
    """Return a table's readings with a calliper, by the view in which it goes."""
    found: dict[str, list[_Asked]] = {}
    tables = type(models.plain.tables)
    for line in models.lines:
        facts = facts_at(line.full, tables) if line.section == section else None
        calliper = facts.calliper if facts is not None else None
        if calliper is not None:
            found.setdefault(calliper.view, []).append(_Asked(line, calliper))
    return found


def _spots(calliper: Calliper) -> list[Spot]:
    match calliper:
        case Between(start, end):
            return [start, end]
        case Turned(centre, start, end):
            return [spot for spot in (centre, start, end) if spot is not None]
        case Along(_, end):
            return [end]
        case Corners():
            return [AXLE]
        case InHoles():
            return []
        case _:
            assert_never(calliper)


def _about(model: Model, asked: Iterable[_Asked]) -> View:
    """Return the view of a table that has none of its own: of the parts that its places name."""
    spots = [spot for one in asked for spot in _spots(one.calliper)]
    named = {spot.part for spot in spots if isinstance(spot, PointOf)}
    parts = [p.name for p in model.mechanism.parts if p.name in named and p.pieces]
    title = f"side view: {', '.join(parts)}" if parts else "side view"
    words = AT_AXLE_LEFT if AXLE in spots else {}
    return View(title, tuple(Seen(part, look="about") for part in parts), words=words)


@dataclass(frozen=True)
class _Drawing:
    """One view of one mechanism."""

    places: Places

    def sketch(self, asked: Sequence[_Asked]) -> Sketch:
        """Return it with where the calliper goes."""
        at, view = self.places.at, self.places.view
        spots = [spot for one in asked for spot in _spots(one.calliper)]
        return Sketch(
            view.title,
            (
                *(Outline(self.places.shapes(figure), _look(figure)) for figure in view.figures),
                *(outline for one in asked for outline in self._told(one)),
            ),
            tuple(self._mark(one) for one in asked),
            tuple(dict.fromkeys(place for spot in spots for place in self.places.crosses(spot))),
            tuple(pair for line in view.lines for pair in pairwise(at(spot) for spot in line)),
            tuple(Word(text, at(spot), side) for spot, (text, side) in view.words.items()),
            view.plan,
            view.front,
            view.height,
        )

    def _told(self, asked: _Asked) -> list[Outline]:
        """Return what is drawn because a calliper goes there."""
        if isinstance(asked.calliper, InHoles):
            return [Outline(self.places.shapes(self._hole(asked.calliper, asked.line)), "hole")]
        stops = [spot for spot in _spots(asked.calliper) if isinstance(spot, Stop)]
        return [Outline([self.places.plate(stop)], "about") for stop in stops]

    def _mark(self, asked: _Asked) -> Mark:
        key, at = asked.line.full, self.places.at
        match asked.calliper:
            case Between(start, end, side):
                return Span(key, at(start), at(end), side)
            case Turned():
                return self._arc(key, asked.calliper)
            case Along(part, end):
                return Curve(key, tuple(self._along(part, end)))
            case Corners(part):
                return Corner(key, self.places.corners(part)[asked.line.place - 1])
            case InHoles():
                hole = self._hole(asked.calliper, asked.line)
                return Span(key, at(OnRim(hole, -1.0)), at(OnRim(hole, 1.0)), "above")
            case _:
                assert_never(asked.calliper)

    def _arc(self, key: str, turned: Turned) -> Arc:
        x, y = self.places.at(turned.centre)
        legs = [self.places.at(spot) for spot in (turned.start, turned.end) if spot is not None]
        *begin, stop = (math.atan2(q - y, p - x) for p, q in legs)
        level = 0.0 if abs(stop) < math.pi / 2 else math.pi
        if not begin and level:
            stop %= 2 * math.pi
        reach = turned.reach * max(math.dist((x, y), leg) for leg in legs)
        return Arc(key, (x, y), begin[0] if begin else level, stop, reach)

    def _along(self, part: str, end: Spot) -> Iterator[Point]:
        """Yield places from the middle of a slot to a place in it."""
        pose, (radius, _) = self.places.pose(part), self.places.slot(part)
        (x, y), (ahead, up) = self.places.at(end), pose[:2]
        turn = math.atan2(y - up, math.copysign(1.0, radius) * (radius - (x - ahead)))
        for k in range(_CHORDS + 1):
            yield placed(pose, on_arc(radius, turn * k / _CHORDS))

    def _hole(self, holes: InHoles, line: BlankLine) -> HoleFor:
        wheels = list(self.places.model.holes(self.places.part(holes.part)))
        return HoleFor(holes.part, wheels[line.place - 1])


def _look(figure: Figure) -> str:
    match figure:
        case Seen() | Circle() | Box():
            return figure.look
        case HoleFor():
            return "hole"
        case _:
            assert_never(figure)
