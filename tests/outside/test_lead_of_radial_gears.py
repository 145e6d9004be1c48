"""Lap and lead of radial gears are the same at every cut-off, fore and back.

Common practice of the textbooks, from memory: W. E. Dalby, *Valves and Valve-Gear Mechanisms*
(1906), on the gears of Hackworth and Joy; of Southern's and Baker's no source was compared. The
closed forms are derived in `arrangements/radial/hackworth.py`, `joy.py` and `southern.py`.
"""

import math

import pytest

from linkage.events import find_events
from linkage.sheet import sheet_from
from tests.ready import ready

HACKWORTH, JOY = "ardmoor-0-4-0-hackworth", "ardmoor-0-6-2-joy"
SOUTHERN, BAKER = "ardmoor-2-8-0-southern", "ardmoor-2-8-2-baker"


def lap_and_lead(name):
    (side,) = find_events(ready(name), 5).sides.values()
    return [place.lap_and_lead for place in side.places]


def test_hackworth_lead_is_exactly_constant():
    """12 (1 - 52.5 / 75): half of what the valve's pin goes, less the valve rod's slope (1e-5).

    The slide's centre stands where the die is at both dead centres to a thousandth of a mm.
    """
    assert lap_and_lead(HACKWORTH) == pytest.approx([12 * (1 - 52.5 / 75)] * 5, abs=1e-3)


def test_hackworth_travel_in_mid_gear_is_lap_and_lead_alone():
    places = find_events(ready(HACKWORTH), 3).sides["right"].places
    assert places[1].travel == pytest.approx(2 * 3.6, rel=0.002)


def test_joy_lead_is_constant():
    """(15.16 / 74.84) 0.65 R, the lever's foot level with the same share of the throw."""
    leads = lap_and_lead(JOY)
    assert leads == pytest.approx([15.16 / 74.84 * 0.65 * 29] * 5, abs=0.01)
    assert max(leads) - min(leads) < 0.01


def test_southern_lead_is_constant():
    """11 (127 - 95) / 95, its bell crank's arms alike and square."""
    assert lap_and_lead(SOUTHERN) == pytest.approx([11 * (127 - 95) / 95] * 5, abs=0.01)


def test_baker_lead_is_the_combination_levers():
    """Its top at rest: 29 x 7.7 / 60.3 of the crosshead's stroke, as in a Walschaerts gear."""
    leads = lap_and_lead(BAKER)
    assert leads == pytest.approx([29 * 7.7 / 60.3] * 5, abs=0.05)  # the lever's foot swings up
    assert max(leads) - min(leads) < 0.01


def test_a_slide_off_its_place_spoils_the_leads_of_either_end():
    """A millimetre low, the die stands a millimetre up the tilted slide at both dead centres."""
    data = dict(ready(HACKWORTH).data)
    data["slide_shaft"] = {**data["slide_shaft"], "up": 73.034}
    places = find_events(sheet_from(data, "low.toml", ask=False), 3).sides["right"].places
    off = [(place.ends[0].lead - place.ends[1].lead) / 2 for place in places]
    # set for equal leads in full forward gear, where that stands back; it does so less elsewhere
    by = 52.5 / 75 * math.tan(math.radians(28))
    assert off == pytest.approx([0.0, -by, -2 * by], abs=0.01)
