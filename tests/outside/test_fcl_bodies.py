"""Whole pieces in space against the Flexible Collision Library, through python-fcl.

Source: J. Pan, S. Chitta, D. Manocha, *FCL: a general purpose library for collision and proximity
queries*, IEEE International Conference on Robotics and Automation (2012) 3859-3866.

A piece is given to the library as a convex solid: the hull of round plates at its corners. Ours
is not the straight-line distance but the greater of the gap in side view and the gap in plan, so
that for a distance d in space and a clearance c above 0

    c <= d <= sqrt(2) c,      and d = c where only one of the two views parts the pieces.

The library's round ends have 128 sides inside the circle. Between two corners they stand back by
r (1 - cos(pi / 128)), which for two radii of up to 0.8 mm is 0.5 micrometre; where the clearance
is less than that off 0, the answer whether they collide is not to be had from it.
"""

import itertools
import math

import fcl
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from tests.clearance.bodies import bar, between, box, disc, random_piece

SIDES = 128
BACK = 1.6 * (1 - math.cos(math.pi / SIDES))  # [mm]
UNDECIDED = 1e-3  # twice BACK: |clearance| below this is passed over [mm]
SEARCH = 1e-6  # the library's own tolerance for the nearest points [mm]

FLAT = {"disc": (1, False), "bar": (2, False), "triangle": (3, False), "plate": (5, False)}
ALL = FLAT | {"sloping bar": (2, True)}
PAIRS = list(itertools.combinations_with_replacement(ALL, 2))


def solid(piece, pose):
    """Return a piece as a convex solid at a pose (x, y, turn)."""
    turn = np.arange(SIDES) * 2 * np.pi / SIDES
    ring = np.stack((np.cos(turn), np.sin(turn)), axis=1) * piece.radius
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    spots = []
    for (x, y), out in zip(piece.corners, piece.out, strict=True):
        middle = (pose[0] + cos * x - sin * y, pose[1] + sin * x + cos * y)
        for face in (-0.5, 0.5):
            level = np.full(SIDES, out + face * piece.thickness)
            spots.append(np.column_stack((ring + middle, level)))
    return convex(np.concatenate(spots))


def convex(spots):
    hull = ConvexHull(spots)
    number = {int(vertex): row for row, vertex in enumerate(hull.vertices)}
    faces = []
    for simplex, plane in zip(hull.simplices, hull.equations, strict=True):
        a, b, c = spots[simplex]
        outward = np.dot(np.cross(b - a, c - a), plane[:3]) > 0
        faces.append([3, *(number[int(v)] for v in (simplex if outward else simplex[::-1]))])
    shape = fcl.Convex(spots[hull.vertices], len(faces), np.ravel(faces))
    return fcl.CollisionObject(shape, fcl.Transform())


def collide(p, q):
    return fcl.collide(p, q, fcl.CollisionRequest(), fcl.CollisionResult()) > 0


def distance(p, q):
    return fcl.distance(p, q, fcl.DistanceRequest(), fcl.DistanceResult())


def draws(kinds, seed, count=120):
    """Return clearance, both solids, and the pieces, for random pairs at random poses."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        p, q = (random_piece(rng, *ALL[kind]) for kind in kinds)
        poses = rng.uniform((-0.7, -0.7, -7), (0.7, 0.7, 7), (2, 3))
        yield between(p, q, poses), solid(p, poses[0]), solid(q, poses[1]), (p, q)


@pytest.mark.parametrize("kinds", PAIRS, ids=" and ".join)
def test_whether_they_collide(kinds):
    met = parted = 0
    for ours, p, q, _ in draws(kinds, 20):
        if abs(ours) < UNDECIDED:
            continue
        theirs = collide(p, q)
        assert theirs == (ours < 0), ours
        met, parted = met + theirs, parted + (not theirs)
    assert met > 5
    assert parted > 5


@pytest.mark.parametrize("kinds", PAIRS, ids=" and ".join)
def test_distance_in_space(kinds):
    compared = 0
    for ours, p, q, _ in draws(kinds, 21):
        if ours < UNDECIDED:
            continue
        theirs = distance(p, q)
        assert ours - SEARCH <= theirs <= math.sqrt(2) * ours + 2 * BACK
        compared += 1
    assert compared > 5


@pytest.mark.parametrize("kinds", itertools.combinations_with_replacement(FLAT, 2), ids=" and ".join)
def test_distance_where_one_view_parts_them(kinds):
    """Flat pieces: with an overlap in one view, the distance in space is the gap in the other."""
    seen = {"side view": 0, "plan": 0}
    for ours, p, q, (a, b) in draws(kinds, 22, 250):
        lateral = abs(a.out[0] - b.out[0]) - (a.thickness + b.thickness) / 2
        if ours < UNDECIDED:
            continue
        if lateral < -UNDECIDED:
            assert ours - SEARCH <= distance(p, q) <= ours + 2 * BACK
            seen["side view"] += 1
        elif lateral == pytest.approx(ours, abs=1e-12):
            theirs = distance(p, q)
            side = math.sqrt(max(theirs**2 - lateral**2, 0.0))
            assert side <= lateral + 2 * BACK  # else the side view would have been the greater
            seen["plan"] += 1
    assert min(seen.values()) > 3


ONE_VIEW = {
    "pin over a sloping bar": (disc((5, 0), 0.3, 2.0, 0.4), bar((0, 0), (10, 0), 0.5, (0, 1), 0.6)),
    "bar beside a sloping bar": (
        bar((2, 3), (8, 3), 0.4, (0.5, 0.5), 1.0), bar((0, 0), (10, 0), 0.5, (0, 1), 0.6)),
    "sloping bars crossing over": (
        bar((5, -4), (5, 4), 0.4, (3.0, 2.0), 0.5), bar((0, 0), (10, 0), 0.5, (0.2, 0.8), 0.6)),
    "plate over a sloping bar": (box(2, -2, 4, 2, 0.1, 1.5, 0.3), bar((0, 0), (10, 0), 0.5, (0, 1), 0.6)),
}  # fmt: skip
BY_HAND = {
    # at x = 5 the bar's middle is at 0.5; it goes on rising under the pin to x = 5 + 0.3 + 0.5
    "pin over a sloping bar": 2.0 - (0.5 + 0.08) - 0.5,
    "bar beside a sloping bar": 3 - 0.9,
    # over x = 5 +- (0.5 + 0.4): the nearest is where both slope towards one another
    "sloping bars crossing over": None,
    "plate over a sloping bar": 1.5 - (0.4 + 0.06) - 0.45,
}


@pytest.mark.parametrize("name", ONE_VIEW)
def test_sloping_pieces_parted_in_one_view(name):
    """Parted in plan only: the distance is less than the clearance's bound, by the slope."""
    p, q = ONE_VIEW[name]
    ours, theirs = between(p, q), distance(solid(p, (0, 0, 0)), solid(q, (0, 0, 0)))
    assert ours - SEARCH <= theirs <= math.sqrt(2) * ours + 2 * BACK
    if BY_HAND[name] is not None:
        assert ours == pytest.approx(BY_HAND[name], abs=0.05)
