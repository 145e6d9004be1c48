"""Many variants of a mechanism, alike but for their dimensions, solved at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from linkage.arrays import Mask
from linkage.errors import AssemblyError
from linkage.kinematics.chain import chain_of, numbers_of
from linkage.kinematics.course import TURN, Course, begin_at_nought, follow_whole
from linkage.kinematics.turn import Motion, solve_at, solve_numbers, solve_turn
from linkage.mechanism import Mechanism

_FASTEST = 30.0  # a part turning faster than this, by the crank, may have changed branch [1]
_SAME = 1e-6  # two ways of finding a position agree within this [rad, mm]


def solve_variants(course: Course, mechanisms: Sequence[Mechanism], crank: ArrayLike) -> Motion:
    """Solve many variants of a mechanism at once.

    Poses of shape (V, N, 3). A variant too far from the course to start from it is followed
    by itself; one that stands hardly elsewhere (`solve_near`) need not be.

    Parameters
    ----------
    course : Course
        The followed course of one of them, or of one much like them.
    crank : array_like, shape (N,) [rad]
        Crank angles.

    Raises
    ------
    MechanismError
        Where the variants differ in more than dimensions.
    """
    motion = solve_near(course, mechanisms, crank)
    for index in np.flatnonzero(~motion.reached.all(axis=1)).tolist():
        try:
            _put(motion, index, solve_turn(mechanisms[index], motion.crank))
        except AssemblyError:
            _put(motion, index, None)
    return motion


def solve_near(course: Course, mechanisms: Sequence[Mechanism], crank: ArrayLike) -> Motion:
    """Solve variants that differ from a course by hardly anything, as `solve_variants` does.

    Nan wherever one has no position beside that of the course: where it is about to open.
    """
    angles = np.atleast_1d(np.asarray(crank, dtype=float))
    numbers = numbers_of([*mechanisms, course.mechanism])
    numbers = tuple(tuple(value[:-1] for value in values) for values in numbers)
    return solve_numbers(course, angles, numbers, len(mechanisms))


def solve_round(mechanisms: Sequence[Mechanism], samples: int) -> Motion | None:
    """Solve those of many variants that go all the way round, at even crank angles.

    Poses of shape (V, samples, 3), nan throughout for a variant that does not go round; None
    where none does.

    Parameters
    ----------
    samples : int
        Crank angles, evenly from 0.

    Raises
    ------
    MechanismError
        Where the variants differ in more than dimensions.

    Notes
    -----
    All start from the course of one of them. One that is then without a position somewhere, has a
    part that turns faster than it should, or does not begin where it would by itself (its `near`
    may say another branch) is followed by itself, as `follow` would. An opening narrower than the
    angle between two samples may pass.
    """
    order = np.argsort(np.abs(np.arange(len(mechanisms)) - len(mechanisms) // 2), kind="stable")
    found = ((k, follow_whole(mechanisms[k])) for k in order.tolist())
    known = next(((k, course) for k, course in found if course is not None), None)
    if known is None:
        return None
    course, crank = known[1], np.asarray(np.arange(samples) * (TURN / samples))
    motion = solve_numbers(course, crank, numbers_of(mechanisms), len(mechanisms))
    good = _evenly(motion)
    for index in np.flatnonzero(good).tolist():
        good[index] = _begins_so(mechanisms[index], motion, (index, 0))
    for index in np.flatnonzero(~good).tolist():
        own = course if index == known[0] else follow_whole(mechanisms[index])
        alone = None if own is None else solve_at(own, crank)
        _put(motion, index, alone if alone is not None and alone.reached.all() else None)
    return motion


def solve_as_far(course: Course, mechanisms: Sequence[Mechanism], samples: int) -> Motion:
    """Solve many variants at even crank angles, each as far round as it goes.

    Poses of shape (V, samples, 3); nan where a loop does not close.

    Parameters
    ----------
    course : Course
        That of one of them, or of one much like them.

    Notes
    -----
    Newton's method starts from the course; a variant that is then without a position somewhere, or
    leaps, is followed by itself, and if it goes round that holds. One that does not go round has
    positions wherever they were found, and of the loops that close where another is open: the edge
    of an opening is good to a sample.
    """
    crank = np.asarray(np.arange(samples) * (TURN / samples))
    motion = solve_numbers(course, crank, numbers_of(mechanisms), len(mechanisms), beyond=True)
    for index in np.flatnonzero(~_evenly(motion)).tolist():
        own = follow_whole(mechanisms[index])
        alone = None if own is None else solve_at(own, crank)
        if alone is not None and alone.reached.all():
            _put(motion, index, alone)
    return motion


def solve_beside(course: Course, mechanism: Mechanism, crank: ArrayLike) -> Motion | None:
    """Solve a mechanism hardly other than one that goes round, from the course of that one.

    None where it is to be followed by itself: where the other does not go round, a position is
    missing, a part leaps from one to the next, or it would not begin so by itself.

    Parameters
    ----------
    crank : array_like, shape (N,) [rad]
        Crank angles, of any turn, evenly round it.

    Notes
    -----
    For a drawing that follows a hand: an opening between two of the angles may pass, which `follow`
    would find.
    """
    if not course.arcs[0].whole:
        return None
    numbers = numbers_of([mechanism])
    chain = chain_of(mechanism, numbers)
    mine, theirs = (
        [(step.group.parts, step.group.unknowns) for step in held.steps]
        for held in (chain, course.chain)
    )
    if mine != theirs:
        return None
    guess = Course(mechanism, chain, numbers, course.arcs)
    angles = np.mod(np.append(crank, 0.0), TURN)  # and where it begins
    motion = solve_at(guess, angles)
    held = replace(motion, unknowns=tuple(rows[:, None] for rows in motion.unknowns))
    if not motion.reached.all() or _leaps(held, len(angles) - 1).any():
        return None
    if not _begins_so(mechanism, held, (0, -1)):
        return None
    return motion.first(len(angles) - 1)


def _evenly(motion: Motion) -> Mask:
    """Tell which variants have a position everywhere, and no leap from one to the next, (V,)."""
    return np.asarray(motion.reached.all(axis=1)) & ~_leaps(motion, len(motion.crank))


def _leaps(motion: Motion, count: int) -> Mask:
    """Tell in which variants a part turns faster than it should, (V,).

    `count`: crank angles round the turn, of which the motion has the first or all, one by one.
    """
    found = np.zeros(motion.unknowns[0].shape[1] if motion.unknowns else 1, dtype=bool)
    for group, rows in zip(motion.chain.steps, motion.unknowns, strict=True):
        turns = [k for k, (kind, _) in enumerate(group.group.unknowns) if kind == "turn"]
        steps = np.diff(rows[turns][..., :count], axis=-1)
        whole = np.rint(steps / TURN) * TURN  # from one turn to the next
        found |= (np.abs(steps - whole) > _FASTEST * TURN / count).any(axis=(0, 2))
    return found


def _begins_so(mechanism: Mechanism, motion: Motion, place: tuple[int, int]) -> bool:
    """Tell whether one variant begins, with the crank at 0, where it would by itself.

    `place`: which variant, and which of the crank angles is 0.
    """
    begin = begin_at_nought(mechanism)
    if begin is None:
        return False
    for group, rows, own in zip(motion.chain.steps, motion.unknowns, begin, strict=True):
        off = rows[(slice(None), *place)] - own
        turns = [kind == "turn" for kind, _ in group.group.unknowns]
        off[turns] = np.remainder(off[turns] + np.pi, TURN) - np.pi
        if np.abs(off).max(initial=0.0) > _SAME:
            return False
    return True


def _put(motion: Motion, index: int, alone: Motion | None) -> None:
    """Put one variant, solved by itself, into the arrays of all; nan where there is none."""
    for name, pose in motion.poses.items():
        pose[index] = np.nan if alone is None else alone.poses[name]
    for number, ours in enumerate(motion.unknowns):
        ours[:, index] = np.nan if alone is None else alone.unknowns[number]
