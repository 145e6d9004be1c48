"""The Stephenson gear through a rocker: its places, its two kinds of rods, and its faults."""

from __future__ import annotations

import copy

import numpy as np
import pytest

from linkage.advice import search_cures
from linkage.advice.cure import TurnEccentric, changes_of
from linkage.arrangements import build
from linkage.events import find_events
from linkage.examine import examine
from linkage.kinematics import solve_turn
from linkage.sheet import change, sheet_from
from linkage.tightspots import Mistimed, kind_of
from tests.ready import examined, ready

NAME = "ardmoor-4-4-0-stephenson-rocker"


def changed(left=None, **tables):
    data = copy.deepcopy(dict(ready(NAME).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    return sheet_from(data | ({"left": left} if left else {}), "rocker.toml", ask=False)


def test_it_is_free_in_all_gears_and_proven_there_and_between():
    found = examined(NAME)
    assert found.free
    assert {held.survey.between for held in found.everywhere.values()} == {"proven"}
    pairs = [p for side in found.sides.values() for p in side.survey.pairs]
    assert {pair.between_samples for pair in pairs} == {"proven"}
    assert any("rocker" in pair.parts for pair in pairs)


def test_it_runs_as_its_reverser_is_set():
    full, mid, back = find_events(ready(NAME), 3).sides["right"].places
    assert (full.ahead, back.ahead) == (1, -1)
    assert mid.travel < full.travel
    assert mid.ends[0].lead > full.ends[0].lead  # open rods


def test_crossed_rods_lose_lead():
    crossed = changed(expansion_link={"fore_rod": "bottom"})
    full, mid, _ = find_events(crossed, 3).sides["right"].places
    assert mid.lap_and_lead < full.lap_and_lead


def test_the_die_keeps_to_the_slot_and_to_the_arm():
    """By the places solved for: in the slot's curve, and an arm's length from the pivot."""
    mechanism = build(ready(NAME), "right")["right"]
    motion = solve_turn(mechanism, np.radians(np.arange(0.0, 360.0, 5.0)))
    die = motion.point("rocker", 0.0, -40.0)
    assert np.hypot(die[:, 0] - 140.0, die[:, 1] - 40.0) == pytest.approx(40.0, abs=1e-9)
    off, lean = die - motion.point("expansion link"), motion.poses["expansion link"][:, 2]
    x = off[:, 0] * np.cos(lean) + off[:, 1] * np.sin(lean)
    y = off[:, 1] * np.cos(lean) - off[:, 0] * np.sin(lean)
    assert np.hypot(x + 130.0, y) == pytest.approx(130.0, abs=1e-9)


def test_an_eccentric_that_slipped_is_found_and_turned_back():
    found = examine(changed({"fore_eccentric": {"follows": 71.0}}))
    (advice,) = search_cures(found)
    assert isinstance(advice.spot, Mistimed)
    assert advice.spot.side == "left"
    cure = advice.cures[0].cure
    assert isinstance(cure, TurnEccentric)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_an_arm_in_the_layer_of_the_lifting_link_is_found():
    spots = examine(changed(rocker={"out": -49.0})).spots
    fouled = {tuple(sorted(s.parts)) for s in spots if kind_of(s).name == "fouls"}
    assert ("lifting link", "rocker") in fouled
