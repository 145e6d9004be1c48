"""Radial gears as arrangements: free and proven, run as they are set, and their faults found."""

from __future__ import annotations

import copy

import pytest

from linkage.arrangements import build
from linkage.events import find_events
from linkage.examine import examine_side
from linkage.sheet import sheet_from
from linkage.tightspots import kind_of
from tests.ready import examined, ready

HACKWORTH, JOY = "ardmoor-0-4-0-hackworth", "ardmoor-0-6-2-joy"
SOUTHERN, BAKER = "ardmoor-2-8-0-southern", "ardmoor-2-8-2-baker"
NAMES = (HACKWORTH, JOY, SOUTHERN, BAKER)


def found(name, **tables):
    """Return what is found of a gear with some numbers changed: kinds and parts."""
    data = copy.deepcopy(dict(ready(name).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    made = build(sheet_from(data, "gear.toml", ask=False), "right")["right"]
    return {(kind_of(spot).name, spot.parts) for spot in examine_side("right", made, 0.5).spots}


@pytest.mark.parametrize("name", NAMES)
def test_it_is_free_in_all_gears_and_proven_there_and_between(name):
    held = examined(name)
    assert held.free
    assert {found.survey.between for found in held.everywhere.values()} == {"proven"}


@pytest.mark.parametrize("name", NAMES)
def test_it_runs_as_its_reverser_is_set(name):
    full, mid, back = find_events(ready(name), 3).sides["right"].places
    assert [full.ahead, mid.ahead, back.ahead] == [1, 0, -1]
    assert mid.travel < min(full.travel, back.travel)
    for end in (*full.ends, *back.ends):
        assert 0.5 < end.cut_off.stroke < 0.9


def test_an_eccentric_rod_of_another_engine_is_found():
    assert found(HACKWORTH, eccentric_rod={"centres": 79.0}) == {
        ("runs off", ("die block", "slot"))
    }


def test_a_bent_jack_link_is_found():
    bend = [{"kind": "bow", "from": "bottom", "away_from_frames": 3.0}]
    spots = found(JOY, jack_link={"bend": bend})
    assert ("fouls", ("jack link", "valve lever")) in spots


def test_an_anchor_link_that_is_too_short_locks_the_gear():
    spots = found(JOY, anchor_link={"centres": 55.0})
    assert "cannot close" in {kind for kind, _ in spots}


def test_a_bent_hanger_is_found():
    bend = [{"kind": "bow", "from": "bottom", "away_from_frames": 3.0}]
    spots = found(SOUTHERN, hanger={"bend": bend})
    assert ("fouls", ("eccentric rod", "hanger")) in spots


def test_a_bent_gear_rod_is_found():
    bend = [{"kind": "bow", "from": "bottom", "towards_frames": 3.0}]
    assert found(BAKER, gear_rod={"bend": bend}) == {("fouls", ("gear rod", "radius bar"))}


def test_a_radius_rod_of_another_engine_locks_the_lever():
    (kind, parts), *_ = found(BAKER, radius_rod={"centres": 66.0})
    assert kind == "cannot close"
    assert "combination lever" in parts
