"""Stroke, dead centres, swing of the link and events of the valve against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.kinematics import solve_round
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.valve import Figure, figures_of

SAMPLES = 720
WITHIN = 1e-6  # of a parabola through samples half a degree apart, for lengths of some 10 mm [mm]
ENGINE = {
    "arrangement": "slider-crank",
    "wheels": {"throw": 10.0},
    "connecting_rod": {"centres": 50.0, "width": 2.0, "thickness": 1.0, "out": 1.0},
    "crosshead": {},
}


def figures(sheet, side="right"):
    motion = solve_round([build(sheet)[side]], SAMPLES)
    return {name: float(value[0]) for name, value in figures_of(motion).items()}


@pytest.fixture(scope="module")
def healed():
    return read_sheet(ready_sheets()["ardmoor-2-6-0-straightened"])


def link_angles(sheet):
    """Return the link's two extremes from upright [rad], foot ahead positive.

    There axle, return crank pin and foot pin stand in line: the foot is (rod + circle) or
    (rod - circle) from the axle, and the cosine rule has the angle at the trunnion.
    """
    side = sheet.sides["right"]
    crank, rod, link = side.return_crank, side.eccentric_rod, side.expansion_link
    ahead, up = link.trunnion.ahead, link.trunnion.up
    far, foot = math.hypot(ahead, up), link.foot_pin.below
    to_axle = math.atan2(-up, -ahead)  # direction from the trunnion to the axle
    found = []
    for reach in (rod.centres + crank.pin_circle, rod.centres - crank.pin_circle):
        gamma = math.acos((far**2 + foot**2 - reach**2) / (2 * far * foot))
        found.append(to_axle + gamma - -math.pi / 2)  # from straight down
    return found


def test_the_links_swing_is_that_of_the_cosine_rule(healed):
    """By hand: 24.42 from axle to trunnion, foot 4.6 below, rod 24.1, circle 2.3.

    At 26.4 from the axle the angle at the trunnion is 110.74 degrees, at 21.8 it is 50.74.
    """
    front, back = link_angles(healed)
    found = figures(healed)
    assert found[Figure.SWING] == pytest.approx(front - back, abs=1e-7)
    assert found[Figure.SWING_MIDDLE] == pytest.approx((front + back) / 2, abs=1e-7)
    assert math.degrees(found[Figure.SWING]) == pytest.approx(60.0, abs=0.005)


@pytest.mark.parametrize("long", [-1.0, 0.5])
def test_a_rod_of_the_wrong_length_makes_the_swing_lopsided(healed, long):
    sheet = change(healed, {"eccentric_rod.centres": 24.1 + long})
    front, back = link_angles(sheet)
    found = figures(sheet)
    assert found[Figure.SWING_MIDDLE] == pytest.approx((front + back) / 2, abs=1e-7)


def test_dead_centres_of_an_offset_cylinder():
    """Crank and rod in line: as far ahead as leg of a triangle with the offset for the other."""
    sheet = sheet_from({**ENGINE, "cylinder": {"axis_height": 6.0}})
    found = figures(sheet, "only")
    front, back = math.sqrt(60.0**2 - 36.0), math.sqrt(40.0**2 - 36.0)
    assert found[Figure.FRONT] == pytest.approx(front, abs=WITHIN)
    assert found[Figure.BACK] == pytest.approx(back, abs=WITHIN)
    assert found[Figure.STROKE] == pytest.approx(front - back, abs=WITHIN)
    assert set(found) == {Figure.STROKE, Figure.FRONT, Figure.BACK}


def test_the_valve_at_the_dead_centres_is_where_the_motion_has_it(healed):
    """Inclination 0, axis height 0: the dead centres are at 0 and 180 degrees."""
    motion = solve_round([build(healed)["right"]], SAMPLES)
    valve = motion.travel("valve spindle slide")[0]
    found = figures(healed)
    front, back = valve[0], valve[SAMPLES // 2]
    assert found[Figure.LEAD_FRONT] == pytest.approx(front, abs=WITHIN)
    assert found[Figure.LEAD_BACK] == pytest.approx(-back, abs=WITHIN)
    assert found[Figure.LAP_AND_LEAD] == pytest.approx((front - back) / 2, abs=WITHIN)


def test_lap_and_lead_of_the_lever_by_hand(healed):
    """With the link at rest the lever turns about the radius rod's pin: stroke / 2 by its arms.

    1.21 / 9.0 of 4.33 is 0.582. The link is not at rest at the dead centres here, but nearly: it
    stands 1.4 degrees from the same place at both, and the figure is 0.587.
    """
    by_hand = 4.33 * 1.21 / 9.0
    assert figures(healed)[Figure.LAP_AND_LEAD] == pytest.approx(by_hand, rel=0.02)


def test_without_a_lever_nothing_says_which_way_the_ports_open(healed):
    raw = {key: table for key, table in healed.data.items()
           if key not in ("combination_lever", "union_link")}  # fmt: skip
    sheet = sheet_from({**raw, "valve_spindle": {"height": 5.8}}, ask=False)
    found = figures(sheet)
    motion = solve_round([build(sheet)["right"]], SAMPLES)
    valve = motion.travel("valve spindle slide")[0]
    assert found[Figure.AT_FRONT] == pytest.approx(valve[0], abs=WITHIN)
    assert found[Figure.AT_BACK] == pytest.approx(valve[SAMPLES // 2], abs=WITHIN)
    assert Figure.LEAD_FRONT not in found


def test_extremes_between_samples_are_those_of_a_finer_turn(healed):
    coarse = figures(healed)
    motion = solve_round([build(healed)["right"]], 100 * SAMPLES)
    valve = motion.travel("valve spindle slide")[0]
    assert coarse[Figure.TRAVEL] == pytest.approx(np.ptp(valve), abs=WITHIN)
    middle = (valve.max() + valve.min()) / 2
    assert coarse[Figure.MIDDLE] == pytest.approx(middle, abs=WITHIN)


@pytest.mark.parametrize(("admission", "way"), [("inside", 1), ("outside", -1)])
def test_the_lever_opens_the_front_port_at_the_front_dead_centre(healed, admission, way):
    """Lap and lead: the valve is that way of where it stands at the back dead centre."""
    raw = {**healed.data, "combination_lever": {**healed.data["combination_lever"]}}
    raw["combination_lever"]["admission"] = admission
    sheet = sheet_from(raw, ask=False)
    mechanism = build(sheet)["right"]
    found = figures(sheet)
    assert mechanism.watched.admits == way
    assert found[Figure.LAP_AND_LEAD] > 0.5
    # wherever it is counted from, the places at both ends are lap and lead on the average
    both = found[Figure.LEAD_FRONT], found[Figure.LEAD_BACK]
    assert sum(both) / 2 == pytest.approx(found[Figure.LAP_AND_LEAD], abs=1e-9)


def test_no_figure_of_a_turn_that_is_not_whole(healed):
    """Two variants, one of them with a rod too short to go round."""
    made = [
        build(sheet)["right"] for sheet in (healed, change(healed, {"eccentric_rod.centres": 21.0}))
    ]
    found = figures_of(solve_round(made, SAMPLES))
    assert np.isfinite(found[Figure.TRAVEL]).tolist() == [True, False]
    assert np.isfinite(found[Figure.STROKE]).tolist() == [True, False]


def test_a_linkage_of_ones_own_has_nothing_to_be_told_by():
    sheet = read_sheet(ready_sheets()["four-bar"])
    assert figures(sheet, "only") == {}
