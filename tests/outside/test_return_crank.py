"""Setting the return crank: the link stands alike on both dead centres.

Timing rules of the IBLS pages for builders of live steam, after Friends catalogue 5A: equal trammel
distance from the return crank's pin to the link's foot pin on both dead centres. Wood, *The
Walschaert and other modern radial valve gears* (1906-1912), p. 129: because the foot pin seldom
comes down to the axle's level, the return crank is then not quite a quarter turn from the crank
pin. K. N. Harris, in *Model Engineer*, as quoted by builders: a link should swing by no more than
about 25 degrees to either side.
"""

import math

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.kinematics import follow, solve_at
from linkage.search import find_minima
from linkage.sheet import read_sheet
from linkage.sheet.ready import ready_sheets
from tests.outside.ideal_gear import CONNECTING_ROD, FOOT, FOOT_PIN, PIN_CIRCLE, SQUARE, IdealGear

GEAR = IdealGear(0.13839)
# in line; inclined; and inclined with the centre line above the axle: degrees, mm
CYLINDERS = [(0.0, 0.0), (4.0, 0.0), (3.0, 25.0)]


def dead_centres(course):
    """Return the crank angles at which the crosshead turns, front and back [rad]."""
    found = []
    for sign, low, high in ((-1.0, -0.8, 0.8), (1.0, math.pi - 0.8, math.pi + 0.8)):

        def travel(angles, sign=sign):
            motion = solve_at(course, angles.ravel() % math.tau)
            return sign * motion.travel("crosshead slide").reshape(angles.shape)

        angle, _ = find_minima(travel, np.array([low]), np.array([high]), 1e-6)
        found.append(float(angle[0]))
    return found


def by_hand(cylinder):
    """Return both dead centres [rad]: crank and rod in one line, ``sin = height / (l +- r)``."""
    inclination, height = math.radians(cylinder[0]), cylinder[1]
    ahead = math.asin(height / (CONNECTING_ROD + GEAR.half_stroke))
    behind = math.asin(height / (CONNECTING_ROD - GEAR.half_stroke))
    return [-(ahead + inclination), math.pi - (behind + inclination)]


def trammel(leads, crank):
    """Return the distance from the return crank's pin to the foot pin, the link upright [mm]."""
    angle = -math.radians(leads) - crank
    pin = PIN_CIRCLE * math.cos(angle), PIN_CIRCLE * math.sin(angle)
    return math.dist(pin, FOOT_PIN)


def setting(cylinder, leads, centres):
    """Return the motion at both dead centres, the eccentric rod cut to the front one's distance."""
    inclination, height = cylinder
    course = follow(
        GEAR.mechanism(
            cylinder={"inclination": inclination, "axis_height": height},
            return_crank={"pin_circle": PIN_CIRCLE, "leads": leads},
            eccentric_rod={"centres": trammel(leads, centres[0])},
        )
    )
    return solve_at(course, centres)


def square_for(centres):
    """Return the lead that puts the pin as far from the foot pin on either centre [degrees].

    Equal distances from P for two places of the pin mean that P lies on the line midway between
    them: the pin's mean direction is square to it.
    """
    return SQUARE - math.degrees(sum(centres) - math.pi) / 2


@pytest.mark.parametrize("cylinder", CYLINDERS)
def test_dead_centres(cylinder):
    """Flat there: an angle closed in on by the travel is good to about 1e-6 rad."""
    inclination, height = cylinder
    course = GEAR.course(cylinder={"inclination": inclination, "axis_height": height})
    assert dead_centres(course) == pytest.approx(by_hand(cylinder), abs=2e-6)


@pytest.mark.parametrize("cylinder", CYLINDERS)
def test_link_stands_alike_on_both_dead_centres(cylinder):
    centres = by_hand(cylinder)
    motion = setting(cylinder, square_for(centres), centres)
    front, back = motion.poses["expansion link"][:, 2]
    assert front == pytest.approx(back, abs=1e-9)


def test_equal_trammel_distance():
    motion = setting(CYLINDERS[0], SQUARE, by_hand(CYLINDERS[0]))
    distances = np.hypot(*(motion.joint("return crank pin") - FOOT_PIN).T)
    assert distances == pytest.approx([math.hypot(*FOOT_PIN, PIN_CIRCLE)] * 2, abs=1e-9)


def test_not_quite_a_quarter_turn():
    """The foot pin is 4 above the axle's level at 300: 0.76 degree off the quarter turn."""
    assert pytest.approx(90 - 0.76, abs=0.005) == SQUARE
    front, back = setting(CYLINDERS[0], 90.0, by_hand(CYLINDERS[0])).poses["expansion link"][:, 2]
    # the pin then stands c sin 0.76 nearer on the one and farther on the other centre
    apart = 2 * PIN_CIRCLE * math.sin(math.radians(90 - SQUARE)) / FOOT
    assert abs(front - back) == pytest.approx(apart, rel=0.01)  # the foot's arc: (apart / 2)^2 / 2


def test_swing():
    """``asin(circle / foot)`` to either side, but for the eccentric rod's angle."""
    crank = np.radians(np.arange(0.0, 360.0, 0.5))
    lean = solve_at(GEAR.course(), crank).poses["expansion link"][:, 2]
    expected = math.asin(PIN_CIRCLE / FOOT)
    # the foot rises by 1.6 as it swings, which over the rod's 300 takes and gives hundredths of 7
    assert [-lean.min(), lean.max()] == pytest.approx([expected] * 2, rel=0.01)


@pytest.mark.parametrize(
    ("name", "within"),
    [("ardmoor-0-6-0-7mm", True), ("ardmoor-pacific-5in", True), ("ardmoor-2-6-0", False)],
)
def test_swing_of_the_ready_sheets(name, within):
    """Harris's 25 degrees; model makers of small scales go beyond it, and so does the 2-6-0."""
    mechanism = build(read_sheet(ready_sheets()[name]))["right"]
    lean = solve_at(follow(mechanism), np.radians(np.arange(360.0))).poses["expansion link"][:, 2]
    assert (np.abs(lean).max() < math.radians(25)) == within
