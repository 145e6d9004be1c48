"""How an angle that has slipped may be set again: against plain trigonometry and whole turns."""

from __future__ import annotations

import copy
import math

import pytest

from linkage.advice import advise
from linkage.advice.cure import Ease, Replace, Requarter, ResetReturnCrank, ThinNut
from linkage.advice.resetting import equal_distance, quarter_range, turning_range
from linkage.advice.slipped import moved_by_it
from linkage.advice.slipped import slipped as set_again
from linkage.arrangements import build, coupled_wheels
from linkage.errors import AssemblyError
from linkage.examine import examine
from linkage.kinematics import follow
from linkage.play import NEARLY, find_play
from linkage.sheet import change, put_on_curve, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from tests.ready import examined, examined_once

LEAN = "return_crank.lean"


@pytest.fixture(scope="module")
def slipped():
    return examined("ardmoor-2-6-0-return-crank-slipped")


@pytest.fixture(scope="module")
def cure(slipped):
    return advise(slipped)[0].cures[0].cure


@pytest.fixture(scope="module")
def out_of_quarter():
    return examined("ardmoor-0-6-0-coupled")


def test_a_slipped_return_crank_is_reset(cure):
    assert isinstance(cure, ResetReturnCrank)
    assert cure.number.key == LEAN
    assert cure.number.other == pytest.approx(27.98)
    assert cure.equal is not None


def by_its_circle(sheet):
    """Return the sheet with its return cranks given by their pins' circles, by trigonometry."""
    data = copy.deepcopy(dict(sheet.data))
    throw, crank = data["wheels"]["throw"], data["return_crank"]
    arm = crank.pop("arm")
    leans = {"": crank.pop("lean"), "right": data["right"].pop("return_crank")["lean"]}
    del crank["leans"]
    for side, lean in leans.items():
        x = throw - arm * math.cos(math.radians(lean))
        y = arm * math.sin(math.radians(lean))
        table = data.setdefault(side, {}).setdefault("return_crank", {}) if side else crank
        table |= {"pin_circle": math.hypot(x, y), "leads": math.degrees(math.atan2(y, x))}
    return sheet_from(data, "by-its-circle.toml", ask=False)


def test_it_is_reset_to_the_same_and_within_the_same_range_whichever_way_it_is_given(slipped, cure):
    sheet = by_its_circle(slipped.sheet)
    found = examine(sheet)
    (other,) = advise(found)[0].cures[:1]
    assert isinstance(other.cure, ResetReturnCrank)
    for name in ("now", "to", "other"):
        assert getattr(other.cure.number, name) == pytest.approx(getattr(cure.number, name))
    assert other.cure.range.low == pytest.approx(cure.range.low)
    assert other.cure.range.high == pytest.approx(cure.range.high)
    assert other.cure.equal.at == pytest.approx(cure.equal.at, abs=1e-6)
    keys = {"right.return_crank.pin_circle", "right.return_crank.leads"}
    assert {key for key, _ in other.cure.changes} == keys
    assert examine(change(sheet, dict(other.cure.changes))).free


def test_where_both_sides_have_slipped_the_equal_distances_say_where_to(slipped):
    both = change(slipped.sheet, {LEAN: 55.98, f"right.{LEAN}": 55.98})
    for sheet in (both, by_its_circle(both)):
        found = examine(sheet)
        first = advise(found)[0].cures[0].cure
        assert isinstance(first, ResetReturnCrank)
        assert first.number.to == pytest.approx(27.5)
        assert first.equal.at == pytest.approx(27.7, abs=0.1)
        assert examine(change(sheet, dict(first.changes))).free


def test_a_crank_that_cannot_be_put_together_when_set_again_is_passed_by(slipped, monkeypatch):
    both = change(slipped.sheet, {LEAN: 55.98, f"right.{LEAN}": 55.98})
    found = examine(by_its_circle(both))
    (again,) = set_again(found, "right")
    assert set_again(found, "right") == (again,)

    def apart(*_):
        raise AssemblyError(("eccentric rod", "expansion link"), 1.0, "engine.toml")

    monkeypatch.setattr("linkage.advice.cures.cured", apart)
    assert ResetReturnCrank not in {type(one.cure) for one in advise(found)[0].cures}
    monkeypatch.setattr("linkage.advice.slipped.equal_distance", apart)
    assert set_again(examine(by_its_circle(both)), "right") == ()


@pytest.mark.parametrize("past", [-0.1, 0.1])
def test_the_safe_range_ends_where_a_whole_turn_first_fails(slipped, cure, past):
    """Twice what an end is closed in on to, on either side of it."""
    assert cure.range.locks_above
    made = change(slipped.sheet, {f"right.{LEAN}": cure.range.high + past})
    assert follow(build(made, "right")["right"]).arcs[0].whole == (past < 0)


def test_no_lock_where_none_is_near(slipped):
    found = turning_range(slipped.sheet, "right", LEAN, 27.98)
    assert not found.locks_below
    assert found.low == pytest.approx(27.98 - 60.0)


def test_equal_distances_by_trigonometry(slipped, cure):
    """The cylinder is level and in line, so the pin stands at P and -P at the dead centres.

    Both are as far from the foot F where P is square to F.
    """
    side = slipped.sheet.sides["right"]
    crank, link, throw = side.return_crank, side.expansion_link, side.wheels.throw
    foot = (
        link.trunnion.ahead - link.foot_pin.back,
        link.trunnion.up - link.foot_pin.below,
    )

    def pin(lean):
        turn = math.radians(lean)
        return throw - crank.arm * math.cos(turn), -crank.arm * math.sin(turn)

    x, y = pin(cure.equal.at)
    assert x * foot[0] + y * foot[1] == pytest.approx(0.0, abs=1e-3)
    assert cure.equal.distance == pytest.approx(math.dist((x, y), foot), abs=1e-3)
    x, y = pin(cure.number.now)
    assert cure.equal.front == pytest.approx(math.dist((x, y), foot), abs=1e-3)
    assert cure.equal.back == pytest.approx(math.dist((-x, -y), foot), abs=1e-3)


def test_the_equal_distance_is_about_the_eccentric_rods_length(slipped, cure):
    """So the gear's makers meant it: the rod hangs on a link that is then upright."""
    rod = slipped.sheet.sides["right"].eccentric_rod.centres
    assert cure.equal.distance == pytest.approx(rod, abs=0.05)
    assert cure.equal.at == pytest.approx(cure.number.other, abs=0.5)


def test_a_gear_without_such_pins_has_no_such_test(out_of_quarter):
    key = "left.axles.leading.pin_ahead_by"
    assert equal_distance(out_of_quarter, "left", key.removeprefix("left."), 0.0) is None


def test_a_wheel_out_of_quarter_is_requartered(out_of_quarter):
    cure = advise(out_of_quarter)[0].cures[0].cure
    assert isinstance(cure, Requarter)
    assert cure.axle == "leading"
    assert cure.range.low < cure.changes[0][1] < cure.range.high


@pytest.mark.parametrize("past", [-0.1, 0.1])
def test_the_quarters_range_ends_where_a_whole_turn_binds(out_of_quarter, past):
    key = "left.axles.leading.pin_ahead_by"
    found = quarter_range(out_of_quarter, out_of_quarter.sheet, key, 0.0)
    for end, way in ((found.low, -1), (found.high, 1)):
        wheels = coupled_wheels(change(out_of_quarter.sheet, {key: end + way * past}))
        assert (find_play(wheels).used.most < NEARLY) == (past < 0)


def test_easing_says_which_number_it_hides(out_of_quarter):
    *_, last = advise(out_of_quarter)[0].cures
    assert isinstance(last.cure, Ease)
    assert last.cure.hides == "left.axles.leading.pin_ahead_by"


def test_a_rod_of_the_wrong_length_is_replaced():
    long = examined("ardmoor-0-6-0-rod-long")
    cure = advise(long)[0].cures[0].cure
    assert isinstance(cure, Replace)
    assert cure.part == "front coupling rod"


def test_a_nut_is_thinned_where_the_wheelsets_must_keep_their_play():
    """On a curve that is asked for, side play cannot be taken out."""
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-nut-on-curves"])
    found = examine(put_on_curve(sheet, 1200.0))
    cures = [cure for item in advise(found) for cure in item.cures]
    (tried, *_) = cures
    assert isinstance(tried.cure, ThinNut)
    assert tried.cure.part == "leading wheel"
    assert tried.outcome.leaves >= found.sheet.wanted_clearance - 1e-9


def test_what_others_lose_is_what_two_examinations_say(demo):
    before = examined_once(demo)
    tried = advise(before)[0].cures[0]
    after = examine(change(demo, dict(tried.cure.changes)))
    was = {pair.parts: pair.least for pair in before.sides["right"].survey.pairs}
    now = {pair.parts: pair.least for pair in after.sides["right"].survey.pairs}
    loses = tried.outcome.loses
    assert loses
    for loss in loses:
        assert loss.after == pytest.approx(now[loss.parts], abs=1e-6)
        assert loss.before == pytest.approx(was[loss.parts], abs=1e-6)
    lost = {parts for parts in now if parts in was and now[parts] < was[parts] - 0.005}
    assert lost - {cure_pair(before)} == {loss.parts for loss in loses}


def cure_pair(examination):
    return examination.spots[0].parts


def test_a_slip_moves_the_gear_and_no_more(slipped):
    """So it is not looked for where parts meet that it does not move."""
    names = {part.name for part in slipped.sides["right"].mechanism.parts}
    moved = moved_by_it(slipped, "right")
    assert moved < names
    assert {"eccentric rod", "expansion link", "radius rod", "valve spindle"} <= moved
    assert not moved & {"crank", "connecting rod", "crosshead", "slide bars", "motion bracket"}
    assert not moved_by_it(examined("ardmoor-0-6-0-stephenson"), "right")  # it has none
