"""Findings as data: the keys and types that other programs rely on."""

from __future__ import annotations

import json

import pytest

from linkage.advice import advise
from linkage.examine import examine
from linkage.report.data import check_data
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import KINDS

SPOT = {
    "kind": str, "side": str, "parts": list, "from_deg": float, "worst_deg": float,
    "to_deg": float, "amount_mm": float, "clock": str, "cure": str, "wheelsets_mm": dict,
    "on_pins_mm": list, "certainty": dict, "reverser": str | float | None, "reverser_also": list,
}  # fmt: skip
CLEARANCE = {
    "side": str, "parts": list, "least_mm": float, "at_deg": float, "between_samples": str,
    "worn_mm": float | None, "chance_of_touching": float, "reverser": str | float | None,
}  # fmt: skip


def data_of(sheet):
    found = examine(sheet)
    return json.loads(json.dumps(check_data(found, advise(found)), allow_nan=False))


@pytest.fixture(scope="module")
def data(demo):
    return data_of(change(demo, {"left.valve_spindle.guide.front": 47.0}))


def test_the_object_has_its_keys(data, demo):
    assert set(data) == {
        "free", "certainty", "tight_spots", "clearances", "play_used", "curves", "sheet",
        "version", "reverser", "felt", "asked",
    }  # fmt: skip
    assert data["free"] is False
    assert data["sheet"] == demo.source
    assert data["version"]


def test_play_is_null_or_tells_most_and_where(data):
    assert data["play_used"] is None or set(data["play_used"]) == {"most", "at_deg"}


@pytest.mark.parametrize(("name", "wanted"), [("tight_spots", SPOT), ("clearances", CLEARANCE)])
def test_entries_have_their_keys_and_types(data, name, wanted):
    assert data[name]
    for entry in data[name]:
        assert set(entry) == set(wanted)
        for key, kind in wanted.items():
            assert isinstance(entry[key], kind), key
        assert all(isinstance(part, str) for part in entry["parts"])


def test_how_sure_it_is_has_its_keys(data):
    for sure in (data["certainty"], *(spot["certainty"] for spot in data["tight_spots"])):
        assert set(sure) == {"word", "chance", "rests_on", "measure_next", "doubt"}
        assert 0 <= sure["chance"] <= 1
        assert set(sure["rests_on"]) == {"measured", "to be made", "guessed", "assumed"}


def test_degrees_lie_in_the_turn(data):
    for entry in (*data["tight_spots"], *data["clearances"]):
        for key in entry.keys() & {"from_deg", "worst_deg", "to_deg", "at_deg"}:
            assert 0 <= entry[key] < 360


def test_words_come_from_their_lists(data):
    assert {spot["kind"] for spot in data["tight_spots"]} <= {kind.name for kind in KINDS.values()}
    assert {spot["side"] for spot in data["tight_spots"]} == {"right", "left"}
    words = {pair["between_samples"] for pair in data["clearances"]}
    assert words <= {"proven", "bounded", "sampled"}


def test_a_foul_shows_as_a_negative_clearance_of_the_same_size(data):
    foul = next(spot for spot in data["tight_spots"] if spot["kind"] == "fouls")
    pair = next(
        p for p in data["clearances"] if (p["side"], p["parts"]) == (foul["side"], foul["parts"])
    )

    assert foul["amount_mm"] > 0
    assert pair["least_mm"] == -foul["amount_mm"]
    assert pair["at_deg"] == pytest.approx(foul["worst_deg"], abs=0.011)  # rounded to 0.01


def test_a_free_engine_has_no_spots(straight):
    data = data_of(straight)

    assert data["free"] is True
    assert data["tight_spots"] == []
    assert all(pair["least_mm"] > 0 for pair in data["clearances"])


def test_wheelsets_and_curves_are_told():
    """The nut that meets the crosshead with its wheelset over: 0.65, away from the frames."""
    told = data_of(read_sheet(ready_sheets()["ardmoor-0-6-0-nut-on-curves"]))
    assert all(spot["wheelsets_mm"] == {"leading": 0.65} for spot in told["tight_spots"])
    assert told["curves"]["stands_on_mm"] < told["curves"]["free_on_mm"]


def test_worn_air_is_told_where_the_sheet_gives_play(straight):
    given = sheet_from(dict(straight.data) | {"joint_play": {"everywhere": 0.05}}, ask=False)
    told = data_of(given)["clearances"]
    assert all(pair["worn_mm"] <= pair["least_mm"] + 1e-9 for pair in told)
    assert any(pair["worn_mm"] < pair["least_mm"] - 0.01 for pair in told)
