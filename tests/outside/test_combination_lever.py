"""The combination lever's rule: it moves the valve by lap and lead each way, the die at mid link.

C. H. Peabody, *Valve-Gears for Steam-Engines*, ch. IV: the crosshead's part of the motion is that
of an eccentric of throw lap + lead, a quarter turn ahead. Traveling Engineers' Association
examination answers (Project Gutenberg 17783): in mid gear the valve travels twice lap + lead. The
rule for the pins, ``short arm / (radius-rod pin to union pin) = (lap + lead) / half stroke``, is
that of Greenly and of Ashton, *Walschaerts' and Stephenson's valve gears*; both, and the dimensions
of the engines, are cited from memory.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import solve_at
from tests.outside.ideal_gear import IdealGear

# stroke, lap, lead [in], and the ratio as worked out from them to five decimals
ENGINES = {
    "BR class 7": (28.0, 1 + 11 / 16, 1 / 4, 0.13839),
    "long-travel Pacific": (26.0, 1 + 5 / 8, 1 / 8, 0.13462),
}
DEAD_CENTRES = [0.0, math.pi]  # the cylinder lies in line with the axle


@pytest.fixture(params=ENGINES)
def engine(request):
    stroke, lap, lead, _ = ENGINES[request.param]
    return stroke / 2, lap + lead


@pytest.fixture(params=["inside", "outside"])
def gear(request, engine):
    half_stroke, lap_and_lead = engine
    return IdealGear(lap_and_lead / half_stroke, half_stroke, request.param)


def valve(gear, crank, die=0.0):
    return solve_at(gear.course(die), crank).travel("valve spindle slide")


@pytest.mark.parametrize("name", ENGINES)
def test_ratio(name):
    stroke, lap, lead, ratio = ENGINES[name]
    assert (lap + lead) / (stroke / 2) == pytest.approx(ratio, abs=1e-5)


def test_lap_and_lead_at_the_dead_centres(gear, engine):
    """Exact: the lever leans alike at both, so that its two triangles are similar."""
    front, back = valve(gear, DEAD_CENTRES)
    assert abs(front - back) / 2 == pytest.approx(engine[1], abs=1e-9)


def test_pin_order_and_admission(gear):
    """Inside admission: radius-rod pin on top, the valve forward at the front dead centre."""
    front, back = valve(gear, DEAD_CENTRES)
    assert (front > back) == (gear.admission == "inside")


def test_mid_gear_travel_is_twice_lap_and_lead(gear, engine):
    """To 1e-3 of it: between the dead centres the foot drops by 1.2, which tilts the union link.

    That drop is 80 (1 - cos 10 degrees), and over the link's 150 takes 0.005 off the foot's 14, in
    mid-stroke most of all, where the valve is not at an end of its travel.
    """
    travel = np.ptp(valve(gear, np.radians(np.arange(0.0, 360.0, 0.25))))
    assert travel == pytest.approx(2 * engine[1], rel=1e-3)


def test_crosshead_component_is_an_eccentric_a_quarter_turn_ahead(gear, engine):
    """``(lap + lead) cos a`` but for the connecting rod's angle, which this rod of 500 leaves.

    It adds ``r sin^2(a) / 2 l`` of the throw, 1.4 %, and the union link's tilt 0.04 %.
    """
    crank = np.radians(np.arange(0.0, 360.0, 15.0))
    path = valve(gear, crank)
    middle = (path[0] + path[12]) / 2
    sign = 1 if gear.admission == "inside" else -1
    assert sign * (path - middle) == pytest.approx(engine[1] * np.cos(crank), abs=0.016 * engine[1])


def test_link_component_has_no_advance(gear):
    """What the die adds is nothing at the dead centres and equal and opposite either way up."""
    crank = [*DEAD_CENTRES, math.pi / 2]
    up, mid, down = (valve(gear, crank, die) for die in (8.0, 0.0, -8.0))
    assert up[:2] == pytest.approx(mid[:2], abs=1e-9)
    assert (up - mid)[2] > 1
    # the link leans by 26 degrees; its arc of 400 and the rod's tilt make the two unlike by 2 %
    assert (up - mid)[2] == pytest.approx((mid - down)[2], rel=0.02)
