"""The ready sheets without a valve gear, each against its closed form."""

import math

import numpy as np
import pytest

from linkage.arrangements import points_of
from linkage.kinematics import solve_at, transmission_angles
from linkage.tightspots import amount_of

TURN = np.linspace(0.0, 2 * math.pi, 721)


def traced(examined, name, part):
    """Return the path of a part's tracing point over a turn [mm]."""
    found = examined(name)
    place = points_of(found.sheet)["only"][part]["tracer"]
    return solve_at(found.sides["only"].course, TURN).point(part, *place)


def test_slider_crank_travel(examined):
    """``13 cos a + sqrt(65^2 - 13^2 sin^2 a)``: the crosshead pin ahead of the axle."""
    angles = np.radians([0, 30, 90, 180, 250])
    travel = solve_at(examined("slider-crank").sides["only"].course, angles).travel(
        "crosshead slide"
    )
    expected = 13 * np.cos(angles) + np.sqrt(65**2 - (13 * np.sin(angles)) ** 2)
    assert travel == pytest.approx(expected, abs=1e-9)
    assert travel[[0, 3]] == pytest.approx([78, 52], abs=1e-9)


def rocker_at_dead_centre(rod):
    """Return the arm's angle at its pivot with crank and rod in line, by the cosine rule [rad]."""
    return math.pi - math.acos((50**2 + 15**2 - rod**2) / (2 * 50 * 15))


def test_four_bar_swing(examined):
    """The arm turns back with crank and rod in line, 48 + 6 and 48 - 6 long together."""
    course = examined("four-bar").sides["only"].course
    angle = solve_at(course, np.linspace(0, 2 * math.pi, 36001)).poses["pawl arm"][:, 2]
    ends = sorted((rocker_at_dead_centre(54), rocker_at_dead_centre(42)))
    # at a turning point a hundredth of a degree of crank moves the arm by less than 1e-7
    assert [angle.min(), angle.max()] == pytest.approx(ends, abs=1e-7)


def test_four_bar_transmission_angle(examined):
    """Least with crank and ground in line: cos mu = (48^2 + 15^2 - (50 -+ 6)^2) / (2 48 15)."""
    course = examined("four-bar").sides["only"].course
    ((_, found),) = (
        (parts, values)
        for parts, values in transmission_angles(solve_at(course, [0.0, math.pi])).items()
        if set(parts) == {"drive rod", "pawl arm"}
    )
    cosines = [(48**2 + 15**2 - (50 + k * 6) ** 2) / (2 * 48 * 15) for k in (-1, 1)]
    acute = [math.acos(abs(cosine)) for cosine in cosines]
    assert found == pytest.approx(acute, abs=1e-9)


def test_four_bar_that_cannot_close(examined):
    """The crank pin may be 48 + 5 from the arm's pivot at most; at 180 degrees it is 56, 3 over."""
    (spot,) = examined("four-bar-cannot-close").spots
    half = math.acos((6**2 + 50**2 - 53**2) / (2 * 6 * 50))
    assert (spot.begin, spot.end) == pytest.approx((half, 2 * math.pi - half), abs=1e-8)
    assert spot.worst == pytest.approx(math.pi, abs=2e-4)  # closed in on to this
    assert amount_of(spot) == pytest.approx(3.0, abs=1e-6)


def test_hoecken_straightness(examined):
    """0.0097537 cranks over a stroke of 4 cranks: K. Hoecken, Werkstattstechnik 1926."""
    path = traced(examined, "hoecken", "coupler")[180:541]
    assert np.ptp(path[:, 0]) == pytest.approx(40.0, abs=1e-9)
    assert path[:, 1].min() == pytest.approx(40.0, abs=1e-9)
    assert path[:, 1].max() == pytest.approx(40.097537, abs=1e-5)


def test_chebyshev_straightness(examined):
    """The same deviation over the whole stroke of the crosshead: the two draw one curve."""
    path = traced(examined, "chebyshev", "coupler")
    assert [path[:, 0].min(), path[:, 0].max()] == pytest.approx([-20.0, 20.0], abs=2e-3)
    assert path[:, 1].min() == pytest.approx(40.0, abs=1e-5)  # it touches 40 at both ends and amid
    assert path[:, 1].max() == pytest.approx(40.097537, abs=1e-5)


def test_peaucellier_straightness(examined):
    """OP x OQ = 50^2 - 30^2, so with P on a circle through O of radius 13, x = 1600 / 26."""
    path = traced(examined, "peaucellier", "upper outer bar")
    assert path[:, 0] == pytest.approx(1600 / 26, abs=1e-9)
    assert np.ptp(path[:, 1]) > 40
