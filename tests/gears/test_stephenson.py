"""The Stephenson gear as an arrangement: its places, its slips, its faults."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine import examine_side
from linkage.kinematics import solve_turn
from linkage.sheet import set_running
from linkage.tightspots import kind_of
from tests.gears.stephenson import NAME, with_right
from tests.ready import examined, ready

PLACES = ("full_forward", "mid", "full_back")


def test_it_is_free_in_all_gears_and_proven_there_and_between():
    found = examined(NAME)
    assert found.free
    assert {held.survey.between for held in found.everywhere.values()} == {"proven"}
    words = {p.between_samples for side in found.sides.values() for p in side.survey.pairs}
    assert words == {"proven"}


@pytest.mark.parametrize("place", PLACES)
def test_rods_and_links_keep_their_lengths(place):
    """By the places of their pins on the other parts."""
    mechanism = build(set_running(ready(NAME), place), "right")["right"]
    motion = solve_turn(mechanism, np.radians(np.arange(0.0, 360.0, 5.0)))
    assert motion.reached.all()
    joints = {joint.name: joint for joint in mechanism.joints}

    def at(name, part):
        place = next(p for p in (joints[name].a, joints[name].b) if p.part == part)
        return motion.point(part, place.x, place.y)

    def lengths(a, b):
        return np.hypot(*(a - b).T)

    link = "expansion link"
    fore = lengths(at("fore eccentric", "crank"), at("top link pin", link))
    back = lengths(at("back eccentric", "crank"), at("bottom link pin", link))
    assert [fore, back] == [pytest.approx(130.0, abs=1e-9)] * 2
    end = joints["weighshaft pin"].b
    hung = lengths(np.array([[end.x, end.y]]), at("suspension pin", link))
    assert hung == pytest.approx(60.0, abs=1e-9)
    die = motion.point("valve spindle") - motion.point(link)
    lean = motion.poses[link][:, 2]
    x = die[:, 0] * np.cos(lean) + die[:, 1] * np.sin(lean)
    y = die[:, 1] * np.cos(lean) - die[:, 0] * np.sin(lean)
    assert np.hypot(x + 130.0, y) == pytest.approx(130.0, abs=1e-9)


def test_it_runs_as_its_reverser_is_set():
    side = find_events(ready(NAME), 3).sides["right"]
    assert [place.ahead for place in side.places] == [1, 0, -1]
    full, mid, back = side.places
    assert mid.travel < full.travel
    assert mid.ends[0].lead > full.ends[0].lead  # open rods
    assert mid.ends[0].cut_off.stroke < min(full.ends[0].cut_off.stroke, 0.3)
    assert back.ends[0].cut_off.stroke == pytest.approx(full.ends[0].cut_off.stroke, abs=0.02)


@pytest.mark.parametrize(
    ("table", "change", "words"),
    [
        ("fore_eccentric", {"follows": 20.0}, "leads"),
        ("expansion_link", {"slot_half_length": 200.0}, "slot_radius should be more than"),
        ("expansion_link", {"die_length": 50.0}, "die_length should be less than the whole slot"),
        ("expansion_link", {"fore_rod": "left"}, "fore_rod"),
        ("fore_eccentric", {"throw": 0.0}, "throw: should be above 0"),
    ],
)
def test_what_cannot_be_is_refused(table, change, words):
    held = dict(ready(NAME).data[table])
    with pytest.raises(SheetError, match=words):
        with_right(**{table: {**held, **change}})


def test_a_bent_eccentric_rod_is_found():
    bend = [{"kind": "bow", "from": "link pin", "at": 25.0, "over": 49.0, "towards_frames": 3.0}]
    mechanism = build(with_right(fore_eccentric_rod={"bend": bend}), "right")["right"]
    (spot,) = examine_side("right", mechanism, 0.5).spots
    assert kind_of(spot).name == "fouls"
    assert spot.parts == ("fore eccentric rod", "lifting link")


def test_a_slipped_eccentric_spoils_the_events_of_its_own_gear():
    """Fore gear most of all: the fore eccentric works the valve alone there."""
    held = find_events(with_right(fore_eccentric={"leads": 105.0}), 3).sides
    lost = [
        b.lap_and_lead - a.lap_and_lead
        for a, b in zip(held["right"].places, held["left"].places, strict=True)
    ]
    own = 9 * (math.sin(math.radians(25)) - math.sin(math.radians(15)))  # with the die at its pin
    assert own > lost[0] > lost[1] > lost[2] > 0
