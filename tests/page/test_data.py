"""What a page holds: positions as they were computed, words as they are said everywhere."""

from __future__ import annotations

import base64
import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from linkage.cli import main
from linkage.examine import examine
from linkage.kinematics import solve_at
from linkage.page.data import viewer_data
from linkage.page.html import page_html
from linkage.page.poses import NO_PLACE, stops_of
from linkage.report.cautions import CAUTION
from linkage.report.glossary import look_up
from linkage.report.spots import say_spot
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import CannotClose
from tests.ready import LIKE, examined, ready_names

CONFIGS = Path(__file__).parents[2] / "configs"
MOST = 500_000
"""So that a page can be sent by any mail and opens at once on a phone [bytes]."""


@cache
def shown(name: str) -> dict:
    return viewer_data(examined(name))


def table_of(side: dict) -> np.ndarray:
    raw = np.frombuffer(base64.b64decode(side["poses"]["numbers"]), dtype="<i2")
    return raw.reshape(len(side["parts"]), -1, 3)


@pytest.mark.parametrize("name", ready_names())
def test_every_ready_sheet_makes_a_page_in_one_small_file(name):
    page = page_html(examined(name))

    assert len(page.encode()) < MOST
    assert page.count("<script") == 2
    assert "http:" not in page.replace("http://www.w3.org/2000/svg", "")
    assert "https:" not in page


@pytest.mark.parametrize("name", ["ardmoor-pacific-5in-die-off-slot", "ardmoor-0-6-0-coupled"])
def test_before_and_after_of_the_largest_sheets_stay_small(name):
    other = {"ardmoor-pacific-5in-die-off-slot": "ardmoor-pacific-5in"}
    page = page_html(examined(name), examined(other.get(name, "ardmoor-0-6-0-both-long")))

    assert len(page.encode()) < MOST


@pytest.mark.parametrize("name", ready_names())
def test_positions_are_the_computed_ones(name):
    """To half of one step of the 16-bit numbers; where there is none, none is given."""
    examination = examined(name)
    crank = stops_of(examination).crank
    (sheet,) = shown(name)["sheets"]
    assert np.array(sheet["crank"]) == pytest.approx(np.degrees(crank), abs=0.0005)
    for side, found in sheet["sides"].items():
        own = crank - np.radians(found["behind"])
        motion = solve_at(examination.sides[side].course, own % (2 * np.pi))
        steps = np.array([found["poses"]["mm"]] * 2 + [found["poses"]["rad"]])
        for part, whole in zip(found["parts"], table_of(found), strict=True):
            there = (whole != NO_PLACE).all(axis=1)
            assert there.tolist() == motion.reached.tolist()
            away = whole * steps - np.broadcast_to(motion.poses[part], (len(own), 3))
            away[:, 2] = (away[:, 2] + np.pi) % (2 * np.pi) - np.pi
            assert (np.abs(away[there]) <= 0.5001 * steps).all()  # the rest is rounding of floats


@pytest.mark.parametrize("name", ready_names())
def test_each_spot_can_be_jumped_to_and_is_said_as_elsewhere(name):
    examination = examined(name)
    (sheet,) = shown(name)["sheets"]
    count = len(sheet["crank"])
    for spot, data in zip(examination.spots, sheet["spots"], strict=True):
        assert data["says"] == say_spot(examination, spot)
        worst = np.degrees(examination.right_hand(spot.side, spot.worst)) % 360
        if not isinstance(spot, CannotClose):
            away = abs((sheet["crank"][data["stop"]] - worst + 180) % 360 - 180)
            assert away <= 0.0006  # three decimals
        assert (data["stop"] - data["first"]) % count < len(data["here"])
        assert set(data["parts"]) <= {
            p.name for p in examination.sides[data["sides"][0]].mechanism.parts
        }


def test_a_loop_that_cannot_close_has_no_position_within_its_arc():
    (sheet,) = shown("four-bar-cannot-close")["sheets"]
    (spot,) = sheet["spots"]
    table = table_of(sheet["sides"]["only"])
    inside = [(spot["first"] + k) % len(sheet["crank"]) for k in range(len(spot["here"]))]

    assert (table[:, inside[1:-1]] == NO_PLACE).all()
    assert (table[:, [inside[0], inside[-1]]] != NO_PLACE).all()


def test_the_amount_that_is_said_is_that_of_the_place(demo):
    (sheet,) = viewer_data(examine(demo))["sheets"]
    (spot,) = sheet["spots"]
    said = [spot["texts"][text] for text, _ in spot["here"]]

    assert said[0].startswith("Within this tight spot. At its worst: ")
    worst = (spot["stop"] - spot["first"]) % len(sheet["crank"])
    assert said[worst] == "Here: the radius rod fouls the motion bracket by 0.13 mm (seen in plan)."
    assert any("by 0.05 mm" in words for words in said[:worst])
    assert any("by 0.05 mm" in words for words in said[worst:])


def test_the_sides_are_a_quarter_apart(demo):
    (sheet,) = viewer_data(examine(demo))["sheets"]

    assert sheet["sides"]["right"]["behind"] == 0
    assert sheet["sides"]["left"]["behind"] == 90
    at = {name: side["clocks"][side["clock"][0]] for name, side in sheet["sides"].items()}
    assert at == {"right": "3 o'clock", "left": "12 o'clock"}


def test_what_may_not_run_wheels_out_of_sight_is_not_drawn():
    data = shown("ardmoor-0-6-0-coupled")

    assert not any("carriage" in body["part"] for bodies in data["outlines"] for body in bodies)


def test_the_cautions_stand_on_the_page(demo):
    page = page_html(examine(demo))

    assert CAUTION in page
    assert "The pictures show computed positions only, every degree" in page


@pytest.mark.parametrize("name", ready_names())
def test_all_is_plain_json(name):
    data = shown(name)

    assert json.loads(json.dumps(data, allow_nan=False)) == data


@pytest.mark.parametrize(
    ("name", "us"),
    [("front coupling rod", "side rod"), ("leading wheel", "driver"), ("crank, nut", "nut"),
     ("link tail", "link"), ("upper eccentric rod", "eccentric rod"),
     ("fore eccentric rod", "forward eccentric rod"),
     ("middle wheel", "driver"), ("second coupling rod", "side rod")],
)  # fmt: skip
def test_parts_are_known_by_what_they_are_not_where(name, us):
    assert look_up(name).us == us


def test_the_parts_of_locomotives_are_all_known():
    named = {
        body["name"]
        for name in {*ready_sheets()} - {*LIKE} if name.startswith("ardmoor")
        for bodies in shown(name)["outlines"] for body in bodies
    }  # fmt: skip

    assert {name for name in named if look_up(name) is None} == set()


def test_the_command_writes_one_file_and_keeps_what_is_there(tmp_path, monkeypatch):
    from click.testing import CliRunner

    monkeypatch.chdir(tmp_path)
    before, after = CONFIGS / "four-bar-cannot-close.toml", CONFIGS / "four-bar.toml"
    run = CliRunner().invoke

    first = run(main, ["page", str(before), "--after", str(after)])
    assert first.exit_code == 0, first.output
    (path,) = tmp_path.iterdir()
    assert path.name == "four-bar-cannot-close.html"
    assert run(main, ["page", str(before)]).exit_code == 2
    assert run(main, ["page", str(before), "--force"]).exit_code == 0
    for words, said in (
        (["--out", "page.pdf"], "a page ends in .html"),
        (["--out", "new.html", "--after", str(CONFIGS / "ardmoor-2-6-0.toml")], "other sides"),
    ):
        refused = run(main, ["page", str(before), *words])
        assert refused.exit_code == 2
        assert said in refused.output
    assert list(tmp_path.iterdir()) == [path]
