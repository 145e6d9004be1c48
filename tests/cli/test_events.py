"""`tightspot events` on real files."""

from __future__ import annotations

import csv
import json

import pytest

from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["ardmoor-pacific-5in"])


def test_it_says_the_events(run):
    done = run("events", SHEET, "--places", "3")
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert "Both sides alike" in said
    assert "full forward front 0.62 -6 78.2 122 92.6 147 90.3 325 4.43" in said
    assert "set for equal leads in full forward gear" in said
    assert max(map(len, done.output.splitlines())) <= 80


def test_table_json_and_words_are_the_same(run, tmp_path):
    told = json.loads(run("events", SHEET, "--csv", "e.csv", "--json").output)
    with (tmp_path / "e.csv").open(encoding="utf-8", newline="") as file:
        heads, *lines = csv.reader(file)
    assert told["files"] == ["e.csv"]
    ends = [(side, place, end) for side in told["sides"] for place in side["places"]
            for end in place["ends"]]  # fmt: skip
    assert len(lines) == len(ends) == 2 * 7 * 2
    for line, (side, place, end) in zip(lines, ends, strict=True):
        read = dict(zip(heads, line, strict=True))
        assert (read["side"], read["end"]) == (side["side"], end["end"])
        assert float(read["travel [mm]"]) == pytest.approx(place["travel_mm"], abs=6e-4)
        for name, key in (("cut-off", "cut_off"), ("release", "release")):
            assert float(read[f"{name} [% of stroke]"]) == pytest.approx(
                end[key]["percent"], abs=6e-3
            )
        assert float(read["compression [% of return stroke]"]) == pytest.approx(
            end["compression"]["percent"], abs=6e-3
        )
        assert float(read["admission [degrees]"]) < 0


def test_what_is_missing_is_said(run):
    done = run("events", str(ready_sheets()["ardmoor-2-6-0"]))
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert "Not on the sheet: the steam lap (valve.steam_lap), the exhaust lap" in said
    assert "cut-off" not in said.split("Without them")[0]


def test_the_picture_is_written(run, tmp_path):
    done = run("events", SHEET, "--out", "e.pdf", "--at", "full_back", "--places", "3")
    assert done.exit_code == 0
    assert done.output.endswith("e.pdf is written\n")
    assert (tmp_path / "e.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([SHEET, "--at", "mid"], "--at and --side go with --out only"),
        ([SHEET, "--out", "e.png", "--at", "half"], "full_forward, mid, full_back"),
        ([SHEET, "--out", "e.png", "--side", "only"], "this sheet has: right, left"),
        ([SHEET, "--out", "e.doc"], "pictures end in .png, .svg or .pdf"),
        ([SHEET, "--places", "2"], "--places"),
        ([str(ready_sheets()["slider-crank"])], "has no valve"),
        ([], "Missing argument"),
    ],
)
def test_what_cannot_be_told(run, tmp_path, arguments, words):
    done = run("events", *arguments)
    assert done.exit_code == 2
    assert words in done.output
    assert not list(tmp_path.iterdir())


def test_nothing_is_written_over(run, tmp_path):
    (tmp_path / "e.csv").write_text("mine", encoding="utf-8")
    assert run("events", SHEET, "--csv", "e.csv").exit_code == 2
    assert (tmp_path / "e.csv").read_text(encoding="utf-8") == "mine"


def test_a_sheet_in_inches_is_answered_in_inches(run, tmp_path):
    text = ready_sheets()["ardmoor-0-6-0-7mm"].read_text(encoding="utf-8")
    valve = "\n[valve]\nsteam_lap = 0.03\nexhaust_lap = 0.0\nport = 0.05\n"
    (tmp_path / "tank.toml").write_text(text + valve, encoding="utf-8")
    done = run("events", "tank.toml", "--csv", "e.csv", "--out", "e.svg")
    assert done.exit_code == 0, done.output
    assert "mm" not in done.output
    assert "lengths in in." in " ".join(done.output.split())
    heads = (tmp_path / "e.csv").read_text(encoding="utf-8").splitlines()[0]
    assert "travel [in]" in heads
    assert "mm" not in heads
    assert ", mm" not in (tmp_path / "e.svg").read_text(encoding="utf-8")


def test_a_number_is_solved_for(run):
    call = ("events", SHEET, "--set", "return_crank.follows", "--even", "link")
    told = json.loads(run(*call, "--json").output)
    assert (told["key"], told["even"], told["unit"]) == ("return_crank.follows", "link", "degrees")
    assert told["to"] == pytest.approx(91.39, abs=0.005)  # README
    said = " ".join(run(*call).output.split())
    assert "stands alike at both dead centres (equal distance)" in said
    assert "should be 91.39 degrees; it is 91.40 degrees now." in said
    assert "full forward front 0.62 0.62 78.2 78.2 92.6 92.6" in said


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--even", "leads"], "--even goes with --set only"),
        (["--set", "valve.middle", "--out", "e.png"], "--set goes without --csv"),
        (["--set", "valve.middle", "--at", "half"], "full_back, full_forward, mid"),
        (["--set", "radius_rod.width"], "does nothing for equal cut-offs"),
        (["--set", "nothing.here"], "nothing.here"),
    ],
)
def test_what_cannot_be_set(run, arguments, words):
    done = run("events", SHEET, *arguments)
    assert done.exit_code == 2
    assert words in " ".join(done.output.split())


def test_what_cannot_be_told_is_left_out_and_not_called_none(run, tmp_path):
    text = ready_sheets()["ardmoor-pacific-5in"].read_text(encoding="utf-8")
    assert "exhaust_lap = 0.0\n" in text
    (tmp_path / "p.toml").write_text(text.replace("exhaust_lap = 0.0\n", ""), encoding="utf-8")
    said = run("events", "p.toml", "--places", "3").output
    assert "none" not in said
    assert "Not on the sheet: the exhaust lap (valve.exhaust_lap)." in said
