"""The least air of one pair or of all, by samples: quick, for trying many variants of a sheet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.clearance.near import ANGLE, PairCurves, poses_at, reach_of, within_circles
from linkage.clearance.outlines import PairTable
from linkage.clearance.pairs import pair_parts
from linkage.kinematics import Course
from linkage.kinematics.course import TURN
from linkage.search import find_minima

_SAMPLES = 360  # crank angles at which one pair is looked at


def least_clearance(course: Course, wanted: float, parts: frozenset[str]) -> float:
    """Find the least clearance of one pair of parts round the turn, by samples.

    For trying many variants: what is held between the samples is for a survey to say.

    Parameters
    ----------
    course : Course
        The motion followed.
    wanted : float [mm]
        Clearance wanted.
    parts : frozenset of str
        The two parts.

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
    place = crank[int(np.argmin(values))]
    _, least = find_minima(curve, np.array([place - step]), np.array([place + step]), ANGLE)
    return float(min(reach, values.min(), least[0]))


@dataclass(frozen=True)
class Slack:
    """How much air there is beyond what is asked for, of the pair that has least of it.

    Attributes
    ----------
    value : float [mm]
        Below 0 where a pair comes closer than asked.
    parts : tuple of str
        The pair; empty where no pair comes near.
    at : float [rad]
        Crank angle.
    """

    value: float
    parts: tuple[str, ...]
    at: float


def least_slack(course: Course, wanted: float, samples: int, exact: bool = True) -> Slack:
    """Find the pair of parts that has the least air beyond what is asked of it, by samples.

    For many variants of a sheet; what is held between the samples is for a survey to say.

    Parameters
    ----------
    course : Course
        The motion followed.
    wanted : float [mm]
        Clearance wanted.
    samples : int
        Crank angles, evenly round the turn.
    exact : bool
        Whether the least of them is closed in on.

    Returns
    -------
    Slack
        At most what is looked at (`Survey.reach`) less the clearance wanted.
    """
    reach = reach_of(wanted)
    pairs = pair_parts(course.mechanism, wanted, reach)
    free = Slack(reach - wanted, (), 0.0)
    if not pairs:
        return free
    crank = np.asarray(np.arange(samples) * (TURN / samples))
    table = PairTable([piece for pair in pairs for piece in pair.pieces])
    poses = poses_at(course, crank)
    which, at = np.nonzero(within_circles(table, poses, np.zeros(1), reach))
    asked = np.repeat([pair.asked for pair in pairs], [len(pair.pieces) for pair in pairs])
    slack = table.clearances(which, at, poses, reach) - asked[which]
    slack = np.where(np.isnan(slack), np.inf, slack)
    if not len(slack) or slack.min() >= free.value:
        return free
    worst = int(np.argmin(slack))
    owner = np.repeat(np.arange(len(pairs)), [len(pair.pieces) for pair in pairs])
    pair = pairs[int(owner[which[worst]])]
    if not exact:
        return Slack(float(slack[worst]), pair.parts, float(crank[at[worst]]))
    curve = PairCurves(course, [pair], reach).rows(np.zeros(1, dtype=np.intp))
    place, step = crank[at[worst]], TURN / samples
    angle, least = find_minima(curve, np.array([place - step]), np.array([place + step]), ANGLE)
    value = min(float(least[0]) - pair.asked, float(slack[worst]))
    return Slack(value, pair.parts, float(angle[0] % TURN))
