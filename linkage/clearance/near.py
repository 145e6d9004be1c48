"""The clearance of pairs of parts at any crank angles: what survey and trials have in common."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.outlines import PairTable, Poses
from linkage.clearance.pairs import PartPair
from linkage.kinematics import Course, solve_at
from linkage.kinematics.course import TURN
from linkage.search import Floor, find_middles

WITHIN = 0.004
"""The least clearance of a pair is at most this much below what is reported [mm]."""
LEVEL = 1e-9
"""Clearances no farther apart than this are equal [mm]."""
ANGLE = 2e-5  # angles are closed in on to this: 0.001 degree [rad]
BESIDE = 1e-3
"""Where it is level so far to a side there is a floor: 0.06 degree [rad]."""
_REACH = 5.0  # pairs that keep more than this many times the wanted clearance are not listed [1]


def reach_of(wanted: float) -> float:
    """Return up to which clearances are looked at, by the clearance wanted [mm]."""
    return max(_REACH * wanted, 10 * WITHIN)


def poses_at(course: Course, crank: Array) -> Poses:
    """Return the poses of all parts, in their order, at crank angles, shape (N,) [rad]."""
    motion = solve_at(course, crank)
    names = [part.name for part in course.mechanism.parts]
    return Poses.of(np.stack([motion.poses[name] for name in names]))


def least_of_groups(
    table: PairTable,
    items: tuple[Index, Index, Array],
    starts: Index,
    poses: Poses,
    reach: float,
) -> Array:
    """Return the least clearance in each of some groups of items, one after another.

    The clearance of bars that slope is dear, but what it is not below is cheap. It is found out
    first where that is least, and then only where it is less than the least found.

    Parameters
    ----------
    items : (array of int, array of int, array of float), shape (M,) each
        Which pair of pieces, which position, and how much nearer they count [mm].
    starts : array of int, shape (G + 1,)
        Where each group, of one item or more, begins; and the end of the last.
    reach : float [mm]
        What is sure to be more need not be exact.

    Returns
    -------
    array, shape (G,) [mm]
        No more than `reach`; infinite where a part has no position.
    """
    pair, at, nearer = items
    group = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    best = np.full(len(starts) - 1, np.inf)
    low = table.farther(pair, at, poses, nearer)
    best[group[~np.isnan(low)]] = reach
    left = np.flatnonzero(low < reach)
    low[left] = table.clearances(pair[left], at[left], poses, -np.inf, nearer[left])
    while True:
        left = left[low[left] < best[group[left]]]
        if not len(left):
            return best
        order = left[np.lexsort((low[left], group[left]))]
        first = np.append(True, group[order][1:] != group[order][:-1])
        now, left = order[first], order[~first]
        found = table.clearances(pair[now], at[now], poses, best[group[now]], nearer[now])
        best[group[now]] = np.minimum(best[group[now]], found)


class PairCurves:
    """The clearance of every one of some pairs of parts, as a curve that can be asked anywhere.

    Parameters
    ----------
    course : Course
        The motion followed.
    pairs : sequence of PartPair
        The pairs, at least one.
    reach : float [mm]
        Up to which clearances are looked at.
    """

    def __init__(self, course: Course, pairs: Sequence[PartPair], reach: float) -> None:
        self.course, self.pairs, self.reach = course, pairs, reach
        self.table = PairTable([piece for pair in pairs for piece in pair.pieces])
        counts = np.array([len(pair.pieces) for pair in pairs])
        self.first = np.concatenate(([0], np.cumsum(counts)))

    def values(self, owner: Index, crank: Array, nearer: Array | None = None) -> Array:
        """Return each pair's clearance at a crank angle; infinite where it has no position.

        `nearer` [mm]: as for `PairTable.clearances`, of each.
        """
        angles, at = np.unique(crank, return_inverse=True)
        poses = poses_at(self.course, angles)
        counts = np.diff(self.first)[owner]
        starts = np.concatenate(([0], np.cumsum(counts)))
        within = np.arange(starts[-1]) - np.repeat(starts[:-1], counts)
        piece = np.repeat(self.first[:-1][owner], counts) + within
        by = np.zeros(len(owner)) if nearer is None else nearer
        items = (piece, np.repeat(at, counts), np.repeat(by, counts))
        return least_of_groups(self.table, items, starts, poses, self.reach)

    def rows(self, owners: Index, level: Array | None = None) -> Callable[[Array], Array]:
        """Return the curves of some pairs, less a level, for angles of shape (owners, K)."""

        def curve(angles: Array) -> Array:
            owner = np.repeat(owners, angles.shape[1])
            values = self.values(owner, angles.ravel() % TURN).reshape(angles.shape)
            return values if level is None else values - level[:, None]

        return curve

    def middles(
        self, owner: Index, at: Array, least: Array, floors: Callable[[int, float], Floor | None]
    ) -> Array:
        """Return where pairs are nearest [rad]: of a level floor its middle.

        `at` [rad], `least` [mm]: where they were found to be, and how near; `floors` takes a row
        and a place, and returns the floor there as far as the intervals tell.
        """
        beside = self.rows(owner, least + LEVEL)(at[:, None] + BESIDE * np.array([-1.0, 1.0]))
        known = [(k, floors(k, at[k])) for k in np.flatnonzero((beside <= 0).any(axis=1)).tolist()]
        level = [(k, floor) for k, floor in known if floor is not None]
        if level:
            rows = np.array([k for k, _ in level] * 2)
            curve = self.rows(owner[rows], least[rows] + LEVEL)
            at = at.copy()
            at[rows[: len(level)]] = find_middles(curve, [floor for _, floor in level], ANGLE)
        return at
