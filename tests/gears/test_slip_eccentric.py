"""The slip eccentric as an arrangement: either stop, and what is wrong with a rod."""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest

from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine import examine
from linkage.sheet import sheet_from
from linkage.tightspots import kind_of
from tests.ready import examined, ready

NAME = "ardmoor-0-4-0-slip-eccentric"


def changed(**tables):
    data = copy.deepcopy(dict(ready(NAME).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held} if isinstance(held, dict) else held
    return sheet_from(data, "slip.toml", ask=False)


def test_it_is_free_and_proven():
    found = examined(NAME)
    assert found.free
    assert {p.between_samples for s in found.sides.values() for p in s.survey.pairs} <= {"proven"}


def test_it_is_examined_against_either_stop():
    """Whichever the sheet has: rod and spindle go otherwise there, crank and piston alike."""
    for running in ("full_forward", "full_back"):
        held = examine(changed(running=running, eccentric={"follows": 118.0})).everywhere["right"]
        assert set(held.at) == {"full_forward", "full_back"}
        assert held.here == running
        assert held.survey.moved == {"eccentric rod", "valve spindle"}
        there = held.at["full_back"].mechanism
        assert there.reverser.angle(None) == pytest.approx(math.radians(118))


def test_a_guide_too_short_is_told_with_the_stop_it_is_worst_against():
    """The back stop gives 0.2 more of lap and lead, and the same travel: it is so at both."""
    guide = {"rear": 59.0, "front": 65.0}
    stops = {"throw": 3.4, "follows": 118.0}
    spots = examine(changed(eccentric=stops, valve_spindle={"guide": guide})).spots
    assert {kind_of(spot).name for spot in spots} == {"runs off"}
    assert all(spot.place in ("full_forward", "full_back") for spot in spots)


def test_travel_is_twice_the_throw_and_either_stop_is_the_mirror_of_the_other():
    """Of a rod in line with the axle, exactly; the connecting rod's slant stays where it is."""
    side = find_events(ready(NAME)).sides["right"]
    fore, back = side.places
    assert [fore.place.at, back.place.at] == ["full_forward", "full_back"]
    assert [fore.ahead, back.ahead] == [1, -1]
    for place in side.places:
        assert place.travel == pytest.approx(4.8, abs=1e-9)
        assert place.lap_and_lead == pytest.approx(2.4 * math.sin(math.radians(25)), abs=1e-9)
    for one, other in zip(fore.ends, back.ends, strict=True):
        assert one.cut_off.stroke == pytest.approx(other.cut_off.stroke, abs=1e-8)
        assert one.release.turned == pytest.approx(other.release.turned, abs=1e-6)


def test_uneven_stops_give_uneven_gears():
    """Advance 15 at the back stop: lap and lead 2.4 sin 15 there, and a later cut-off."""
    fore, back = find_events(changed(eccentric={"follows": 105.0})).sides["right"].places
    assert back.lap_and_lead == pytest.approx(2.4 * math.sin(math.radians(15)), abs=1e-9)
    assert back.ends[0].cut_off.stroke > fore.ends[0].cut_off.stroke


def test_running_back_sets_it_against_the_other_stop():
    motion = {
        running: examine(changed(running=running)).sides["right"].motion
        for running in ("full_forward", "full_back")
    }
    fore, back = (held.travel("valve spindle slide") for held in motion.values())
    at = [np.interp(math.radians(90), held.crank, v) for held, v in
          zip(motion.values(), (fore, back), strict=True)]  # fmt: skip
    # the crank straight down, the eccentric is behind the axle by that much, or ahead of it
    assert at[0] - at[1] == pytest.approx(-2 * 2.4 * math.cos(math.radians(25)), abs=0.05)


def test_mid_is_no_place_of_it():
    with pytest.raises(SheetError, match='should be "full_forward" or "full_back"'):
        changed(running="mid")


def test_a_rod_of_another_engine_is_found():
    """Four millimetres long, it drives the spindle out of the front of its guide."""
    spots = examine(changed(eccentric_rod={"centres": 66.0})).spots
    assert {kind_of(spot).name for spot in spots} == {"runs off"}
    assert {spot.parts for spot in spots} == {("valve spindle", "guide")}
