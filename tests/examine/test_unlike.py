"""The valves of the two sides set against one another: slipped eccentrics, by hand and followed."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from linkage.advice import search_cures
from linkage.advice.cure import Straighten, Together, TurnEccentric, changes_of
from linkage.certainty import Word, how_sure
from linkage.examine import examine, figures_at_places, slopes_of, valves_alike
from linkage.examine.unlike import unlike_by
from linkage.sheet import change, sheet_from
from linkage.sheet.numbers import numbers_of
from linkage.tightspots import Mistimed
from linkage.valve import UNLIKE_VALVES, Figure
from tests.ready import ready

SLIP = "ardmoor-0-4-0-slip-eccentric"


def slipped(left, **top):
    """Return the slip-eccentric engine with some of the left-hand side's own numbers."""
    data = copy.deepcopy(dict(ready(SLIP).data)) | {"left": left} | top
    return sheet_from(data, "slipped.toml", ask=False)


def only(found):
    (spot,) = found.spots
    assert isinstance(spot, Mistimed)
    return spot


def first_cure(found):
    (advice,) = search_cures(found)
    return advice.cures[0].cure


def test_an_eccentric_turned_against_one_stop():
    """Lap and lead are the throw times the sine of the advance: 2.4 sin 33, 2.4 sin 25 beside."""
    found = examine(slipped({"eccentric": {"leads": 123.0}}))
    spot = only(found)
    assert (spot.side, spot.parts, spot.place) == ("left", ("valve spindle",), "full_forward")
    assert spot.unlike.figure is Figure.LAP_AND_LEAD
    assert spot.unlike.mine == pytest.approx(2.4 * math.sin(math.radians(33)), abs=1e-6)
    assert spot.unlike.others == pytest.approx(2.4 * math.sin(math.radians(25)), abs=1e-6)
    cure = first_cure(found)
    assert isinstance(cure, TurnEccentric)
    assert changes_of(cure) == (("left.eccentric.leads", 115.0),)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_a_stop_collar_that_slipped_carries_both_stops_with_it():
    found = examine(slipped({"eccentric": {"leads": 122.0, "follows": 108.0}}))
    assert only(found).side == "left"
    cure = first_cure(found)
    assert isinstance(cure, Together)
    assert {key for key, _ in changes_of(cure)} == {
        "left.eccentric.leads",
        "left.eccentric.follows",
    }
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_a_throw_of_another_engine():
    found = examine(slipped({"eccentric": {"throw": 2.7}}))
    assert only(found).unlike.figure is Figure.TRAVEL
    cure = first_cure(found)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_two_degrees_are_no_finding():
    """2.4 (sin 27 - sin 25) is 0.08 mm, and 0.03 of the travel 0.14."""
    assert examine(slipped({"eccentric": {"leads": 117.0}})).free


def test_what_measuring_errors_explain_is_none():
    """Five degrees more are told where they were measured, not where one is a guess."""
    assert isinstance(examine(slipped({"eccentric": {"leads": 120.0}})).spots[0], Mistimed)
    assert examine(slipped({"eccentric": {"leads": "about 120"}})).free


def test_how_sure_it_is():
    """Slopes by hand: the lap and lead grow by 2.4 cos 33 a radian of the angle that slipped."""
    found = examine(slipped({"eccentric": {"leads": 123.0}}))
    spot, numbers = only(found), numbers_of(found.sheet)
    slopes = dict(zip([n.key for n in numbers], slopes_of(found.sheet, spot, numbers), strict=True))
    assert slopes["left.eccentric.leads"] == pytest.approx(
        2.4 * math.cos(math.radians(33)) * math.pi / 180, abs=1e-5
    )
    assert slopes["eccentric.leads"] == pytest.approx(
        -2.4 * math.cos(math.radians(25)) * math.pi / 180, abs=1e-5
    )
    # one throw for both sides: half of it is explained by either
    assert slopes["eccentric.throw"] == pytest.approx(
        math.sin(math.radians(33)) - math.sin(math.radians(25)), abs=1e-5
    )
    assert spot.room == pytest.approx(UNLIKE_VALVES * 4.8 - 2.4 * (0.544639 - 0.422618), abs=1e-4)
    (judged,) = how_sure(found).spots
    assert judged.word is Word.SURE
    assert judged.chance > 0.95


def test_a_sheet_of_one_side_has_nothing_to_be_set_against():
    data = copy.deepcopy(dict(ready(SLIP).data))
    data["eccentric"] = {**data["eccentric"], "leads": 123.0}
    data["wheels"] = {"throw": 9.0, "side_play": 0.2}
    assert examine(sheet_from(data | {"sides": ["right"]}, "one.toml", ask=False)).free


@pytest.mark.slow
def test_an_engine_measured_twice_is_never_said_to_differ():
    """Both sides' numbers drawn from their errors: some come out farther apart than they may."""
    sheet, rng, beyond = ready(SLIP), np.random.default_rng(5), 0
    places = ("full_forward", "full_back")
    for _ in range(40):
        drawn = {
            f"{side}.{number.key}": number.value + number.origin.error * rng.uniform(-1.0, 1.0)
            for number in numbers_of(sheet)
            for side in ("right", "left")
            if number.key.startswith(("eccentric", "valve_spindle.height", "connecting_rod."))
        }
        made = change(sheet, drawn)
        held = {side: figures_at_places(made, side, places) for side in ("right", "left")}
        unlike = unlike_by(made, held)
        if unlike is not None:
            beyond += 1
            assert abs(unlike[0].mine - unlike[0].others) <= unlike[1]
    assert beyond


def test_a_rod_that_only_moves_the_middle_shows_where_the_valves_middle_is_known():
    """A rod 1 mm too long moves the valve by 1 mm, which the spindle's nuts could take up."""
    long = {"eccentric_rod": {"centres": 63.0}}
    assert examine(slipped(long)).free
    valve = {**ready(SLIP).data["valve"], "middle": 62.0}
    found = examine(slipped(long, valve=valve))
    spot = only(found)
    assert (spot.side, spot.unlike.figure) == ("left", Figure.SETTING)
    assert spot.unlike.mine - spot.unlike.others == pytest.approx(1.0, abs=0.01)
    (advice,) = search_cures(found)
    rod, nuts = (dict(changes_of(one.cure)) for one in advice.cures)
    assert rod == {"left.eccentric_rod.centres": 62.0}
    assert nuts["left.valve.middle"] == pytest.approx(63.0, abs=0.05)
    for changes in (rod, nuts):
        assert examine(change(found.sheet, changes)).free


def test_a_bent_rod_is_straightened_whichever_valve_seems_wrong():
    """Bowed as far in its plane, the rod's own side seems the more even one by a little."""
    pacific = copy.deepcopy(dict(ready("ardmoor-pacific-5in").data))
    bend = [{"kind": "bow", "from": "rear", "up": 5.36}]
    pacific["left"] = {"eccentric_rod": {"bend": bend, "centres_measured": "straight"}}
    found = examine(sheet_from(pacific, "bent.toml", ask=False))
    assert only(found).side == "right"
    cure = first_cure(found)
    assert isinstance(cure, Straighten)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_one_side_alone_is_unlike_nothing():
    """A sheet of one side: nothing to set it beside, and a cure is tried all the same."""
    sheet = ready("ardmoor-2-4-0-allan")
    assert len(sheet.sides) == 1
    found = examine(sheet)
    assert valves_alike(sheet, found.places("right"))
    assert found.nearly_unlike == ()
