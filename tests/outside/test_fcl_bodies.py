"""Whole pieces in space against the Flexible Collision Library, through python-fcl.

Source: J. Pan, S. Chitta, D. Manocha, *FCL: a general purpose library for collision and proximity
queries*, IEEE International Conference on Robotics and Automation (2012) 3859-3866.

A piece is given to the library as a convex solid: the hull of round plates at its corners, and
of a strip's square ends. Ours
is not the straight-line distance but the greater of the gap in side view and the gap in plan, so
that for a distance d in space and a clearance c above 0

    c <= d <= sqrt(2) c,      and d = c where only one of the two views parts the pieces.

The library's round ends have 96 sides inside the circle. Between two corners they stand back by
r (1 - cos(pi / 96)), which for two radii of up to 0.8 mm is 0.9 micrometre; where the clearance
is less than that off 0, the answer whether they collide is not to be had from it.
"""

import functools
import itertools
import math
import tomllib

import fcl
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from linkage.arrangements import build
from linkage.clearance import pair_parts
from linkage.clearance.outlines import PairTable, Poses
from linkage.kinematics import follow, solve_at
from linkage.sheet import sheet_from
from linkage.sheet.ready import ready_sheets
from tests.clearance.bodies import bar, between, disc, random_piece, solid

SIDES = 96
BACK = 1.6 * (1 - math.cos(math.pi / SIDES))  # [mm]
UNDECIDED = 1e-3  # a little over BACK: |clearance| below this is passed over [mm]
SEARCH = 1e-6  # the library's own tolerance for the nearest points [mm]

FLAT = {"disc": (1, False), "bar": (2, False), "triangle": (3, False), "plate": (5, False)}
ALL = FLAT | {"sloping bar": (2, True)}
PAIRS = list(itertools.combinations_with_replacement(ALL, 2))
FLAT_PAIRS = list(itertools.combinations_with_replacement(FLAT, 2))


def placed(piece, pose):
    """Return a piece as a convex solid at a pose (x, y, turn)."""
    spots = solid(piece, SIDES)
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    x = pose[0] + cos * spots[:, 0] - sin * spots[:, 1]
    y = pose[1] + sin * spots[:, 0] + cos * spots[:, 1]
    return convex(np.column_stack((x, y, spots[:, 2])))


def convex(spots):
    hull = ConvexHull(spots)
    corners = spots[hull.simplices]
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inward = (square * hull.equations[:, :3]).sum(axis=1) < 0
    faces = np.where(inward[:, None], hull.simplices[:, ::-1], hull.simplices)
    faces = np.searchsorted(hull.vertices, faces)
    table = np.column_stack((np.full(len(faces), 3), faces)).ravel()
    return fcl.CollisionObject(fcl.Convex(spots[hull.vertices], len(faces), table), fcl.Transform())


def collide(p, q):
    return fcl.collide(p, q, fcl.CollisionRequest(), fcl.CollisionResult()) > 0


def distance(p, q):
    return fcl.distance(p, q, fcl.DistanceRequest(), fcl.DistanceResult())


@functools.cache
def draws(kinds):
    """Return clearance, both solids, and the pieces, for random pairs at random poses."""
    rng = np.random.default_rng(20)
    drawn = []
    for _ in range(100):
        p, q = (random_piece(rng, *ALL[kind]) for kind in kinds)
        poses = rng.uniform((-0.7, -0.7, -7), (0.7, 0.7, 7), (2, 3))
        drawn.append((between(p, q, poses), placed(p, poses[0]), placed(q, poses[1]), (p, q)))
    return drawn


@pytest.mark.parametrize("kinds", PAIRS, ids=" and ".join)
def test_whether_they_collide(kinds):
    met = parted = 0
    for ours, p, q, _ in draws(kinds):
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
    for ours, p, q, _ in draws(kinds):
        if ours < UNDECIDED:
            continue
        theirs = distance(p, q)
        assert ours - SEARCH <= theirs <= math.sqrt(2) * ours + 2 * BACK
        compared += 1
    assert compared > 5


@pytest.mark.parametrize("kinds", FLAT_PAIRS, ids=" and ".join)
def test_distance_where_one_view_parts_them(kinds):
    """Flat pieces: with an overlap in one view, the distance in space is the gap in the other."""
    seen = {"side view": 0, "plan": 0}
    for ours, p, q, (a, b) in draws(kinds):
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


def test_pin_over_a_sloping_bar():
    """By hand, with the bar rising 1 in 10 past the pin's edge.

    The gap in plan over the pin's edge at x = 5.3 is 0.97 and shrinks by 0.1 a mm, the gap in side
    view grows by 1: they are equal 0.97 / 1.1 farther on. In space the edge is 0.97 / sqrt(1.01)
    off the bar, which is a strip level across its width.
    """
    p, q = disc((5, 0), 0.3, 2.0, 0.4), bar((0, 0), (10, 0), 0.5, (0, 1), 0.6)
    assert between(p, q) == pytest.approx(0.97 / 1.1, abs=1e-8)
    space = distance(placed(p, (0, 0, 0)), placed(q, (0, 0, 0)))
    assert space == pytest.approx(0.97 / math.sqrt(1.01), abs=2 * BACK)


def test_bar_beside_a_sloping_bar():
    """Level with it over a stretch, so that only the side view parts them: 3 - 0.4 - 0.5."""
    p, q = bar((2, 3), (8, 3), 0.4, (0.5, 0.5), 1.0), bar((0, 0), (10, 0), 0.5, (0, 1), 0.6)
    assert between(p, q) == pytest.approx(2.1, abs=1e-9)
    assert distance(placed(p, (0, 0, 0)), placed(q, (0, 0, 0))) == pytest.approx(2.1, abs=2 * BACK)


BOW = {"kind": "bow", "from": "driving", "away_from_frames": 1.2}


def bowed():
    """Return the right-hand side of an engine whose front coupling rod bows outward."""
    data = tomllib.loads(ready_sheets()["ardmoor-0-6-0-nut-on-curves"].read_text("utf-8"))
    data["coupling_rods"]["front"]["bend"] = [BOW]
    return build(sheet_from(data))["right"]


@pytest.mark.parametrize("degrees", range(3, 363, 40))
def test_a_bowed_coupling_rod(degrees):
    """Every strip of it, wheelsets in their middle, against the rods and bars it comes near."""
    mechanism, zero = bowed(), np.zeros(1, dtype=np.intp)
    motion = solve_at(follow(mechanism), [math.radians(degrees)])
    table = np.stack([motion.poses[part.name] for part in mechanism.parts])
    compared = 0
    for pair in pair_parts(mechanism, 0.1, 3.0):
        if "front coupling rod" not in pair.parts:
            continue
        for pieces in pair.centred:
            ours = PairTable([pieces]).clearances(zero, zero, Poses.of(table))[0]
            if abs(ours) < UNDECIDED:
                continue
            p, q = (
                placed(piece, table[row, 0])
                for row, piece in zip(pieces.parts, pieces.pieces, strict=True)
            )
            assert collide(p, q) == (ours < 0)
            if ours > 0:
                assert ours - SEARCH <= distance(p, q) <= math.sqrt(2) * ours + 2 * BACK
            compared += 1
    assert compared > 40
