"""Against "Piston motion equations", encyclopedia article (cited from memory).

Its worked example: rod 6, crank 2, the crank angle of greatest piston speed, printed to five
decimals. The cubic in sin^2 is derived from the same closure, ``x = r cos t + sqrt(l^2 - r^2
sin^2 t)``, by setting its second derivative to nothing; it is solved by `numpy.roots`.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import accelerations, follow, solve_at
from linkage.search import find_crossings
from tests.kinematics.linkages import DEGREE, slider_crank

HALF_LAST_DIGIT = 5e-6  # five decimals are printed [deg]


def fastest(ratio):
    """Return the crank angle of greatest piston speed and the rod's slope there [rad]."""
    course = follow(slider_crank(2.0, 2.0 * ratio))

    def acceleration(angles):
        motion = solve_at(course, angles.ravel())
        return accelerations(motion)["crosshead"][:, 0].reshape(angles.shape)

    low, high = np.array([60 * DEGREE]), np.array([89 * DEGREE])
    angle = find_crossings(acceleration, low, high, 1e-9)
    rod = solve_at(course, angle).poses["rod"][0, 2]
    return float(angle[0]), float(rod)


def test_example_crank_angle_of_greatest_speed():
    angle, _ = fastest(3)
    assert angle / DEGREE == pytest.approx(73.17530, abs=HALF_LAST_DIGIT)


def test_example_rod_to_cylinder_axis():
    _, rod = fastest(3)
    assert rod / DEGREE == pytest.approx(18.60639, abs=HALF_LAST_DIGIT)


def test_example_rod_to_crank_is_not_square():
    angle, rod = fastest(3)
    assert 180 - (angle + rod) / DEGREE == pytest.approx(88.21832, abs=HALF_LAST_DIGIT)


def of_cubic(ratio):
    """Return the angle from s^3 - n^2 s^2 - n^4 s + n^4 = 0, s = sin^2 t in 0 to 1 [rad]."""
    roots = np.roots([1.0, -(ratio**2), -(ratio**4), ratio**4])
    s = next(root.real for root in roots if abs(root.imag) < 1e-9 and 0 < root.real < 1)
    return math.asin(math.sqrt(s))


@pytest.mark.parametrize("ratio", [2.2, 3, 4, 5, 7.5, 11])
def test_cubic_any_ratio(ratio):
    # the search stops within 1e-9 rad and goes on by a line; the cubic's root is good to 1e-13
    assert fastest(ratio)[0] == pytest.approx(of_cubic(ratio), abs=1e-9)


@pytest.mark.parametrize(("ratio", "degrees"), [(4, 76.72098), (5, 79.10014), (7.5, 82.53435)])
def test_other_ratios_to_five_decimals(ratio, degrees):
    """Computed once from the cubic alone, rounded to five decimals."""
    assert fastest(ratio)[0] / DEGREE == pytest.approx(degrees, abs=HALF_LAST_DIGIT)


@pytest.mark.parametrize(("ratio", "rule"), [(3, 71.565), (4, 75.964), (5, 78.690), (7.5, 82.405)])
def test_rule_of_thumb_crank_square_to_rod_is_low(ratio, rule):
    """The rule atan(n) comes out low, by less with a longer rod: it is not what is computed."""
    assert math.degrees(math.atan(ratio)) == pytest.approx(rule, abs=5e-4)
    assert 0.1 < fastest(ratio)[0] / DEGREE - rule < 1.7
