"""Against R. L. Norton, *Design of Machinery*, ch. 4 (cited from memory).

Example 4-1: four-bar, ground 100, crank 40, coupler 120, rocker 80 mm, crank at 40 degrees.
Example 4-2: slider-crank, crank 40, rod 120, offset -20 mm, crank at 60 degrees.
The constants of Example 4-1 are those of F. Freudenstein, "Approximate synthesis of four-bar
linkages", *Trans. ASME* 77 (1955) 853-861.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import solve_turn
from tests.kinematics.linkages import DEGREE, four_bar, slider_crank

HALF_LAST_DIGIT = 0.005  # two decimals are printed [deg, mm]
LINKS = (40.0, 120.0, 80.0, 100.0)


def example_4_1(part, crossed):
    """Return the angle of a part of Example 4-1 [deg]."""
    motion = solve_turn(four_bar(LINKS, crossed), [-40 * DEGREE])
    return motion.poses[part][0, 2] / DEGREE


@pytest.mark.parametrize(("crossed", "printed"), [(False, 20.30), (True, -60.98)])
def test_example_4_1_coupler(crossed, printed):
    assert example_4_1("coupler", crossed) == pytest.approx(printed, abs=HALF_LAST_DIGIT)


@pytest.mark.xfail(
    reason="57.33 and -98.01 remembered, 57.3249 and -98.0050 exact: off by 0.0051 and 0.00504 deg,"
    " a hair more than half the last digit"
)
@pytest.mark.parametrize(("crossed", "printed"), [(False, 57.33), (True, -98.01)])
def test_example_4_1_rocker_as_printed(crossed, printed):
    assert example_4_1("rocker", crossed) == pytest.approx(printed, abs=HALF_LAST_DIGIT)


@pytest.mark.parametrize(
    ("part", "crossed", "exact"),
    [
        ("rocker", False, 57.3249),
        ("rocker", True, -98.0050),
        ("coupler", False, 20.2979),
        ("coupler", True, -60.9780),
    ],
)
def test_example_4_1_to_four_decimals(part, crossed, exact):
    """The same four angles from the quadratic in tan(t4/2), to half the fourth decimal."""
    assert example_4_1(part, crossed) == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize("crossed", [False, True])
def test_freudenstein_equation_holds_all_round(crossed):
    """K1 cos t4 - K2 cos t2 + K3 = cos(t2 - t4); 1e-12 of the longest link, as a share of 1."""
    a, b, c, d = LINKS
    k1, k2, k3 = d / a, d / c, (a**2 - b**2 + c**2 + d**2) / (2 * a * c)
    assert (k1, k2, k3) == (2.5, 1.25, 0.5625)
    crank = np.linspace(0, 2 * math.pi, 721)
    t4 = solve_turn(four_bar(LINKS, crossed), crank).poses["rocker"][:, 2]
    left = k1 * np.cos(t4) - k2 * np.cos(-crank) + k3
    assert np.abs(left - np.cos(-crank - t4)).max() < 1e-12


@pytest.mark.parametrize("crossed", [False, True])
def test_loops_close_to_1e_12_of_the_longest_link(crossed):
    crank = np.linspace(0, 2 * math.pi, 721)
    motion = solve_turn(four_bar(LINKS, crossed), crank)
    gap = motion.point("coupler", 120.0) - motion.point("rocker", 80.0)
    foot = motion.point("rocker") - np.array([100.0, 0.0])
    assert np.abs(gap).max() < 1e-12 * 120
    assert np.abs(foot).max() < 1e-12 * 120


@pytest.mark.parametrize(
    ("behind", "rod", "slider"), [(False, 152.91, 126.84), (True, 27.09, -86.84)]
)
def test_example_4_2(behind, rod, slider):
    """The book's rod angle is taken at the slider, a half turn from ours at the crank pin."""
    motion = solve_turn(slider_crank(40.0, 120.0, -20.0, behind), [-60 * DEGREE])
    at_slider = math.remainder(motion.poses["rod"][0, 2] + math.pi, 2 * math.pi)
    assert at_slider / DEGREE == pytest.approx(rod, abs=HALF_LAST_DIGIT)
    assert motion.poses["crosshead"][0, 0] == pytest.approx(slider, abs=HALF_LAST_DIGIT)
