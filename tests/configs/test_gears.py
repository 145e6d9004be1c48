"""The ready sheets of sound valve gears: dimensions, dead centres, travels by hand."""

import copy
import math

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.examine import examine
from linkage.kinematics import solve_at, solve_turn
from linkage.sheet import sheet_from

SIDES = ("right", "left")


def reversed_to(sheet, running):
    return sheet_from({**sheet.data, "running": running}, sheet.source)


# --- 0-6-0, 7 mm scale, in inches ---------------------------------------------------------------


def test_inches_fractions_and_thou(ready):
    """Each worked from what stands on the sheet, at 25.4 mm to the inch."""
    held = ready("ardmoor-0-6-0-7mm").dimensions["right"]
    inches = {
        "wheels.throw": 9 / 32,
        "connecting_rod.centres": 3.190 - (0.200 + 0.180) / 2,
        "eccentric_rod.centres": 1.640 + (0.070 + 0.060) / 2,
        "radius_rod.centres": 1.600,
        "combination_lever.radius_rod_pin_to_union_pin": 39 / 64,
        "return_crank.thickness": 0.030,
    }
    assert {key: held[key] / 25.4 for key in inches} == pytest.approx(inches, rel=1e-12)
    assert ready("ardmoor-0-6-0-7mm").wanted_clearance == pytest.approx(0.008 * 25.4)


def test_inclined_dead_centres(examined):
    """The centre line strikes the axle at 1 in 24, so the dead centres come 2.386 degrees early."""
    course = examined("ardmoor-0-6-0-7mm").sides["right"].course
    early = -math.radians(2.386)
    travel = solve_at(course, [early, early + math.pi]).travel("crosshead slide")
    assert travel == pytest.approx([25.4 * (3 + 9 / 32), 25.4 * (3 - 9 / 32)], abs=1e-9)


def test_foot_pin_on_the_centre_line_puts_the_return_crank_square(examined):
    """So the link stands alike at both dead centres: 1.70 x 2.386 degrees' slope is 0.0708 up.

    The pin stands at 0.070, 0.8 thou low. The link's foot, 0.33 below the trunnion, then moves by
    the slope 0.0008 / 1.7 over the 0.27 across the circle: 0.0001 in, or 0.02 degree.
    """
    course = examined("ardmoor-0-6-0-7mm").sides["right"].course
    early = -math.radians(2.386)
    front, back = solve_at(course, [early, early + math.pi]).poses["expansion link"][:, 2]
    assert abs(front - back) < math.radians(0.04)


def test_slide_valve_stands_back_at_the_front_dead_centre(examined):
    """Outside admission: by the lever's 4/39 of the stroke, 0.0577 in from one end to the other.

    Within 2 %: the lever leans 27 degrees, and the sines of its two leans are not quite opposite.
    """
    course = examined("ardmoor-0-6-0-7mm").sides["right"].course
    early = -math.radians(2.386)
    front, back = solve_at(course, [early, early + math.pi]).travel("valve spindle slide") / 25.4
    assert back - front == pytest.approx(4 / 39 * 9 / 16, rel=0.02)


# --- Pacific, 5 inch gauge -----------------------------------------------------------------------


@pytest.mark.parametrize("running", ["full_forward", "mid", "full_back"])
def test_pacific_is_free_in_every_gear(ready, running):
    found = examine(reversed_to(ready("ardmoor-pacific-5in"), running))
    assert found.free
    for side in SIDES:
        die = found.sides[side].motion.travel("die block")
        assert np.abs(die).max() < 26 - 8 / 2  # half the slot, less half the die block
        assert (die.mean() < -15, die.mean() > 15) == (
            running == "full_forward",
            running == "full_back",
        )


def test_pacific_mid_gear_travel(ready):
    """Twice lap and lead: the lever's 8.3 / 60 of the stroke of 58, 8.02.

    Within 1 %: the die rises by up to 0.45 above the trunnion as the rod's front end drops.
    """
    mechanism = build(reversed_to(ready("ardmoor-pacific-5in"), "mid"))["right"]
    valve = solve_turn(mechanism, np.radians(np.arange(360.0))).travel("valve spindle slide")
    assert np.ptp(valve) == pytest.approx(58 * 8.3 / 60, rel=0.01)


def test_pacific_weighshaft_by_degrees(ready):
    crank = np.radians([0.0, 100.0, 200.0])
    named, typed = (
        solve_turn(build(reversed_to(ready("ardmoor-pacific-5in"), running))["left"], crank)
        for running in ("full_forward", -18.0)
    )
    assert named.travel("die block") == pytest.approx(typed.travel("die block"), abs=1e-9)


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-7mm", "ardmoor-2-6-0", "ardmoor-pacific-5in"])
def test_union_link_never_folds_back(examined, name):
    """It lies ahead of the drop arm, and the lever leans alike at both ends of the stroke."""
    side = examined(name).sides["right"]
    ahead = side.motion.joint("union pin")[:, 0] - side.motion.joint("drop arm pin")[:, 0]
    assert ahead.min() > 0
    lean = side.motion.poses["combination lever"][:, 2]
    assert lean.min() < -math.radians(20)
    assert lean.max() > math.radians(20)


# --- Stephenson gear -----------------------------------------------------------------------------

THROW, ADVANCE, HALF_LINK, ECCENTRIC_ROD = 9.0, math.radians(25), 21.0, 130.0
ARM_ENDS = {"full_forward": 41.0, "mid": 60.0, "full_back": 79.0}  # as the sheet's comment has them


def stephenson(sheet, gear):
    """Return the sheet with the weighshaft's arm in a gear."""
    data = copy.deepcopy(dict(sheet.data))
    raised = ARM_ENDS[gear] - ARM_ENDS["full_forward"]
    for pin in data["pin"]:
        if pin["name"] == "weighshaft pin":
            pin["joins"][1][1] += raised
        elif pin["name"] in ("fore link pin", "back link pin", "lifting pin"):
            pin["near"][1] += raised
    return sheet_from(data, sheet.source)


def lead_and_lap(sheet, gear):
    course = examine(stephenson(sheet, gear)).sides["only"].course
    ahead, back = solve_at(course, [0.0, math.pi]).travel("valve rod guide")
    return (back - ahead) / 2


@pytest.mark.parametrize("gear", ARM_ENDS)
def test_stephenson_is_free_in_every_gear(ready, gear):
    assert examine(stephenson(ready("stephenson-gear"), gear)).free


def test_stephenson_mid_gear_lead(ready):
    """Half the difference of the link's places at the two dead centres, its middle on the line.

    By right-angled triangles, the link upright at both: 5.142. The lifting link lets the middle
    rise and fall by hundredths, which moves it by less than 1e-3.
    """
    high, low = (HALF_LINK + k * THROW * math.cos(ADVANCE) for k in (1, -1))
    gain = (math.sqrt(ECCENTRIC_ROD**2 - low**2) - math.sqrt(ECCENTRIC_ROD**2 - high**2)) / 2
    expected = THROW * math.sin(ADVANCE) + gain
    assert lead_and_lap(ready("stephenson-gear"), "mid") == pytest.approx(expected, abs=1e-3)


def test_stephenson_lead_is_least_in_full_gear(ready):
    """Open rods: it grows towards mid gear, and at the link's very ends it is 9 sin 25 = 3.80."""
    sheet = ready("stephenson-gear")
    leads = {gear: lead_and_lap(sheet, gear) for gear in ARM_ENDS}
    assert THROW * math.sin(ADVANCE) < leads["full_forward"] < leads["mid"]
    assert THROW * math.sin(ADVANCE) < leads["full_back"] < leads["mid"]
