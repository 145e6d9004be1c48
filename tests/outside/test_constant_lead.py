"""Lead is the same in every position of the reverser, and what takes it away.

Traveling Engineers' Association examination answers (Project Gutenberg 17783) and Wood, *The
Walschaert and other modern radial valve gears* (editions 1906-1912), p. 233: constant lead. C. A.
Purinton, *The Live Steamer*, Jan-Feb 1951: the link's arc has the radius rod's length for its
radius, from lever pin to trunnion; otherwise moving the die moves the valve. The amount, ``e y /
R`` for a lever pin that stands `e` off the arc's centre, was worked out for these tests.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import solve_at, solve_turn
from tests.outside.ideal_gear import RADIUS_ROD, IdealGear

LAP_AND_LEAD = 1.9375
RATIO = LAP_AND_LEAD / 14
DEAD_CENTRES = [0.0, math.pi]
DIES = (-12.0, -6.0, 0.0, 6.0, 12.0)
RAISED = 4.0


def leads(gear, dies=DIES, **more):
    """Return the valve's place at both dead centres for each die, shape (D, 2) [mm]."""
    return np.array(
        [
            solve_at(gear.course(die, **more), DEAD_CENTRES).travel("valve spindle slide")
            for die in dies
        ]
    )


@pytest.mark.parametrize("admission", ["inside", "outside"])
def test_ideal_gear_has_constant_lead(admission):
    found = leads(IdealGear(RATIO, admission=admission))
    assert np.ptp(found, axis=0).max() < 1e-9


@pytest.mark.parametrize("end", [0, 1])
def test_lead_lost_by_a_lever_pin_off_the_arc_centre(end):
    """The lever pin moves by ``e y / R``, 0.12 at the slot's end, the valve by the lever's share.

    That is 5.3 % of lap and lead. To 1 % of the greatest: the rod's slope in its arc is of second
    order, ``e^2 / R`` and ``y^2 / R`` in 400.
    """
    found = leads(IdealGear(RATIO, raised=RAISED))[:, end]
    pin_moves = np.array(DIES) * RAISED / RADIUS_ROD
    expected = (1 - RATIO) * pin_moves
    assert pin_moves.max() == pytest.approx(0.12)
    assert expected.max() / LAP_AND_LEAD == pytest.approx(0.053, abs=0.0005)
    assert found - found[2] == pytest.approx(expected, abs=0.01 * expected.max())


def test_lead_lost_by_a_slot_of_the_wrong_radius():
    """The slot's end stands off the arc about the lever pin by ``y^2 / 2 (1/R' - 1/R)``.

    Of that the valve moves by the lever's share, as above.
    """
    gear = IdealGear(RATIO)
    link = gear.sheet_data()["expansion_link"] | {"slot_radius": 300.0}
    found = leads(gear, expansion_link=link)
    off_the_arc = np.array(DIES)[:, None] ** 2 / 2 * (1 / 300 - 1 / RADIUS_ROD)
    expected = np.broadcast_to((1 - RATIO) * off_the_arc, (5, 2))
    # the lever turns by this over its length, which alters its share by 0.1 %
    assert found - found[2] == pytest.approx(expected, rel=2e-3, abs=1e-9)


def test_mid_gear_travel_is_the_least():
    """And twice lap and lead: see the combination lever."""
    crank = np.radians(np.arange(0.0, 360.0))
    travels = [
        np.ptp(solve_turn(IdealGear(RATIO).mechanism(die), crank).travel("valve spindle slide"))
        for die in DIES
    ]
    assert min(travels) == travels[2] == pytest.approx(2 * LAP_AND_LEAD, rel=1e-3)
