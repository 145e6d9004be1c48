"""A link motion through a rocker against the classical formula, and against the gear without one.

Lap and lead of a Stephenson gear, for eccentrics of throw r and advance e, rods L, link pins c
from the middle and a die y from it: ``r sin e +- (c^2 - y^2) r cos e / (c L)``, plus for open rods,
minus for crossed ones (G. Zeuner, *Treatise on Valve Gears*, 1884, from memory). A rocker
multiplies it by the ratio of its arms, and turns the eccentrics half round; that is common
practice, no source. The formula is of the second order in r / L, so it comes true with long rods.
"""

from __future__ import annotations

import copy
import math

import pytest

from linkage.events import find_events
from linkage.sheet import sheet_from
from tests.ready import ready

THROW, ADVANCE, PINS, LOWER, UPPER = 9.0, math.radians(25.0), 22.0, 400.0, 440.0
LONGER = pytest.param(260.0, 0.0035, marks=pytest.mark.long)
DIRECT, ROCKED = "ardmoor-0-6-0-stephenson", "ardmoor-4-4-0-stephenson-rocker"


def gear(name, rod, fore_rod="top", **tables):
    """Return a gear with such rods, its link hung far up, and a rocker with long arms."""
    data = copy.deepcopy(dict(ready(name).data))
    pins = {"above": PINS, "back": 0.0}, {"below": PINS, "back": 0.0}
    link = {"top_pin": pins[0], "bottom_pin": pins[1], "slot_radius": rod, "fore_rod": fore_rod}
    for table in ("fore_eccentric_rod", "back_eccentric_rod"):
        data[table] = {**data[table], "centres": rod}
    data["expansion_link"] = {**data["expansion_link"], **link}
    data["lifting_link"] = {**data["lifting_link"], "centres": 600.0}
    shaft = {"ahead": rod + 42.0, "up": 600.0}
    data["weighshaft"] = {**data["weighshaft"], **shaft}
    spindle = {**data["valve_spindle"]}
    spindle.pop("guide")
    data["valve_spindle"] = spindle
    if name == ROCKED:
        arms = {"lower_arm": LOWER, "upper_arm": UPPER, "pivot": {"ahead": rod, "up": LOWER}}
        data["rocker"] = {**data["rocker"], **arms}
        data["valve_rod"] = {**data["valve_rod"], "centres": 900.0}
        data["valve_spindle"]["height"] = LOWER + UPPER
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    return sheet_from(data, "rocker.toml", ask=False)


def lap_and_lead(sheet):
    """Return lap and lead at full forward and mid-gear [mm]."""
    full, mid, _ = find_events(sheet, 3).sides["right"].places
    return full.lap_and_lead, mid.lap_and_lead


@pytest.mark.parametrize(("rod", "within"), [(130.0, 0.026), LONGER, (520.0, 0.0005)])
@pytest.mark.parametrize(("fore_rod", "sign"), [("top", 1), ("bottom", -1)])
def test_lap_and_lead_at_full_and_mid_gear(fore_rod, sign, rod, within):
    """Residual at most 0.0254 mm of 5.70 with rods of 130, 0.0031 with 260, 0.0004 with 520."""
    h = THROW * math.cos(ADVANCE)
    y = 42.0 * math.sin(math.radians(22.0))
    expected = [
        UPPER / LOWER * (THROW * math.sin(ADVANCE) + sign * (PINS**2 - at**2) * h / (PINS * rod))
        for at in (y, 0.0)
    ]
    assert lap_and_lead(gear(ROCKED, rod, fore_rod)) == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(("arm", "within"), [(400.0, 0.04), (1600.0, 0.01)])
def test_it_moves_the_valve_as_the_gear_without_a_rocker(arm, within):
    """Arms alike, eccentrics half a turn on: the same but for the arms' arcs, and those go by 1/l.

    Turned round against the piston, the slants of the eccentric rods favour the other end of the
    cylinder: cut-off is 3.5 per cent later at one end, 3.9 earlier at the other; the mean stays.
    """
    arms = {"lower_arm": arm, "upper_arm": arm, "pivot": {"ahead": 130.0, "up": arm}}
    reach = {"valve_rod": {"centres": 2.25 * arm}, "valve_spindle": {"height": 2 * arm}}
    laps = {"steam_lap": 3.0, "exhaust_lap": 0.0}
    rocked = gear(ROCKED, 130.0, rocker=arms, valve=laps, **reach)
    direct = gear(DIRECT, 130.0, valve=laps)
    pairs = zip(
        find_events(rocked, 3).sides["right"].places,
        find_events(direct, 3).sides["right"].places,
        strict=True,
    )
    for one, other in pairs:
        assert one.travel == pytest.approx(other.travel, abs=within)
        assert one.lap_and_lead == pytest.approx(other.lap_and_lead, abs=within)
        assert mean_cut_off(one) == pytest.approx(mean_cut_off(other), abs=0.005)


def mean_cut_off(place):
    return sum(end.cut_off.stroke for end in place.ends) / 2
