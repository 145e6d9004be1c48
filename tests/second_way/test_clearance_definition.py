"""The clearance of two pieces against its definition, least over both cores, by another minimiser.

    clearance = least over both cores of  max(|w in side view| - R, |w lateral| - H)

The places on the cores are weights of their corners; the function is convex in them, and is
brought down by scipy: one bounded line search within another for bars, linear programs on a circle
of directions for plates.
"""

import functools
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from linkage.clearance.outlines import PairTable, PiecePair, Poses, slopes
from linkage.clearance.strips import Strip
from linkage.geometry import core_gap
from linkage.mechanism import Piece
from tests.clearance.bodies import bar, between, disc, random_piece

SEARCH = {"xatol": 1e-9}
SEARCHED = 1e-6  # lines and directions are searched one within the other


def along(piece, t):
    """Return a place (x, y, out) on the core of a disc or bar."""
    ends = np.column_stack((np.array(piece.corners), piece.out))
    return ends[0] + t * (ends[-1] - ends[0])


def least_on_line(curve):
    found = minimize_scalar(curve, bounds=(0, 1), method="bounded", options=SEARCH)
    return min(found.fun, curve(0.0), curve(1.0))


def off(core, line):
    """Return how far a line across a strip is off a core; where they cross, less the way apart.

    The greatest over directions n of min(line . n) - max(core . n), which for convex outlines is
    the distance, signed. Directions by the degree, then closer about the best.
    """
    best, width = 0.0, math.pi
    for _ in range(9):
        turn = best + np.linspace(-width, width, 1441 if width > 3 else 241)
        normals = np.stack((np.cos(turn), np.sin(turn)))
        outside = (line @ normals).min(axis=0) - (core @ normals).max(axis=0)
        best, width = turn[np.argmax(outside)], width / 15
    return float(outside.max())


def sloping(piece):
    return len(set(piece.out)) > 1


def across(piece, t):
    """Return the two ends of the line across a strip, shape (2, 2)."""
    run = np.subtract(piece.corners[1], piece.corners[0])
    side = np.array([-run[1], run[0]]) / np.hypot(*run) * piece.radius
    middle = along(piece, t)[:2]
    return np.array([middle - side, middle + side])


def by_definition(p, q):
    """Return the clearance of any piece p and a strip q."""
    half = (p.thickness + q.thickness) / 2

    def measure(s, t):
        if sloping(p):
            core, radius, out = across(p, s), 0.0, along(p, s)[2]
        else:
            core, radius, out = np.array(p.corners), p.radius, p.out[0]
        return max(off(core, across(q, t)) - radius, abs(out - along(q, t)[2]) - half)

    def inner(t):
        if not sloping(p):
            return measure(0.0, t)
        return least_on_line(functools.partial(measure, t=t))

    return least_on_line(inner)


def slanted(rng):
    return random_piece(rng, 2, sloping=True)


def steep(rng):
    """Return a bar that rises as much as it runs, so that both views count at once."""
    spots = rng.uniform(-1.5, 1.5, (2, 3))
    return bar(
        tuple(map(float, spots[0, :2])), tuple(map(float, spots[1, :2])),
        float(rng.uniform(0.05, 0.3)), tuple(map(float, spots[:, 2])), float(rng.uniform(0.1, 0.5)),
    )  # fmt: skip


KINDS = {
    "disc and sloping bar": lambda rng: (random_piece(rng, 1), slanted(rng)),
    "bar and sloping bar": lambda rng: (random_piece(rng, 2), slanted(rng)),
    "triangle and sloping bar": lambda rng: (random_piece(rng, 3), slanted(rng)),
    "plate and sloping bar": lambda rng: (random_piece(rng, 6), slanted(rng)),
    "sloping bars": lambda rng: (slanted(rng), slanted(rng)),
}


@pytest.mark.parametrize("kind", KINDS)
def test_random_pieces_and_strips(kind):
    rng = np.random.default_rng(30)
    signs = set()
    for _ in range(8 if "bars" in kind else 25):
        p, q = KINDS[kind](rng)
        expected = by_definition(p, q)
        assert between(p, q) == pytest.approx(expected, abs=SEARCHED)
        signs.add(expected > 0)
    assert signs == {True, False} or "bars" in kind


def test_steep_strips_against_a_closing_grid():
    """Both views count at once; the places on either strip are tried on a grid closed in on."""
    rng = np.random.default_rng(30)
    for _ in range(8):
        p, q = steep(rng), steep(rng)
        half = (p.thickness + q.thickness) / 2
        low, high = np.zeros(2), np.ones(2)
        for _ in range(6):
            s, t = (x.ravel() for x in np.meshgrid(*np.linspace(low, high, 101).T))
            side = core_gap(strips(p, len(s)).across(s), strips(q, len(s)).across(t))
            plan = np.abs(strips(p, len(s)).height(s) - strips(q, len(s)).height(t)) - half
            value = np.maximum(side, plan)
            at, reach = np.array([s[value.argmin()], t[value.argmin()]]), (high - low) / 20
            low, high = np.clip(at - reach, 0, 1), np.clip(at + reach, 0, 1)
        assert between(p, q) == pytest.approx(value.min(), abs=SEARCHED)


@pytest.mark.parametrize("count", [2, 3, 6])
def test_flat_pieces_across_a_strip_against_a_closing_grid(count):
    """They overlap in side view, most of them so that they reach into one another."""
    rng = np.random.default_rng(31)
    met = 0
    while met < 40:
        p, q = random_piece(rng, count), slanted(rng)
        half, low, high = (p.thickness + q.thickness) / 2, 0.0, 1.0
        for _ in range(8):
            t = np.linspace(low, high, 101)
            core = [np.repeat(np.array(c)[:, None], len(t), axis=1) for c in p.corners]
            strip = strips(q, len(t))
            side = core_gap(core, strip.across(t)) - p.radius
            value = np.maximum(side, np.abs(p.out[0] - strip.height(t)) - half)
            reach = (high - low) / 20
            low, high = np.clip(t[value.argmin()] + np.array([-reach, reach]), 0, 1)
        if value.min() < 0:
            assert between(p, q) == pytest.approx(value.min(), abs=SEARCHED)
            met += 1


def every_form(rng):
    """Return a pair of pieces of every two forms."""
    forms = [(count, False) for count in (1, 2, 3, 5)] + [(2, True)]
    return [
        PiecePair((0, 1), (random_piece(rng, *a), random_piece(rng, *b)))
        for a in forms
        for b in forms
        if not a[1] or b[1]
    ]


def test_with_all_places_nearer_the_clearance_is_below_that_of_any_move_so_far():
    """What the survey rests on between its samples: by the same measure, and by moved pieces."""
    rng = np.random.default_rng(33)
    pairs, table = every_form(rng), rng.uniform(-2, 2, (2, 200, 3))
    pieces = PairTable(pairs)
    which, at = (rows.ravel() for rows in np.indices((len(pairs), 200)))
    exact = pieces.clearances(which, at, Poses.of(table))
    for by in (0.05, 0.4):
        low = pieces.clearances(which, at, Poses.of(table), nearer=by)
        assert (exact - by - SEARCHED <= low).all()
        assert (low <= exact + SEARCHED).all()
        for way in np.linspace(0, 2 * np.pi, 8):
            moved = table.copy()
            moved[1, :, :2] += by * np.array([np.cos(way), np.sin(way)])
            assert (low <= pieces.clearances(which, at, Poses.of(moved)) + SEARCHED).all()
        sloping = np.array([any(slopes(piece) for piece in pair.pieces) for pair in pairs])[which]
        assert (low[sloping] > exact[sloping] - by / 2).mean() > 0.1  # it is not idle


def test_cheap_bounds_are_never_above_the_clearance():
    rng = np.random.default_rng(32)
    pairs = every_form(rng)
    table, poses = PairTable(pairs), Poses.of(rng.uniform(-2, 2, (2, 200, 3)))
    which, at = (rows.ravel() for rows in np.indices((len(pairs), 200)))
    exact = table.clearances(which, at, poses)
    for enough in (-np.inf, 0.1, 0.5):
        bound = table.clearances(which, at, poses, enough)
        assert (bound <= exact + SEARCHED).all()
        assert (np.abs(bound - exact)[exact < enough] < SEARCHED).all()
    rough = table.farther(which, at, poses)
    assert (rough <= exact + 1e-12).all()
    assert (rough > exact - 0.5).mean() > 0.2  # it is not idle


def strips(piece, count):
    """Return a strip so many times over."""
    ends = np.repeat(np.array(piece.corners, dtype=float)[..., None], count, axis=2)
    out = np.repeat(np.array(piece.out)[:, None], count, axis=1)
    return Strip(ends, out, np.full(count, piece.radius))


counts = st.sampled_from([1, 2, 3, 5])
seeds = st.integers(0, 10**6)
shifts = st.floats(-5, 5)


def pair_of(seed, n, m, slope):
    rng = np.random.default_rng(seed)
    q = random_piece(rng, 2, sloping=True) if slope else random_piece(rng, m)
    return random_piece(rng, n), q


@settings(deadline=None, max_examples=100, derandomize=True)
@given(seeds, counts, counts, st.floats(0, 0.5))
def test_growing_both_all_round_takes_that_much_off(seed, n, m, more):
    """The meaning of clearance: thicken both by so much in all, and it is gone.

    Of flat pieces; a strip grown in width is not grown at its square ends.
    """
    p, q = pair_of(seed, n, m, slope=False)

    def grown(piece):
        return Piece(piece.corners, piece.radius + more / 2, piece.out, piece.thickness + more)

    assert between(grown(p), grown(q)) == pytest.approx(between(p, q) - more, abs=SEARCHED)


@settings(deadline=None, max_examples=100, derandomize=True)
@given(seeds, counts, counts, st.booleans(), st.tuples(shifts, shifts, shifts))
def test_moving_both_together_changes_nothing(seed, n, m, slope, pose):
    p, q = pair_of(seed, n, m, slope)
    assert between(p, q, (pose, pose)) == pytest.approx(between(p, q), abs=SEARCHED)


@settings(deadline=None, max_examples=100, derandomize=True)
@given(seeds, counts, counts, st.booleans())
def test_mirrored_in_side_view_or_plan(seed, n, m, slope):
    p, q = pair_of(seed, n, m, slope)

    def upside_down(piece):
        corners = tuple((x, -y) for x, y in piece.corners)[::-1]
        return Piece(corners, piece.radius, piece.out[::-1], piece.thickness)

    def inside_out(piece):
        return Piece(piece.corners, piece.radius, tuple(-z for z in piece.out), piece.thickness)

    for mirror in (upside_down, inside_out):
        assert between(mirror(p), mirror(q)) == pytest.approx(between(p, q), abs=SEARCHED)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(seeds, counts, st.floats(0, 1), st.floats(0, 1))
def test_a_bar_cut_in_two_is_no_nearer(seed, n, first, second):
    """The least of the pieces of a sloping bar is that of the whole, where it is not overlapped."""
    rng = np.random.default_rng(seed)
    p, q = random_piece(rng, n), random_piece(rng, 2, sloping=True)
    cuts = [0.0, *sorted((first, second)), 1.0]
    spots = [along(q, t) for t in cuts]
    parts = [
        bar(tuple(a[:2]), tuple(b[:2]), q.radius, (a[2], b[2]), q.thickness)
        for a, b in itertools.pairwise(spots)
        if np.hypot(*(b - a)[:2]) > 1e-6
    ]
    assert min(between(p, part) for part in parts) == pytest.approx(between(p, q), abs=SEARCHED)


def test_a_slope_that_comes_to_nothing_is_the_flat_bar():
    """Apart in either view, a bar with a slope of a nanometre measures as a flat one does."""
    for spot, out in (((3, 2.5), 0.0), ((3, 0.1), 2.0), ((4, -1.4), 0.4)):
        p = disc(spot, 0.5, out)
        flat, nearly = bar((0, 0), (6, 0), 0.6), bar((0, 0), (6, 0), 0.6, (0.0, 1e-6))
        assert between(p, nearly) == pytest.approx(between(p, flat), abs=2e-6)
