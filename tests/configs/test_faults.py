"""The ready sheets with a fault of the trade: where it locks and by how much, in closed form."""

import math

import numpy as np
import pytest

from linkage.tightspots import amount_of

THROW, ARM, LEAN, SLIP = 4.33, 4.903, math.radians(27.98), math.radians(28)
ROD, FOOT, TRUNNION = 24.1, 4.6, (24.0, 4.5)


def return_pin(slip):
    """Return the return crank's pin in the crank's axes, and the circle it swings in [mm]."""
    lean = LEAN + slip
    pin = (THROW - ARM * math.cos(lean), -ARM * math.sin(lean))
    return pin, math.hypot(*pin)


def test_slipped_return_crank_locks(examined):
    """Open while the pin is farther from the trunnion than eccentric rod and foot can reach."""
    spot = examined("ardmoor-2-6-0-return-crank-slipped").spots[0]
    pin, circle = return_pin(SLIP)
    pivot = math.hypot(*TRUNNION)
    # the pin is straight across the axle from the trunnion at the worst place
    across = math.atan2(pin[1], pin[0]) - math.atan2(TRUNNION[1], TRUNNION[0]) - math.pi
    closing = (circle**2 + pivot**2 - (ROD + FOOT) ** 2) / (2 * circle * pivot)
    half = math.pi - math.acos(closing)
    arc = np.degrees([across - half, across, across + half]) % 360
    assert np.degrees([spot.begin, spot.end]) == pytest.approx(arc[[0, 2]], abs=1e-6)
    assert math.degrees(spot.worst) == pytest.approx(arc[1], abs=math.degrees(2e-4))
    assert amount_of(spot) == pytest.approx(circle + pivot - ROD - FOOT, abs=1e-6)
    assert arc[2] - arc[0] == pytest.approx(24, abs=0.5)  # 28 degrees of slip lock 24 of the turn


def test_27_degrees_of_slip_lock_and_26_do_not():
    """The circle may grow to eccentric rod and foot less the axle's distance: 4.28."""
    most = ROD + FOOT - math.hypot(*TRUNNION)
    assert most == pytest.approx(4.28, abs=0.005)
    assert return_pin(math.radians(26))[1] < most < return_pin(math.radians(27))[1]


def test_rod_too_long_for_the_front_cover(examined):
    """Piston: pin + 35 + 3 may come to 118, so the pin to 80; it comes to 13 + 67.5."""
    spot = examined("slider-crank-rod-too-long").spots[0]
    assert amount_of(spot) == pytest.approx(0.5, abs=1e-6)
    half = math.acos((13**2 + 80**2 - 67.5**2) / (2 * 13 * 80))  # triangle axle, crank pin, pin
    # closed in on to 2e-5 rad
    assert (spot.begin, spot.end) == pytest.approx((math.tau - half, math.tau + half), abs=2e-5)


@pytest.mark.parametrize("side", ["right", "left"])
def test_die_off_the_slot(examined, side):
    """Past half the slot less half the die, 22, by the die's own place in the link."""
    found = examined("ardmoor-pacific-5in-die-off-slot")
    (spot,) = found.sides[side].spots
    assert not spot.run_off.forward
    motion = found.sides[side].motion
    near = int(np.argmin(np.abs(motion.crank - spot.worst)))  # within half a degree
    x, y, lean = motion.poses["expansion link"][near]
    die = motion.joint("die block")[near]
    up = -(die[0] - x) * math.sin(lean) + (die[1] - y) * math.cos(lean)
    down_the_slot = 155 * math.asin(-up / 155)  # along the arc of 155 through the trunnion
    # half a degree from the greatest travel loses less than 1e-3 of it
    assert amount_of(spot) == pytest.approx(down_the_slot - 22, abs=1e-3)
