"""A third cylinder by levers from both outside gears: its events, its levers, its slips."""

from __future__ import annotations

import copy
import math
from functools import cache

import numpy as np
import pytest

from linkage.errors import SheetError
from linkage.events import Aim, find_events, find_setting
from linkage.report.blocks import Paragraph
from linkage.report.events import events_blocks
from linkage.sheet import sheet_from
from tests.ready import examined, ready

NAME = "ardmoor-4-6-0-conjugated"
APART = math.radians(120.0)


def changed(ask=False, **tables):
    data = copy.deepcopy(dict(ready(NAME).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    return sheet_from(data, "three.toml", ask=ask)


@cache
def events():
    return find_events(ready(NAME), 3)


def harmonics(place):
    """Return the first harmonics of a valve by its own crank's angle, from the mean on [mm]."""
    return np.fft.rfft(place.valve)[:4] / len(place.valve)


def test_it_is_free_and_proven():
    found = examined(NAME)
    assert found.free
    pairs = [p for side in found.sides.values() for p in side.survey.pairs]
    assert {pair.between_samples for pair in pairs} == {"proven"}


@pytest.mark.parametrize("number", range(3))
def test_first_and_second_harmonics_come_out_as_outside(number):
    """By the levers' mathematics: with the crank set over by its slope, all but what is alike.

    The mean and the third harmonic come out twice as large, the other way.
    """
    outside = harmonics(events().sides["right"].places[number])
    inside = harmonics(events().sides["inside"].places[number])
    slope = math.radians(7.1)  # by which its own angle is counted from elsewhere
    turned = np.exp(-1j * slope * np.arange(4)) * inside
    assert turned[1:3] == pytest.approx(outside[1:3], abs=1e-6)
    assert turned[3] == pytest.approx(-2 * outside[3], abs=1e-6)


@pytest.mark.long
def test_a_level_cylinder_opens_at_the_same_angles_as_outside_but_for_its_middle():
    level = changed(inside_cylinder={"inclination": 0.0, "follows": 240.0, "rod": 300.0})
    sides = find_events(level, 3).sides
    outside, inside = sides["right"].places[0], sides["inside"].places[0]
    assert inside.travel == pytest.approx(outside.travel, rel=0.01)
    for one, other in zip(inside.ends, outside.ends, strict=True):
        assert one.cut_off.stroke == pytest.approx(other.cut_off.stroke, abs=0.025)


def test_a_crank_that_is_not_set_over_for_the_slope_has_its_leads_off():
    """By the phase: seven degrees of the valve's movement about the dead centre."""
    as_built = events().sides["inside"].places[0].lap_and_lead
    plain = changed(inside_cylinder={"follows": 240.0})
    left = find_events(plain, 3).sides["inside"].places[0].lap_and_lead
    assert abs(left - as_built) > 0.5


@pytest.mark.long
def test_arms_of_other_lengths_move_it_so_much_more():
    longer = changed(equal_lever={"inner_arm": 46.2})
    place = find_events(longer, 3).sides["inside"].places[0]
    assert place.travel > events().sides["inside"].places[0].travel * 1.04


@pytest.mark.long
def test_from_the_left_it_is_as_from_the_right():
    left = find_events(changed(two_to_one_lever={"driven_by": "left"}), 3).sides["inside"]
    for one, other in zip(left.places, events().sides["inside"].places, strict=True):
        assert one.travel == pytest.approx(other.travel, abs=1e-6)


def test_its_levers_and_what_is_taken_are_told():
    swings = events().sides["inside"].levers
    most = max(np.ptp(np.arcsin(p.valve / 84.0)) for p in events().sides["right"].places)
    assert swings["two_to_one_lever"] == pytest.approx(most, abs=1e-3)
    told = [block.text for block in events_blocks(events()) if isinstance(block, Paragraph)]
    words = "worked from both sides: the two to one lever swings 10.3 degrees and the equal lever"
    assert any(words in text for text in told)


def test_its_crank_is_set_for_gears_that_cut_off_alike():
    found = find_setting(ready(NAME), "inside_cylinder.follows", Aim.GEARS)
    assert found.side == "inside"
    places = {place.place.at: place for place in found.after.sides["inside"].places}
    named = ("full_forward", "full_back")
    fore, back = (sum(end.cut_off.stroke for end in places[name].ends) for name in named)
    assert fore == pytest.approx(back, abs=1e-5)


@pytest.mark.parametrize(
    ("table", "numbers", "words"),
    [
        ("inside_cylinder", {"rod": 20.0}, "inside_cylinder: rod should be more than throw"),
        ("equal_lever", {"outer_arm": 0.0}, "equal_lever.outer_arm: should be above 0"),
        ("two_to_one_lever", {"driven_by": "both"}, "driven_by"),
    ],
)
def test_what_cannot_be_is_refused(table, numbers, words):
    with pytest.raises(SheetError) as caught:
        changed(**{table: numbers})
    assert words in str(caught.value)


def test_an_arm_shorter_than_its_end_goes_is_refused():
    short = changed(two_to_one_lever={"long_arm": 6.0, "short_arm": 3.0})
    with pytest.raises(SheetError, match=r"two_to_one_lever\.long_arm: should be more than 7\.\d"):
        find_events(short, 3)


def test_levers_of_other_proportions_are_asked_about():
    with pytest.raises(SheetError, match=r"should it go 1\.43 times as far"):
        changed(ask=True, two_to_one_lever={"short_arm": 60.0})


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ({"wheels": {"right_leads_by": 90}}, r"for these levers it is 120\.0 degrees; is it 90\.0"),
        ({"inside_cylinder": {"follows": 240.0}}, r"for these levers it is 247\.1 degrees"),
    ],
)
def test_cranks_that_stand_otherwise_are_asked_about(tables, words):
    with pytest.raises(SheetError, match=words):
        changed(ask=True, **tables)
