"""Enclosed poses and speeds against solved ones at random places inside: none may escape."""

import math

import numpy as np
import pytest

from linkage.kinematics import enclose, follow, solve_at, velocities
from linkage.mechanism import Pin, Place, Slide, Slot
from tests.kinematics.linkages import four_bar, mechanism, slider_crank, valve_gear

INSIDE = 20  # random crank angles in each interval


def slotted_lever():
    """Return a crank whose pin runs in a curved slot of a lever, which moves a slide by a rod."""
    joints = (
        Pin("lever pivot", Place("lever", 0, 0), Place("frame", 0, -14)),
        Slot("slot", Place("crank", 5, 0), Place("lever", 0, 14), direction=math.pi / 2,
             curvature=0.01, near=(5, 0)),
        Pin("lever top", Place("lever", 0, 24), Place("rod", 0, 0), near=(8, 9)),
        Pin("rod end", Place("rod", 20, 0), Place("head", 0, 0), near=(28, 9)),
        Slide("guide", Place("head", 0, 0), Place("frame", 20, 9)),
    )  # fmt: skip
    return mechanism(("crank", "lever", "rod", "head"), joints)


SAMPLES = {
    "four-bar": four_bar((40, 120, 80, 100)),
    "four-bar near its dead point": four_bar((40, 70.2, 70, 100)),
    "open four-bar": four_bar((40, 50, 40, 100)),
    "offset slider-crank": slider_crank(4.33, 9.0, 1.5),
    "slotted lever": slotted_lever(),
    "valve gear": valve_gear(),
}


def escapes(found, values, slack):
    """Return how far values stand outside intervals of shape (N,), values (INSIDE, N)."""
    outside = np.maximum(found.low - values, values - found.high)
    return np.where(np.isnan(outside), -np.inf, outside - slack).max()


@pytest.mark.parametrize("count", [45, 180, 720])
@pytest.mark.parametrize("name", SAMPLES)
def test_no_escapes(name, count):
    course = follow(SAMPLES[name])
    middle = (np.arange(count) + 0.5) * 2 * math.pi / count
    half = math.pi / count
    found = enclose(course, middle, half)
    assert found.proven.any()
    rng = np.random.default_rng(count)
    shares = np.concatenate(([[-1.0] * count, [1.0] * count], rng.uniform(-1, 1, (INSIDE, count))))
    inside = middle + half * shares * (1 - 1e-12)
    motion = solve_at(course, inside.ravel())
    speeds = velocities(motion)
    sure = found.proven
    for part, pose in motion.poses.items():
        for index in range(3):
            place = pose[:, index].reshape(shares.shape)
            speed = speeds[part][:, index].reshape(shares.shape)
            if index == 2:  # an angle counts on by whole turns between two angles of the crank
                centre = 0.5 * (found.poses[part][2].low + found.poses[part][2].high)
                place = place - 2 * math.pi * np.round((place - centre) / (2 * math.pi))
            place, speed = place[:, sure], speed[:, sure]
            # solved positions are closed to 1e-11 mm and no better: that much may stand outside
            assert escapes(_of(found.poses[part][index], sure), place, 1e-10) <= 0, part
            assert escapes(_of(found.speeds[part][index], sure), speed, 1e-9) <= 0, part


def _of(interval, where):
    return type(interval)(interval.low[where], interval.high[where])


@pytest.mark.parametrize("name", ["four-bar", "offset slider-crank", "valve gear"])
def test_whole_turn_is_proven_at_a_degree(name):
    middle = np.radians(np.arange(360))
    assert enclose(follow(SAMPLES[name]), middle, math.radians(0.5)).proven.all()


def test_positions_in_a_proven_interval_all_exist():
    """Where an interval is proven, no angle in it may be without a position."""
    course = follow(SAMPLES["open four-bar"])
    begin, end = course.open_arcs[0]
    middle = np.linspace(0, 2 * math.pi, 2000)
    half = 2e-3
    found = enclose(course, middle, half)
    touches = (middle + half > begin) & (middle - half < end)
    assert not found.proven[touches].any()
    assert found.proven[~touches].mean() > 0.9


def test_speeds_close_in_with_the_interval():
    """The excess over the true range shrinks with the interval, about in step with it."""
    course = follow(SAMPLES["valve gear"])
    middle = np.radians(np.arange(0, 360, 7))
    wide = enclose(course, middle, 1e-2).speeds["valve spindle"][0]
    fine = enclose(course, middle, 1e-3).speeds["valve spindle"][0]
    assert ((fine.high - fine.low) < 0.2 * (wide.high - wide.low)).all()


def test_unproven_intervals_fall_back_on_samples_with_a_margin():
    """Intervals too wide for the proof still hold what the samples hold."""
    course = follow(SAMPLES["valve gear"])
    middle, half = np.radians([10.0, 100.0, 250.0]), 0.6
    found = enclose(course, middle, half)
    assert not found.proven.any()
    assert found.reached.all()
    at = velocities(solve_at(course, middle))["valve spindle"][:, 0]
    speed = found.speeds["valve spindle"][0]
    assert ((speed.low < at) & (at < speed.high)).all()
