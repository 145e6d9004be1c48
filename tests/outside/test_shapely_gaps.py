"""Gaps in side view and cut outlines, against shapely (the GEOS library).

Source: S. Gillies and others, *Shapely: manipulation and analysis of geometric objects in the
Cartesian plane*, shapely.readthedocs.io, on the GEOS library of the Open Source Geospatial
Foundation.

Its round outlines are polygons, so distances are compared on the cores and the radii taken off
here. It has no depth of overlap: that is found by moving one core off in 720 directions until the
library finds the two disjoint.
"""

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from linkage.arrangements.plates import convex_corners
from linkage.geometry import core_gap
from linkage.tables.fields import check_outline
from tests.clearance.bodies import between, random_corners, random_piece

SAME = 1e-9  # both are exact but for rounding [mm]
FORMS = list(itertools.combinations_with_replacement((1, 2, 3, 4, 7), 2))
NEVER_MEET = [(1, 1), (1, 2)]  # at random, points meet neither points nor lines


def shape(corners):
    makers = {1: lambda c: Point(c[0]), 2: LineString}
    return makers.get(len(corners), Polygon)(corners)


def shapes_at(corners, shifts):
    """Return one core moved by each of (N, 2), for the library's own arrays."""
    moved = np.asarray(corners)[None] + shifts[:, None, :]
    if len(corners) == 1:
        return shapely.points(moved[:, 0])
    if len(corners) == 2:
        return shapely.linestrings(moved)
    return shapely.polygons(moved)


def gap(a, b):
    return float(core_gap([np.array(p) for p in a], [np.array(p) for p in b]))


def random_cores(form, seed, count):
    rng = np.random.default_rng(seed)
    return [tuple(random_corners(rng, n) for n in form) for _ in range(count)]


@pytest.mark.parametrize("form", FORMS)
def test_cores_apart_and_overlapping(form):
    met = parted = 0
    for a, b in random_cores(form, 10, 300):
        ours, theirs = gap(a, b), shape(a).distance(shape(b))
        assert max(ours, 0.0) == pytest.approx(theirs, abs=SAME)
        assert gap(b, a) == pytest.approx(ours, abs=SAME)
        overlap = shape(a).intersects(shape(b))
        assert overlap == (ours <= 0)
        met, parted = met + overlap, parted + (not overlap)
    assert parted > 20
    assert met >= 10 or form in NEVER_MEET


@pytest.mark.parametrize("form", FORMS)
def test_grown_pieces_turned_and_shifted(form):
    """Pieces with round corners, in place by poses: distance less both radii, or lateral gap."""
    rng = np.random.default_rng(11)
    for _ in range(60):
        pieces = [random_piece(rng, n) for n in form]
        poses = rng.uniform((-2, -2, -7), (2, 2, 7), (2, 3))
        cores = [placed(piece.corners, pose) for piece, pose in zip(pieces, poses, strict=True)]
        apart = shape(cores[0]).distance(shape(cores[1]))
        lateral = abs(pieces[0].out[0] - pieces[1].out[0])
        lateral -= (pieces[0].thickness + pieces[1].thickness) / 2
        if apart == 0:
            apart = gap(*cores)  # depth: held by the test below
        expected = max(apart - pieces[0].radius - pieces[1].radius, lateral)
        assert between(*pieces, poses) == pytest.approx(expected, abs=SAME)


def placed(corners, pose):
    """Return corners at a pose by the library's own turning and shifting."""
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    moved = shapely.affinity.affine_transform(
        shapely.MultiPoint(corners), [cos, -sin, sin, cos, pose[0], pose[1]]
    )
    return tuple((p.x, p.y) for p in moved.geoms)


@pytest.mark.parametrize("form", FORMS)
def test_grown_pieces_overlap_as_buffers_do(form):
    """The library's round ends have 512 sides: outlines nearer to touching than 1e-4 are left."""
    rng = np.random.default_rng(12)
    for _ in range(60):
        pieces = [random_piece(rng, n) for n in form]
        ours = gap(*(p.corners for p in pieces)) - sum(p.radius for p in pieces)
        if abs(ours) > 1e-4:
            grown = [shape(p.corners).buffer(p.radius, quad_segs=128) for p in pieces]
            assert grown[0].intersects(grown[1]) == (ours < 0)


DIRECTIONS = 720


def depth_by_moving_off(a, b):
    """Return the least way to move b off a, over all directions, by halving."""
    turn = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
    way = np.stack((np.cos(turn), np.sin(turn)), axis=1)
    low, high = np.zeros(DIRECTIONS), np.full(DIRECTIONS, 10.0)
    still = shape(a)
    for _ in range(40):
        middle = (low + high) / 2
        meets = shapely.intersects(still, shapes_at(b, way * middle[:, None]))
        low, high = np.where(meets, middle, low), np.where(meets, high, middle)
    return high.min()


OVERLAPPING = [form for form in FORMS if form not in NEVER_MEET]


@pytest.mark.parametrize("form", OVERLAPPING)
def test_depth_of_overlap(form):
    """Half of a step of direction, 0.25 degree, makes the way longer by up to 1/cos: 1e-5 of it."""
    deep = [pair for pair in random_cores(form, 13, 300) if gap(*pair) < -0.02][:6]
    assert len(deep) == 6
    for a, b in deep:
        ours, theirs = -gap(a, b), depth_by_moving_off(a, b)
        assert ours - SAME <= theirs <= ours * (1 + 1.2e-5) + SAME


def star(points, inner, outer):
    turn = np.arange(2 * points) * np.pi / points
    radius = np.where(np.arange(2 * points) % 2, inner, outer)
    return [(float(r * np.cos(t)), float(r * np.sin(t))) for r, t in zip(radius, turn, strict=True)]


OUTLINES = {
    "square": [(0, 0), (2, 0), (2, 2), (0, 2)],
    "L": [(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)],
    "U": [(0, 0), (5, 0), (5, 4), (4, 4), (4, 1), (1, 1), (1, 4), (0, 4)],
    "five-pointed star": star(5, 1.0, 3.0),
    "twelve-pointed star": star(12, 2.0, 2.6),
    "with corners in line": [(0, 0), (2, 0), (4, 0), (4, 1), (2, 1), (1, 1), (1, 2), (1, 3),
                             (0, 3)],
    "comb": [(0, 0), (7, 0), (7, 3), (6, 3), (6, 1), (4, 1), (4, 3), (3, 3), (3, 1), (1, 1),
             (1, 3), (0, 3)],
}  # fmt: skip


def random_star(seed):
    rng = np.random.default_rng(seed)
    turn = (np.arange(15) + rng.uniform(0, 0.9, 15)) * 2 * np.pi / 15
    radius = rng.uniform(0.5, 4, 15)
    return [(float(r * np.cos(t)), float(r * np.sin(t))) for r, t in zip(radius, turn, strict=True)]


OUTLINES |= {f"random star {seed}": random_star(seed) for seed in range(12)}


def cut(outline):
    """Return an outline of a sheet in convex plates."""
    return convex_corners(check_outline(tuple(outline)))


@pytest.mark.parametrize("way_round", [1, -1])
@pytest.mark.parametrize("name", OUTLINES)
def test_cut_outlines(name, way_round):
    outline = OUTLINES[name][::way_round]
    whole, pieces = Polygon(outline), cut(outline)
    assert all(Polygon(piece).exterior.is_ccw for piece in pieces)
    for piece in pieces:
        hull = shapely.MultiPoint(piece).convex_hull
        assert hull.area == pytest.approx(Polygon(piece).area, rel=1e-12)
    together = shapely.union_all([Polygon(piece) for piece in pieces])
    assert together.symmetric_difference(whole).area == pytest.approx(0.0, abs=SAME)
    # no overlaps: the areas add up
    areas = [Polygon(piece).area for piece in pieces]
    assert sum(areas) == pytest.approx(whole.area, rel=1e-12)


def test_cut_outlines_into_few():
    """An L needs two pieces, a U three; Hertel and Mehlhorn: at most four times the least."""
    assert len(cut(OUTLINES["square"])) == 1
    assert len(cut(OUTLINES["L"])) == 2
    assert len(cut(OUTLINES["U"])) == 3
    assert len(cut(OUTLINES["five-pointed star"])) <= 4 * 3
