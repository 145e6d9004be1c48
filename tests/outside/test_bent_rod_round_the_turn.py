"""A bent rod over a bracket, round the turn, against shapely and python-fcl.

Sources: S. Gillies et al., *Shapely: manipulation and analysis of geometric objects*, version 2
(2022); J. Pan, S. Chitta, D. Manocha, *FCL: a general purpose library for collision and proximity
queries*, IEEE International Conference on Robotics and Automation (2012) 3859-3866.

The rod is put in place by the closed form of the slider-crank, written here. shapely sees it from
the side, cut into slices across, each at its own place sideways: the clearance is the least over
the slices of the greater of both gaps. python-fcl sees solids, and says at which crank angles
they meet.
"""

import math

import numpy as np
import pytest
from shapely import Polygon, box
from shapely.affinity import affine_transform

from linkage.clearance import pair_parts
from linkage.clearance.near import reach_of
from linkage.kinematics import follow
from tests.clearance import bodies
from tests.clearance.bodies import bow, dressed_slider_crank
from tests.outside.test_fcl_bodies import collide, placed
from tests.second_way.test_clearance_brute_force import curve_of

CRANK, ROD = 5.0, 24.0
HALF_WIDTH, OUT, THICK = 0.6, 2.0, 0.8
SLICES = 30  # to each straight stretch of the rod
WANTED = 0.5
BRACKETS = {  # from, to, its middle sideways, its thickness
    "from below, at its edge": ((11.0, -6.0, 13.0, -2.2), 1.1, 0.6),
    "along it, under the bow": ((13.2, -9.0, 14.6, 9.0), 0.75, 0.6),
    "on the far side": ((9.0, -9.0, 10.0, 9.0), 3.0, 0.5),
}
BOWS = {"bowed in": 0.7, "bowed out": -0.5, "straight": 0.0}


def rod_of(by):
    """Return the rod's stretches between its ends."""
    pieces = bow(ROD, HALF_WIDTH, OUT, THICK, by)
    return tuple(piece for piece in pieces if len(piece.corners) == 2)


def place(crank):
    """Return the big end, and cosine and sine of the rod's slope."""
    lean = math.asin(CRANK * math.sin(crank) / ROD)
    return (CRANK * math.cos(crank), -CRANK * math.sin(crank)), math.cos(lean), math.sin(lean)


def slices(rod):
    """Yield slices of the rod, each from the side, with where its middle is sideways."""
    for piece in rod:
        (a, _), (b, _) = piece.corners
        spots = np.linspace(a, b, SLICES + 1)
        outs = np.interp((spots[1:] + spots[:-1]) / 2, (a, b), piece.out)
        for low, high, out in zip(spots[:-1], spots[1:], outs, strict=True):
            yield box(low, -piece.radius, high, piece.radius), float(out)


def by_shapely(cut, bracket, crank):
    """Return the clearance, for where neither overlaps the other in both views."""
    (corners, out, thick), ((x, y), cos, sin) = bracket, place(crank)
    fixed: Polygon = box(*corners)
    return min(
        max(
            affine_transform(seen, [cos, -sin, sin, cos, x, y]).distance(fixed),
            abs(middle - out) - (THICK + thick) / 2,
        )
        for seen, middle in cut
    )


def meets_by_fcl(rod, bracket, crank):
    """Tell whether the solids meet."""
    (low_x, low_y, high_x, high_y), out, thick = bracket
    fixed = placed(bodies.box(low_x, low_y, high_x, high_y, 0.0, out, thick), (0.0, 0.0, 0.0))
    (x, y), cos, sin = place(crank)
    return any(collide(placed(piece, (x, y, math.atan2(sin, cos))), fixed) for piece in rod)


@pytest.mark.parametrize("by", BOWS)
@pytest.mark.parametrize("which", BRACKETS)
def test_at_every_tenth_degree(by, which):
    """What shapely says to half a slice's slope; and met where python-fcl says they meet."""
    rod, bracket = rod_of(BOWS[by]), BRACKETS[which]
    corners, out, thick = bracket
    fixed = (bodies.box(*corners, 0.0, out, thick),)
    course = follow(dressed_slider_crank(CRANK, ROD, {"rod": rod, "bracket": fixed}))
    reach = reach_of(WANTED)  # farther apart they are not looked at
    (pair,) = pair_parts(course.mechanism, WANTED, reach)
    crank = np.radians(np.arange(0, 360, 10))
    ours = curve_of(course, pair, crank, reach)
    cut = list(slices(rod))
    theirs = np.array([min(by_shapely(cut, bracket, angle), reach) for angle in crank.tolist()])
    slope = abs(BOWS[by]) * 4 / ROD  # of the bow at its ends, where it is steepest
    apart = np.maximum(ours, theirs) > 0  # overlapping seen from the side, shapely says nought
    assert ours[apart] == pytest.approx(theirs[apart], abs=slope * ROD / 12 / SLICES + 1e-6)
    sure = np.abs(ours) > 2e-3  # the library's round ends have flats
    met = np.array([meets_by_fcl(rod, bracket, angle) for angle in crank[sure].tolist()])
    assert (met == (ours[sure] < 0)).all()


def test_the_cases_are_met_and_clear():
    """So that both answers are tried."""
    verdicts = {
        meets_by_fcl(rod_of(by), bracket, math.radians(angle))
        for by in BOWS.values() for bracket in BRACKETS.values() for angle in range(0, 360, 60)
    }  # fmt: skip
    assert verdicts == {True, False}
