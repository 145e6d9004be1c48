"""Bounds on the speed of approach against differences of clearances at random: none is exceeded."""

import math

import numpy as np
import pytest

from linkage.clearance import pair_parts
from linkage.clearance.outlines import PairTable, Poses
from linkage.clearance.speeds import approach_bounds, part_speeds
from linkage.kinematics import enclose, follow, solve_at
from tests.clearance.bodies import dressed_gear, random_crank_rocker

COUNT = 120  # intervals to the turn
INSIDE = 6


def clearances(course, pieces, crank):
    """Return (pieces, angles)."""
    motion = solve_at(course, crank)
    poses = Poses.of(np.stack([motion.poses[part.name] for part in course.mechanism.parts]))
    which = np.repeat(np.arange(len(pieces)), len(crank))
    at = np.tile(np.arange(len(crank)), len(pieces))
    return PairTable(pieces).clearances(which, at, poses).reshape(len(pieces), len(crank))


def mechanisms():
    return {"valve gear": dressed_gear()} | {
        f"crank rocker {seed}": random_crank_rocker(np.random.default_rng(seed))
        for seed in range(3)
    }


@pytest.mark.parametrize("name", mechanisms())
def test_no_pair_approaches_faster_than_its_bound(name):
    course = follow(mechanisms()[name])
    pieces = [piece for pair in pair_parts(course.mechanism, 0.15, 1.0) for piece in pair.pieces]
    middle, half = (np.arange(COUNT) + 0.5) * (2 * math.pi / COUNT), math.pi / COUNT
    enclosure = enclose(course, middle, half)
    assert enclosure.proven.all()
    names = [part.name for part in course.mechanism.parts]
    bounds = approach_bounds(pieces, part_speeds(enclosure, names))
    assert bounds.shape == (len(pieces), COUNT)
    assert (bounds >= 0).all()
    rng = np.random.default_rng(40)
    share = np.sort(rng.uniform(-1, 1, (COUNT, INSIDE)), axis=1)
    crank = middle[:, None] + half * share
    values = clearances(course, pieces, crank.ravel()).reshape(len(pieces), COUNT, INSIDE)
    change, step = np.abs(np.diff(values, axis=2)), np.diff(crank, axis=1)
    # clearances of sloping bars come from a search along them that is good to 5e-9 of their length
    excess = change - bounds[:, :, None] * step - 2e-7
    assert excess.max() <= 0
    used = (change / step)[:, step > 1e-4].max(axis=1) / bounds.max(axis=1).clip(1e-9)
    assert used.max() > 0.8  # some pair moves nearly as fast as its bound says: it is not idle


def test_no_pairs_no_bounds():
    course = follow(random_crank_rocker(np.random.default_rng(0)))
    names = [part.name for part in course.mechanism.parts]
    speeds = part_speeds(enclose(course, np.array([0.1, 0.2]), 0.01), names)
    assert approach_bounds([], speeds).shape == (0, 2)
