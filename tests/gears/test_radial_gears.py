"""Radial gears as arrangements: free and proven, run as they are set, and their faults found."""

from __future__ import annotations

import copy

import pytest

from linkage.arrangements import build
from linkage.errors import SheetError
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


@pytest.mark.parametrize(
    ("name", "key", "number", "wrong"),
    [
        (HACKWORTH, "eccentric_rod.valve_pin", 75.0, "its pin is between the two eyes"),
        (JOY, "jack_link.lever_pin", 70.0, "(70 mm of 62 mm)"),
        (JOY, "valve_lever.die", 95.0, "its pin is between the two eyes"),
        (JOY, "jack_link.on_rod", 280.0, "its pin is on that rod (280 mm of 270 mm)"),
        (SOUTHERN, "eccentric_rod.hanger_pin", 130.0, "its pin is between the two eyes"),
        (BAKER, "gear_rod.radius_bar_pin", 31.0, "its pin is between the two eyes"),
    ],
)
def test_a_pin_beyond_the_end_of_its_rod_is_refused(name, key, number, wrong):
    table, what = key.split(".")
    with pytest.raises(SheetError, match=f"{what} should be less than") as refused:
        found(name, **{table: {what: number}})
    assert wrong in str(refused.value)


@pytest.mark.parametrize(("name", "key"), [(HACKWORTH, "slide_shaft"), (BAKER, "reverse_yoke")])
@pytest.mark.parametrize("beyond", [30.0, -29.0, 400.0])
def test_a_reverser_is_not_set_beyond_its_ends(name, key, beyond):
    with pytest.raises(SheetError, match=f"goes no farther, by {key}.gear"):
        sheet_from({**ready(name).data, "running": beyond}, "gear.toml", ask=False)


def test_a_reverser_is_set_to_its_very_end():
    assert sheet_from({**ready(HACKWORTH).data, "running": 28.0}, "gear.toml", ask=False).running
