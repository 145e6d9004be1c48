"""The clearance of pairs of parts at any crank angles: what survey and trials have in common."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.outlines import PairTable, Poses, circle_about
from linkage.clearance.pairs import PartPair
from linkage.kinematics import Course, solve_at
from linkage.kinematics.course import TURN

WITHIN = 0.004
"""The least clearance of a pair is at most this much below what is reported [mm]."""
ANGLE = 2e-5  # angles are closed in on to this: 0.001 degree [rad]
_REACH = 5.0  # pairs that keep more than this many times the wanted clearance are not listed [1]


def reach_of(wanted: float) -> float:
    """Return up to which clearances are looked at, by the clearance wanted [mm]."""
    return max(_REACH * wanted, 10 * WITHIN)


def poses_at(course: Course, crank: Array) -> Poses:
    """Return the poses of all parts, in their order, at crank angles, shape (N,) [rad]."""
    motion = solve_at(course, crank)
    names = [part.name for part in course.mechanism.parts]
    return Poses.of(np.stack([motion.poses[name] for name in names]))


def within_circles(table: PairTable, poses: Poses, slack: Array, reach: float) -> Mask:
    """Tell at which middles the circles about two pieces come within reach, shape (P, N)."""
    spots = []
    sizes = np.zeros(len(table.pairs))
    for side in (0, 1):
        part = np.array([pair.parts[side] for pair in table.pairs])
        pieces = [pair.pieces[side] for pair in table.pairs]
        circles = np.array([circle_about(piece) for piece in pieces])
        sizes += circles[:, 2] + [piece.radius for piece in pieces]
        c, s, px, py = poses.cos[part], poses.sin[part], circles[:, :1], circles[:, 1:2]
        spots.append((poses.x[part] + c * px - s * py, poses.y[part] + s * px + c * py))
    apart = np.hypot(spots[1][0] - spots[0][0], spots[1][1] - spots[0][1]) - sizes[:, None]
    return np.asarray(apart - slack < reach)


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

    def values(self, owner: Index, crank: Array) -> Array:
        """Return each pair's clearance at a crank angle; infinite where it has no position."""
        angles, at = np.unique(crank, return_inverse=True)
        poses = poses_at(self.course, angles)
        counts = np.diff(self.first)[owner]
        starts = np.concatenate(([0], np.cumsum(counts)))
        within = np.arange(starts[-1]) - np.repeat(starts[:-1], counts)
        piece = np.repeat(self.first[:-1][owner], counts) + within
        values = self.table.clearances(piece, np.repeat(at, counts), poses, self.reach)
        values = np.where(np.isnan(values), np.inf, values)
        return np.asarray(np.minimum.reduceat(values, starts[:-1]))

    def rows(self, owners: Index, level: Array | None = None) -> Callable[[Array], Array]:
        """Return the curves of some pairs, less a level, for angles of shape (owners, K)."""

        def curve(angles: Array) -> Array:
            owner = np.repeat(owners, angles.shape[1])
            values = self.values(owner, angles.ravel() % TURN).reshape(angles.shape)
            return values if level is None else values - level[:, None]

        return curve
