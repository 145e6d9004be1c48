"""A sheet in, everything found out: both sides, whose degrees, free or not."""

from __future__ import annotations

import math
import tomllib

import numpy as np
import pytest

from linkage.errors import AssemblyError
from linkage.examine import examine
from linkage.sheet import change
from linkage.sheet.blank import blank_sheet
from linkage.sheet.reading import sheet_from
from linkage.tightspots import CannotClose, Fouls, RunsOff, amount_of

TURN = 2 * math.pi


@pytest.fixture(scope="module")
def found(demo):
    return examine(demo)


def test_the_demonstration_has_its_one_foul_on_the_right(found):
    (spot,) = found.spots

    assert not found.free
    assert isinstance(spot, Fouls)
    assert spot.side == "right"
    assert set(spot.parts) == {"radius rod", "motion bracket"}
    # bracket's outer face 4.1, rod's inner face 4.4 less the sag of 0.55 at most, 0.3 - 0.55
    assert 0.0 < spot.overlap <= 0.25
    assert spot.begin < spot.worst < spot.end


def test_both_sides_are_there_and_the_straight_side_is_free(found):
    assert list(found.sides) == ["right", "left"]
    assert found.sides["left"].spots == ()
    assert found.sides["right"].spots == found.spots


def test_the_straightened_engine_is_free(straight):
    found = examine(straight)

    assert found.free
    assert found.spots == ()


def test_a_bend_on_the_left_is_found_on_the_left_at_the_same_place(demo, found):
    bend = demo.data["right"]["radius_rod"]["bend"]
    data = {key: value for key, value in demo.data.items() if key != "right"}
    mirrored = examine(sheet_from({**data, "left": {"radius_rod": {"bend": bend}}}))
    (spot,) = mirrored.spots
    (other,) = found.spots
    assert spot.side == "left"
    assert amount_of(spot) == pytest.approx(amount_of(other), abs=1e-6)
    # 1e-4: angles are closed in on to 2e-5 rad either way
    assert (spot.begin, spot.end) == pytest.approx((other.begin, other.end), abs=1e-4)
    apart = mirrored.right_hand("left", spot.worst) - found.right_hand("right", other.worst)
    assert apart == pytest.approx(math.pi / 2, abs=1e-2)  # flat at the bottom: the worst is loose


@pytest.mark.parametrize("lead", [90, -90, 88.5])
def test_the_right_hand_crank_is_the_left_hand_one_and_the_lead(straight, lead):
    wheels = {**straight.data["wheels"], "right_leads_by": lead}
    found = examine(sheet_from({**straight.data, "wheels": wheels}, ask=False))

    assert found.right_hand("left", 0.3) == pytest.approx(0.3 + math.radians(lead))
    assert found.right_hand("right", 0.3) == 0.3


def test_the_sides_cranks_stand_a_quarter_apart_in_motion(found):
    # left pin straight ahead when the right one, leading by 90, is straight down
    for side in found.sides:
        right = found.right_hand(side, 0.0)
        assert right == pytest.approx({"right": 0.0, "left": math.pi / 2}[side])


def test_findings_of_all_sides_stand_in_one_order(demo):
    both = change(demo, {"left.valve_spindle.guide.front": 47.0})
    found = examine(both)

    assert [spot.side for spot in found.spots] == ["right", "left"]
    assert [type(spot) for spot in found.spots] == [Fouls, RunsOff]


def test_what_was_found_can_be_looked_up(found):
    side = found.sides["right"]
    least = min(pair.least for pair in side.survey.pairs)

    assert least == found.spots[0].least
    assert {pair.parts for pair in side.survey.pairs} <= set(side.pairs)
    assert np.isfinite(side.motion.poses["radius rod"]).all()


def test_a_loop_that_opens_is_found_and_the_rest_still_examined(demo):
    found = examine(change(demo, {"right.union_link.centres": 3.0}))

    assert [type(spot) for spot in found.spots] == [CannotClose, Fouls]
    assert np.isnan(found.sides["right"].motion.poses["union link"]).any()


@pytest.mark.parametrize("side", ["right", "left"])
def test_what_closes_nowhere_names_the_sheet_and_the_side(straight, side):
    short = change(straight, {f"{side}.eccentric_rod.centres": 12.0})

    with pytest.raises(AssemblyError, match=rf"ardmoor-2-6-0\.toml, {side}-hand side: cannot be"):
        examine(short)


def test_a_mechanism_of_one_side_is_called_only():
    sheet = sheet_from({
        "arrangement": "slider-crank",
        "wheels": {"throw": 4.0},
        "connecting_rod": {"centres": 30.0},
        "crosshead": {"slipper": {"ahead": 2.0, "back": 2.0, "depth": 3.0}},
    })  # fmt: skip
    found = examine(sheet)

    assert list(found.sides) == ["only"]
    assert found.right_hand("only", 1.25) == 1.25


def test_guesses_of_gear_and_coupled_wheels_do_not_foul_one_another():
    """An honest sheet of both, nothing sideways measured: no tight spot is of the tool's making."""
    wheels = """
[axles.leading]
ahead = 29.0
[coupling]
pin = 1.5
hole = 1.56
[coupling_rods.front]
from = "driving"
to = "leading"
centres = 29.0
"""
    found = examine(sheet_from(tomllib.loads(blank_sheet("walschaerts") + wheels)))
    assert found.play is not None
    assert [(spot.side, spot.parts) for spot in found.spots] == []
