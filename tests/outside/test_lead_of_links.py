"""Lap and lead from full gear to mid-gear: Gooch constant, Stephenson growing, Allan between.

Common practice of the textbooks, from memory: G. Zeuner, *Treatise on Valve Gears* (1884); W. E.
Dalby, *Valves and Valve-Gear Mechanisms* (1906). By the second order, with open rods l, pins c from
the middle of the link, eccentrics of throw r and advance e (`arrangements/eccentric_links/gears.py`
derives it), Gooch: ``r sin e + c r cos e / l`` throughout; what Stephenson gains by mid-gear is
``c r cos e / l`` at most, and what Allan gains is the share of it by which its link is lowered.
"""

import math

import pytest

from linkage.events import find_events
from tests.ready import ready

THROW, ADVANCE, HALF_LINK, RODS = 9.0, math.radians(25), 24.0, 130.0
OWN = THROW * math.sin(ADVANCE)
GAIN = HALF_LINK * THROW * math.cos(ADVANCE) / RODS
THIRD_ORDER = 0.04  # [mm] what the second order leaves of lengths of 24 on 130


def lap_and_lead(name):
    places = find_events(ready(name), 3).sides
    return [place.lap_and_lead for place in next(iter(places.values())).places]


@pytest.fixture(scope="module")
def gooch():
    return lap_and_lead("ardmoor-2-4-0-gooch")


@pytest.fixture(scope="module")
def allan():
    return lap_and_lead("ardmoor-2-4-0-allan")


def test_gooch_lead_is_constant(gooch):
    """Within what the link's backward lean at a dead centre makes, for it hangs on an arc."""
    assert gooch == pytest.approx([OWN + GAIN] * 3, abs=THIRD_ORDER)
    assert max(gooch) - min(gooch) < 0.02 * GAIN


def test_allan_gains_less_than_stephenson(allan):
    full, mid, _ = lap_and_lead("ardmoor-0-6-0-stephenson")
    stephenson = mid - full
    gained = allan[1] - allan[0]
    assert 0.1 * stephenson < gained < 0.6 * stephenson


def test_allan_is_gooch_in_mid_gear_and_loses_by_its_lowered_link(allan):
    """By u a h / c l: arms of 22.5 and 18.5 at 15 degrees, the rod lifted half-way along."""
    lowered = 22.5 * math.sin(math.radians(15))
    die = lowered + 2 * 18.5 * math.sin(math.radians(15))
    lost = die * lowered * THROW * math.cos(ADVANCE) / (HALF_LINK * RODS)
    assert allan[1] == pytest.approx(OWN + GAIN, abs=THIRD_ORDER)
    assert allan[1] - allan[0] == pytest.approx(lost, rel=0.1)
