"""Bent rods set back: the least that does, and what a rod's length becomes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.advice.setting import bent_to, length_bends, set_back, settable, straight_length
from linkage.advice.trial import Trial
from linkage.arrangements.rods import eye_to_eye
from linkage.arrangements.walschaerts.tables import RadiusRod
from linkage.examine import examine
from linkage.tables.rods import Bend, Rod
from linkage.tightspots import Close
from tests.ready import examined_once

WAYS = ("towards_frames", "away_from_frames", "up", "down")


def rod_of(centres, kind, way, at, amount):
    more = {"kink": {}, "bow": {"over": 6.0}, "joggle": {"length": 6.0}}[kind]
    bend = Bend.model_validate(
        {"kind": kind, "from": "die block", "at": at, way: amount, **more}, context={"unit": "mm"}
    )
    return RadiusRod.model_validate(
        {"centres": centres, "width": 1.2, "thickness": 0.4, "out": 4.4, "die_above_trunnion": 2.5,
         "bend": [bend.model_dump(by_alias=True, exclude_none=True)]},
        context={"unit": "mm"},
    )  # fmt: skip


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.floats(15.0, 60.0), st.sampled_from(["kink", "bow", "joggle"]), st.sampled_from(WAYS),
    st.floats(0.3, 0.6), st.floats(0.05, 1.5),
)  # fmt: skip
def test_straight_length_undoes_eye_to_eye(centres, kind, way, share, amount):
    bent = rod_of(centres, kind, way, share * centres, amount)
    straight = straight_length(bent)

    assert straight > centres
    made = bent.model_copy(update={"centres": straight, "centres_measured": "straight"})
    assert eye_to_eye(made) == pytest.approx(centres, abs=1e-9)


def test_a_rod_measured_when_straight_keeps_its_length():
    rod = rod_of(23.0, "kink", "up", 10.0, 1.0)

    assert straight_length(rod.model_copy(update={"centres_measured": "straight"})) == 23.0


def test_a_kink_taken_out_gives_back_what_it_took():
    # 10 and 13 from the eyes, sag 1: loss by the kink formula s2/2 (1/a + 1/b), good to 1 % here
    straight = straight_length(rod_of(23.0, "kink", "up", 10.0, 1.0))

    assert straight - 23.0 == pytest.approx(0.5 * (1 / 10 + 1 / 13), rel=0.01)


def test_only_bends_that_go_the_wrong_way_can_be_set_back(demo):
    assert settable(demo, "right", "radius_rod", "towards the frames") == []
    assert settable(demo, "left", "radius_rod", "away from the frames") == []
    assert settable(demo, "right", "motion_bracket", "away from the frames") == []
    (bend,) = settable(demo, "right", "radius_rod", "away from the frames")
    assert (bend.key, bend.number, bend.amount) == ("radius_rod", 1, 0.7)
    assert (bend.at, bend.start) == (9.6, "die block")


def test_bends_that_cost_length_are_listed_for_their_side_alone(demo):
    assert [bend.key for bend in length_bends(demo, "right", Rod)] == ["radius_rod"]
    assert length_bends(demo, "left", Rod) == []


def test_bent_to_keeps_the_metal(demo):
    (bend,) = length_bends(demo, "right", Rod)
    rod = demo.sides["right"].radius_rod
    half = bent_to(demo, "right", bend, 0.25).sides["right"].radius_rod

    assert half.bend[0].amount == pytest.approx(0.25)
    assert straight_length(half) == pytest.approx(straight_length(rod), abs=1e-9)
    assert rod.centres < half.centres < straight_length(rod)


def test_the_least_set_just_clears_and_less_does_not(demo):
    found = examined_once(demo)
    (spot,) = found.spots
    (bend,) = settable(demo, "right", "radius_rod", "away from the frames")
    trial = Trial(found.sides["right"].course, frozenset(spot.parts), demo.wanted_clearance)
    setting = set_back(demo, "right", bend, trial, spot.wanted)

    assert setting is not None
    assert examine(bent_to(demo, "right", bend, bend.amount - setting.least)).free
    # 0.03: the least is closed in on to 0.005
    less = examine(bent_to(demo, "right", bend, bend.amount - setting.least + 0.03))
    assert [type(s) for s in less.spots] == [Close]
    assert examine(setting.sheet).free


def test_no_set_where_even_the_straight_rod_is_too_near(demo):
    found = examined_once(demo)
    (spot,) = found.spots
    (bend,) = settable(demo, "right", "radius_rod", "away from the frames")
    trial = Trial(found.sides["right"].course, frozenset(spot.parts), demo.wanted_clearance)

    assert set_back(demo, "right", bend, trial, asked=0.35) is None  # straight it has 0.30
