"""What was felt, set against what is found: arcs, sides, what was off, gaps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.arrangements import ARRANGEMENTS, coupled_wheels
from linkage.cause import explain
from linkage.cause.explained import without_rods
from linkage.examine import examine
from linkage.play import find_play
from linkage.sheet import sheet_from
from linkage.tables.sides import SliderCrankSide
from tests.ready import examined, ready

ROUGH = "ardmoor-2-6-0-rough"


@pytest.fixture(scope="module")
def told():
    """Return what is said of lines on the rough 2-6-0, whose right front coupling rod is long.

    It binds from 293 to 53 degrees and from 116 to 230 of its own crank.
    """
    found = examined(ROUGH)

    def told(felt=(), seen=()):
        data = {**ready(ROUGH).data, "felt": list(felt), "seen": list(seen)}
        sheet = sheet_from(data, "engine.toml", ask=False)
        return explain(replace(found, sheet=sheet))

    return told


@pytest.mark.parametrize(
    ("line", "agrees"),
    [
        ({"what": "locks", "side": "right", "at": "about 3 o'clock"}, True),
        ({"what": "locks", "side": "right", "at": 57}, True),  # within 5 degrees of the arc
        ({"what": "locks", "side": "right", "at": 85}, False),
        ({"what": "locks", "side": "left", "at": 0}, False),  # the rod is the right one
        ({"what": "free", "side": "left"}, True),
        ({"what": "free", "side": "right"}, False),
        ({"what": "free", "side": "right", "from": 55, "to": 115}, True),
        ({"what": "free", "side": "right", "from": 55, "to": 145}, False),
        ({"what": "locks", "taken_off": ["return_crank", "motor"]}, True),
        ({"what": "locks", "taken_off": ["right.coupling_rods"]}, False),
        ({"what": "locks", "taken_off": ["left.coupling_rods"]}, True),
        ({"what": "free", "taken_off": ["right.coupling_rods.front"]}, True),
        ({"what": "locks", "taken_off": ["right.coupling_rods.rear"]}, True),
    ],
)
def test_a_line_is_explained_or_not(told, line, agrees):
    (one,) = told([line])

    assert one.agrees == agrees


def test_what_stands_fast_is_explained_by_what_leaves_nothing_to_turn(told):
    """One rod binds over part of the turn; so much too long that it binds all round."""
    (part,) = told([{"what": "locks", "at": "all round"}])
    data = {**ready("ardmoor-0-6-0-good").data, "felt": [{"what": "locks", "at": "all round"}]}
    data["left"] = {"coupling_rods": {"front": {"centres": 26.9}}}
    data["right"] = {"coupling_rods": {"front": {"centres": 25.0}}}
    (fast,) = explain(examine(sheet_from(data, "engine.toml", ask=False)))

    assert part.spots
    assert not part.agrees
    assert fast.agrees


@pytest.mark.parametrize(("gap", "agrees"), [(0.2, True), (0.6, False), (0.0, True)])
def test_a_gap_is_held_against_the_clearance_there(told, gap, agrees):
    line = {"gap": gap, "between": ["crank", "eccentric rod"], "side": "right", "at": 15}
    (one,) = told(seen=[line])

    assert one.agrees == agrees
    assert one.clearance == pytest.approx(0.16, abs=0.01)


def test_a_foul_is_gone_with_what_meets(demo):
    lines = [
        {"what": "locks", "side": "right"},
        {"what": "free", "side": "right", "taken_off": ["right.return_crank"]},
        {"what": "locks", "side": "right", "taken_off": ["left.return_crank"]},
    ]
    sheet = sheet_from({**demo.data, "felt": lines}, "engine.toml", ask=False)

    assert [one.agrees for one in explain(examine(sheet))] == [True, True, True]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS.values(), ids=lambda held: held.name)
def test_every_gear_says_what_can_be_taken_off(arrangement):
    """A gear that has forgotten it would offer no isolation test."""
    if issubclass(arrangement.tables, SliderCrankSide):
        assert "connecting_rod" in {one.key for one in arrangement.removable}


def test_an_axle_that_no_rod_is_left_on_stands_as_it_likes():
    """It has no least play, and is none of what binds."""
    wheels = coupled_wheels(ready("ardmoor-0-6-0-good"))
    off = frozenset((side, "coupling_rods.rear") for side in ("right", "left"))
    left = without_rods(wheels, off)

    assert [axle.name for axle in left.axles] == ["driving", "leading"]
    assert left.axles[left.driving].name == "driving"
    assert np.isfinite(find_play(left).used.used).all()
