"""A fault that only shows in back gear: found wherever the reverser is set, shown there, cured."""

import json
from functools import cache

import numpy as np
import pytest
from click.testing import CliRunner

from linkage.advice import search_cures
from linkage.advice.cure import changes_of
from linkage.arrangements import build
from linkage.cli import main
from linkage.examine import examine
from linkage.kinematics import solve_turn
from linkage.scene.moment import moment_of
from linkage.sheet import change, set_running
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import RunsOff, amount_of
from tests import ready

NAME = "ardmoor-pacific-5in-back-gear"


@cache
def first_advice():
    return next(search_cures(ready.examined(NAME), guesses=False))


def test_it_is_free_where_the_sheet_has_the_reverser(examined):
    found = examined(NAME)
    assert not any(side.spots for side in found.sides.values())
    assert not found.free


def test_it_is_found_in_full_back_gear_by_the_die_s_own_travel(examined, ready):
    spot = examined(NAME).spots[0]
    assert isinstance(spot, RunsOff)
    assert spot.place == "full_back"
    mechanism = build(set_running(ready(NAME), "full_back"))["right"]
    die = solve_turn(mechanism, np.radians(np.arange(0, 360, 0.25))).travel("die block")
    assert amount_of(spot) == pytest.approx(die.max() - (26 - 8 / 2), abs=1e-4)


@pytest.mark.parametrize("running", ["mid", "full_back", 10.0])
def test_it_is_found_wherever_the_reverser_stands(examined, ready, running):
    place = running if isinstance(running, str) else float(np.radians(running))
    found, other = examined(NAME), examine(set_running(ready(NAME), place))
    ours, theirs = ([(type(s), s.side, s.place) for s in e.spots] for e in (found, other))
    assert ours == theirs
    assert list(map(amount_of, other.spots)) == pytest.approx(
        list(map(amount_of, found.spots)), abs=1e-6
    )


def test_it_is_proven_between_the_places(examined):
    for held in examined(NAME).everywhere.values():
        assert held.survey.between == "proven"


def test_pictures_stand_at_its_place(examined):
    found = examined(NAME)
    moment = moment_of(found, found.spots[0])
    assert moment.gear == ", in full back gear"
    shaft = moment.mechanism.part("weighshaft").pieces[0].corners
    assert shaft[1][1] > shaft[0][1]  # the arm, backward from the shaft, points up


def test_the_first_cure_is_its_stop_and_holds_at_every_place(examined):
    found = examined(NAME)
    advice = first_advice()
    changes = dict(changes_of(advice.cures[0].cure))
    assert changes.keys() == {"weighshaft.gear.full_back"}
    assert examine(change(found.sheet, changes)).free


def test_a_cure_at_one_end_is_no_cure_if_it_makes_the_other_end_wrong(examined):
    """The weighshaft 0.9 lower frees full back gear, and full forward still has room for it."""
    found = examined(NAME)
    for tried in first_advice().cures:
        after = examine(change(found.sheet, dict(changes_of(tried.cure))), known=found)
        assert after.free or tried.outcome.spoils


def test_it_is_said_and_ends_so():
    result = CliRunner().invoke(main, ["check", str(ready_sheets()[NAME]), "--json"])
    assert result.exit_code == 1
    data = json.loads(result.stdout)
    assert data["reverser"]["between_places"] == "proven"
    assert {spot["reverser"] for spot in data["tight_spots"]} == {"full_back"}
