"""Positions of one mechanism at any crank angles, all at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike

from linkage.arrays import Array, Index, Mask
from linkage.kinematics.chain import Chain, Numbers, chain_of
from linkage.kinematics.course import TURN, Arc, Course, follow
from linkage.kinematics.newton import solve_array
from linkage.mechanism import Mechanism

_WINDOW = 10  # solved positions that each start is interpolated from


@dataclass(frozen=True)
class Motion:
    """Where every part is, at every crank angle asked for.

    Attributes
    ----------
    crank : array, shape (N,) [rad]
        Crank angles.
    poses : mapping of str to array, shape (N, 3) or (V, N, 3) [mm, mm, rad]
        Origin and angle of every part; nan where its loops do not close.
    unknowns : tuple of array, shape (n, N) or (n, V, N) [rad, mm]
        Each group's own unknowns, from which derivatives are taken.
    course : Course
        What was followed to get here.
    numbers : tuple of tuple
        The dimensions used.
    chain : Chain
        The groups used.
    """

    crank: Array
    poses: Mapping[str, Array]
    unknowns: tuple[Array, ...]
    course: Course
    numbers: Numbers
    chain: Chain

    @property
    def reached(self) -> Mask:
        """Where every part has a pose, shape (N,) or (V, N)."""
        shape = np.broadcast_shapes(*(pose.shape[:-1] for pose in self.poses.values()))
        whole = np.ones(shape, dtype=bool)
        for pose in self.poses.values():
            whole &= np.isfinite(pose).all(axis=-1)
        return whole

    def alone(self, variant: int) -> Motion:
        """Return it of one of several variants, by the equations of all."""
        one = slice(variant, variant + 1)
        poses = {name: pose[one] for name, pose in self.poses.items()}
        unknowns = tuple(rows[:, one] for rows in self.unknowns)
        numbers = tuple(tuple(value[one] for value in values) for values in self.numbers)
        return replace(self, poses=poses, unknowns=unknowns, numbers=numbers)

    def thinned(self, step: int) -> Motion:
        """Return it at every second, third or so crank angle alone."""
        poses = {name: pose[..., ::step, :] for name, pose in self.poses.items()}
        unknowns = tuple(rows[..., ::step] for rows in self.unknowns)
        return replace(self, crank=self.crank[::step], poses=poses, unknowns=unknowns)

    def first(self, count: int) -> Motion:
        """Return it at the first so many crank angles alone."""
        poses = {name: pose[..., :count, :] for name, pose in self.poses.items()}
        unknowns = tuple(rows[..., :count] for rows in self.unknowns)
        return replace(self, crank=self.crank[:count], poses=poses, unknowns=unknowns)

    def rolled(self, steps: int) -> Motion:
        """Return it, of an even whole turn, as it is so many crank angles earlier."""
        poses = {
            name: np.roll(pose, steps, axis=-2) if pose.shape[-2] > 1 else pose
            for name, pose in self.poses.items()
        }
        unknowns = tuple(np.roll(rows, steps, axis=-1) for rows in self.unknowns)
        return replace(self, crank=np.roll(self.crank, steps), poses=poses, unknowns=unknowns)

    def point(self, part: str, x: float = 0.0, y: float = 0.0) -> Array:
        """Return the path of a point of a part.

        Parameters
        ----------
        x, y : float [mm]
            The point in the part's own axes.

        Returns
        -------
        array, shape (N, 2) or (V, N, 2) [mm]
            In the frame's axes.
        """
        pose = self.poses[part]
        cos, sin = np.cos(pose[..., 2]), np.sin(pose[..., 2])
        return np.stack(
            (pose[..., 0] + cos * x - sin * y, pose[..., 1] + sin * x + cos * y), axis=-1
        )

    def joint(self, name: str) -> Array:
        """Return the path of a joint's place on its first part, shape (N, 2) [mm]."""
        joint = next(j for j in self.course.mechanism.joints if j.name == name)
        return self.point(joint.a.part, joint.a.x, joint.a.y)

    def travel(self, name: str) -> Array:
        """Return the travel of a slide or slot, shape (N,) or (V, N) [mm].

        Raises
        ------
        KeyError
            Where no slide or slot is called so.
        """
        for step, rows in zip(self.chain.steps, self.unknowns, strict=True):
            if ("travel", name) in step.group.unknowns:
                found: Array = rows[step.group.unknowns.index(("travel", name))]
                return found
        raise KeyError(name)


def solve_turn(mechanism: Mechanism, crank: ArrayLike) -> Motion:
    """Follow a mechanism round and solve it at the given crank angles.

    Closed to 1e-12 mm wherever it has a position.

    Parameters
    ----------
    crank : array_like, shape (N,) [rad]
        Crank angles, in any order.

    Raises
    ------
    MechanismError, AssemblyError
        Where parts and joints do not make a mechanism, or it cannot be put together.
    """
    return solve_at(follow(mechanism), crank)


def solve_at(course: Course, crank: ArrayLike) -> Motion:
    """Solve a mechanism already followed, at the given crank angles.

    Poses, nan in the open arcs.

    Parameters
    ----------
    course : Course
        From `follow`.
    crank : array_like, shape (N,) [rad]
        Crank angles.
    """
    return solve_numbers(
        course, np.atleast_1d(np.asarray(crank, dtype=float)), course.numbers, None
    )


def solve_numbers(
    course: Course,
    crank: Array,
    numbers: Numbers,
    variants: int | None,
    beyond: bool = False,
) -> Motion:
    """Solve a mechanism with some numbers, from the course of another much like it.

    Nan wherever Newton's method did not get there.

    Parameters
    ----------
    crank : array, shape (N,) [rad]
        Crank angles.
    numbers : tuple of tuple
        Dimensions, single numbers or arrays of one for each variant.
    variants : int or None
        How many variants there are; None for one that is no array.
    beyond : bool
        Whether the open arcs of the course are gone into as well, from the nearest edge: the loops
        that close there are then solved, and another's may.
    """
    chain = course.chain if variants is None else chain_of(course.mechanism, numbers)
    shape = crank.shape if variants is None else (variants, *crank.shape)
    starts = _starts(course, crank)
    if beyond:
        starts = [_nearest(start, crank) for start in starts]
    if variants is not None:
        starts = [np.repeat(start[:, None, :], variants, axis=1) for start in starts]
    return solve_from(course, chain, (crank, starts, numbers), shape)


def solve_from(
    course: Course,
    chain: Chain,
    given: tuple[Array, Sequence[Array], Numbers],
    shape: tuple[int, ...],
) -> Motion:
    """Solve a mechanism's groups one after another.

    Nan wherever Newton's method did not get there.

    Parameters
    ----------
    chain : Chain
        The groups.
    given : (array, sequence of array, tuple of tuple)
        Crank angles, about where each group stands, shape (n, *shape), and the dimensions.
    shape : tuple of int
        Of all positions.
    """
    crank, starts, numbers = given
    first = chain.first_poses(crank)
    names = [*first, *(name for step in chain.steps for name in step.group.parts)]
    poses = dict(zip(names, np.empty((len(names), 3, *shape)), strict=True))
    for name, pose in first.items():
        _fill(poses[name], pose)
    unknowns: list[Array] = []
    for step, start in zip(chain.steps, starts, strict=True):
        inputs, dims = chain.inputs(step, poses, numbers), chain.dims(step, numbers)
        q, values = solve_array(step.group, start, inputs, dims)
        unknowns.append(q)
        for number, name in enumerate(step.group.parts):
            _fill(poses[name], values[3 * number : 3 * number + 3])
    last = {name: np.moveaxis(pose, 0, -1) for name, pose in poses.items()}
    return Motion(crank, last, tuple(unknowns), course, numbers, chain)


def _fill(rows: Array, pose: Sequence[Any]) -> None:
    """Write x, y and angle, numbers or arrays, into their rows."""
    for row, value in zip(rows, pose, strict=True):
        row[...] = value


def _starts(course: Course, crank: Array) -> list[Array]:
    """Interpolate each group's unknowns from the course; nan in the open arcs."""
    groups = range(len(course.chain.steps))
    if len(course.arcs) == 1 and course.arcs[0].whole:
        return _interpolate(course.arcs[0], crank)
    starts = [np.full((len(course.arcs[0].unknowns[g]), len(crank)), np.nan) for g in groups]
    for arc in course.arcs:
        past = (crank - arc.crank[0]) % TURN
        inside = past <= arc.crank[-1] - arc.crank[0]
        for g, rows in enumerate(_interpolate(arc, crank[inside])):
            starts[g][:, inside] = rows
    return starts


def _nearest(start: Array, crank: Array) -> Array:
    """Return unknowns, shape (n, N), with those of the nearest known crank angle for the nans."""
    known = np.flatnonzero(~np.isnan(start).any(axis=0))
    if not len(known):
        return start
    apart = np.abs((crank[:, None] - crank[known] + TURN / 2) % TURN - TURN / 2)
    return np.asarray(start[:, known[apart.argmin(axis=1)]])


def _interpolate(arc: Arc, crank: Array) -> list[Array]:
    """Interpolate an arc's unknowns by the polynomial through the nearest solved positions.

    Between positions that crowd towards an opening loop a line serves better.
    """
    nodes, rows = arc.crank, arc.unknowns
    if not rows:  # nothing but the crank moves
        return []
    past = (crank - nodes[0]) % TURN + nodes[0]
    if arc.whole:
        half = _WINDOW // 2
        before, after = slice(-half - 1, -1), slice(1, half + 1)
        nodes = np.concatenate((nodes[before] - TURN, nodes, nodes[after] + TURN))
        full = [r[:, -1:] - r[:, :1] for r in rows]
        rows = tuple(
            np.concatenate((r[:, before] - f, r, r[:, after] + f), axis=1)
            for r, f in zip(rows, full, strict=True)
        )
    window = min(_WINDOW if arc.whole else 2, len(nodes))
    first = np.clip(np.searchsorted(nodes, past) - window // 2, 0, len(nodes) - window)
    table = sliding_window_view(np.concatenate(rows), window, axis=1).transpose(1, 0, 2)
    near = np.take(table, first, axis=0)  # (N, unknowns, window)
    start = np.matmul(near, _weights(nodes, window, first, past).T[:, :, None])[..., 0].T
    return np.split(start, np.cumsum([len(r) for r in rows])[:-1])


def _weights(nodes: Array, window: int, first: Index, at: Array) -> Array:
    """Return Lagrange's weights of the nodes from `first` on at each place, (window, N)."""
    gaps = at - nodes[first + np.arange(window)[:, None]]
    weights: Array = np.empty_like(gaps)
    for i in range(window):
        weights[i] = np.take(_lagrange_scale(nodes, window, i), first)
        for j in range(window):
            if j != i:
                weights[i] *= gaps[j]
    return weights


def _lagrange_scale(nodes: Array, window: int, i: int) -> Array:
    """Return for each window of nodes the factor of its i-th Lagrange polynomial."""
    count = len(nodes) - window + 1
    scale = np.ones(count)
    for j in range(window):
        if j != i:
            scale /= nodes[i : i + count] - nodes[j : j + count]
    return scale
