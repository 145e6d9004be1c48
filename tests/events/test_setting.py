"""A number solved for: what is aimed at is even then, and it is what the trade's rules say."""

from __future__ import annotations

import math

import pytest

from linkage.arrangements import build
from linkage.errors import SheetError
from linkage.events import Aim, NoSettingError, find_setting
from linkage.kinematics import solve_turn
from linkage.sheet import change
from tests.events.engines import pacific


def test_the_valve_is_set_for_equal_cut_offs_and_loses_its_equal_leads():
    found = find_setting(pacific(), "valve.middle", Aim.CUT_OFFS)
    front, back = found.after.sides["right"].at("full_forward").ends
    assert front.cut_off.stroke == pytest.approx(back.cut_off.stroke, abs=1e-6)
    assert front.lead - back.lead == pytest.approx(-2 * (found.to - found.now), abs=1e-6)


def test_the_return_crank_by_the_equal_distance_rule():
    """The link's foot is as far from the axle on both dead centres: by the motion itself."""
    found = find_setting(pacific(), "return_crank.follows", Aim.LINK)
    assert found.to == pytest.approx(91.4, abs=0.05)  # as the ready sheet says of itself
    mechanism = build(change(pacific(), {"return_crank.follows": found.to}), "right")["right"]
    foot = solve_turn(mechanism, [0.0, math.pi]).joint("link foot pin")
    distances = [math.hypot(*place) for place in foot.tolist()]
    assert distances[0] == pytest.approx(distances[1], abs=1e-4)


def test_the_back_set_is_set_for_one_gear():
    found = find_setting(pacific(), "expansion_link.foot_pin.back", Aim.CUT_OFFS, "full_back")
    front, back = found.after.sides["right"].at("full_back").ends
    assert front.cut_off.stroke == pytest.approx(back.cut_off.stroke, abs=1e-6)


def test_both_gears_are_made_alike():
    found = find_setting(pacific(), "return_crank.follows", Aim.GEARS)
    means = [
        sum(end.cut_off.stroke for end in found.after.sides["right"].at(place).ends) / 2
        for place in ("full_forward", "full_back")
    ]
    assert means[0] == pytest.approx(means[1], abs=1e-6)


@pytest.mark.parametrize(
    ("key", "aim", "sheet", "words"),
    [
        ("radius_rod.width", Aim.GEARS, {}, "does nothing for equal cut-offs in both gears here"),
        ("return_crank.follows", Aim.CUT_OFFS, {}, "no return_crank.follows near"),
        ("return_crank.follows", Aim.CUT_OFFS, {"steam_lap": None}, "cannot be told"),
    ],
)
def test_what_cannot_be_set(key, aim, sheet, words):
    with pytest.raises(NoSettingError, match=words):
        find_setting(pacific(**sheet), key, aim)


def test_a_number_that_is_not_there_is_named():
    with pytest.raises(SheetError, match="folows"):
        find_setting(pacific(), "return_crank.folows", Aim.LINK)
