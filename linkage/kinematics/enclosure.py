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
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import Any

import numpy as np

from linkage.arrays import Array, Mask
from linkage.kinematics.chain import Step, place_function
from linkage.kinematics.course import Course
from linkage.kinematics.equations import Group
from linkage.kinematics.intervals import Interval
from linkage.kinematics.rates import rates
from linkage.kinematics.transmission import jacobian_of
from linkage.kinematics.turn import Motion, solve_at

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
    work = _Work(course, motion, half)
    with np.errstate(all="ignore"):  # nan marks what is not reached or not proven
        for step, q in zip(course.chain.steps, motion.unknowns, strict=True):
            work.enclose_group(step, q)
    proven = work.proven & motion.reached
    poses, speeds = dict(work.poses), dict(work.speeds)
    if not proven[motion.reached].all():
        _fall_back(motion, half, proven, poses, speeds)
    return Enclosure(motion.crank, half, poses, speeds, proven, motion.reached)


class _Work:
    """The enclosures so far, group by group."""

    def __init__(self, course: Course, motion: Motion, half: Array) -> None:
        self.course, self.half = course, half
        self.proven = np.ones(motion.crank.shape, dtype=bool)
        zero = Interval(np.zeros_like(half), np.zeros_like(half))
        around = Interval.around(motion.crank, half)
        still = (zero, zero, zero)
        crank = course.chain.crank
        x, y = (zero + value for value in course.chain.axle)
        self.poses: dict[str, Any] = dict.fromkeys(course.chain.still, still)
        self.speeds: dict[str, Any] = dict.fromkeys(course.chain.still, still)
        self.points: dict[str, Any] = dict.fromkeys(course.chain.still, still)
        self.poses[crank] = (x, y, -around)
        self.speeds[crank] = (zero, zero, zero - 1.0)
        self.points[crank] = (x, y, -Interval(motion.crank, motion.crank))

    def enclose_group(self, step: Step, q: Array) -> None:
        """Enclose one group's poses at the middles and over the intervals, and its speeds."""
        group, dims = step.group, self.course.chain.dims(step, self.course.numbers)
        numbers = self.course.numbers
        at = self.course.chain.inputs(step, self.points, numbers, "interval")
        over = self.course.chain.inputs(step, self.poses, numbers, "interval")
        inverse = _inverse_jacobian(group, q, [_middle(value) for value in at], dims)
        test = _Krawczyk(group, q, inverse, dims)
        box, good = test.certain_box(at, np.full(q.shape, _POINT))
        points = group.compiled("solved", "interval")(list_of(box), at, dims)[group.size :]
        wide, sure = test.certain_box(over, None)
        speeds = self._speeds(step, test, wide, over, dims)
        self.proven &= good & sure & speeds.sure
        swing = Interval(-self.half, self.half)
        naturals = group.compiled("solved", "interval")(list_of(wide), over, dims)[group.size :]
        for number, name in enumerate(group.parts):
            place = slice(3 * number, 3 * number + 3)
            here = [_as_interval(value, self.half) for value in points[place]]
            self.points[name] = tuple(here)
            self.speeds[name] = tuple(_as_interval(v, self.half) for v in speeds.poses[place])
            self.poses[name] = tuple(
                _as_interval(natural, self.half).meet(point + speed * swing)
                for natural, point, speed in zip(
                    naturals[place], here, self.speeds[name], strict=True
                )
            )

    def _speeds(
        self, step: Step, test: _Krawczyk, box: Interval, over: list[Any], dims: list[Any]
    ) -> _Speeds:
        place = place_function(1, "interval")
        by: list[Any] = []
        for source in step.sources:
            spot = self.course.numbers[source.joint][source.first : source.first + 2]
            speed = self.speeds[source.part]
            by += [*place([*self.poses[source.part], *spot, *speed, 0.0, 0.0]), speed[2]]
        still = [0.0] * len(dims)
        q = list_of(box)
        rhs = step.group.compiled("rhs1", "interval")(q, over, dims, by, still)
        q1, sure = test.linear(box, over, rhs)
        poses = step.group.compiled("poses1", "interval")(q, over, dims, by, still, list_of(q1))
        return _Speeds(poses, sure)


@dataclass(frozen=True)
class _Speeds:
    poses: list[Any]
    sure: Mask


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
        sure: Mask = np.zeros(self.q.shape[1:], dtype=bool)
        box = Interval.around(self.q, radius)
        for _ in range(_ROUNDS):
            inner = self._map(box, shift, inputs)
            sure = np.asarray(((inner.low > box.low) & (inner.high < box.high)).all(axis=0))
            if sure.all():
                return inner, sure
            grown = np.maximum(np.abs(inner.low - self.q), np.abs(inner.high - self.q))
            radius = np.where(sure, radius, 1.1 * grown + 1e-12)
            box = Interval.around(self.q, radius)
        return self._map(box, shift, inputs), sure

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
        """Enclose the solutions of F_q x = -rhs over the box."""
        known = -_times(self.inverse, _stack(rhs, self.q.shape))
        left = self._contraction(box, inputs)
        share = left.magnitude.sum(axis=1).max(axis=0)
        sure = share < 0.9
        bound = known.magnitude.max(axis=0) / np.where(sure, 1 - share, np.nan) * (1 + 1e-12)
        found = Interval(
            np.broadcast_to(-bound, self.q.shape), np.broadcast_to(bound, self.q.shape)
        )
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
