"""A number solved for: what is aimed at is even then, and it is what the trade's rules say."""

from __future__ import annotations

import math

import pytest

from linkage.arrangements import build
from linkage.errors import MechanismError, SheetError
from linkage.events import Aim, NoSettingError, find_events, find_setting, setting
from linkage.events.setting import of_all_near
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
        ("return_crank.follows", Aim.CUT_OFFS, {"steam_lap": None}, "cannot be told"),
    ],
)
def test_what_cannot_be_set(key, aim, sheet, words):
    with pytest.raises(NoSettingError, match=words):
        find_setting(pacific(**sheet), key, aim)


def test_where_no_value_does_it_the_nearest_is_told_and_what_it_leaves(monkeypatch):
    """A return crank's angle does for the gears, not for the ends: as far as may be looked."""
    monkeypatch.setattr(setting, "_EVENLY", 5)  # it is the farthest, however many are tried,
    monkeypatch.setattr(setting, "_CLOSE", 0.02)  # and however closely
    with pytest.raises(NoSettingError, match=r"no return_crank\.follows near") as told:
        find_setting(pacific(), "return_crank.follows", Aim.CUT_OFFS)
    nearest, left = told.value.nearest, told.value.left
    made = find_events(change(pacific(), {"return_crank.follows": nearest}), 3)
    front, back = made.sides["right"].at("full_forward").ends
    assert front.cut_off.stroke - back.cut_off.stroke == pytest.approx(left, abs=1e-6)
    front, back = find_events(pacific(), 3).sides["right"].at("full_forward").ends
    assert abs(left) < abs(front.cut_off.stroke - back.cut_off.stroke)
    assert nearest == pytest.approx(91.4 - math.degrees(0.5), abs=1.5)
    assert f"nearest comes {nearest:.2f} degrees, as far as was looked, which" in str(told.value)
    assert f"cut-off {100 * left:.1f} per cent of the stroke later than" in str(told.value)


def untold(value):
    if value < 1.0:
        raise MechanismError("the gear does not go round")
    return value


@pytest.mark.parametrize(
    ("left", "to", "least"),
    [
        (lambda x: (x - 2.1) ** 2 + 0.3, 2.1, 0.3),
        (lambda x: -((x - 2.1) ** 2) - 0.3, 2.1, -0.3),
        (lambda x: (x - 2.1) * (x - 7.0), 2.1, 0.0),  # of two the one nearer to 3
        (lambda x: math.copysign(0.2 + abs(x - 2.1), x - 2.1), 2.1, 0.2),  # it leaps
        (untold, 1.0, 1.0),
    ],
)
def test_what_comes_nearest_of_a_curve_that_is_known(left, to, least):
    values = [0.5 * k for k in range(17)]
    found = of_all_near(left, values, 3.0, 1e-4)
    assert found[0] == pytest.approx(to, abs=2e-4)
    assert abs(found[1]) == pytest.approx(abs(least), abs=2e-4)


def test_a_number_that_is_not_there_is_named():
    with pytest.raises(SheetError, match="folows"):
        find_setting(pacific(), "return_crank.folows", Aim.LINK)
