"""Levers that work a third valve from two: what they are for, with valves that are pure harmonics.

Common practice of three-cylinder engines, from memory, no source: a two-to-one and an equal lever
make of two valves whose cranks stand 120 degrees apart the third one's movement exactly, where
each is a harmonic of its crank; and for a cylinder inclined at 1 in 8 (7.1 degrees) the cranks
stand 120, 113 and 127 degrees apart.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import ARRANGEMENTS
from tests.ready import ready

SHEET = ready("ardmoor-4-6-0-conjugated")
INSIDE = ARRANGEMENTS["conjugated"].inside(SHEET.sides["right"])
CRANK = np.radians(np.arange(0.0, 360.0, 1.0))


@pytest.mark.parametrize("ahead", [0.0, 30.0, 150.0])
def test_two_harmonics_make_the_third(ahead):
    """Residual below 1e-14 of the valve's half travel."""
    right, left, third = (np.cos(CRANK - math.radians(k * 120.0 - ahead)) for k in range(3))
    made = np.array(INSIDE.shares) @ np.array([right, left])
    assert made == pytest.approx(third, abs=1e-14)


def test_levers_of_other_proportions_do_not():
    right, left, third = (np.cos(CRANK - math.radians(k * 120.0)) for k in range(3))
    assert np.abs(-0.9 * right - left - third).max() > 0.09


def test_the_cranks_of_a_cylinder_inclined_at_one_in_eight():
    slope = math.degrees(math.atan(1 / 8))
    left, inside = 120.0, math.degrees(INSIDE.follows)
    assert [left, inside - left, 360.0 - inside] == pytest.approx([120.0, 127.1, 112.9], abs=0.05)
    assert inside == pytest.approx(240.0 + slope, abs=0.05)


def test_its_dead_centres_are_along_its_own_line():
    """The crosshead is farthest ahead with the crank along the cylinder's line, raised ahead."""
    fine = np.radians(np.arange(-20.0, 20.0, 0.01))
    assert np.degrees(fine[np.argmax(INSIDE.piston(fine))]) == pytest.approx(-7.1, abs=0.011)
    assert np.ptp(INSIDE.piston(np.radians(np.arange(0.0, 360.0, 0.01)))) == pytest.approx(58.0)
