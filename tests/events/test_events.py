"""Events are where the true valve's edges pass those of the ports."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from linkage.advice.keys import value_of
from linkage.arrangements import build
from linkage.errors import SheetError
from linkage.events import Missing, find_events
from linkage.kinematics import solve_round, solve_turn
from linkage.sheet import change, read_sheet, set_running, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.valve import Figure, figures_of
from tests.events.engines import found, pacific
from tests.ready import ready

NAMES = ("full_forward", "mid", "full_back")
EXACT = 1e-6
"""Valve and piston move by less than this while the crank turns by 1e-6 rad, twice over [mm]."""


def named(place):
    return found().sides["right"].at(place)


@pytest.mark.parametrize("place", NAMES)
def test_at_each_event_the_valve_stands_at_its_edge(place):
    """Solved anew for that place alone, by the course round the turn."""
    side = found().sides["right"]
    mechanism = build(set_running(pacific(), place), "right")["right"]
    for end, sign in zip(named(place).ends, (1.0, -1.0), strict=True):
        edges = [(end.admission, 3.4), (end.cut_off, 3.4), (end.release, 0.0),
                 (end.compression, 0.0)]  # fmt: skip
        motion = solve_turn(mechanism, [event.crank for event, _ in edges])
        valve = sign * (motion.travel("valve spindle slide") - side.middle)
        assert valve == pytest.approx([lap for _, lap in edges], abs=20 * EXACT)


@pytest.mark.parametrize("place", NAMES)
def test_the_port_is_open_between_admission_and_cut_off_only(place):
    side, held = found().sides["right"], named(place)
    mechanism = build(set_running(pacific(), place), "right")["right"]
    crank = np.radians(np.arange(0.5, 360.0))
    motion = solve_turn(mechanism, crank)
    for end, sign, dead in zip(held.ends, (1.0, -1.0), (0.0, math.pi), strict=True):
        opening = sign * (motion.travel("valve spindle slide") - side.middle) - 3.4
        time = 1.0 if held.forward else -1.0
        begin, last = end.admission.turned, end.cut_off.turned
        turned = (time * (crank - dead) - begin) % (2 * np.pi)
        assert ((opening > 0) == (turned < last - begin)).all()
        assert end.opening == pytest.approx(min(opening.max(), 5.0), abs=1e-3)


def test_it_runs_the_way_its_reverser_is_set():
    assert [named(place).ahead for place in NAMES] == [1, 0, -1]
    assert [p.place.share for p in found().sides["right"].places] == sorted(
        p.place.share for p in found().sides["right"].places
    )


def test_leads_are_equal_where_the_sheet_does_not_say_how_the_valve_is_set():
    front, back = named("full_forward").ends
    assert front.lead == pytest.approx(back.lead, abs=1e-9)


def test_a_valve_that_stands_farther_ahead_opens_the_front_port_earlier():
    """By as much as its lead grows; the other end loses it."""
    side = found().sides["right"]
    moved = find_events(pacific(middle=side.middle - 0.2), 3).sides["right"]
    for one, other in zip(moved.places, (named(p) for p in NAMES), strict=True):
        assert one.ends[0].lead == pytest.approx(other.ends[0].lead + 0.2, abs=1e-6)
        assert one.ends[1].lead == pytest.approx(other.ends[1].lead - 0.2, abs=1e-6)
        assert one.ends[0].cut_off.stroke > other.ends[0].cut_off.stroke


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("ardmoor-0-6-0-stephenson", "fore_eccentric_rod.centres"),  # admits outside
        ("ardmoor-pacific-5in", "radius_rod.centres"),  # admits inside
    ],
)
def test_a_longer_rod_changes_the_leads_by_what_the_comparison_says(name, key):
    """Found by edges that pass ports; `valve.figures` has it of the motion alone, with no ports."""
    data = copy.deepcopy(dict(ready(name).data))
    data["valve"]["middle"] = find_events(ready(name), 2).sides["right"].middle
    set_there = sheet_from(data, name, ask=False)
    longer = change(set_there, {key: value_of(set_there, key) + 0.3})
    leads, told = [], []
    for sheet in (set_there, longer):
        place = find_events(sheet, 2).sides["right"].at("full_forward")
        leads.append([end.lead for end in place.ends])
        motion = solve_round([build(set_running(sheet, "full_forward"), "right")["right"]], 720)
        figures = figures_of(motion)
        told.append([figures[end][0] for end in (Figure.LEAD_FRONT, Figure.LEAD_BACK)])
    assert np.diff(told, axis=0) == pytest.approx(np.diff(leads, axis=0), abs=1e-6)
    assert np.abs(np.diff(leads, axis=0)).min() > 0.2


def test_exhaust_clearance_releases_earlier_and_compresses_later():
    clear = find_events(pacific(exhaust_lap=None, exhaust_clearance=0.5), 3).sides["right"]
    for one, other in zip(clear.places, (named(p) for p in NAMES), strict=True):
        for a, b in zip(one.ends, other.ends, strict=True):
            assert a.release.turned < b.release.turned
            assert a.compression.turned > b.compression.turned


def test_a_narrow_port_is_open_no_wider_than_it_is():
    side = find_events(pacific(port=2.0), 3).sides["right"]
    assert side.at("full_forward").ends[0].opening == 2.0
    assert side.at("mid").ends[0].opening < 1.0


def test_sides_that_are_alike_are_found_out_about_once():
    assert [one.like for one in found().sides.values()] == ["", "right"]
    assert found().sides["left"].places is found().sides["right"].places


@pytest.mark.parametrize(
    ("gone", "missing", "told"),
    [
        ({"steam_lap": None}, Missing.STEAM_LAP, ("release",)),
        ({"exhaust_lap": None}, Missing.EXHAUST_LAP, ("cut_off", "lead", "opening")),
        ({"port": None}, Missing.PORT, ("cut_off", "release", "lead", "opening")),
    ],
)
def test_what_the_sheet_does_not_give_is_named_and_the_rest_told(gone, missing, told):
    side = find_events(pacific(**gone), 3).sides["right"]
    assert side.missing == (missing,)
    end = side.places[0].ends[0]
    names = ("lead", "cut_off", "release", "opening")
    assert tuple(n for n in names if getattr(end, n) is not None) == tuple(
        n for n in names if n in told
    )


def test_one_place_where_the_sheet_does_not_say_how_far_the_reverser_goes():
    side = find_events(read_sheet(ready_sheets()["ardmoor-2-6-0"])).sides["right"]
    (only,) = side.places
    assert only.place.at is None
    assert only.slip is None
    assert math.degrees(only.swing) == pytest.approx(60.0, abs=0.05)  # README, by hand


@pytest.mark.parametrize(
    ("valve", "words"),
    [
        ({"exhaust_lap": 9.0}, "valve.exhaust_lap: should be less than half of the valve's travel"),
        ({"steam_lap": 9.0}, "valve.steam_lap: should be less than half of the valve's travel"),
        ({"chest": 9.0}, "two of 5 mm into 9 mm"),
        ({"exhaust_clearance": 0.1}, "exhaust_lap or exhaust_clearance, not both"),
        ({"admission": "outside"}, "combination_lever is pinned for inside admission"),
        ({"steam_lap": -1.0}, "valve.steam_lap: should not be below 0"),
    ],
)
def test_a_valve_that_cannot_be_is_refused(valve, words):
    with pytest.raises(SheetError, match=words):
        find_events(pacific(**valve))


def test_a_gear_that_locks_has_no_events():
    sheet = read_sheet(ready_sheets()["ardmoor-2-6-0-return-crank-slipped"])
    with pytest.raises(SheetError, match="does not go all the way round here"):
        find_events(sheet)


def test_a_reverser_that_goes_too_far_is_told_of_and_the_rest_stands():
    data = dict(pacific().data)
    data["weighshaft"] = {
        **data["weighshaft"],
        "gear": {"full_forward": -18.0, "mid": 0.0, "full_back": 80.0},
    }
    side = find_events(sheet_from(data, "far.toml", ask=False), 3).sides["right"]
    assert [one.whole for one in side.places] == [True, True, False]


@pytest.mark.parametrize("name", ["four-bar", "slider-crank"])
def test_what_has_no_valve_has_no_events(name):
    with pytest.raises(SheetError, match="has no valve"):
        find_events(read_sheet(ready_sheets()[name]))


def test_a_lap_that_is_never_uncovered_is_told_in_the_sheets_own_unit():
    data = copy.deepcopy(dict(ready("ardmoor-0-6-0-7mm").data))
    data["valve"] = {**data.get("valve", {}), "steam_lap": 0.4}
    with pytest.raises(SheetError) as told:
        find_events(sheet_from(data, "inch.toml", ask=False), 3)
    (problem,) = told.value.problems
    assert " in at the most, or no port ever opens" in problem.wrong
    assert " mm" not in problem.wrong + problem.found


def test_ports_too_wide_for_the_chest_are_told_in_the_sheets_own_unit():
    data = copy.deepcopy(dict(ready("ardmoor-0-6-0-7mm").data))
    data["valve"] = {**data.get("valve", {}), "port": 0.2, "chest": 0.3}
    with pytest.raises(SheetError, match=r"two of 0\.2 in into 0\.3 in"):
        sheet_from(data, "inch.toml", ask=False)
