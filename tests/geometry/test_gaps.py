"""Gaps between cores, by hand."""

import math

import numpy as np
import pytest

from linkage.geometry import (
    core_gap,
    least_of_convex,
    least_of_greatest,
    point_segment_distance,
    separations,
)

SQUARE = ((0, 0), (4, 0), (4, 2), (0, 2))


def gap(a, b):
    return float(core_gap([np.array(p, float) for p in a], [np.array(p, float) for p in b]))


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ([(0, 0)], [(3, 4)], 5.0),
        ([(1, 1)], [(1, 1)], 0.0),
        ([(2, 3)], [(0, 0), (4, 0)], 3.0),
        ([(7, 4)], [(0, 0), (4, 0)], 5.0),
        ([(2, 0)], [(0, 0), (4, 0)], 0.0),  # on the line: touching, not overlapping
        ([(0, 0), (4, 0)], [(0, 3), (4, 3)], 3.0),
        ([(0, 0), (4, 0)], [(6, 0), (9, 0)], 2.0),  # in line
        ([(0, 0), (4, 0)], [(2, 0), (9, 0)], 0.0),  # in line and lapping: no width to overlap in
        ([(0, 0), (4, 0)], [(2, -3), (2, 1)], -1.0),  # crossing: shortest way off is 1 down
        ([(0, 0), (4, 0)], [(3.5, -3), (3.5, 3)], -0.5),  # or along, off the end
        (SQUARE, [(6, 1)], 2.0),
        (SQUARE, [(7, 6)], 5.0),
        (SQUARE, [(1, 1.5)], -0.5),
        (SQUARE, [(4, 1)], 0.0),
        (SQUARE, [(-1, 1.75), (9, 1.75)], -0.25),
        (SQUARE, [(5, -1), (5, 8)], 1.0),
        (SQUARE, ((3, 1.5), (8, 1.5), (8, 9), (3, 9)), -0.5),
        (SQUARE, ((1, 0.5), (2, 0.5), (2, 1.5), (1, 1.5)), -1.5),  # within
        (SQUARE, ((4, 0), (8, 0), (8, 2), (4, 2)), 0.0),  # side on side
        (SQUARE, ((7, 6), (9, 6), (9, 8)), 5.0),  # corner to corner
    ],
)
def test_gap_by_hand(a, b, expected):
    assert gap(a, b) == pytest.approx(expected, abs=1e-12)
    assert gap(b, a) == pytest.approx(expected, abs=1e-12)


def test_gaps_on_arrays_are_those_one_by_one():
    rng = np.random.default_rng(1)
    square = [np.broadcast_to(np.array(p, float)[:, None], (2, 50)) for p in SQUARE]
    spots = rng.uniform(-3, 7, (2, 2, 50))
    together = core_gap(square, list(spots))
    assert together.shape == (50,)
    alone = [gap(SQUARE, [spots[0, :, i], spots[1, :, i]]) for i in range(50)]
    assert together == pytest.approx(alone, abs=1e-14)


def test_no_position_has_no_gap():
    assert math.isnan(gap(SQUARE, [(math.nan, math.nan)]))


def test_segment_without_length():
    p, end = np.array([3.0, 4.0]), np.zeros(2)
    assert float(point_segment_distance(p, end, end)) == pytest.approx(5.0)


def test_least_of_convex_curves():
    """Parabolas and sharp valleys within 0..1 and beyond either end, all at once."""
    valley = np.array([-0.5, 0.0, 0.1234567, 0.5, 1.0, 1.7])
    inside = np.clip(valley, 0, 1)
    at, least = least_of_convex(lambda t: np.abs(t - valley), valley.shape)
    assert at == pytest.approx(inside, abs=5e-9)
    assert least == pytest.approx(np.abs(inside - valley), abs=5e-9)
    _, least = least_of_convex(lambda t: 3 * (t - valley) ** 2, valley.shape)
    assert least == pytest.approx(3 * (inside - valley) ** 2, abs=1e-15)


def test_least_of_convex_with_a_level_floor():
    _, least = least_of_convex(lambda t: np.maximum(np.abs(t - 0.9) - 0.05, 0.2), (1,))
    assert least == pytest.approx(0.2)


def test_where_the_greatest_of_lines_is_least():
    """Rising and falling ones cross; a level one above them; all fall to the end."""
    first = np.array([[0.0, 0.0, 3.0], [1.0, 1.0, 2.0], [-1.0, 2.0, 0.0]])
    last = np.array([[2.0, 2.0, 1.0], [0.0, 0.0, 0.5], [-1.0, 2.0, 0.0]])
    at, least = least_of_greatest(first, last)
    assert at[[0, 2]] == pytest.approx([1 / 3, 1])
    assert least == pytest.approx([2 / 3, 2, 1])


def test_the_greatest_separation_is_the_gap_of_what_overlaps():
    a = [np.array([[0.0], [0.0]]), np.array([[4.0], [0.0]]), np.array([[0.0], [3.0]])]
    b = [np.array([[1.0], [-1.0]]), np.array([[1.0], [0.5]])]
    assert separations(a, b).max(axis=0) == pytest.approx(core_gap(a, b))
    assert core_gap(a, b) == pytest.approx([-0.5])
