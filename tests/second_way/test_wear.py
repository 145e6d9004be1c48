"""What play takes from a clearance, against pins really moved in their holes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import find_wear, survey_clearances
from linkage.clearance.outlines import PairTable, Poses
from linkage.examine import examine
from linkage.kinematics import follow, solve_at
from linkage.sheet import sheet_from
from linkage.tightspots import TouchesWithPlay

PLAY = 0.02  # half of it, either way [mm]: little, so that the second order stays below 1e-3


@pytest.fixture(scope="module")
def worn(straight):
    data = dict(straight.data) | {"joint_play": {"everywhere": 2 * PLAY}}
    mechanism = build(sheet_from(data, ask=False), "right")["right"]
    course = follow(mechanism)
    survey = survey_clearances(course, 0.15)
    pairs = {pair.parts: pair for pair in survey.compared}
    return course, pairs, survey, find_wear(course, pairs, survey.pairs)


def least_with(course, pair, at, places):
    """Return a pair's clearance at one crank angle with pins moved: by joint, (x, y) [mm]."""
    joints = tuple(
        replace(j, a=replace(j.a, x=j.a.x + places[j.name][0], y=j.a.y + places[j.name][1]))
        for j in course.mechanism.joints
    )
    mechanism = replace(course.mechanism, joints=joints)
    motion = solve_at(follow(mechanism), [at])
    poses = Poses.of(np.stack([motion.poses[part.name] for part in mechanism.parts]))
    count = len(pair.pieces)
    return float(
        PairTable(pair.pieces)
        .clearances(np.arange(count), np.zeros(count, dtype=np.intp), poses)
        .min()
    )


def test_play_is_where_the_sheet_puts_it(worn):
    course, _, _, _ = worn
    assert set(course.mechanism.play) == {
        "driving axle",
        *(j.name for j in course.mechanism.joints),
    }
    assert set(course.mechanism.play.values()) == {PLAY}


def test_no_way_of_standing_takes_more(worn):
    course, pairs, _, found = worn
    rng = np.random.default_rng(4)
    for parts in (("connecting rod", "slide bars"), ("crosshead", "union link")):
        lost = found[parts]
        for _ in range(40):
            turns = {j.name: rng.uniform(0, 2 * np.pi) for j in course.mechanism.joints}
            places = {n: (PLAY * np.cos(t), PLAY * np.sin(t)) for n, t in turns.items()}
            assert least_with(course, pairs[parts], lost.at, places) > lost.least - 1e-3


@pytest.mark.parametrize("parts", [("connecting rod", "slide bars"), ("crosshead", "union link")])
def test_the_worst_way_takes_so_much(worn, parts):
    """Each pin by itself put where it takes most, of 32 ways, then all together."""
    course, pairs, _, found = worn
    lost, places = found[parts], {j.name: (0.0, 0.0) for j in course.mechanism.joints}
    ways = [(PLAY * np.cos(t), PLAY * np.sin(t)) for t in np.arange(32) * (np.pi / 16)]
    worst = {
        name: min(
            ways,
            key=lambda way, n=name: least_with(course, pairs[parts], lost.at, places | {n: way}),
        )
        for name in places
    }
    axle = course.mechanism.play["driving axle"]  # not among the joints: its share by itself
    without = replace(course, mechanism=replace(course.mechanism, play={"driving axle": axle}))
    survey = survey_clearances(course, 0.15)
    by_axle = find_wear(without, pairs, survey.pairs)[parts]
    together = least_with(course, pairs[parts], lost.at, worst)
    assert together - by_axle.loss == pytest.approx(lost.least, abs=2e-3)
    assert lost.loss > 1.5 * PLAY  # more than one pin has a part in it


def test_a_sloping_rod_loses_no_more_than_it_can(demo):
    """A bowed rod against the bracket: pins put one by one where they take most."""
    data = dict(demo.data) | {"joint_play": {"everywhere": 0.1}}
    mechanism = build(sheet_from(data, ask=False), "right")["right"]
    joints = {name: half for name, half in mechanism.play.items() if name != "driving axle"}
    course = follow(replace(mechanism, play=joints))
    survey = survey_clearances(course, 0.15)
    pairs = {pair.parts: pair for pair in survey.compared}
    parts = ("radius rod", "motion bracket")
    told = find_wear(course, pairs, survey.pairs)[parts]
    ways = [(0.05 * np.cos(t), 0.05 * np.sin(t)) for t in np.arange(12) * (np.pi / 6)]
    stands = dict.fromkeys(joints, (0.0, 0.0))
    for name in joints:
        stands = min(
            (stands | {name: way} for way in (*ways, stands[name])),
            key=lambda places: least_with(course, pairs[parts], told.at, places),
        )
    left = least_with(course, pairs[parts], told.at, stands)
    # of 12 ways one is 15 degrees off at most, which takes 1/30 less of each pin's share
    assert told.least == pytest.approx(left, abs=4e-3)
    assert told.loss > 0.03


def test_the_driving_axle_moves_the_crank_and_all_on_it(worn):
    """A boss on the crank against a fixed plate loses just the play of the axle."""
    course, pairs, survey, _ = worn
    alone = replace(course, mechanism=replace(course.mechanism, play={"driving axle": PLAY}))
    lost = find_wear(alone, pairs, survey.pairs)
    assert lost["connecting rod", "slide bars"].most_by == "driving axle"
    assert 0 < lost["connecting rod", "slide bars"].loss <= PLAY + 1e-9


def test_side_gaps_are_not_lost(worn):
    """What passes in another layer stays in it, however worn the pins."""
    _, pairs, survey, found = worn
    for pair in survey.pairs:
        floor = min(piece.lateral for piece in pairs[pair.parts].pieces)
        assert found[pair.parts].least >= min(floor, pair.least) - 1e-9


def test_no_play_no_wear(straight):
    found = examine(straight)
    assert all(not side.worn for side in found.sides.values())


def test_touching_once_worn_is_found(straight):
    """A hundredth of a millimetre short of the wanted air is not too close, but worn it touches."""
    data = dict(straight.data) | {"joint_play": {"everywhere": 0.6}}
    spots = examine(sheet_from(data, ask=False)).spots
    assert {type(spot) for spot in spots} == {TouchesWithPlay}
    assert all(spot.clearance.least >= spot.clearance.asked and spot.overlap > 0 for spot in spots)
