"""Where loops cannot close and by how much, where a branch would change, how well joints push."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.kinematics.chain import Step, chain_of, numbers_of
from linkage.kinematics.course import TURN, Course, Unknowns
from linkage.kinematics.start import SLACK, come_nearest
from linkage.kinematics.transmission import jacobian_of, transmission_sine
from linkage.kinematics.turn import Motion, solve_at
from linkage.mechanism import Mechanism
from linkage.search import find_crossings

_SAMPLES = 25  # across an open arc, before the worst place is closed in on
_WORST = 5e-5  # to this [rad]
_AT_AN_END = 1e-5  # nearer than this to where a loop opens nothing else is told [rad]


@dataclass(frozen=True)
class Opening:
    """An arc of the turn in which a loop cannot close.

    Attributes
    ----------
    parts : tuple of str
        The parts of the group that cannot be joined.
    joint : str
        The joint at which they are farthest apart.
    begin, worst, end : float [rad]
        Crank angles; begin and end good to 1e-9 rad, `end` after `begin`, past a turn if need be.
    gap : float [mm]
        The least that the loop's ends are apart at the worst place.
    """

    parts: tuple[str, ...]
    joint: str
    begin: float
    worst: float
    end: float
    gap: float


def find_openings(course: Course) -> tuple[Opening, ...]:
    """Find every arc in which a loop of a mechanism cannot close.

    In order of the turn; empty for a mechanism that turns.
    """
    return tuple(_opening(course, begin, end) for begin, end in course.open_arcs)


def _opening(course: Course, begin: float, end: float) -> Opening:
    from scipy.optimize import minimize_scalar

    arc = min(course.arcs, key=lambda arc: abs((arc.crank[-1] - begin + np.pi) % TURN - np.pi))
    angles = np.linspace(begin, end, _SAMPLES)
    near: Unknowns = [rows[:, -1].tolist() for rows in arc.unknowns]
    found = []
    for angle in angles:  # each from the one before, so that all are of one branch
        found.append(come_nearest(course.chain, course.numbers, angle, near, SLACK))
        near = found[-1][0]
    worst = max(range(_SAMPLES), key=lambda i: found[i][1])
    beside = float(angles[max(worst - 1, 0)]), float(angles[min(worst + 1, _SAMPLES - 1)])

    def at(angle: float) -> tuple[Unknowns, float, int, str]:
        return come_nearest(course.chain, course.numbers, angle, found[worst][0])

    fit = minimize_scalar(
        lambda angle: -at(angle)[1], bounds=beside, method="bounded", options={"xatol": _WORST}
    )
    place = max(float(fit.x), float(angles[worst]), key=lambda angle: at(angle)[1])
    _, gap, group, joint = at(place)
    return Opening(course.chain.steps[group].group.parts, joint, begin, place, end, gap)


def branch_changes(course: Course) -> tuple[tuple[float, tuple[str, ...]], ...]:
    """Find the crank angles at which a group could go over to its other branch.

    There the determinant of the group's Jacobian passes through zero while its loops stay closed:
    links lie in line, and which way they go on is not decided by the crank.

    Returns
    -------
    tuple of (float [rad], tuple of str)
        Crank angle and the group's parts.
    """
    found: list[tuple[float, tuple[str, ...]]] = []
    for arc in course.arcs:
        motion = solve_at(course, arc.crank)
        for index, step in enumerate(course.chain.steps):
            sign = np.sign(_determinant(motion, index))
            at = np.flatnonzero(sign[:-1] * sign[1:] < 0)

            def curve(angles: Array, index: int = index) -> Array:
                flat = _determinant(solve_at(course, angles.ravel()), index)
                return flat.reshape(angles.shape)

            where = find_crossings(curve, arc.crank[at], arc.crank[at + 1], 1e-6)
            if not arc.whole:  # where it ends links lie in line as well, and that is told already
                off = np.minimum(where - arc.crank[0], arc.crank[-1] - where)
                where = where[off > _AT_AN_END]
            found += [(float(angle % TURN), step.group.parts) for angle in where]
    return tuple(sorted(found))


def branches_crossed(motion: Motion) -> dict[tuple[str, ...], Array]:
    """Find which of many variants could go over to another branch, by samples.

    Returns
    -------
    dict of tuple of str to array, shape (V,) [rad]
        By the parts of each group: the first sample before which that can be, as
        `branch_changes` has it; nan where it cannot.
    """
    found = {}
    for index, step in enumerate(motion.chain.steps):
        sign = np.sign(_determinant(motion, index))
        crossed = np.asarray(sign[:, :-1] * sign[:, 1:] < 0)
        first = motion.crank[1:][np.argmax(crossed, axis=1)]
        found[step.group.parts] = np.where(crossed.any(axis=1), first, np.nan)
    return found


def transmission_angles(motion: Motion) -> dict[tuple[str, ...], Array]:
    """Return how squarely each group is driven, as an angle: 90 degrees best, 0 a dead point.

    For a pair of links this is the usual transmission angle between them, for a rod and slide the
    angle between the rod and the square to the slide. For larger groups it is the least angle
    between what one unknown does to the loops and what all others together can do.

    Returns
    -------
    dict of tuple of str to array, shape (..., N) [rad]
        By the parts of each group; 0 to pi/2.

    Notes
    -----
    The sine is `transmission_sine` of the closure's Jacobian.
    """
    angles: dict[tuple[str, ...], Array] = {}
    for index, step in enumerate(motion.chain.steps):
        sine = transmission_sine(_jacobian(motion, step, index))
        angles[step.group.parts] = np.arcsin(np.clip(sine, 0, 1))
    return angles


def _determinant(motion: Motion, index: int) -> Array:
    with np.errstate(invalid="ignore"):  # no position at the very place where links lie in line
        return np.asarray(np.linalg.det(_jacobian(motion, motion.chain.steps[index], index)))


def _jacobian(motion: Motion, step: Step, index: int) -> Array:
    poses = {name: tuple(np.moveaxis(pose, -1, 0)) for name, pose in motion.poses.items()}
    inputs = motion.chain.inputs(step, poses, motion.numbers)
    dims = motion.chain.dims(step, motion.numbers)
    return jacobian_of(step.group, motion.unknowns[index], inputs, dims)


def gap_from(course: Course, crank: float) -> Callable[[Mechanism], float]:
    """Return what tells how far a loop of mechanisms like one followed is apart at a crank angle.

    Parameters
    ----------
    course : Course
        The motion followed, from whose nearest solved position the loops are closed as far as
        they will go; from there those of the others are.
    crank : float [rad]
        Crank angle.

    Returns
    -------
    callable
        Of a mechanism of the same parts and joints, perhaps of other dimensions: the least gap
        [mm]; 0 where all loops close.
    """
    ends = [
        (abs((arc.crank[column] - crank + np.pi) % TURN - np.pi), arc, column)
        for arc in course.arcs
        for column in (0, -1)
    ]
    _, arc, column = min(ends, key=lambda end: end[0])
    end = [rows[:, column].tolist() for rows in arc.unknowns]
    near = come_nearest(course.chain, course.numbers, crank, end)[0]

    def gap(mechanism: Mechanism) -> float:
        numbers = numbers_of([mechanism])
        return come_nearest(chain_of(mechanism, numbers), numbers, crank, near)[1]

    return gap
