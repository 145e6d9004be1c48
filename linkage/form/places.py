"""Where the places of a table's view are, in one mechanism: in one place for each kind."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np

from linkage.arrangements.coupled_wheels import wheel_name
from linkage.arrays import Array
from linkage.form.model import Model, Polygons, span_of, within
from linkage.form.sketch import Polygon
from linkage.mechanism import FRAME, PieceSort, Point, Slide
from linkage.scene.drawing import circle
from linkage.scene.moment import placed
from linkage.tables import views
from linkage.tables.views import (
    Ahead,
    AxleOf,
    Box,
    Circle,
    Edge,
    Figure,
    HoleFor,
    InBoxes,
    InSlot,
    Meeting,
    Middle,
    OnFrame,
    OnRim,
    OtherPin,
    PointOf,
    Put,
    Run,
    Seen,
    Share,
    Spot,
    Stop,
    View,
)

_CRANK_PIN = "crank pin"
_STRAIGHT = 1e6  # [1] radius of a straight slot, by its half length
_PLATE = 0.03  # thickness of a stop, as a share of the travel


@dataclass(frozen=True)
class Places:
    """The places of one view of one mechanism."""

    model: Model
    view: View
    section: str  # of the table
    own: str  # the part whose table it is; "" where there is none

    def at(self, spot: Spot) -> Point:
        """Return a place [mm]."""
        if isinstance(spot, Middle):
            return self._middle(spot)
        match spot:
            case Edge():
                return self._edge(spot)
            case Run(joint, along, of):
                return self._on_slide(joint, along, of)
            case Stop():
                return min(self.plate(spot), key=lambda corner: corner[1])
            case InSlot(part, along):
                radius, reach = self.slot(part)
                place = (radius, 0.0) if along is None else on_arc(radius, along * reach)
                return placed(self.pose(part), place)
            case Ahead(start, numbers):
                x, y = self.at(start)
                return x + sum(times * self._number(key) for key, times in numbers), y
            case Meeting(ahead, level):
                return self.at(ahead)[0], self.at(level)[1]
            case OnRim(of, ahead, up):
                (x, y), radius = self._round(of)
                return x + ahead * radius, y + up * radius
            case _:
                assert_never(spot)

    def _middle(self, spot: Middle) -> Point:
        match spot:
            case PointOf(part, point):
                return placed(self.pose(part), self.point(part, point))
            case OnFrame(joint):
                return self.model.joint(joint, FRAME)
            case AxleOf(wheel):
                return self.model.axle(self.part(wheel))
            case OtherPin(wheel):
                return self._other_pin(wheel)
            case InBoxes(wheel, ahead, up):
                axle = self.model.coupled(self.part(wheel))
                return ahead * axle.fore_aft, up * axle.vertical
            case _:
                assert_never(spot)

    def crosses(self, spot: Spot) -> list[Point]:
        """Return the middle of the pin, axle or hole that a place is of; none of another [mm]."""
        match spot:
            case OnRim(of):
                return [self._round(of)[0]]
            case InSlot(_, None | 0.0):
                return [self.at(spot)]
            case _:
                return [self._middle(spot)] if isinstance(spot, Middle) else []

    def shapes(self, figure: Figure) -> Polygons:
        """Return the outlines of what is drawn [mm]."""
        match figure:
            case Seen():
                shapes = self._whole(figure)
                if self.view.room is None:
                    return shapes
                (x, _), reach = self.at(self.view.room.about), self._share(self.view.room.reach)
                return within(shapes, x - reach, x + reach)
            case Circle() | HoleFor():
                return [circle(*self._round(figure))]
            case Box(start, end):
                (x, y), (to_x, to_y) = self.at(start), self.at(end)
                return [[(x, y), (to_x, y), (to_x, to_y), (x, to_y)]]
            case _:
                assert_never(figure)

    def corners(self, part: str) -> tuple[Point, ...]:
        """Return the corners of a part's outline, which is in one piece [mm]."""
        pose = self.pose(part)
        return tuple(placed(pose, spot) for spot in self.model.piece(self.part(part)).corners)

    def part(self, name: str) -> str:
        """Return a part's name; in place of that of the table's own, what the part is called."""
        match name:
            case views.OWN:
                return self.own
            case views.A_ROD:
                return self.model.coupling[0]
            case views.A_WHEEL:
                return wheel_name(self.model.coupling[1])
        return name

    def point(self, part: str, name: str) -> Point:
        """Return a named point of a part, in its own axes [mm]."""
        held = f"{self.model.coupling[1]} pin" if name == views.ITS_PIN else name
        return self.model.points[self.part(part)][held]

    def pose(self, part: str) -> Array:
        """Return where a part stands in this view [mm, mm, rad]."""
        seen = (f for f in self.view.figures if isinstance(f, Seen) and f.at)
        held = next((f.at for f in seen if self.part(f.part) == self.part(part)), None)
        match held:
            case None:
                return np.array([0.0, 0.0, self.view.turn])
            case Put(point, on):
                (x, y), own = self.at(on), self.point(part, point)
                return np.array([x - own[0], y - own[1], 0.0])
            case OnFrame(name):
                joint = next(j for j in self.model.mechanism.joints if j.name == name)
                if not isinstance(joint, Slide):
                    return np.array([*self.at(held), 0.0])
                return np.array([*self._on_slide(name, 0.5), joint.direction])
            case _:
                assert_never(held)

    def plate(self, stop: Stop) -> Polygon:
        """Return a thin plate at the end of a travel, three times as high as what runs there."""
        least, most = self._travel(stop.joint)
        runs = next(
            f for f in self.view.figures if isinstance(f, Seen) and f.at == OnFrame(stop.joint)
        )
        foot, top = span_of(self.shapes(runs), 1)
        low, high = 2 * foot - top, 2 * top - foot
        thick = _PLATE * (most - least)
        face, back = (most, most + thick) if stop.end else (least, least - thick)
        return [(face, low), (back, low), (back, high), (face, high)]

    def slot(self, part: str) -> tuple[float, float]:
        """Return the radius [mm] of a slot, below nought where its curve's centre is behind it.

        And its half length as an angle about that centre. Of a straight slot a radius is given
        of which no drawing shows the curve.
        """
        x, y = self.model.pieces(self.part(part), PieceSort.BODY)[0].corners[0]
        radius = (x**2 + y**2) / (2 * x) if x else _STRAIGHT * abs(y)
        return radius, math.atan2(abs(y), abs(radius - x))

    def _whole(self, seen: Seen) -> Polygons:
        part, pose = self.part(seen.part), self.pose(seen.part)
        if not self.view.plan:
            return self.model.seen(part, *seen.of, pose=pose)
        over = seen.over * self.model.side_play(part) if seen.over else 0.0
        return self.model.above(part, *seen.of, over=over, pose=pose)

    def _edge(self, edge: Edge) -> Point:
        of = () if edge.of is None else (edge.of,)
        shapes = self.shapes(Seen(edge.part, of, over=edge.over))
        (rear, front), (foot, top) = span_of(shapes, 0), span_of(shapes, 1)
        x = rear + edge.along * (front - rear)
        match edge.across:
            case None:
                return x, 0.0
            case float(share):
                return x, foot + share * (top - foot)
            case spot:
                return x, self.at(spot)[1]

    def _share(self, share: Share) -> float:
        """Return a length to draw with [mm]; of a whole view, whatever room it leaves."""
        whole = replace(self, view=replace(self.view, room=None))
        return share.times * math.dist(whole.at(share.start), whole.at(share.end))

    def _round(self, figure: Circle | HoleFor) -> tuple[Point, float]:
        """Return the centre and the radius of something round [mm]."""
        match figure:
            case Circle(centre, radius):
                return self.at(centre), self._share(radius)
            case HoleFor(rod, wheel):
                place, reach = self.model.holes(self.part(rod))[self.part(wheel)]
                return placed(self.pose(rod), place), reach
            case _:
                assert_never(figure)

    def _other_pin(self, wheel: str) -> Point:
        name = self.part(wheel)
        turn, throw = self.model.quarter(name), math.hypot(*self.model.points[name][_CRANK_PIN])
        return placed(self.pose(wheel), (throw * math.cos(turn), throw * math.sin(turn)))

    def _on_slide(self, joint: str, along: float, of: str = "") -> Point:
        x, y = self.model.joint(joint, FRAME)
        slide = next(j for j in self.model.mechanism.joints if j.name == joint)
        turn = slide.direction if isinstance(slide, Slide) else 0.0
        least, most = self._travel(joint, of)
        gone = least + along * (most - least)
        return x + gone * math.cos(turn), y + gone * math.sin(turn)

    def _travel(self, joint: str, of: str = "") -> tuple[float, float]:
        """Return from where to where a joint may go [mm]: all that runs there, or one thing."""
        held = [t for t in self.model.mechanism.travels if t.joint == joint and of in ("", t.part)]
        return max(travel.least for travel in held), min(travel.most for travel in held)

    def _number(self, key: str) -> float:
        """Return a number of the table [mm]."""
        return self.model.sheet.dimensions[self.model.side][f"{self.section}.{key}"]


def on_arc(radius: float, turn: float) -> Point:
    """Return a place on a slot upright at its middle, its centre ahead or behind [mm]."""
    return radius * (1 - math.cos(turn)), abs(radius) * math.sin(turn)
