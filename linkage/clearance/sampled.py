"""The least air of one pair, by samples: quick, for trying a variant of a sheet."""

from __future__ import annotations

import numpy as np

from linkage.clearance.near import ANGLE, PairCurves, reach_of
from linkage.clearance.pairs import pair_parts
from linkage.kinematics import Course
from linkage.kinematics.course import TURN
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
