"""Percent of stroke against crank angle, as engineers' handbooks print it.

Such tables stand in W. Kent, *Mechanical Engineers' Pocket-Book*, and L. S. Marks, *Mechanical
Engineers' Handbook* (cited from memory, digits not copied from them). The digits here were worked
out from the closed form ``r(1 - cos t) + l - sqrt(l^2 - r^2 sin^2 t)`` and rounded to two decimals.
The ratio of 7.5 is from A. Sinclair, *Locomotive Engine Running and Management*, "Angularity of
connecting rod".
"""

import numpy as np
import pytest

from linkage.kinematics import solve_turn, velocities
from tests.kinematics.linkages import DEGREE, slider_crank

ANGLES = np.array([15, 30, 45, 60, 75, 90, 105, 120, 135, 150, 165])
TABLE = {
    3: [2.26, 8.80, 18.87, 31.39, 45.05, 58.58, 70.93, 81.39, 89.58, 95.40, 98.86],
    4: [2.12, 8.27, 17.79, 29.74, 42.98, 56.35, 68.86, 79.74, 88.51, 94.87, 98.72],
    5: [2.04, 7.95, 17.16, 28.78, 41.77, 55.05, 67.65, 78.78, 87.87, 94.55, 98.63],
    6: [1.98, 7.74, 16.74, 28.14, 40.97, 54.20, 66.85, 78.14, 87.45, 94.34, 98.58],
    7: [1.94, 7.59, 16.43, 27.69, 40.41, 53.59, 66.29, 77.69, 87.15, 94.20, 98.54],
    8: [1.91, 7.48, 16.21, 27.35, 39.99, 53.14, 65.87, 77.35, 86.92, 94.08, 98.51],
}
HALF_LAST_DIGIT = 0.005  # two decimals [%]


def percent(ratio, degrees):
    """Return the travel made from the front end in percent of the stroke."""
    crank = 4.33
    motion = solve_turn(slider_crank(crank, ratio * crank), np.asarray(degrees) * DEGREE)
    front = (1 + ratio) * crank
    return 100 * (front - motion.poses["crosshead"][:, 0]) / (2 * crank)


@pytest.mark.parametrize("ratio", TABLE)
def test_table(ratio):
    assert percent(ratio, ANGLES) == pytest.approx(np.array(TABLE[ratio]), abs=HALF_LAST_DIGIT)


@pytest.mark.parametrize("ratio", TABLE)
def test_closed_form(ratio):
    t = ANGLES * DEGREE
    exact = 50 * (1 - np.cos(t) + ratio - np.sqrt(ratio**2 - np.sin(t) ** 2))
    assert percent(ratio, ANGLES) == pytest.approx(exact, abs=1e-9)


@pytest.mark.parametrize("ratio", [2.5, 3, 4.7, 7.5, 8])
def test_mean_of_both_ends_is_harmonic(ratio):
    """From either end at the same angle past its dead centre the rod's terms cancel."""
    from_front = percent(ratio, ANGLES)
    from_back = 100 - percent(ratio, ANGLES + 180)
    mean = (from_front + from_back) / 2
    assert mean == pytest.approx(50 * (1 - np.cos(ANGLES * DEGREE)), abs=1e-9)


def test_dead_centres_at_0_and_180():
    motion = solve_turn(slider_crank(4.33, 38.0), np.array([0.0, np.pi]))
    assert motion.poses["crosshead"][:, 0] == pytest.approx([42.33, 33.67], abs=1e-11)
    # sin(pi) in floating point is 1e-16: a speed of nothing is 1e-15 of the throw
    assert velocities(motion)["crosshead"][:, 0] == pytest.approx([0.0, 0.0], abs=1e-14)


def test_angularity_of_a_rod_of_seven_and_a_half_cranks():
    """Sinclair's ratio on a 24 in stroke: on the quarter it is 0.8036 in past the middle."""
    past = percent(7.5, [90])[0] / 100 * 24 - 12
    assert past == pytest.approx(0.8036, abs=5e-5)
    assert percent(7.5, [90])[0] == pytest.approx(53.35, abs=HALF_LAST_DIGIT)
