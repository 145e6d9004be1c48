"""How sharp a curve an engine takes, by where that puts its wheelsets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from linkage.clearance.sampled import least_clearance
from linkage.clearance.sideways import sharpest_curve
from linkage.clearance.survey import PairClearance
from linkage.kinematics import Course

_STRAIGHT = 1e-9  # curvature that stands for straight track [1/mm]
_HALVINGS = 10  # of the span of curvatures: the radius is then known to a thousandth


@dataclass(frozen=True)
class Curves:
    """The sharpest curves of an engine.

    Attributes
    ----------
    stands_on : float [mm]
        Radius of the sharpest on which its wheelsets' side play lets it stand; infinite where it
        stands on the straight alone.
    free_on : float [mm]
        Radius of the sharpest up to which every pair has the clearance asked for; infinite where
        not even the straight is free; nan where one curve alone was looked at. Good to a hundredth.
    """

    stands_on: float
    free_on: float


def find_curves(course: Course, wanted: float, pairs: Sequence[PairClearance]) -> Curves | None:
    """Find the sharpest curves of one side.

    None with fewer than three wheelsets: those stand anywhere in their side play on any curve.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    pairs : sequence of PairClearance
        How near parts come with the wheelsets anywhere in their side play.
    """
    wheelsets = course.mechanism.wheelsets
    if len(wheelsets) < 3:
        return None
    stands_on = sharpest_curve(wheelsets)
    if course.mechanism.curve:
        return Curves(stands_on, math.nan)

    short = [pair for pair in pairs if pair.least < pair.asked]

    def free(bend: float) -> bool:
        on = replace(course, mechanism=replace(course.mechanism, curve=1 / bend))
        return all(
            least_clearance(on, wanted, frozenset(pair.parts), pair.asked) >= pair.asked
            for pair in short
        )

    if not short or not math.isfinite(stands_on) or free(1 / stands_on):
        return Curves(stands_on, stands_on)
    if not free(_STRAIGHT):
        return Curves(stands_on, math.inf)
    low, high = _STRAIGHT, 1 / stands_on
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if free(middle) else (low, middle)
    return Curves(stands_on, 1 / low)
