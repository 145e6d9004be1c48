"""`tightspot window` on real files."""

from __future__ import annotations

import csv
import json
import math

import numpy as np
import pytest

from linkage.advice.map import find_map
from linkage.sheet import read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Close, RunsOff

SHEET = str(ready_sheets()["slider-crank-rod-too-long"])
BENT = str(ready_sheets()["ardmoor-2-6-0"])
KEY = "connecting_rod.centres"


def test_it_says_the_window_and_what_stops_it(run):
    done = run("window", SHEET, KEY, "--from", "65", "--to", "68")
    said = " ".join(done.output.split())
    assert done.exit_code == 1  # today's 67.5 is too long
    assert "connecting_rod.centres is 67.50 mm now; looked at from 65.00 to 68.00." in said
    assert "Below: nothing yet: there the range ends." in said
    assert "Above: the connecting rod and the slide bars would have less air than asked for" in said
    assert "less would do." in said


def test_a_value_within_its_window(run):
    done = run("window", str(ready_sheets()["slider-crank"]), KEY)
    assert done.exit_code == 0
    assert "(today's value is in it)" in done.output


def test_json(run):
    told = json.loads(run("window", SHEET, KEY, "--json").output)
    assert (told["key"], told["unit"], told["now"]) == (KEY, "mm", 67.5)
    assert all(window["low"] < window["high"] for window in told["windows"])


@pytest.mark.parametrize(
    ("key", "looked_at", "low", "high"),
    [
        # crank pin 13 ahead, rod 65, piston 35 ahead of the crosshead's pin and half of 6 long
        ("cylinder.front_cover", ("112", "125"), 13 + 65 + 35 + 3, None),
        ("cylinder.rear_cover", ("76", "90"), None, -13 + 65 + 35 - 3),
        ("slide_bars.rear", ("46", "50"), None, -13 + 65 - 5),  # the slipper's rear half is 5
        ("slide_bars.front", ("78", "90"), 13 + 65 + 5, None),
    ],
)
def test_ends_that_are_sums_of_the_sheets_own_numbers(run, key, looked_at, low, high):
    """Added up on paper; no end lies beyond them, and none a thousandth short."""
    sheet = str(ready_sheets()["slider-crank"])
    done = run("window", sheet, key, "--from", looked_at[0], "--to", looked_at[1], "--json")
    (window,) = json.loads(done.output)["windows"]
    if low is not None:
        assert low <= window["low"] <= low + 0.001
    if high is not None:
        assert high - 0.001 <= window["high"] <= high


def test_inches_and_degrees_are_read(run):
    done = run("window", SHEET, KEY, "--from", "2 1/2 in", "--to", "2.7 in", "--json")
    told = json.loads(done.output)
    assert (told["from"], told["to"]) == (63.5, 68.58)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([SHEET, "connecting_rod.centers"], 'did you mean "connecting_rod.centres"'),
        ([SHEET, KEY, "--from", "66", "--to", "65"], "is empty"),
        ([SHEET, KEY, "--from", "long"], "long"),
        ([SHEET], "Missing argument"),
    ],
)
def test_what_cannot_be_looked_for(run, arguments, words):
    done = run("window", *arguments)
    assert done.exit_code == 2
    assert words in done.output


THROW = "wheels.throw"
TWO = (KEY, THROW, "--from", "64", "--to", "68", "--from", "12", "--to", "14", "--steps", "5")


def test_two_numbers_are_drawn_and_written(run, tmp_path):
    done = run("window", SHEET, *TWO)
    said = " ".join(done.output.split())
    assert done.exit_code == 1, said
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "slider-crank-rod-too-long-map.csv",
        "slider-crank-rod-too-long-map.png",
    ]
    assert "connecting_rod.centres is 67.50 mm now; looked at from 64.00 to 68.00." in said
    assert "wheels.throw is" in said
    assert "Today's pair is not free: the piston and the front cover: too far, about" in said
    assert "The nearest free pair: connecting_rod.centres" in said
    assert "slider-crank-rod-too-long-map.csv is written" in said


def test_the_table_is_the_map(run, tmp_path):
    """Read back, it holds every pair, and what `find_map` says of it."""
    found = find_map(read_sheet(SHEET), (KEY, THROW), ((64.0, 68.0), (12.0, 14.0)), 5)
    assert run("window", SHEET, *TWO, "--out", "two.svg").exit_code == 1
    with (tmp_path / "two.csv").open(encoding="utf-8", newline="") as file:
        heads, *lines = csv.reader(file)
    assert heads[:3] == [f"{KEY} [mm]", f"{THROW} [mm]", "free"]
    assert heads[-1] == "crank [degrees]"
    first, second = found.axes
    rows = [
        (a, b, stop)
        for a, row in zip(first.values, found.stops, strict=True)
        for b, stop in zip(second.values, row, strict=True)
    ]
    assert len(rows) == len(lines) == found.free.size
    for line, (a, b, stop) in zip(lines, rows, strict=True):
        told = dict(zip(heads[2:], line[2:], strict=True))
        assert [float(cell) for cell in line[:2]] == pytest.approx([a, b], abs=1e-4)
        assert told["free"] == ("yes" if stop.slack >= 0 else "no")
        assert told["parts"] == " and ".join(stop.parts)
        assert told["side"] == ""
        if stop.kind in (Close, RunsOff):
            assert float(told["slack"]) == pytest.approx(stop.slack, abs=1e-4)
            assert told["slack in"] == "mm"
            assert all(part in told["what stops it, or would first"] for part in stop.parts)
        else:
            assert (told["slack"], told["slack in"]) in {
                ("", ""),
                (f"{math.degrees(stop.slack):.4f}", "degrees"),
            }
        if math.isnan(stop.at):
            assert told["crank [degrees]"] == told["clock"] == ""
        else:
            assert float(told["crank [degrees]"]) == pytest.approx(
                math.degrees(stop.at) % 360, abs=0.01
            )
            assert "o'clock" in told["clock"] or "half past" in told["clock"]


def test_a_free_pair_of_a_locomotive(run, tmp_path):
    sheet = str(ready_sheets()["ardmoor-2-6-0-straightened"])
    done = run("window", sheet, "radius_rod.out", "eccentric_rod.out", "--steps", "2",
               "--out", "two.pdf")  # fmt: skip
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert "Today's pair is free. What would stop it first: right-hand side: the crank" in said
    assert (tmp_path / "two.pdf").read_bytes().startswith(b"%PDF")
    assert "right-hand crank [degrees]" in (tmp_path / "two.csv").read_text(encoding="utf-8")


def test_json_of_two_numbers(run, tmp_path):
    done = run("window", SHEET, *TWO, "--json")
    told = json.loads(done.output)
    assert done.exit_code == 1
    assert list(tmp_path.iterdir()) == []  # no files unless they are named
    assert [number["key"] for number in told["numbers"]] == [KEY, THROW]
    shape = tuple(len(number["values"]) for number in told["numbers"])
    for grid in ("free", "slack", "stop"):
        assert np.shape(told[grid]) == shape
    assert told["free_pairs"] == np.sum(told["free"]) > 0
    assert told["pairs"] == np.size(told["free"])
    assert told["today"]["free"] is False
    assert told["today"]["stop"]["parts"] == ["piston", "front cover"]
    at = [number["values"].index(value) for number, value in
          zip(told["numbers"], told["nearest"], strict=True)]  # fmt: skip
    assert told["free"][at[0]][at[1]] is True
    assert max(np.ravel(told["stop"])) == len(told["stops"]) - 1
    assert told["files"] == []


def test_neither_file_is_written_over_without_force(run, tmp_path):
    """The table alone is in the way: then there is no picture either, until told to."""
    (tmp_path / "two.csv").write_text("mine", encoding="utf-8")
    done = run("window", SHEET, *TWO, "--out", "two.png")
    assert done.exit_code == 2
    assert "two.csv: stands there already" in done.output
    assert [path.name for path in tmp_path.iterdir()] == ["two.csv"]
    assert run("window", SHEET, *TWO, "--out", "two.png", "--force").exit_code == 1
    assert (tmp_path / "two.csv").read_text(encoding="utf-8") != "mine"
    assert (tmp_path / "two.png").read_bytes().startswith(b"\x89PNG")


def test_ends_given_once_are_the_first_numbers(run):
    done = run("window", SHEET, KEY, THROW, "--from", "66", "--to", "67", "--steps", "2", "--json")
    first, second = json.loads(done.output)["numbers"]
    assert first["values"] == [66.0, 67.0]
    assert second["values"][0] < second["now"] < second["values"][-1]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([KEY, KEY], "given twice"),
        ([KEY, "wheels.thrown"], 'did you mean "wheels.throw"'),
        ([KEY, THROW, "--from", "66", "--from", "14", "--to", "68", "--to", "12"], "is empty"),
        ([KEY, THROW, *["--from", "1"] * 3], "--from is given 3 times"),
        ([KEY, "--to", "1", "--to", "2"], "--to is given 2 times"),
        ([KEY, "--out", "one.png"], "--out goes with two numbers only"),
        ([KEY, "--steps", "9"], "--steps goes with two numbers only"),
        ([KEY, "--force"], "--force goes with two numbers only"),
        ([KEY, THROW, "--steps", "1"], "2<=x<=200"),
        ([KEY, THROW, "--out", "two.csv"], "pictures end in .png, .svg or .pdf"),
        ([KEY, THROW, "--out", "nowhere/two.png"], "there is no folder"),
    ],
)
def test_what_cannot_be_mapped(run, tmp_path, arguments, words):
    done = run("window", SHEET, *arguments)
    assert done.exit_code == 2
    assert words in " ".join(done.output.split())
    assert list(tmp_path.iterdir()) == []
