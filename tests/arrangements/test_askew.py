"""What the eyes of twisted rods ask of their pins, by hand."""

from __future__ import annotations

import math

import pytest

from linkage.arrangements import build
from linkage.examine import examine
from linkage.report.asked import say_asked
from linkage.tightspots import Pinched
from tests.faults.engines import sheet_with

PLAY = {"joint_play": {"everywhere": 0.04}}


def grips(engine, puts):
    mechanism = next(iter(build(sheet_with(engine, puts)).values()))
    return [(one.parts, one.pin, one.stack - one.room) for one in mechanism.grips if one.askew]


def test_a_connecting_rod_and_a_crosshead_that_turns_in_its_bars():
    """Eyes 0.6 thick lean 3.81 degrees on 0.04 of play, and bars 0.8 thick with 0.1 give 7.13."""
    eye, bars = math.degrees(math.atan(0.04 / 0.6)), math.degrees(math.atan(0.1 / 0.8))
    ((parts, pin, short),) = grips("engine", {"connecting_rod/twist": 20.0, **PLAY})
    assert (parts, pin) == (("connecting rod", "crank"), "crank pin")
    left = 20.0 - eye - bars
    assert short == pytest.approx(0.6 * math.tan(math.radians(left)) - 0.04)
    for twist, binds in ((2 * eye + bars - 0.1, False), (2 * eye + bars + 0.1, True)):
        ((_, _, short),) = grips("engine", {"connecting_rod/twist": twist, **PLAY})
        assert (short > 0) == binds


def test_of_three_eyes_the_two_that_are_worst_tell():
    """A rod in one piece over three axles: the outer two have the whole twist between them."""
    twist = {"coupling_rods/whole/twist": 30.0}
    ((_, pin, short),) = grips("one piece", twist)
    assert pin in ("leading crank pin", "trailing crank pin")
    half = {"coupling_rods/whole/twist": 15.0}
    assert short > grips("one piece", half)[0][2]


def test_no_twist_no_question():
    assert grips("engine", PLAY) == []
    assert say_asked(examine(sheet_with("engine", {"connecting_rod/twist": 0.0}))) == ()


def test_where_the_play_is_not_known_it_is_told_what_is_needed():
    """40 degrees, 20 at either end: 0.6 tan 20 = 0.22. It meets nothing else."""
    found = examine(sheet_with("engine", {"connecting_rod/twist": 40.0}))
    assert not [spot for spot in found.spots if isinstance(spot, Pinched)]
    (said,) = say_asked(found)
    assert "The connecting rod, twisted by 40 degrees, has its eyes out of square" in said
    assert "less play than 0.22 mm at either end" in said


def test_rods_of_the_gear_are_told_of_with_their_play_too():
    """What they are pinned to may lean as they do."""
    (found,) = build(sheet_with("gear", {"radius_rod/twist": 10.0, **PLAY})).values()
    (one,) = found.twisted
    assert (one.part, one.twist) == ("radius rod", pytest.approx(math.radians(10)))
    assert one.takes == pytest.approx(0.4 * math.tan(math.radians(5)), rel=0.3)
