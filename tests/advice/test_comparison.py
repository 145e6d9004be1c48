"""Two sheets, or two sides, against one another: differences only."""

from __future__ import annotations

import math

import pytest

from linkage.advice.comparison import compare, compare_sides
from linkage.examine import examine
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import amount_of


@pytest.fixture(scope="module")
def bent(demo):
    return examine(demo)


@pytest.fixture(scope="module")
def set_back(straight):
    return examine(straight)


def test_a_sheet_is_alike_with_itself(bent):
    assert compare(bent, bent).alike


def test_a_cure_takes_the_spot_away_and_gains_air(bent, set_back):
    found = compare(bent, set_back)
    (gone,) = found.gone
    assert gone.parts == ("radius rod", "motion bracket")
    assert (found.new, found.stayed, found.lost) == ((), (), ())
    gained = found.gained[0]
    assert (gained.side, gained.name) == ("right", "radius rod and motion bracket")
    assert gained.before == pytest.approx(gone.least)
    assert gained.after >= 0.1  # the air asked for


def test_the_other_way_about_gone_is_new(bent, set_back):
    there, back = compare(bent, set_back), compare(set_back, bent)
    assert [spot.parts for spot in back.new] == [spot.parts for spot in there.gone]
    assert {c.name for c in back.lost} == {c.name for c in there.gained}


def test_numbers_that_differ_are_told(bent, set_back):
    (number,) = compare(bent, set_back).dimensions
    assert number.name == "radius_rod.bend[1].towards_frames"
    assert (number.before, number.after) == (0.70, 0.001)


def test_a_spot_of_another_amount_stayed(bent, demo):
    less = examine(change(demo, {"right.radius_rod.bend[1].towards_frames": 0.65}))
    found = compare(bent, less)
    ((before, after),) = found.stayed
    assert amount_of(before) > amount_of(after) > 0
    assert (found.gone, found.new) == ((), ())


def test_left_against_right(bent):
    """Only the right-hand radius rod is bent: its three numbers have no fellow on the left."""
    found = compare_sides(bent)
    assert [spot.side for spot in found.new] == ["right"]
    assert found.gone == ()
    assert {number.name.split("[")[0] for number in found.dimensions} == {"radius_rod.bend"}
    assert all(math.isnan(number.before) for number in found.dimensions)
    assert found.names == ("left", "right")


def test_alike_sides(set_back, demo):
    assert not compare_sides(set_back).new
    good = examine(read_sheet(ready_sheets()["ardmoor-0-6-0-7mm"]))
    assert compare_sides(good).alike


def test_one_side_has_no_other():
    only = examine(read_sheet(ready_sheets()["slider-crank"]))
    with pytest.raises(ValueError, match="one side only; name a second sheet"):
        compare_sides(only)
