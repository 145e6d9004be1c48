"""`tightspot window` on real files."""

from __future__ import annotations

import json

import pytest

from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["slider-crank-rod-too-long"])
BENT = str(ready_sheets()["ardmoor-2-6-0"])
KEY = "connecting_rod.centres"


def test_it_says_the_window_and_what_stops_it(run):
    done = run("window", SHEET, KEY, "--from", "65", "--to", "68")
    said = " ".join(done.output.split())
    assert done.exit_code == 1  # today's 67.5 is too long
    assert "connecting_rod.centres is 67.500 mm now; looked at from 65.000 to 68.000." in said
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
