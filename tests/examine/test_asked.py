"""Valves that run the engine back in full forward gear, and laps that nothing uncovers."""

from __future__ import annotations

import copy
from types import SimpleNamespace

import pytest

from linkage.arrangements import build
from linkage.clearance import survey_crank
from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine.asked import NeverOpens, RunsBack, asked_of
from linkage.kinematics import follow, solve_at
from linkage.sheet import set_running, sheet_from
from linkage.sheet.head import PLACES
from tests.ready import ready

PACIFIC = "ardmoor-pacific-5in"


def turned(sheet, side, place):
    """Return of a side what the figures of its valve are taken from."""
    mechanism = build(set_running(sheet, place), side)[side]
    motion = solve_at(follow(mechanism), survey_crank())
    return SimpleNamespace(side=side, mechanism=mechanism, motion=motion)


def asked(sheet):
    at = {side: {place: turned(sheet, side, place) for place in PLACES} for side in sheet.sides}
    here = {side: held["full_forward"] for side, held in at.items()}
    return asked_of(here, {side: SimpleNamespace(at=held) for side, held in at.items()})


def changed(name, edit):
    data = copy.deepcopy(dict(ready(name).data))
    edit(data)
    return sheet_from(data, name, ask=False)


@pytest.mark.parametrize("name", [PACIFIC, "ardmoor-2-8-2-baker", "ardmoor-0-6-0-stephenson"])
def test_nothing_is_asked_of_a_gear_that_is_right(name):
    assert asked(ready(name)) == ()


def test_return_cranks_that_lean_the_other_way_on_both_sides():
    """Nothing tells the sides apart: it was free, and nothing was said."""

    def lean(data):
        crank = data["return_crank"]
        crank["leads"] = crank.pop("follows")

    assert asked(changed(PACIFIC, lean)) == (RunsBack(tuple(ready(PACIFIC).sides)),)


def test_places_of_the_reverser_that_are_the_other_way_about():
    def exchange(data):
        gear = data["weighshaft"]["gear"]
        gear["full_forward"], gear["full_back"] = gear["full_back"], gear["full_forward"]

    assert asked(changed("ardmoor-0-6-0-stephenson", exchange)) == (RunsBack(("right", "left")),)


def test_a_lap_that_no_travel_uncovers_is_the_one_that_events_refuses():
    sheet = changed(PACIFIC, lambda data: data["valve"].update(steam_lap=8.0))
    found = asked(sheet)
    assert [(type(one), one.sides, one.lap, one.is_) for one in found] == [
        (NeverOpens, ("right", "left"), "steam_lap", 8.0)
    ]
    with pytest.raises(SheetError) as told:
        find_events(sheet, 3)
    (problem, *_) = told.value.problems
    assert f"{found[0].travel:.2f} mm at the most" in problem.wrong
    assert asked(changed(PACIFIC, lambda data: data["valve"].update(steam_lap=7.0))) == ()
