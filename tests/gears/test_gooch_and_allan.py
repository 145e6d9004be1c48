"""The gears of Gooch and of Allan as arrangements: their places, and what is wrong with a part."""

from __future__ import annotations

import copy
import json

import pytest
from click.testing import CliRunner

from linkage.arrangements import build
from linkage.cli import main
from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine import examine_side
from linkage.sheet import sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import kind_of
from tests.ready import examined, ready

NAMES = ("ardmoor-2-4-0-gooch", "ardmoor-2-4-0-allan")


def changed(name, **tables):
    data = copy.deepcopy(dict(ready(name).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    return sheet_from(data, "gear.toml", ask=False)


@pytest.mark.parametrize("name", NAMES)
def test_it_is_free_in_all_gears_and_proven_there_and_between(name):
    found = examined(name)
    assert found.free
    assert {held.survey.between for held in found.everywhere.values()} == {"proven"}


@pytest.mark.parametrize("name", NAMES)
def test_it_runs_as_its_reverser_is_set(name):
    full, mid, back = find_events(ready(name), 3).sides["right"].places
    assert [full.ahead, mid.ahead, back.ahead] == [1, 0, -1]
    assert mid.travel < min(full.travel, back.travel)
    assert full.ends[0].cut_off.stroke == pytest.approx(back.ends[0].cut_off.stroke, abs=0.04)


@pytest.mark.parametrize("name", NAMES)
def test_a_lifting_link_of_another_engine_is_found(name):
    """Short by three millimetres, it lifts the die out of the top of its slot."""
    short = ready(name).sides["right"].lifting_link.centres - 3.0
    made = build(changed(name, lifting_link={"centres": short}), "right")["right"]
    spots = examine_side("right", made, 0.5).spots
    assert {(kind_of(spot).name, spot.parts) for spot in spots} == {
        ("runs off", ("die block", "slot"))
    }


def test_a_bent_suspension_link_is_found():
    bend = [{"kind": "bow", "from": "top", "away_from_frames": 4.0}]
    made = build(changed(NAMES[0], suspension_link={"bend": bend}), "right")["right"]
    spots = examine_side("right", made, 0.5).spots
    assert ("suspension link", "fore eccentric rod") in {
        tuple(sorted(spot.parts, reverse=True)) for spot in spots if kind_of(spot).name == "fouls"
    }


def test_what_cannot_be_is_refused():
    with pytest.raises(SheetError, match="slot_radius should be more than slot_half_length"):
        changed(NAMES[0], expansion_link={"slot_radius": 10.0})
    with pytest.raises(SheetError, match="slot_radius: is not a known key"):
        changed(NAMES[1], expansion_link={"slot_radius": 100.0})


def test_a_place_that_the_gear_cannot_reach_has_no_events_and_the_others_have_theirs():
    """The sheet stands in full forward gear, the arm far beyond what the links reach."""
    far = {"gear": {"full_forward": 70.0, "mid": 0.0, "full_back": -10.5}}
    full, mid, back = find_events(changed(NAMES[0], weighshaft=far)).sides["right"].places
    assert [place.whole for place in (full, mid, back)] == [False, True, True]
    sound = find_events(ready(NAMES[0]), 3).sides["right"].places
    assert back.travel == pytest.approx(sound[2].travel, abs=1e-6)
    assert mid.travel == pytest.approx(sound[1].travel, abs=1e-6)


def test_a_bent_eccentric_rod_is_named_by_what_was_felt():
    """First of all that is in the motion, the felt place being where such a bend would stop it.

    Kinked inwards it meets what the link hangs by, joggled outwards the link, at the same place.
    Between the two may come the pin that the link hangs by: where it stands is not on the sheet.
    """
    words = ["--felt", "locks at about half past 11 on the right", "--json"]
    said = CliRunner().invoke(main, ["cause", str(ready_sheets()[NAMES[0]]), *words])
    causes = [held["key"] for held in json.loads(said.stdout)["causes"] if held["key"]]
    ways = {f"right.fore_eccentric_rod.{way}" for way in ("towards_frames", "away_from_frames")}
    assert causes[0] in ways
    between = [
        key for key in causes[1:4] if not key.startswith("right.expansion_link.suspension_pin")
    ]
    assert {causes[0], between[0]} == ways
