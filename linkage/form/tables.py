"""Where the calliper goes on any table, from what the table and its fields say of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

import numpy as np

from linkage.arrangements.numbers import facts_at
from linkage.arrays import Array
from linkage.form.model import Model, Models, Polygons, span_of
from linkage.form.rods import rod_plan, rod_side
from linkage.form.sketch import Arc, Curve, Detail, Mark, Outline, Polygon, Sketch, Span, Word
from linkage.mechanism import FRAME, PieceSort, Point, Slide
from linkage.scene.moment import placed
from linkage.tables.facts import table_of
from linkage.tables.views import (
    AT_AXLE_LEFT,
    Along,
    Between,
    Calliper,
    Edge,
    InSlot,
    Seen,
    Spot,
    Stop,
    Turned,
    View,
)

AXLE: Point = (0.0, 0.0)
_CHORDS = 8  # of a length along a slot
_PLATE = 0.03  # thickness of a stop, as a share of the travel


def table_detail(models: Models, section: str) -> Detail | None:
    """Return the drawings of a table: of a rod lying flat with its edge, and what its fields say.

    None where nothing of it can be drawn.
    """
    if not section:
        return None
    model = _model_of(models, section)
    part = model.mechanism.with_key(section)
    asked = {line.key for line in models.lines if line.section == section}
    rows: list[tuple[Sketch, ...]] = []
    own = views_of(models, section)
    if part is not None and "centres" in asked:
        plan = rod_plan(models, part.name, model)
        rows += [(rod_side(models, part.name, model),)]
        rows += [(plan, *own)] if plan.marks else [own]
    else:
        rows += [own]
    rows = [row for row in rows if row]
    return Detail(tuple(rows), aligned=not own) if rows else None


def _model_of(models: Models, section: str) -> Model:
    return models.plain if models.plain.mechanism.with_key(section) else models.lifted


def views_of(models: Models, section: str) -> tuple[Sketch, ...]:
    """Return a table's own views, with where the calliper goes by its fields."""
    asked: dict[str, dict[str, Calliper]] = {}
    for line in models.lines:
        calliper = facts_at(line.full).calliper if line.section == section else None
        if calliper is not None:
            asked.setdefault(calliper.view, {})[line.full] = calliper
    views = table_of(type(models.plain.tables), section.split(".")).VIEWS if asked else {}
    made = []
    for name in [name for name in views or asked if name in asked]:
        seen = any(key in models.instead for key in asked[name])
        model = models.shown if seen else _model_of(models, section)
        view = views[name] if views else _about(model, asked[name].values())
        made.append(_Drawing(model, view).sketch(asked[name]))
    return tuple(made)


def _spots(calliper: Calliper) -> list[Spot]:
    match calliper:
        case Between(start, end):
            return [start, end]
        case Turned(centre, start, end):
            return [spot for spot in (centre, start, end) if spot is not None]
        case Along(_, end):
            return [end]
        case _:
            assert_never(calliper)


def _about(model: Model, callipers: Iterable[Calliper]) -> View:
    """Return the view of a table that has none of its own: of the parts that its places name."""
    spots = [spot for calliper in callipers for spot in _spots(calliper)]
    named = {spot.partition(".")[0] for spot in spots if isinstance(spot, str)}
    parts = [p.name for p in model.mechanism.parts if p.name in named and p.pieces]
    title = f"side view: {', '.join(parts)}" if parts else "side view"
    words = AT_AXLE_LEFT if "axle" in spots else {}
    return View(title, tuple(Seen(part, look="about") for part in parts), words=words)


@dataclass(frozen=True)
class _Drawing:
    """One view of one mechanism."""

    model: Model
    view: View

    def sketch(self, asked: Mapping[str, Calliper]) -> Sketch:
        """Return it with where the calliper goes, by the keys of the sheet."""
        view = self.view
        spots = [spot for calliper in asked.values() for spot in _spots(calliper)]
        stops = [spot for spot in spots if isinstance(spot, Stop)]
        holes = [s for s in spots if isinstance(s, str) or (isinstance(s, InSlot) and not s.along)]
        return Sketch(
            view.title,
            (
                *(Outline(self._shapes(seen), seen.look) for seen in view.parts),
                *(Outline([self._plate(stop)], "about") for stop in stops),
            ),
            tuple(self._mark(key, calliper) for key, calliper in asked.items()),
            tuple(dict.fromkeys(self.at(spot) for spot in holes)),
            tuple(pair for line in view.lines for pair in pairwise(self.at(s) for s in line)),
            tuple(Word(text, self.at(spot), side) for spot, (text, side) in view.words.items()),
            view.plan,
            view.front,
            view.height,
        )

    def at(self, spot: Spot) -> Point:
        """Return a place [mm]."""
        match spot:
            case "axle":
                return AXLE
            case str():
                part, _, point = spot.partition(".")
                if not point:
                    return self.model.joint(spot, FRAME)
                return placed(self._pose(part), self.model.points[part][point])
            case Edge(part, along, across, of):
                shapes = self._shapes(Seen(part, of))
                (rear, front), (foot, top) = span_of(shapes, 0), span_of(shapes, 1)
                x = rear + along * (front - rear)
                if isinstance(across, str):
                    return x, self.at(across)[1]
                return x, 0.0 if across is None else foot + across * (top - foot)
            case Stop():
                return min(self._plate(spot), key=lambda corner: corner[1])
            case InSlot(part, along):
                radius, reach = self._slot(part)
                if along is None:
                    return placed(self._pose(part), (radius, 0.0))
                return placed(self._pose(part), _on_arc(radius, along * reach))
            case _:
                assert_never(spot)

    def _mark(self, key: str, calliper: Calliper) -> Mark:
        match calliper:
            case Between(start, end, side):
                return Span(key, self.at(start), self.at(end), side)
            case Turned(centre, start, end):
                x, y = self.at(centre)
                legs = [self.at(spot) for spot in (start, end) if spot is not None]
                *begin, stop = (math.atan2(q - y, p - x) for p, q in legs)
                level = 0.0 if abs(stop) < math.pi / 2 else math.pi
                if not begin and level:
                    stop %= 2 * math.pi
                reach = calliper.reach * max(math.dist((x, y), leg) for leg in legs)
                return Arc(key, (x, y), begin[0] if begin else level, stop, reach)
            case Along(part, end):
                radius, _ = self._slot(part)
                x, y = self.at(end)
                ahead, up = self._pose(part)[:2]
                turn = math.atan2(y - up, radius - (x - ahead))
                steps = [_on_arc(radius, turn * k / _CHORDS) for k in range(_CHORDS + 1)]
                return Curve(key, tuple(placed(self._pose(part), step) for step in steps))
            case _:
                assert_never(calliper)

    def _shapes(self, seen: Seen) -> Polygons:
        of = () if seen.of is None else (seen.of,)
        outlines = self.model.above if self.view.plan else self.model.seen
        return outlines(seen.part, *of, pose=self._pose(seen.part))

    def _pose(self, part: str) -> Array:
        """Return where a part stands in this view [mm, mm, rad]."""
        at = next((seen.at for seen in self.view.parts if seen.part == part), "")
        if not at:
            return np.array([0.0, 0.0, self.view.turn])
        x, y = self.model.joint(at, FRAME)
        joint = next(joint for joint in self.model.mechanism.joints if joint.name == at)
        if not isinstance(joint, Slide):
            return np.array([x, y, 0.0])
        turn, (least, most) = joint.direction, self._travel(at)
        along = (least + most) / 2
        return np.array([x + along * math.cos(turn), y + along * math.sin(turn), turn])

    def _travel(self, joint: str) -> tuple[float, float]:
        held = [travel for travel in self.model.mechanism.travels if travel.joint == joint]
        return max(travel.least for travel in held), min(travel.most for travel in held)

    def _plate(self, stop: Stop) -> Polygon:
        """Return a thin plate at the end of a travel, three times as high as what runs there."""
        least, most = self._travel(stop.joint)
        runs = next(seen for seen in self.view.parts if seen.at == stop.joint)
        foot, top = span_of(self._shapes(runs), 1)
        low, high = 2 * foot - top, 2 * top - foot
        thick = _PLATE * (most - least)
        face, back = (most, most + thick) if stop.end else (least, least - thick)
        return [(face, low), (back, low), (back, high), (face, high)]

    def _slot(self, part: str) -> tuple[float, float]:
        """Return the radius [mm] of a slot, and its half length as an angle about its centre."""
        x, y = self.model.pieces(part, PieceSort.BODY)[0].corners[0]
        radius = (x**2 + y**2) / (2 * x)
        return radius, math.atan2(abs(y), radius - x)


def _on_arc(radius: float, turn: float) -> Point:
    """Return a place on a slot that is upright at its middle, its centre ahead [mm]."""
    return radius * (1 - math.cos(turn)), radius * math.sin(turn)
