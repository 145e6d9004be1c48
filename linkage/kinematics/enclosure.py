"""Rigorous enclosures of poses and speeds over intervals of crank angle.

For each interval of crank angle with middle m, each group in turn: with inputs enclosed in K,
preconditioner Y = F_q(q_m)^-1 and a box X about q_m, Krawczyk's operator

    N(X) = q_m - Y F(q_m, K) + (I - Y F_q(X, K)) (X - q_m)

maps X into its own interior only if every crank angle of the interval has one solution in X, and
then it lies in N(X). On such a box the speeds solve an interval linear system, enclosed by the
same preconditioner, and the mean value form with those speeds tightens the poses again, so that
the boxes do not grow from group to group. All with outward rounding.

References
----------
R. Krawczyk, *Computing* 4 (1969) 187-201; R. E. Moore, R. B. Kearfott, M. J. Cloud,
*Introduction to Interval Analysis* (2009), ch. 8 (both cited from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from operator import add
from typing import Any

import numpy as np

from linkage.arrays import Array, Mask
from linkage.kinematics.chain import Numbers, Source, Step, place_function
from linkage.kinematics.course import Course
from linkage.kinematics.equations import Group
from linkage.kinematics.intervals import Interval
from linkage.kinematics.rates import rates
from linkage.kinematics.reversing import Swing, numbers_turned, pose_turned, solve_places
from linkage.kinematics.transmission import jacobian_of
from linkage.kinematics.turn import Motion, solve_at
from linkage.mechanism import Reverser

Pose = Sequence[Any]

_POINT = 1e-9  # half-width of the box tried about a solved position [rad, mm]
_ROUNDS = 8  # of enlarging the box before an interval is given up


@dataclass(frozen=True)
class Enclosure:
    """What is known for certain about a motion between its samples.

    Attributes
    ----------
    middle, half : array, shape (N,) [rad]
        The intervals of crank angle.
    poses : mapping of str to (Interval, Interval, Interval), shape (N,) [mm, mm, rad]
        Every pose taken anywhere in the interval.
    speeds : mapping of str to (Interval, Interval, Interval), shape (N,) [mm/rad, mm/rad, 1]
        Every derivative of a pose by the crank angle taken anywhere in the interval.
    proven : array of bool, shape (N,)
        Where both are proven. Elsewhere they are sampled, with a margin for the acceleration.
    reached : array of bool, shape (N,)
        Where the middle has a position at all.
    """

    middle: Array
    half: Array
    poses: Mapping[str, tuple[Interval, Interval, Interval]]
    speeds: Mapping[str, tuple[Interval, Interval, Interval]]
    proven: Mask
    reached: Mask


def enclose(course: Course, middle: Array, half: Array | float) -> Enclosure:
    """Enclose poses and speeds over intervals of crank angle.

    Proven wherever Krawczyk's test succeeds in every group.

    Parameters
    ----------
    middle : array, shape (N,) [rad]
        Middles of the intervals.
    half : float or array, shape (N,) [rad]
        Half their length.
    """
    motion = solve_at(course, middle)
    half = np.broadcast_to(np.asarray(half, dtype=float), motion.crank.shape)
    work = _Work(motion, _by_crank(course, motion.crank, half))
    work.enclose()
    proven = work.proven & motion.reached
    poses, speeds = dict(work.poses), dict(work.speeds[0])
    if not proven[motion.reached].all():
        _fall_back(motion, half, proven, poses, speeds)
    return Enclosure(motion.crank, half, poses, speeds, proven, motion.reached)


def enclose_places(
    swing: Swing, middle: tuple[Array, Array], half: tuple[Array, Array]
) -> tuple[Enclosure, Enclosure]:
    """Enclose poses and speeds over cells of crank angle and of the reverser's place.

    Two enclosures of the same poses, with the speeds by the crank and by the reverser. Where they
    are not proven they hold nan.

    Parameters
    ----------
    middle, half : (array, array), shape (N,) each [rad]
        Middles and half widths of the cells: crank angles, and how far the reverser is turned.
    """
    motion = solve_places(swing, *middle)
    crank, over = _by_crank(swing.course, middle[0], half[0]), Interval.around(middle[1], half[1])
    numbers = (numbers_turned(swing.course, middle[1]), numbers_turned(swing.course, over))
    work = _Work(motion, replace(crank, numbers=numbers, reverser=(swing.reverser, half[1], over)))
    work.enclose()
    proven = work.proven & motion.reached
    part, about = swing.reverser.part, swing.reverser.about
    here = pose_turned(swing.reverser, over)
    zero = Interval(np.zeros_like(half[0]), np.zeros_like(half[0]))
    # turning by 1 about a place, the part's origin goes square to the line to it
    speed = (about[1] - here[1], here[0] - about[0], zero + 1.0)
    work.poses[part] = tuple(_as_interval(value, half[0]) for value in here)
    work.speeds[1][part] = tuple(_as_interval(value, half[0]) for value in speed)
    first, second = (
        Enclosure(at, wide, work.poses, speeds, proven, motion.reached)
        for at, wide, speeds in zip(middle, half, work.speeds, strict=True)
    )
    return first, second


@dataclass(frozen=True)
class _Cells:
    """What is enclosed over: crank angles, and places of the reverser where it is turned too.

    Attributes
    ----------
    crank, half : array, shape (N,) [rad]
        Middles of the crank angles, and half their width.
    numbers : (tuple, tuple)
        Dimensions at the middles and over the cells.
    reverser : (Reverser, array, Interval) or None
        What is turned, half the width of its places, and its places [rad].
    """

    course: Course
    crank: Array
    half: Array
    numbers: tuple[Numbers, Numbers]
    reverser: tuple[Reverser, Array, Interval] | None = None


def _by_crank(course: Course, crank: Array, half: Array) -> _Cells:
    return _Cells(course, crank, half, (course.numbers, course.numbers))


class _Work:
    """The enclosures so far, group by group.

    `speeds` is by the crank, then by the reverser where it is turned too.
    """

    def __init__(self, motion: Motion, cells: _Cells) -> None:
        self.motion, self.cells, self.chain = motion, cells, cells.course.chain
        half = cells.half
        self.proven = np.ones(motion.crank.shape, dtype=bool)
        zero = Interval(np.zeros_like(half), np.zeros_like(half))
        around = Interval.around(motion.crank, half)
        still = (zero, zero, zero)
        crank = self.chain.crank
        x, y = (zero + value for value in self.chain.axle)
        self.halves = [half] if cells.reverser is None else [half, cells.reverser[1]]
        self.poses: dict[str, Any] = dict.fromkeys(self.chain.still, still)
        self.points: dict[str, Any] = dict.fromkeys(self.chain.still, still)
        self.speeds: list[dict[str, Any]] = [
            dict.fromkeys((*self.chain.still, crank), still) for _ in self.halves
        ]
        self.poses[crank] = (x, y, -around)
        self.speeds[0][crank] = (zero, zero, zero - 1.0)
        self.points[crank] = (x, y, -Interval(motion.crank, motion.crank))

    def enclose(self) -> None:
        """Enclose all groups."""
        with np.errstate(all="ignore"):  # nan marks what is not reached or not proven
            for step, q in zip(self.chain.steps, self.motion.unknowns, strict=True):
                self._enclose_group(step, q)

    def _enclose_group(self, step: Step, q: Array) -> None:
        """Enclose one group's poses at the middles and over the intervals, and its speeds."""
        there, wide_there = self.cells.numbers
        group, dims, half = step.group, self.chain.dims(step, there), self.cells.half
        at = self.chain.inputs(step, self.points, there, "interval")
        over = self.chain.inputs(step, self.poses, wide_there, "interval")
        inverse = _inverse_jacobian(group, q, [_middle(value) for value in at], dims)
        test = _Krawczyk(group, q, inverse, dims)
        box, good = test.certain_box(at, np.full(q.shape, _POINT))
        points = group.compiled("solved", "interval")(list_of(box), at, dims)[group.size :]
        wide, sure = test.certain_box(over, None)
        self.proven &= good & sure
        found = [self._speeds(step, test, wide, over, dims, way) for way in range(len(self.halves))]
        naturals = group.compiled("solved", "interval")(list_of(wide), over, dims)[group.size :]
        for number, name in enumerate(group.parts):
            place = slice(3 * number, 3 * number + 3)
            here = [_as_interval(value, half) for value in points[place]]
            self.points[name] = tuple(here)
            for speeds, poses in zip(self.speeds, found, strict=True):
                speeds[name] = tuple(_as_interval(v, half) for v in poses[place])
            self.poses[name] = tuple(
                _as_interval(natural, half).meet(self._mean_value(name, index, here[index]))
                for index, natural in enumerate(naturals[place])
            )

    def _mean_value(self, name: str, index: int, point: Interval) -> Interval:
        """Return a value of a pose over the cells by its speeds and what it is at the middle."""
        for half, speeds in zip(self.halves, self.speeds, strict=True):
            point = point + speeds[name][index] * Interval(-half, half)
        return point

    def _speeds(  # noqa: PLR0913 (a group's equations take so much)
        self,
        step: Step,
        test: _Krawczyk,
        box: Interval,
        over: list[Any],
        dims: list[Any],
        way: int,
    ) -> list[Any]:
        """Return the speeds of a group's poses, by the crank or by the reverser."""
        place = place_function(1, "interval")
        by: list[Any] = []
        for source in step.sources:
            spot = self.cells.numbers[1][source.joint][source.first : source.first + 2]
            speed = self.speeds[way][source.part]
            moved = place([*self.poses[source.part], *spot, *speed, *self._spot_speed(source, way)])
            by += [*moved, speed[2]]
        still = [0.0] * len(dims)
        q = list_of(box)
        rhs = step.group.compiled("rhs1", "interval")(q, over, dims, by, still)
        q1, sure = test.linear(box, over, rhs)
        self.proven &= sure
        found: list[Any] = step.group.compiled("poses1", "interval")(
            q, over, dims, by, still, list_of(q1)
        )
        return found

    def _spot_speed(self, source: Source, way: int) -> tuple[Any, Any]:
        """Return how fast a place goes in its own part: only on the part that is set it does."""
        reverser = self.cells.reverser
        if reverser is None or not way or source.part != reverser[0].part:
            return 0.0, 0.0
        x, y = self.cells.numbers[1][source.joint][source.first : source.first + 2]
        about = reverser[0].about
        return about[1] - y, x - about[0]


@dataclass(frozen=True)
class _Krawczyk:
    """Krawczyk's test for one group about solved middles `q`, shape (n, N)."""

    group: Group
    q: Array
    inverse: Array
    dims: list[Any]

    def certain_box(self, inputs: list[Any], radius: Array | None) -> tuple[Interval, Mask]:
        """Return a box that holds the solution for every input, and where that is proven."""
        at_middle = self.group.compiled("residual", "interval")(self.q, inputs, self.dims)
        shift = -_times(self.inverse, _stack(at_middle, self.q.shape))
        if radius is None:
            radius = 1.2 * shift.magnitude + _POINT
        box, sure = self._tried(radius, shift, inputs)
        for _ in range(_ROUNDS):
            left = ~sure & ~np.isnan(box.low).any(axis=0)  # in a wider box those left may be
            if not left.any():
                break
            grown = np.maximum(np.abs(box.low - self.q), np.abs(box.high - self.q))[:, left]
            some = replace(self, q=self.q[:, left], inverse=self.inverse[:, :, left])
            moved = Interval(shift.low[:, left], shift.high[:, left])
            inner, good = some._tried(
                1.1 * grown + 1e-12, moved, [_chosen(value, left) for value in inputs]
            )
            box.low[:, left], box.high[:, left], sure[left] = inner.low, inner.high, good
        return box, sure

    def _tried(self, radius: Array, shift: Interval, inputs: list[Any]) -> tuple[Interval, Mask]:
        """Return what a box becomes, and where it comes to lie inside itself."""
        box = Interval.around(self.q, radius)
        inner = self._map(box, shift, inputs)
        inside = (inner.low > box.low) & (inner.high < box.high)
        return inner, np.asarray(inside.all(axis=0))

    def _map(self, box: Interval, shift: Interval, inputs: list[Any]) -> Interval:
        return self.q + shift + _matrix_times(self._contraction(box, inputs), box - self.q)

    def _contraction(self, box: Interval, inputs: list[Any]) -> Interval:
        """Return I - Y F_q over the box, shape (n, n, N)."""
        n = self.group.size
        values = self.group.compiled("jacobian", "interval")(list_of(box), inputs, self.dims)
        jacobian = _stack(values, (n * n, *self.q.shape[1:]))
        low = jacobian.low.reshape(n, n, *self.q.shape[1:])
        high = jacobian.high.reshape(n, n, *self.q.shape[1:])
        product = _matrix_product(self.inverse, Interval(low, high))
        return np.eye(n).reshape(n, n, *[1] * (self.q.ndim - 1)) - product

    def linear(self, box: Interval, inputs: list[Any], rhs: Sequence[Any]) -> tuple[Interval, Mask]:
        """Enclose the solutions of F_q x = -rhs over the box.

        The unknowns are measured by the box itself: where it holds one solution, what is left of
        the identity hardly ever stretches anything so measured, be it in mm or radians.
        """
        known = -_times(self.inverse, _stack(rhs, self.q.shape))
        left = self._contraction(box, inputs)
        size = np.maximum(np.maximum(box.high - self.q, self.q - box.low), _POINT)
        share = (np.einsum("ij...,j...->i...", left.magnitude, size) / size).max(axis=0)
        sure = share < 0.9
        most = (known.magnitude / size).max(axis=0)
        bound = size * (most / np.where(sure, 1 - share, np.nan) * (1 + 1e-12))
        found = Interval(-bound, bound)
        for _ in range(4):
            found = found.meet(known + _matrix_times(left, found))
        return found, sure


def list_of(box: Interval) -> list[Interval]:
    """Return the rows of an array of intervals."""
    return [Interval(low, high) for low, high in zip(box.low, box.high, strict=True)]


def _stack(values: Sequence[Any], shape: tuple[int, ...]) -> Interval:
    low, high = np.empty(shape), np.empty(shape)
    for index, value in enumerate(values):
        low[index] = value.low if isinstance(value, Interval) else value
        high[index] = value.high if isinstance(value, Interval) else value
    return Interval(low, high)


def _as_interval(value: Any, like: Array) -> Interval:
    if isinstance(value, Interval):
        return Interval(
            np.broadcast_to(value.low, like.shape), np.broadcast_to(value.high, like.shape)
        )
    return Interval(np.broadcast_to(value, like.shape), np.broadcast_to(value, like.shape))


def _chosen(value: Any, cells: Mask) -> Any:
    """Pick some cells of an interval or an array; what is one number everywhere stays so."""
    if isinstance(value, Interval):
        return Interval(_chosen(value.low, cells), _chosen(value.high, cells))
    return np.broadcast_to(value, cells.shape)[cells] if np.ndim(value) else value


def _middle(value: Any) -> Any:
    return value.middle if isinstance(value, Interval) else value


def _row(box: Interval, index: int) -> Interval:
    return Interval(box.low[index], box.high[index])


def _times(matrix: Array, vector: Interval) -> Interval:
    """Return a plain matrix (n, n, N) times intervals (n, N)."""
    columns = range(matrix.shape[1])
    return reduce(add, (_row(vector, column) * matrix[:, column] for column in columns))


def _matrix_product(matrix: Array, other: Interval) -> Interval:
    rows = [
        Interval(low[None], high[None]) for low, high in zip(other.low, other.high, strict=True)
    ]
    return reduce(add, (row * matrix[:, column][:, None] for column, row in enumerate(rows)))


def _matrix_times(matrix: Interval, vector: Interval) -> Interval:
    columns = range(matrix.low.shape[1])
    parts = (Interval(matrix.low[:, column], matrix.high[:, column]) for column in columns)
    return reduce(add, (part * _row(vector, column) for column, part in enumerate(parts)))


def _inverse_jacobian(group: Group, q: Array, inputs: list[Any], dims: list[Any]) -> Array:
    """Return the inverse of F_q at the middles, shape (n, n, N); nan where singular."""
    matrix = jacobian_of(group, q, inputs, dims)
    inverse = np.full_like(matrix, np.nan)
    good = np.asarray(np.isfinite(matrix).all(axis=(1, 2)))
    good[good] &= np.abs(np.linalg.det(matrix[good])) > 0
    inverse[good] = np.linalg.inv(matrix[good])
    return np.moveaxis(inverse, 0, -1)


def _fall_back(
    motion: Motion,
    half: Array,
    proven: Mask,
    poses: dict[str, Any],
    speeds: dict[str, Any],
) -> None:
    """Put sampled speeds, with twice what the acceleration adds, where none is proven."""
    sampled = rates(motion)
    for name in poses:
        first, second = sampled.first[name], sampled.second[name]
        for index in range(3):
            speed = Interval.around(first[..., index], 2 * np.abs(second[..., index]) * half)
            reach = speed.magnitude * half
            pose = Interval.around(motion.poses[name][..., index], reach)
            poses[name] = _put(poses[name], index, _choose(proven, poses[name][index], pose))
            speeds[name] = _put(speeds[name], index, _choose(proven, speeds[name][index], speed))


def _choose(proven: Mask, sure: Interval, other: Interval) -> Interval:
    return Interval(np.where(proven, sure.low, other.low), np.where(proven, sure.high, other.high))


def _put(values: tuple[Any, ...], index: int, value: Any) -> tuple[Any, ...]:
    return (*values[:index], value, *values[index + 1 :])
