"""The least air of one pair, by samples: quick, for trying a variant of a sheet."""

from __future__ import annotations

import numpy as np

from linkage.clearance.near import ANGLE, PairCurves, reach_of
from linkage.clearance.outlines import PairTable, Poses
from linkage.clearance.pairs import pair_parts
from linkage.kinematics import Course, solve_near
from linkage.kinematics.course import TURN
from linkage.mechanism import Mechanism
from linkage.search import find_minima

_SAMPLES = 360  # crank angles at which one pair is looked at


def least_clearance(
    course: Course, wanted: float, parts: frozenset[str], short: float = -np.inf
) -> float:
    """Find the least clearance of one pair of parts round the turn, by samples.

    For trying many variants: what is held between the samples is for a survey to say.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    short : float [mm]
        What is less than this need not be known closer.

    Returns
    -------
    float [mm]
        Closed in on from the nearest of `_SAMPLES`; no more than the clearance up to which
        a survey looks.
    """
    reach = reach_of(wanted)
    pairs = pair_parts(course.mechanism, wanted, reach, parts)
    if not pairs:
        return reach
    curve = PairCurves(course, pairs, reach).rows(np.zeros(1, dtype=np.intp))
    step = TURN / _SAMPLES
    crank = np.asarray((np.arange(_SAMPLES) + 0.5) * step)
    values = curve(crank[None])[0]
    if values.min() < short:
        return float(values.min())
    place = crank[int(np.argmin(values))]
    _, least = find_minima(curve, np.array([place - step]), np.array([place + step]), ANGLE)
    return float(min(reach, values.min(), least[0]))


def clearance_beside(
    course: Course, mechanism: Mechanism, wanted: float, parts: frozenset[str], crank: float
) -> float:
    """Find the clearance of one pair at one crank angle, of a mechanism hardly unlike one followed.

    How it goes with a number where the pair is nearest is, to the first order, how the least of it
    round the turn goes: beside its least the clearance does not change with the crank.

    Parameters
    ----------
    mechanism : Mechanism
        The same parts and joints, of dimensions that differ by hardly anything.
    wanted : float [mm]
        Clearance wanted.
    crank : float [rad]
        Crank angle.

    Returns
    -------
    float [mm]
        No more than the clearance up to which a survey looks; nan where it has no position.
    """
    reach = reach_of(wanted)
    pieces = [piece for p in pair_parts(mechanism, wanted, reach, parts) for piece in p.pieces]
    if not pieces:
        return reach
    motion = solve_near(course, [mechanism], [crank])
    if not motion.reached.all():
        return float("nan")
    poses = Poses.of(np.stack([motion.poses[part.name][0] for part in mechanism.parts]))
    at = np.zeros(len(pieces), dtype=np.intp)
    values = PairTable(pieces).clearances(np.arange(len(pieces)), at, poses)
    return float(min(reach, values.min()))
