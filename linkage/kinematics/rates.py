"""Velocities, accelerations and sensitivities, from the derivatives of the stated joints.

All are with respect to the crank angle or to a dimension; no time stands in them. Multiply a
velocity by the crank's speed [rad/s] to have mm/s.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.kinematics.chain import Numbers, Step, numbers_of, place_function
from linkage.kinematics.newton import solve_linear
from linkage.kinematics.turn import Motion
from linkage.mechanism import Mechanism


@dataclass(frozen=True)
class Rates:
    """First and, where asked for, second derivative of every pose and unknown.

    Attributes
    ----------
    first : mapping of str to array, shape (..., N, 3)
        By part; [mm/rad, mm/rad, 1] for the crank angle, [1, 1, rad/mm] for a length.
    second : mapping of str to array, shape (..., N, 3)
        Likewise; empty where not asked for.
    unknowns : tuple of array, shape (n, ..., N)
        First derivative of each group's unknowns.
    """

    first: Mapping[str, Array]
    second: Mapping[str, Array]
    unknowns: tuple[Array, ...]


def velocities(motion: Motion) -> dict[str, Array]:
    """Return d(pose)/d(crank angle) of every part.

    Returns
    -------
    dict of str to array, shape (..., N, 3) [mm/rad, mm/rad, 1]
        Nan where there is no position or the loop is at a dead point.
    """
    return dict(_rates(motion, 1.0, _still(motion.numbers), second=False).first)


def accelerations(motion: Motion) -> dict[str, Array]:
    """Return the second derivative of every pose by the crank angle.

    Returns
    -------
    dict of str to array, shape (..., N, 3) [mm/rad^2, mm/rad^2, 1/rad]
        Nan where there is no position.
    """
    return dict(_rates(motion, 1.0, _still(motion.numbers), second=True).second)


def rates(motion: Motion) -> Rates:
    """Return velocities and accelerations by the crank angle together.

    First and second derivatives.
    """
    return _rates(motion, 1.0, _still(motion.numbers), second=True)


def sensitivities(
    motion: Motion, lower: Sequence[Mechanism], upper: Sequence[Mechanism], span: float
) -> Rates:
    """Return how every pose changes with some dimensions of the sheet, each by itself.

    First derivatives by each dimension, shape (D, N, 3) for D of them; for one dimension in the
    shape of the motion's poses, of several variants too.

    Parameters
    ----------
    motion : Motion
        Of one mechanism; of several variants where there is but one dimension.
    lower, upper : sequence of D Mechanism
        The same with a dimension a little smaller and a little larger. They only tell how the
        joints' numbers go with it; the closure is differentiated exactly.
    span : float [mm or rad]
        Upper less lower.

    Raises
    ------
    ValueError
        Where the change would need joint numbers that are 0 in the motion's equations; solve the
        motion by `solve_variants` with the mechanisms among the variants then.
    """
    low, high = numbers_of(lower), numbers_of(upper)
    dots = tuple(
        tuple((b - a) / span for a, b in zip(x, y, strict=True))
        for x, y in zip(low, high, strict=True)
    )
    _check_active(motion, dots)
    return _rates(motion, 0.0, dots, second=False)


def _check_active(motion: Motion, dots: Numbers) -> None:
    """Refuse a change of numbers that the compiled equations hold to be 0."""
    for step in motion.chain.steps:
        inside = {(step.joints[joint], number) for joint, number in step.group.dims}
        at_ends = {
            (source.joint, source.first + offset) for source in step.sources for offset in (0, 1)
        }
        for joint in step.joints:
            for number, dot in enumerate(dots[joint]):
                if np.any(dot) and (joint, number) not in inside | at_ends:
                    name = motion.course.mechanism.joints[joint].name
                    raise ValueError(f"{name}: a number that is 0 in the equations would change")


def _still(numbers: Numbers) -> Numbers:
    return tuple(tuple(0.0 for _ in values) for values in numbers)


def _rates(motion: Motion, crank_rate: float, dots: Numbers, second: bool) -> Rates:
    zero = np.zeros_like(motion.crank)
    poses = {name: tuple(np.moveaxis(pose, -1, 0)) for name, pose in motion.poses.items()}
    first: dict[str, Sequence[Any]] = {name: (zero, zero, zero) for name in motion.chain.still}
    first[motion.chain.crank] = (zero, zero, zero - crank_rate)
    seconds: dict[str, Sequence[Any]] = {
        name: (zero, zero, zero) for name in [*motion.chain.still, motion.chain.crank]
    }
    unknowns = []
    moving = {motion.chain.crank} if crank_rate else set()
    for step, q in zip(motion.chain.steps, motion.unknowns, strict=True):
        work = _GroupRates(motion, step, q, dots)
        if not work.moves(moving):
            unknowns.append(np.zeros_like(q))
            for into in (first, seconds):
                work.store(into, [zero] * (3 * len(step.group.parts)))
            continue
        moving.update(step.group.parts)
        k, k1, k2 = work.inputs(poses, first, seconds if second else None)
        q1 = work.solve(work.call("rhs1", k, k1), k)
        unknowns.append(q1)
        work.store(first, work.step.group.compiled("poses1")(q, k, work.d, k1, work.d1, q1))
        if second:
            rhs = step.group.compiled("rhs2")(q, k, work.d, k1, work.d1, q1, k2)
            q2 = work.solve(rhs, k)
            values = step.group.compiled("poses2")(q, k, work.d, k1, work.d1, q1, k2, q2)
            work.store(seconds, values)
    shape = np.broadcast_shapes(motion.reached.shape, *(np.shape(dot) for d in dots for dot in d))
    pack = {name: _pack(value, shape) for name, value in first.items()}
    pack2 = {name: _pack(value, shape) for name, value in seconds.items()} if second else {}
    return Rates(pack, pack2, tuple(unknowns))


def _pack(values: Sequence[Any], shape: tuple[int, ...]) -> Array:
    return np.stack([np.broadcast_to(value, shape) for value in values], axis=-1)


class _GroupRates:
    """One group's share of the work."""

    def __init__(self, motion: Motion, step: Step, q: Array, dots: Numbers) -> None:
        self.motion, self.step, self.q, self.dots = motion, step, q, dots
        self.d = motion.chain.dims(step, motion.numbers)
        self.d1 = motion.chain.dims(step, dots)

    def moves(self, moving: Collection[str]) -> bool:
        """Tell whether it moves at all, by the parts before it that do and its own numbers."""
        return any(map(np.any, self.d1)) or any(
            source.part in moving
            or any(map(np.any, self.dots[source.joint][source.first : source.first + 2]))
            for source in self.step.sources
        )

    def inputs(
        self,
        poses: Mapping[str, Sequence[Any]],
        first: Mapping[str, Sequence[Any]],
        second: Mapping[str, Sequence[Any]] | None,
    ) -> tuple[list[Any], list[Any], list[Any]]:
        """Return the group's inputs and their first and second derivatives."""
        k: list[Any] = []
        k1: list[Any] = []
        k2: list[Any] = []
        for source in self.step.sources:
            place = self.motion.numbers[source.joint][source.first : source.first + 2]
            moved = self.dots[source.joint][source.first : source.first + 2]
            at = (*poses[source.part], *place)
            by = (*first[source.part], *moved)
            k += [*place_function(0, "array")(at), at[2]]
            k1 += [*place_function(1, "array")([*at, *by]), by[2]]
            if second is not None:
                twice = (*second[source.part], 0.0, 0.0)
                k2 += [*place_function(2, "array")([*at, *by, *twice]), twice[2]]
        return k, k1, k2

    def call(self, what: str, k: list[Any], k1: list[Any]) -> list[Any]:
        values: list[Any] = self.step.group.compiled(what)(self.q, k, self.d, k1, self.d1)
        return values

    def solve(self, rhs: Sequence[Any], k: list[Any]) -> Array:
        """Solve F_q x = -rhs."""
        n, shape = self.step.group.size, self.q.shape[1:]
        shape = np.broadcast_shapes(shape, *map(np.shape, rhs))
        values = self.step.group.compiled("jacobian")(self.q, k, self.d)
        matrix, right = np.empty((n, n, *shape)), np.empty((n, *shape))
        for row in range(n):
            right[row] = -rhs[row]
            for column in range(n):
                matrix[row, column] = values[row * n + column]
        return solve_linear(matrix, right)

    def store(self, into: dict[str, Sequence[Any]], values: Sequence[Any]) -> None:
        for number, name in enumerate(self.step.group.parts):
            into[name] = values[3 * number : 3 * number + 3]
