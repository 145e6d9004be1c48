"""A mechanism at every place of its reverser.

The reverser turns one fixed part about a place of the frame; where it stands enters the loop
equations only through the pins on that part. From where the mechanism was followed the others are
reached in small steps of the reverser at all crank angles at once, each begun from where the two
before it lead to, so that every loop stays on its branch as it does when the lever is moved.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.kinematics.chain import Numbers
from linkage.kinematics.course import TURN, Course
from linkage.kinematics.intervals import cos, sin
from linkage.kinematics.turn import Motion, solve_at, solve_from
from linkage.mechanism import (
    SAME_PLACE,
    Joint,
    Mechanism,
    Part,
    Piece,
    Place,
    Point,
    Reverser,
    Running,
)

CRANKS = 120  # crank angles from which those between are begun
_STEP = np.radians(2.5)  # the reverser is moved by no more at a time [rad]


@dataclass(frozen=True)
class Swing:
    """A mechanism's motion from one end of its reverser to the other.

    Attributes
    ----------
    course : Course
        Of the mechanism where it stands.
    reverser : Reverser
        What is set.
    turned : array, shape (P,) [rad]
        Places of the reverser, evenly from end to end: how far it is turned from where it stands.
    unknowns : tuple of array, shape (n, P, CRANKS + 1) each [rad, mm]
        Each group's own at those places and at even crank angles, the first of the next turn the
        last; nan where its loops do not close.
    """

    course: Course
    reverser: Reverser
    turned: Array
    unknowns: tuple[Array, ...]

    @cached_property
    def step(self) -> float:
        """How far two places beside one another are apart [rad]."""
        return float(self.turned[1] - self.turned[0])

    def starts(self, crank: Array, turned: Array) -> list[Array]:
        """Return about where each group stands, shape (n, N), between the places, (N,) [rad]."""
        column = crank % TURN * (CRANKS / TURN)
        row = (turned - self.turned[0]) / self.step
        c = np.clip(column.astype(int), 0, CRANKS - 1)
        r = np.clip(row.astype(int), 0, len(self.turned) - 2)
        u, v = column - c, row - r
        return [
            (1 - v) * ((1 - u) * q[:, r, c] + u * q[:, r, c + 1])
            + v * ((1 - u) * q[:, r + 1, c] + u * q[:, r + 1, c + 1])
            for q in self.unknowns
        ]


def swing_of(course: Course) -> Swing | None:
    """Return a mechanism's motion at every place of its reverser.

    None where it has none, nothing says how far it goes, or it stands at either stop alone.
    """
    reverser = course.mechanism.reverser
    if reverser is None or not reverser.named or reverser.pin:
        return None
    ends = [reverser.turned(name) for name, _ in reverser.named]
    low, high = min(ends), max(ends)
    if high - low < 1e-6:
        return None
    turned = np.linspace(low, high, 2 + int((high - low) / _STEP))
    crank = np.asarray(np.arange(CRANKS) * (TURN / CRANKS))
    rows = dict(_reached(course, crank, turned))
    tables = []
    for group in range(len(course.chain.steps)):
        q = np.stack([rows[k][group] for k in range(len(turned))], axis=1)
        tables.append(np.concatenate((q, q[:, :, :1] + _whole_turns(course, group)), axis=2))
    return Swing(course, reverser, turned, tuple(tables))


def _whole_turns(course: Course, group: int) -> Array:
    """Return by how much a group's unknowns have grown after a turn, shape (n, 1, 1)."""
    rows = course.arcs[0].unknowns[group]
    grown = rows[:, -1] - rows[:, 0] if course.arcs[0].whole else np.zeros(len(rows))
    return np.asarray(grown[:, None, None])


def _reached(
    course: Course, crank: Array, turned: Array
) -> Iterator[tuple[int, tuple[Array, ...]]]:
    """Yield the unknowns at each place, from the nearest to where the mechanism stands outwards."""
    here = solve_at(course, crank).unknowns
    nearest = int(np.argmin(np.abs(turned)))
    for places in (range(nearest, len(turned)), range(nearest - 1, -1, -1)):
        known = [(0.0, here)]
        for k in places:
            starts = _foretold(known, float(turned[k]))
            found = _solved(course, crank, np.full(len(crank), turned[k]), starts).unknowns
            known = [known[-1], (float(turned[k]), found)]
            yield k, found


def _foretold(known: Sequence[tuple[float, tuple[Array, ...]]], to: float) -> list[Array]:
    """Return where the last two places lead to at the next; nan stays nan."""
    (last, q), (before, p) = known[-1], known[0]
    share = (to - last) / (last - before) if abs(last - before) > SAME_PLACE else 0.0
    return [b + share * (b - a) for a, b in zip(p, q, strict=True)]


def solve_places(swing: Swing, crank: Array, turned: Array) -> Motion:
    """Solve a mechanism at some crank angles, each with the reverser at a place of its own.

    The poses of the part that is set are turned with it, from where it is drawn.

    `crank`, `turned`, shape (N,) [rad]: the crank angles; how far the reverser is turned from
    where it stands.
    """
    motion = _solved(swing.course, crank, turned, swing.starts(crank, turned))
    pose = np.stack([*pose_turned(swing.reverser, turned)], axis=-1)
    return replace(motion, poses={**motion.poses, swing.reverser.part: pose})


def _solved(course: Course, crank: Array, turned: Array, starts: list[Array]) -> Motion:
    numbers = numbers_turned(course, turned)
    return solve_from(course, course.chain, (crank, starts, numbers), crank.shape)


def numbers_turned(course: Course, turned: Any) -> Numbers:
    """Return a mechanism's dimensions with its reverser turned.

    Those of the pins on the part that is set are arrays or intervals as `turned` is [rad].
    """
    reverser = course.mechanism.reverser
    found = []
    for joint, values in zip(course.mechanism.joints, course.numbers, strict=True):
        moved = list(values)
        for first, place in ((0, joint.a), (2, joint.b)):
            if reverser is not None and place.part == reverser.part:
                moved[first : first + 2] = turn_about(reverser.about, (place.x, place.y), turned)
        found.append(tuple(moved))
    return tuple(found)


def turn_about(about: Point, point: Point, turned: Any) -> tuple[Any, Any]:
    """Return a point turned about another [mm], by numbers, arrays or intervals [rad]."""
    c, s = cos(turned), sin(turned)
    x, y = point[0] - about[0], point[1] - about[1]
    return c * x - s * y + about[0], s * x + c * y + about[1]


def pose_turned(reverser: Reverser, turned: Any) -> tuple[Any, Any, Any]:
    """Return the pose of the part that is set: its axes were the frame's."""
    return (*turn_about(reverser.about, (0.0, 0.0), turned), turned)


def set_reverser(mechanism: Mechanism, place: Running, like: Mechanism) -> Mechanism:
    """Return a mechanism with its reverser set to another place.

    `like`: one of the same joints that stands there, for about where its pins then are.
    """
    reverser = mechanism.reverser
    if reverser is None:
        return mechanism
    by = reverser.turned(place)
    near = {joint.name: joint.near for joint in like.joints}
    turned = "" if reverser.pin else reverser.part
    parts = tuple(
        _turned_part(part, reverser, by) if part.name == turned else part
        for part in mechanism.parts
    )
    joints = tuple(
        replace(
            _turned_joint(joint, reverser, by) if reverser.pin in ("", joint.name) else joint,
            near=near.get(joint.name, joint.near),
        )
        for joint in mechanism.joints
    )
    stands = replace(reverser, stands=reverser.angle(place))
    return replace(mechanism, parts=parts, joints=joints, reverser=stands)


def _turned_part(part: Part, reverser: Reverser, by: float) -> Part:
    def turned(piece: Piece) -> Piece:
        spots = tuple(_turned_point(reverser, corner, by) for corner in piece.corners)
        return replace(piece, corners=spots)

    return replace(part, pieces=tuple(map(turned, part.pieces)))


def _turned_joint(joint: Joint, reverser: Reverser, by: float) -> Joint:
    def turned(place: Place) -> Place:
        x, y = _turned_point(reverser, (place.x, place.y), by)
        return replace(place, x=x, y=y) if place.part == reverser.part else place

    return replace(joint, a=turned(joint.a), b=turned(joint.b))


def _turned_point(reverser: Reverser, point: Point, by: float) -> Point:
    x, y = turn_about(reverser.about, point, by)
    return float(x), float(y)
