"""Change points of parallelograms, and variants solved together and each by itself."""

import math

import numpy as np
import pytest

from linkage.kinematics import (
    branch_changes,
    follow,
    solve_at,
    solve_turn,
    solve_variants,
    transmission_angles,
)
from tests.kinematics.linkages import DEGREE, GEAR, four_bar, slider_crank, valve_gear

CRANK = np.linspace(0, 2 * math.pi, 49)


CLOSE = 1e-6  # what the search stops at [rad]
# Where a step of the march (7.5 degrees) ends in the change point itself, the position there is
# only good to 1e-3 rad, because the closure is flat: the change is found that much beside it.
AT_A_NODE = 2e-3


@pytest.mark.parametrize(
    ("lean", "within"),
    [(0, CLOSE), (37, CLOSE), (-53.13, CLOSE), (90, AT_A_NODE), (30, AT_A_NODE)],
)
def test_parallelogram_changes_where_its_links_lie_in_line(lean, within):
    ground_at = lean * DEGREE
    near = (40 + 100 * math.cos(ground_at), 100 * math.sin(ground_at))
    course = follow(four_bar((40, 100, 40, 100), ground_at=ground_at, near=near))
    assert course.open_arcs == ()
    found = branch_changes(course)
    assert len(found) == 2
    for exact in (-ground_at, math.pi - ground_at):
        beside = min(abs(math.remainder(angle - exact, 2 * math.pi)) for angle, _ in found)
        assert beside < within
    assert {parts for _, parts in found} == {("coupler", "rocker")}


@pytest.mark.parametrize("lean", [0, 30, 90, -53.13])
def test_parallelogram_stays_one_through_its_change_points(lean):
    ground_at = lean * DEGREE
    near = (40 + 100 * math.cos(ground_at), 100 * math.sin(ground_at))
    course = follow(four_bar((40, 100, 40, 100), ground_at=ground_at, near=near))
    angles = CRANK[np.abs(np.sin(CRANK + ground_at)) > 1e-3]
    motion = solve_at(course, angles)
    assert np.abs(motion.poses["coupler"][:, 2] - ground_at).max() < 1e-9


def test_transmission_angle_is_nothing_at_a_change_point():
    course = follow(four_bar((40, 100, 40, 100), near=(140.0, 0.0)))
    motion = solve_at(course, np.array([1e-4, math.pi / 2]))
    angle = transmission_angles(motion)["coupler", "rocker"]
    assert angle == pytest.approx([1e-4, math.pi / 2], abs=1e-6)


def test_transmission_angle_of_a_rod_and_slide():
    motion = solve_turn(slider_crank(4.0, 10.0), CRANK)
    slope = np.arcsin(0.4 * np.sin(CRANK))
    found = transmission_angles(motion)["rod", "crosshead"]
    assert found == pytest.approx(math.pi / 2 - np.abs(slope), abs=3e-8)  # arcsine near its top


@pytest.mark.parametrize("seed", range(4))
def test_variants_of_the_gear_equal_each_by_itself(seed):
    rng = np.random.default_rng(seed)
    base = valve_gear()
    variants = [
        valve_gear(**{key: value * rng.uniform(0.96, 1.04) for key, value in GEAR.items()})
        for _ in range(4)
    ]
    together = solve_variants(follow(base), variants, CRANK)
    for row, variant in enumerate(variants):
        alone = solve_turn(variant, CRANK)
        assert np.array_equal(together.reached[row], alone.reached)
        for part, pose in alone.poses.items():
            assert np.nanmax(np.abs(together.poses[part][row] - pose)) < 1e-9, part
        assert np.nanmax(np.abs(together.travel("die")[row] - alone.travel("die"))) < 1e-9


def test_variants_far_off_and_open_and_not_to_be_put_together():
    """One too far to start from, one that opens, one that closes nowhere: all in one call."""
    base = four_bar((40, 120, 80, 100))
    far = four_bar((12, 300, 260, 90))
    opens = four_bar((40, 50, 40, 100))
    never = four_bar((10, 20, 20, 100), near=(55.0, 0.0))
    variants = [base, far, opens, never]
    together = solve_variants(follow(base), variants, CRANK)
    for row, variant in enumerate(variants[:3]):
        alone = solve_turn(variant, CRANK)
        for part in ("coupler", "rocker"):
            ours, theirs = together.poses[part][row], alone.poses[part]
            assert np.array_equal(np.isnan(ours), np.isnan(theirs))
            turns = 2 * math.pi * np.round((ours[:, 2] - theirs[:, 2]) / (2 * math.pi))
            assert np.nanmax(np.abs(ours[:, 2] - theirs[:, 2] - turns)) < 1e-9
            assert np.nanmax(np.abs(ours[:, :2] - theirs[:, :2])) < 1e-9
    assert not together.reached[3].any()
    assert together.reached[:2].all()


def test_variant_with_a_number_that_is_0_in_the_base():
    base, offset = slider_crank(4.33, 12.0), slider_crank(4.33, 12.0, 1.5)
    together = solve_variants(follow(base), [offset, base], CRANK)
    for row, variant in enumerate((offset, base)):
        alone = solve_turn(variant, CRANK)
        assert np.abs(together.poses["crosshead"][row] - alone.poses["crosshead"]).max() < 1e-10


def test_order_of_crank_angles_is_free():
    course = follow(valve_gear())
    shuffled = np.random.default_rng(1).permutation(CRANK)
    straight, mixed = solve_at(course, CRANK), solve_at(course, shuffled)
    back = np.argsort(shuffled)
    for part, pose in straight.poses.items():
        assert np.abs(mixed.poses[part][back] - pose).max() < 1e-9, part


@pytest.mark.parametrize("turns", [-3, -1, 1, 5])
def test_whole_turns_make_no_difference(turns):
    course = follow(valve_gear())
    first, later = solve_at(course, CRANK), solve_at(course, CRANK + turns * 2 * math.pi)
    gap = first.poses["valve spindle"] - later.poses["valve spindle"]
    assert np.abs(gap).max() < 1e-9


def test_no_angles_and_one_angle():
    course = follow(slider_crank(4.33, 38.0))
    assert solve_at(course, np.empty(0)).poses["rod"].shape == (0, 3)
    assert solve_at(course, 1.0).poses["rod"].shape == (1, 3)
