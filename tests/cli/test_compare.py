"""`tightspot compare` on real files."""

from __future__ import annotations

import json
import re

import pytest

from linkage.sheet.ready import ready_sheets

BENT, STRAIGHT = (
    str(ready_sheets()[name]) for name in ("ardmoor-2-6-0", "ardmoor-2-6-0-straightened")
)


def test_what_the_cure_changed(run):
    done = run("compare", BENT, STRAIGHT)
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert f"Only {BENT}: Right-hand side: the radius rod fouls the motion bracket" in said
    assert "before after between side overlap 0.13 0.30 radius rod and motion bracket" in said
    assert "crank and eccentric rod" not in said  # alike on both


def test_files_are_named_in_one_line(run, tmp_path):
    """In a folder with blanks in its name, as most have that are named by people."""
    folder = tmp_path / "engines that came in this year" / "to be looked at before the exhibition"
    folder.mkdir(parents=True)
    one, other = folder / "as it came.toml", folder / "after setting.toml"
    one.write_bytes(ready_sheets()["slider-crank-rod-too-long"].read_bytes())
    other.write_bytes(ready_sheets()["slider-crank"].read_bytes())
    said = run("compare", str(one), str(other)).output
    lines = said.splitlines()
    assert lines[:3] == [str(one), "against", str(other)]
    assert said.count(str(one)) == 3
    assert said.count(str(other)) == 2


def test_the_other_way_a_spot_is_new(run):
    assert run("compare", STRAIGHT, BENT).exit_code == 1


def test_two_sides(run):
    done = run("compare", BENT)
    assert done.exit_code == 1
    assert done.output.startswith("left against right")


def test_json(run):
    told = json.loads(run("compare", BENT, STRAIGHT, "--json").output)
    assert [spot["parts"] for spot in told["gone"]] == [["radius rod", "motion bracket"]]
    assert told["new"] == []
    assert {entry["name"] for entry in told["dimensions"]} >= {"radius_rod.centres"}
    assert told["certainty"]["before"]["word"] == "will foul"
    assert told["certainty"]["after"]["measure_next"][0]["source"] == "assumed"


def test_alike(run):
    done = run("compare", BENT, BENT)
    assert done.exit_code == 0
    assert "Alike in all that was looked at." in done.output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([str(ready_sheets()["slider-crank"])], "one side only"),
        ([BENT, "nowhere.toml"], "there is no such file"),
        ([], "Missing argument"),
    ],
)
def test_what_cannot_be_compared(run, arguments, words):
    done = run("compare", *arguments)
    assert done.exit_code == 2
    assert words in done.output


def test_a_sheet_in_inches_and_one_in_mm_are_told_in_the_units_of_the_first(run, tmp_path):
    """Every length in one unit, or no line can be held against another."""
    inch, metric = tmp_path / "inch.toml", tmp_path / "metric.toml"
    assert run("new", "slider-crank", "--units", "in", "--out", str(inch)).exit_code == 0
    assert run("new", "slider-crank", "--out", str(metric)).exit_code == 0
    metric.write_text(metric.read_text().replace('"about 38', '"about 39'))
    first = run("compare", str(inch), str(metric)).output
    assert "in or degrees" in first
    assert not re.search(r"\d mm\b", first)
    second = run("compare", str(metric), str(inch)).output
    assert "mm or degrees" in second
    assert not re.search(r"\d (thou|in)\b", second)
