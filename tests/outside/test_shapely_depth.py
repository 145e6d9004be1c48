"""How far a bar overlaps a bracket that is not convex, against shapely (the GEOS library).

Source: S. Gillies and others, *Shapely: manipulation and analysis of geometric objects in the
Cartesian plane*, shapely.readthedocs.io, on the GEOS library of the Open Source Geospatial
Foundation.

It is told as the least shift that parts the bar from the whole bracket. The library unites the sums
of bar and bracket, each piece with each, finds the nearest place outside, and is asked besides
whether the bar is off the bracket there, and nowhere nearer in 360 directions.
"""

import math

import numpy as np
import pytest
import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon

from linkage.arrangements.plates import convex_corners
from linkage.clearance import find_contact, pair_parts, survey_clearances, survey_crank
from linkage.clearance.depth import Shifts, depth_of
from linkage.clearance.near import WITHIN
from linkage.kinematics import follow, solve_at
from tests.clearance.bodies import bar, dressed, plate
from tests.kinematics.linkages import four_bar

WAYS = 360
ROUND = 64  # of a quarter circle: a bar's end is within 1e-4 of its radius
ROOM = 1e-3  # what chords for round ends may share where they touch [mm2]


def comb(rng):
    """Return a bracket with an inward corner or two: an L, a U or a T, of random sizes."""
    a, b, c, d = (float(x) for x in rng.uniform((3, 3, 0.6, 0.6), (6, 6, 1.5, 1.5)))
    forms = (
        ((0, 0), (a, 0), (a, c), (d, c), (d, b), (0, b)),
        ((0, 0), (a, 0), (a, b), (a - c, b), (a - c, d), (c, d), (c, b), (0, b)),
        ((0, 0), (a, 0), (a, c), (a / 2 + d / 2, c), (a / 2 + d / 2, b), (a / 2 - d / 2, b),
         (a / 2 - d / 2, c), (0, c)),
    )  # fmt: skip
    return forms[int(rng.integers(3))]


def least_shift(bar, bracket, sets):
    """Return the least shift that parts them: to the nearest place outside the united sums."""
    sums = [
        shapely.convex_hull(shapely.MultiPoint(one.corners)).buffer(one.radius, quad_segs=ROUND)
        for one in sets
    ]
    edge = shapely.unary_union(sums).boundary
    there = shapely.shortest_line(shapely.Point(0, 0), edge).coords[1]
    # the library's own word for it: so far off they touch, and no nearer are they apart
    assert bracket.intersection(translate(bar, *there)).area < ROOM
    turn = np.arange(WAYS) * 2 * math.pi / WAYS
    nearer = 0.99 * math.hypot(*there) * np.stack((np.cos(turn), np.sin(turn)), axis=1)
    assert all(translate(bar, x, y).intersects(bracket) for x, y in nearer.tolist())
    return math.hypot(*there)


def pieces_of(corners):
    return [np.array(piece, float) for piece in convex_corners(corners)]


@pytest.mark.parametrize("seed", range(40))
def test_bars_on_brackets_with_inward_corners(seed):
    rng = np.random.default_rng(seed)
    corners = comb(rng)
    bracket, radius = Polygon(corners), float(rng.uniform(0.3, 0.8))
    while True:
        begin, run = rng.uniform(-1, 6, 2), rng.uniform(-4, 4, 2)
        bar = LineString([begin, begin + run]).buffer(radius, quad_segs=ROUND)
        if bar.intersection(bracket).area > 0.3:
            break
    ends = np.array([begin, begin + run])
    sets = [Shifts.of(piece, ends, radius) for piece in pieces_of(corners)]
    each = max(depth_of([one]) for one in sets)
    ours = depth_of(sets)
    assert ours == pytest.approx(least_shift(bar, bracket, sets), abs=4e-4)  # chords for arcs
    assert ours >= each - 1e-9


def coupler_and_bracket(seed):
    """Return a four-bar whose coupler meets a bracket; the bracket's corners, the bar's radius."""
    rng = np.random.default_rng(seed)
    off = rng.uniform(-2, 8, 2)
    corners = tuple((x + off[0], y + off[1]) for x, y in comb(rng))
    radius = float(rng.uniform(0.3, 0.8))
    outlines = {
        "coupler": (bar((0, 0), (10, 0), radius, (1, 1), 8.0),),
        "bracket": tuple(plate(c, 0.0, 1.0, 8.0) for c in convex_corners(corners)),
    }
    return dressed(four_bar((3.0, 10.0, 8.0, 10.0)), outlines), corners, radius


def library_depths(course, corners, radius, crank):
    """Return how far from outside the united sums 0 is at each crank angle, 0 outside."""
    found = []
    for x, y, turn in solve_at(course, crank).poses["coupler"]:
        ends = np.array([[x, y], [x + 10 * math.cos(turn), y + 10 * math.sin(turn)]])
        sums = [
            shapely.convex_hull(shapely.MultiPoint((piece[:, None] - ends).reshape(-1, 2)))
            .buffer(radius, quad_segs=ROUND)
            for piece in pieces_of(corners)
        ]  # fmt: skip
        outside = shapely.box(-99, -99, 99, 99).difference(shapely.unary_union(sums))
        found.append(outside.distance(shapely.Point(0, 0)))
    return np.array(found)


@pytest.mark.parametrize("seed", [4, 6, 9])
def test_the_worst_of_a_whole_turn(seed):
    """Nowhere more than told and proven, and that much where it is told."""
    mechanism, corners, radius = coupler_and_bracket(seed)
    course = follow(mechanism)
    (pair,) = survey_clearances(course, 0.2).pairs
    assert pair.fouls
    assert pair.between_samples == "proven"
    crank = np.linspace(0, 2 * math.pi, 360, endpoint=False)
    depths = library_depths(course, corners, radius, np.append(crank, pair.at))
    chords = 4e-4
    assert -pair.least == pytest.approx(depths[-1], abs=chords)
    assert depths.max() <= -pair.least + WITHIN + chords
    assert depths.max() == pytest.approx(-pair.least, abs=0.05)  # a degree between samples
    assert min(arc.least for arc in pair.fouls) == pair.least
    below = pair.curve < 0
    middles = library_depths(course, corners, radius, survey_crank()[below][::19])
    assert -pair.curve[below][::19] == pytest.approx(middles, abs=chords)
    (compared,) = pair_parts(mechanism, 0.2, 99.0)
    assert find_contact(course, compared, pair.at).side_view == pytest.approx(pair.least)


@pytest.mark.parametrize("into", [1e-5, 1e-7, 3e-8, 1e-9])
def test_a_bar_that_hardly_overlaps(into):
    """By next to nothing, and less than a step outwards: it still has its way out."""
    square = np.array([(-into, -1.0), (2.0, -1.0), (2.0, 1.0), (-into, 1.0)])
    beside = square + np.array([into + 2e-8, 5.0])  # 0 is outside it, by more than it is deep
    found = depth_of([Shifts(square, 0.0), Shifts(beside, 0.0)])
    united = shapely.union(Polygon(square), Polygon(beside)).boundary
    assert found == pytest.approx(shapely.Point(0, 0).distance(united), abs=1e-12)
