"""Both sides' coupled wheels together, as the play they need is worked out from them."""

import math

import numpy as np
import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.play.least import least_play
from linkage.play.misfit import Misfits
from linkage.sheet import read_sheet, sheet_from
from linkage.sheet.ready import demonstration, ready_sheets
from linkage.wheels import CrankPin, Eye

DATA = {
    "arrangement": "coupled-wheels",
    "wheels": {"throw": 4.33, "right_leads_by": 90, "side_play": 0.3},
    "coupling": {"pin": 1.5, "hole": 1.6, "box_play": {"fore_aft": 0.06, "vertical": 0.1}},
    "axles": {"leading": {"ahead": 29.0, "side_play": 0.1}, "trailing": {"back": 25.0}},
    "coupling_rods": {
        "front": {"from": "driving", "to": "leading", "centres": 29.0},
        "rear": {
            "from": "trailing",
            "centres": 21.0,
            "knuckle": {"on": "front", "behind": "driving", "distance": 4.0, "play": 0.06},
        },
    },
}


def wheels_of(sides=None, **changes):
    return coupled_wheels(sheet_from(DATA | changes, ask=False), sides)


def by_name(wheels):
    return {axle.name: axle for axle in wheels.axles}


def test_axles_from_the_rear_with_half_their_play():
    wheels = wheels_of()
    assert [(a.name, a.ahead, a.up) for a in wheels.axles] == [
        ("trailing", -25.0, 0.0),
        ("driving", 0.0, 0.0),
        ("leading", 29.0, 0.0),
    ]
    assert wheels.axles[wheels.driving].name == "driving"
    assert {(a.fore_aft, a.vertical) for a in wheels.axles} == {(0.03, 0.05)}
    wheelsets = build(sheet_from(DATA))["right"].wheelsets
    assert [wheelset.side_play for wheelset in wheelsets] == [0.3, 0.3, 0.1]


def test_the_left_pin_lags_by_what_the_right_leads_by():
    driving = by_name(wheels_of())["driving"]
    assert driving.pins["right"] == CrankPin(4.33, 0.0)
    assert driving.pins["left"] == CrankPin(4.33, -math.pi / 2)
    other = by_name(wheels_of(wheels={"throw": 4.33, "right_leads_by": -90}))["leading"]
    assert other.pins["left"].angle == pytest.approx(math.pi / 2)


def test_a_quarter_of_its_own_and_a_pin_ahead_or_behind():
    axles = {"leading": {"ahead": 29.0, "quarter": 88.0}, "trailing": {"back": 25.0}}
    pins = by_name(wheels_of(axles=axles))["leading"].pins
    assert math.degrees(pins["left"].angle) == pytest.approx(-88.0)
    left = {"axles": {"leading": {"pin_ahead_by": 1.5}}}
    right = {"axles": {"trailing": {"pin_behind_by": 2.0}}}
    found = by_name(wheels_of(left=left, right=right))
    assert math.degrees(found["leading"].pins["left"].angle) == pytest.approx(-88.5)
    assert math.degrees(found["trailing"].pins["right"].angle) == pytest.approx(-2.0)
    assert found["leading"].pins["right"].angle == 0.0


def test_rods_with_half_the_play_of_their_holes_and_their_knuckle():
    wheels = wheels_of(coupling=DATA["coupling"] | {"hole": {"along": 1.7, "across": 1.58}})
    assert [(rod.side, rod.name) for rod in wheels.rods] == [
        ("right", "front coupling rod"),
        ("right", "rear coupling rod"),
        ("left", "front coupling rod"),
        ("left", "rear coupling rod"),
    ]
    front, rear = wheels.rods[0], wheels.rods[1]
    play = (pytest.approx(0.1), pytest.approx(0.04))
    assert front.eyes == (Eye("driving", (0, 0), *play), Eye("leading", (29, 0), *play))
    assert rear.eyes == (Eye("trailing", (0, 0), *play),)
    assert [knuckle.rods for knuckle in wheels.knuckles] == [(0, 1), (2, 3)]
    assert {knuckle.places for knuckle in wheels.knuckles} == {((-4.0, 0.0), (21.0, 0.0))}
    assert {knuckle.play for knuckle in wheels.knuckles} == {0.03}


def test_a_knuckle_ahead_of_a_pin_is_at_the_rear_of_its_rod():
    rods = {
        "rear": {"from": "trailing", "to": "driving", "centres": 25.0},
        "front": {
            "to": "leading",
            "centres": 25.0,
            "knuckle": {"on": "rear", "ahead_of": "driving", "distance": 4.0},
        },
    }
    wheels = wheels_of(coupling_rods=rods)
    assert wheels.knuckles[0].places == ((29.0, 0.0), (0.0, 0.0))
    assert wheels.rods[1].eyes[0].place == (25.0, 0.0)


def test_one_sides_rods_alone():
    wheels = wheels_of(("left",))
    assert {rod.side for rod in wheels.rods} == {"left"}
    assert wheels.knuckles[0].rods == (0, 1)
    assert set(wheels.axles[0].pins) == {"right", "left"}
    with pytest.raises(ValueError, match="side 'middle' is none of right, left"):
        wheels_of(("middle",))


def test_an_axle_out_of_square_moves_the_holes_instead():
    left = {"axles": {"leading": {"ahead": 29.2}}}
    wheels = wheels_of(left=left)
    assert by_name(wheels)["leading"].ahead == pytest.approx(29.1)
    (right_eye, left_eye) = (rod.eyes[1] for rod in wheels.rods if "front" in rod.name)
    # right: axle 0.1 behind the middle, so the rod looks 0.1 long; left the other way
    assert right_eye.place == pytest.approx((29.1, 0.0))
    assert left_eye.place == pytest.approx((28.9, 0.0))


def test_the_numbers_come_with_their_keys():
    keys = wheels_of(left={"coupling_rods": {"front": {"centres": 28.9}}}).keys
    assert keys["wheels.throw"] == 4.33
    assert keys["coupling_rods.front.centres"] == 29.0
    assert keys["left.coupling_rods.front.centres"] == 28.9
    assert not [key for key in keys if "rim" in key]


def test_a_side_alone_counts_as_the_right():
    rod = {"front": DATA["coupling_rods"]["front"]}
    axles = {"leading": {"ahead": 29.0}}
    wheels = wheels_of(sides=None, axles=axles, coupling_rods=rod)
    assert len(wheels.rods) == 2
    data = DATA | {"axles": axles, "coupling_rods": rod, "sides": ["only"]}
    alone = coupled_wheels(sheet_from(data, ask=False))
    assert [rod.side for rod in alone.rods] == ["right"]
    assert set(alone.axles[0].pins) == {"right"}


def test_a_sheet_without_coupling_rods_has_none():
    assert coupled_wheels(read_sheet(demonstration())) is None


def used(wheels, degrees):
    return least_play(Misfits(wheels), np.radians(degrees)).used


def test_right_wheels_need_no_play():
    """Every solver's step leaves rounding only, far below the thousandth that matters."""
    assert used(wheels_of(), np.arange(0.0, 360.0, 15.0)) == pytest.approx(0.0, abs=1e-3)


def test_one_long_rod_needs_play_at_its_own_dead_centres():
    """0.1 too long on two holes with 0.05 either way, and boxes with 0.03 at either axle.

    At the dead centre the rod's side takes it up alone; the other side's rod, square to it, lets
    both axles shift: 0.1 / (0.05 + 0.05 + 0.03 + 0.03).
    """
    rod = DATA["coupling_rods"]["front"]
    wheels = wheels_of(
        axles={"leading": {"ahead": 29.0}},
        coupling_rods={"front": rod},
        right={"coupling_rods": {"front": {"centres": 29.1}}},
    )
    at = used(wheels, [0.0, 90.0, 180.0, 270.0])
    assert at[[0, 2]] == pytest.approx(0.1 / 0.16, rel=0.03)  # a sum of the first order
    assert at[[1, 3]] == pytest.approx(0.0, abs=0.02)


def test_the_ready_sheet_binds_at_the_eighths_with_both_sides_rods_on_only():
    """Quartering out by 6 degrees: 0.354 throw eps of misfit, to 10 % for so large an error.

    With the pins on either side of the axle (135, 315) the two rods are pushed opposite ways and
    only the holes can give: 0.03 at either end. With both ahead or both back (45, 225) they are
    pushed alike, and both axles' boxes give 0.02 as well.
    """
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-coupled"])
    misfit = 0.354 * 4.33 * math.radians(6.0)
    both = coupled_wheels(sheet)
    assert used(both, [135.0, 315.0]) == pytest.approx(misfit / 0.06, rel=0.1)
    assert used(both, [45.0, 225.0]) == pytest.approx(misfit / 0.10, rel=0.1)
    assert used(coupled_wheels(sheet, ("left",)), [45.0, 135.0]) == pytest.approx(0.0, abs=1e-3)
