"""`tightspot scale` and `tightspot fits` on real calls."""

from __future__ import annotations

import json

import pytest

from linkage.sheet.ready import ready_sheets

DEMO = str(ready_sheets()["ardmoor-2-6-0"])
TANK = str(ready_sheets()["ardmoor-0-6-0-7mm"])
WHEELS = str(ready_sheets()["ardmoor-0-6-0-good"])
FOUR_BAR = str(ready_sheets()["four-bar"])


def said(done) -> str:
    assert done.exit_code == 0, done.output
    return " ".join(done.output.split())


def test_lengths_at_a_scale(run):
    told = said(run("scale", "5 ft 8 in", "4 1/2 in", "--to", "7 mm"))
    assert "From full size to 7 mm:" in told
    assert "5 ft 8 in 39.67 1 9/16 in none near none near" in told
    assert "4 1/2 in 2.63 7/64 in no. 37 (+0.02) 2.5 mm (-0.13)" in told


def test_back_to_full_size(run):
    told = json.loads(
        run("scale", "39.67 mm", "--from", "7 mm", "--to", "full size", "--json").output
    )
    (one,) = told["lengths"]
    assert one["there_mm"] == pytest.approx(39.67 * 304.8 / 7, abs=1e-4)
    assert one["nearest_inches"] == "5 ft 8 in"


def test_a_sheet_and_what_rounding_does_to_its_motion(run):
    told = json.loads(run("scale", "--sheet", DEMO, "--json").output)
    keys = {one["length"]: one for one in told["lengths"]}
    assert keys["wheels.throw"]["there_mm"] == pytest.approx(4.33)
    tenth, fraction = told["rounded"]
    assert tenth["figures"]["stroke"] == pytest.approx([8.66, 8.6], abs=1e-3)  # throw 4.33 to 4.3
    swing = [abs(b - a) for a, b in (one["figures"]["link_swing"] for one in (tenth, fraction))]
    assert swing[0] < swing[1]


def test_a_sheet_at_another_scale(run):
    """Twice as large, a length rounds half as coarsely: less is lost of the stroke."""
    told = json.loads(run("scale", "--sheet", DEMO, "--to", "1:38.1", "--json").output)
    keys = {one["length"]: one for one in told["lengths"]}
    assert keys["wheels.throw"]["there_mm"] == pytest.approx(8.66)
    assert told["rounded"][0]["figures"]["stroke"] == pytest.approx([17.32, 17.4], abs=1e-3)


def test_a_sheet_in_inches_changes_in_inches(run):
    told = said(run("scale", "--sheet", TANK)).partition("All lengths rounded to 0.1 mm")[2]
    assert "stroke: 0.562 in to 0.559 in" in told
    assert " mm " not in told.replace("0.1 mm", "")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["5 ft"], "--to says which scale"),
        (["5 ft", "--to", "big"], "should be a scale"),
        (["long", "--to", "4 mm"], "should be a length"),
        (["5 ft", "--sheet", DEMO, "--to", "4 mm"], "one of the two"),
        ([], "one of the two"),
        (["--sheet", FOUR_BAR, "--to", "4 mm"], "does not say its scale"),
    ],
)
def test_what_cannot_be_scaled(run, arguments, words):
    done = run("scale", *arguments)
    assert done.exit_code == 2
    assert words in done.output


def test_the_usual_fits(run):
    told = said(run("fits", "1.5"))
    assert "H8/f7 1.500 1.514 1.484 1.494 0.006 0.030 0.018" in told
    assert "Nearest reamer 1.5 mm (1.500 mm)" in told


def test_what_a_fit_does_to_coupled_wheels(run):
    told = json.loads(run("fits", "1.5", "H9/d9", "--sheet", WHEELS, "--json").output)
    least, most = told["with_play"]
    assert (least["play_mm"], most["play_mm"]) == (0.02, 0.07)
    assert most["play_used"] <= least["play_used"]
    first = told["holes_opened"][0]
    assert first["tool"] == "reamer"
    assert first["hides_mm"] == first["play_mm"] > 0


def test_what_opening_hides_is_warned_of(run):
    told = said(run("fits", "1.5", "H9/d9", "--sheet", WHEELS))
    assert "which hides rods that are up to" in told
    assert "measure the rods' centres and the axles' before any hole is touched" in told


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["0.4"], "sizes of 1 to 30 mm"),
        (["2", "f7"], "should be a fit"),
        (["big"], "should be a length"),
    ],
)
def test_what_has_no_fit(run, arguments, words):
    done = run("fits", *arguments)
    assert done.exit_code == 2
    assert words in " ".join(done.output.split())
