"""Against the two linkages of P. L. Chebyshev that draw one nearly straight line, and a table.

Lambda linkage: K. Hoecken, *Werkstattstechnik* (1926): crank : ground : the rest = 2 : 4 : 5, the
coupler produced to twice its length. Crossed linkage: ground 4, arms 5, coupler 2, traced by the
coupler's middle. The two are cognates (Roberts-Chebyshev), so their deviations are one number. The
table of link ratios for best straightness is cited from memory of R. L. Norton, *Design of
Machinery*; lengths and deviations were recomputed from its three-decimal ratios.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import follow, solve_at
from linkage.mechanism import Pin, Place
from linkage.search import find_crossings, find_minima
from tests.kinematics.linkages import four_bar, mechanism

DEVIATION = 0.0097537  # of the crank; checked to 1e-6
SEARCH = 1e-7  # [rad]: a height flat there is missed by its square only


def turned(course, x, axis, sign=1.0):
    """Return one coordinate of a point on the coupler's line as a curve over the turn."""

    def curve(angles):
        path = solve_at(course, angles.ravel()).point("coupler", x)
        return sign * path[:, axis].reshape(angles.shape)

    return curve


def extremes(curve, low, high):
    """Return the least value of a curve in low to high, dips found from 400 samples."""
    angles = np.linspace(low, high, 401)
    values = curve(angles)
    inner = np.flatnonzero((values[1:-1] <= values[:-2]) & (values[1:-1] <= values[2:])) + 1
    _, found = find_minima(curve, angles[inner - 1], angles[inner + 1], SEARCH)
    return float(min(values[0], values[-1], *found))


def lambda_linkage(ground=2.0, others=2.5):
    return follow(four_bar((1.0, others, others, ground)))


def height_range(course, others, low, high):
    least = extremes(turned(course, 2 * others, 1), low, high)
    most = -extremes(turned(course, 2 * others, 1, -1.0), low, high)
    return least, most


def crossed_linkage():
    near = (-1.0, 4.0)
    joints = (
        Pin("moving pin", Place("crank", 5, 0), Place("coupler", 0, 0)),
        Pin("other pin", Place("coupler", 2, 0), Place("arm", 5, 0), near=near),
        Pin("pivot", Place("arm", 0, 0), Place("frame", 2, 0)),
    )
    return follow(mechanism(("crank", "coupler", "arm"), joints, axle=(-2.0, 0.0)))


def crossed_window(course):
    """Return the crank angles between which the coupler's middle is within 2 of the middle."""
    ends = []
    for side in (-2.0, 2.0):
        # the middle stands at mid stroke with the crank arm through (1, 4)
        middle = -math.atan2(4, 3)
        beyond = middle + side * 0.35
        curve = turned(course, 1.0, 0)

        def passed(angles, curve=curve, side=side):
            return curve(angles) - side

        low, high = np.array([min(middle, beyond)]), np.array([max(middle, beyond)])
        ends.append(float(find_crossings(passed, low, high, 1e-12)[0]))
    return min(ends), max(ends)


def test_lambda_linkage_ends_of_the_straight_stroke():
    motion = solve_at(lambda_linkage(), np.radians([90, 180, 270]))
    path = motion.point("coupler", 5.0)
    expected = np.array([[0, 4], [2, 4], [4, 4]])
    assert np.abs(path[np.argsort(path[:, 0])] - expected).max() < 1e-11


def test_lambda_linkage_deviation():
    least, most = height_range(lambda_linkage(), 2.5, math.pi / 2, 3 * math.pi / 2)
    assert least == pytest.approx(4.0, abs=1e-9)
    assert most - 4 == pytest.approx(DEVIATION, abs=1e-6)
    assert (most - 4) / 4 < 0.01  # the published claim: within 1 % of the stroke


def test_lambda_linkage_cuts_its_ideal_line_six_times():
    """Four times within the straight stroke, twice more as it leaves the line at either end."""
    angles = np.linspace(0, 2 * math.pi, 2001)
    height = solve_at(lambda_linkage(), angles).point("coupler", 5.0)[:, 1]
    assert np.count_nonzero(np.diff(height > 4 + DEVIATION / 2)) == 6


def test_lambda_linkage_whole_curve():
    course = lambda_linkage()
    turn = (0.0, 2 * math.pi)
    found = [extremes(turned(course, 5.0, axis, sign), *turn) * sign
             for axis in (0, 1) for sign in (1.0, -1.0)]  # fmt: skip
    assert found == pytest.approx([-0.35181, 4.35181, 4.0, 4.89898], abs=5e-6)


def test_crossed_linkage_mid_position():
    motion = solve_at(crossed_linkage(), [-math.atan2(4, 3)])
    assert np.abs(motion.point("coupler", 1.0) - [0.0, 4.0]).max() < 1e-11


def test_crossed_linkage_deviation():
    course = crossed_linkage()
    low, high = crossed_window(course)
    least = extremes(turned(course, 1.0, 1), low, high)
    most = -extremes(turned(course, 1.0, 1, -1.0), low, high)
    assert least == pytest.approx(4.0, abs=1e-9)
    assert most - 4 == pytest.approx(DEVIATION, abs=1e-6)


def test_cognates_have_the_same_deviation():
    """Roberts-Chebyshev: two quite different linkages, one curve."""
    course = crossed_linkage()
    crossed = -extremes(turned(course, 1.0, 1, -1.0), *crossed_window(course))
    _, lambda_ = height_range(lambda_linkage(), 2.5, math.pi / 2, 3 * math.pi / 2)
    assert crossed == pytest.approx(lambda_, abs=1e-9)


TABLE = [  # window [deg], L1/L2, L3/L2, printed length and %, recomputed %
    (20, 2.975, 3.963, 0.601, 0.00001, 0.00036),
    (40, 2.950, 3.925, 1.193, 0.00004, 0.000044),
    (60, 2.900, 3.850, 1.763, 0.00027, 0.000265),
    (80, 2.825, 3.738, 2.299, 0.001, 0.0019),
    (100, 2.725, 3.588, 2.790, 0.004, 0.0048),
    (120, 2.625, 3.438, 3.238, 0.010, 0.0100),
    (140, 2.500, 3.250, 3.623, 0.023, 0.0231),
    (160, 2.350, 3.025, 3.933, 0.047, 0.0474),
    (180, 2.200, 2.800, 4.181, 0.096, 0.0963),
]


def stroke_and_deviation(window, ground, others):
    """Return the straight length in cranks and the deviation in percent of it."""
    course = lambda_linkage(ground, others)
    low, high = math.radians(180 - window / 2), math.radians(180 + window / 2)
    ends = solve_at(course, [low, high]).point("coupler", 2 * others)[:, 0]
    length = abs(ends[1] - ends[0])
    least, most = height_range(course, others, low, high)
    return length, 100 * (most - least) / length


@pytest.mark.parametrize("row", TABLE, ids=lambda row: str(row[0]))
def test_table_of_link_ratios(row):
    window, l1, l3, length, _, recomputed = row
    ours, deviation = stroke_and_deviation(window, l1, l3)
    assert ours == pytest.approx(length, abs=0.002)  # the ratios have three decimals only
    assert deviation == pytest.approx(recomputed, rel=0.05)  # likewise


@pytest.mark.xfail(reason="20, 80 and 100 deg: 0.00036, 0.0019, 0.0048 % from the rounded ratios")
@pytest.mark.parametrize("row", [TABLE[0], TABLE[3], TABLE[4]], ids=lambda row: str(row[0]))
def test_table_of_link_ratios_deviation_as_printed(row):
    window, l1, l3, _, printed, _ = row
    half_last_digit = 0.000005 if window == 20 else 0.0005
    assert stroke_and_deviation(window, l1, l3)[1] == pytest.approx(printed, abs=half_last_digit)
