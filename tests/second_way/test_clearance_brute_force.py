"""Surveys against brute force: 40,000 crank angles of random mechanisms, and every arc of them."""

import math

import numpy as np
import pytest

from linkage.clearance import pair_parts, survey_clearances
from linkage.clearance.near import WITHIN
from linkage.clearance.outlines import PairTable, Poses
from linkage.kinematics import follow, solve_at
from tests.clearance.bodies import dressed_gear, random_crank_rocker

TURN = 2 * math.pi
SAMPLES = 40_000
STEP = TURN / SAMPLES
WANTED = 0.15
EDGE = math.radians(0.002)  # arcs end within 0.001 degree; twice that


def table_at(course, crank):
    """Return the poses of all parts at every angle, shape (parts, N, 3)."""
    motion = solve_at(course, crank)
    return np.stack([motion.poses[part.name] for part in course.mechanism.parts])


def curve_of(course, pair, crank, reach):
    """Return the least over the pieces of a pair at every angle, no more than `reach`."""
    table = table_at(course, crank)
    curves = [curve_of_pieces(pieces, table, reach) for pieces in pair.pieces]
    return np.minimum.reduce([np.full(len(crank), reach), *curves])


def curve_of_pieces(piece_pair, table, reach):
    """Return the clearance of two pieces at every pose, no more than `reach`.

    Where their circles about their middles are farther apart than that it is not worked out.
    """
    spots, size = [], 0.0
    for row, piece in zip(piece_pair.parts, piece_pair.pieces, strict=True):
        corners = np.array(piece.corners)
        middle = corners.mean(axis=0)
        size += piece.radius + np.hypot(*(corners - middle).T).max()
        turn = np.exp(1j * table[row, :, 2])
        spots.append(table[row, :, 0] + 1j * table[row, :, 1] + turn * complex(*middle))
    near = np.flatnonzero(np.abs(spots[0] - spots[1]) - size < reach)
    least = np.full(table.shape[1], reach)
    values = PairTable([piece_pair]).clearances(np.zeros_like(near), near, Poses.of(table))
    least[near] = np.fmin(reach, values)
    return least


def mechanisms():
    rockers = {
        f"crank rocker {seed}": random_crank_rocker(np.random.default_rng(seed))
        for seed in range(50, 54)
    }
    return rockers | {"valve gear, bent": dressed_gear(1.0)}


@pytest.fixture(scope="module", params=mechanisms())
def surveyed(request):
    """Return the survey and, by pair, the brute curve of everything compared."""
    course = follow(mechanisms()[request.param])
    survey = survey_clearances(course, WANTED)
    crank = np.arange(SAMPLES) * STEP
    curves = {
        pair.parts: curve_of(course, pair, crank, survey.reach)
        for pair in pair_parts(course.mechanism, WANTED, survey.reach)
    }
    return survey, curves


def test_never_less_than_reported(surveyed):
    survey, curves = surveyed
    assert len(survey.pairs) > 2
    for pair in survey.pairs:
        assert pair.between_samples == "proven"
        brute = curves[pair.parts].min()
        assert brute >= pair.least - WITHIN
        # what is reported is taken somewhere, to what the pair moves within a step of the samples
        assert pair.least >= brute - 60 * STEP


def test_nothing_near_is_left_out(surveyed):
    survey, curves = surveyed
    listed = {pair.parts for pair in survey.pairs}
    for parts, curve in curves.items():
        if parts not in listed:
            assert curve.min() >= survey.reach - WITHIN


@pytest.mark.parametrize("level", ["fouls", "close"])
def test_arcs_are_complete(surveyed, level):
    """Every sample below the level lies in an arc; every sample in an arc is below it."""
    survey, curves = surveyed
    crank = np.arange(SAMPLES) * STEP
    seen = 0
    for pair in survey.pairs:
        limit = 0.0 if level == "fouls" else pair.asked
        inside = np.zeros(SAMPLES, dtype=bool)
        beside = np.zeros(SAMPLES, dtype=bool)
        for arc in getattr(pair, level):
            past = (crank - arc.begin) % TURN
            inside |= past <= arc.end - arc.begin
            for edge in (arc.begin, arc.end):
                beside |= np.abs((crank - edge + math.pi) % TURN - math.pi) < EDGE
            stretch = curves[pair.parts][past <= arc.end - arc.begin]
            assert len(stretch) == 0 or stretch.min() >= arc.least - WITHIN
            seen += 1
        # a touch less deep than a rounding error is neither in nor out
        below, above = curves[pair.parts] < limit - 1e-9, curves[pair.parts] > limit + 1e-9
        assert not (below & ~inside & ~beside).any(), pair.parts
        assert not (above & inside & ~beside).any(), pair.parts
    assert seen > 0 or (level == "fouls" and survey.pairs[0].least > 0)


def test_worst_of_the_arcs_is_the_least(surveyed):
    survey, _ = surveyed
    for pair in survey.pairs:
        if pair.fouls:
            assert min(arc.least for arc in pair.fouls) == pytest.approx(pair.least, abs=WITHIN)
        if pair.close:
            assert min(arc.least for arc in pair.close) == pytest.approx(pair.least, abs=WITHIN)
        assert bool(pair.fouls) == (pair.least < 0)
        assert bool(pair.close) == (pair.least < pair.asked)
