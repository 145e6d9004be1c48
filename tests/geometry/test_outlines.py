"""Outlines: area, corners, crossings, cutting off, by hand."""

import numpy as np
import pytest

from linkage.geometry import clip_half_plane, crosses_itself, cut_convex, is_convex, signed_area

SQUARE = [(0, 0), (2, 0), (2, 2), (0, 2)]
L_SHAPE = [(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)]


def test_area_and_way_round():
    assert signed_area(SQUARE) == 4.0
    assert signed_area(SQUARE[::-1]) == -4.0
    assert signed_area(L_SHAPE) == 6.0


def test_convex_or_not():
    assert is_convex(SQUARE)
    assert is_convex([(0, 0), (1, 0), (2, 0), (2, 2), (0, 2)])  # a corner in line
    assert not is_convex(SQUARE[::-1])
    assert not is_convex(L_SHAPE)


@pytest.mark.parametrize(
    ("corners", "expected"),
    [
        (SQUARE, False),
        (L_SHAPE, False),
        ([(0, 0), (2, 2), (2, 0), (0, 2)], True),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], True),  # a corner on another side
        ([(0, 0), (4, 0), (4, 4), (2, 0.001), (0, 4)], False),
        ([(0, 0), (4, 0), (0, 1), (5, 1), (5, 3)], True),
    ],
)
def test_outlines_that_cross_themselves(corners, expected):
    assert crosses_itself(corners) is expected


def test_sides_in_one_line_but_apart_do_not_cross():
    assert not crosses_itself([(0, 0), (1, 0), (1, 1), (2, 1), (2, 0), (3, 0), (3, 3), (0, 3)])


def test_cut_l_shape():
    """Either way: across at the inner corner."""
    pieces = cut_convex(L_SHAPE)
    assert sorted(signed_area(piece) for piece in pieces) in ([2.0, 4.0], [3.0, 3.0], [2.5, 3.5])
    assert {corner for piece in pieces for corner in piece} == set(L_SHAPE)


def test_cut_keeps_a_convex_outline_and_turns_it_round():
    assert cut_convex(SQUARE) == [tuple(SQUARE)]
    (piece,) = cut_convex(SQUARE[::-1])
    assert signed_area(piece) == 4.0


@pytest.mark.parametrize(
    ("corners", "limit", "expected"),
    [
        ([(3, 1)], 2, [(3, 1)]),
        ([(1, 1)], 2, []),
        ([(0, 0), (4, 2)], 2, [(2, 1), (4, 2)]),
        ([(4, 2), (0, 0)], 2, [(4, 2), (2, 1)]),
        ([(0, 0), (1, 0)], 2, []),
        ([(3, 0), (4, 0)], 2, [(3, 0), (4, 0)]),
        ([(0, 0), (4, 0), (4, 2), (0, 2)], 3, [(3, 0), (4, 0), (4, 2), (3, 2)]),
        ([(0, 0), (4, 0), (4, 2), (0, 2)], 5, []),
        ([(0, 0), (4, 0), (4, 2), (0, 2)], -1, [(0, 0), (4, 0), (4, 2), (0, 2)]),
        ([(0, 0), (4, 0), (0, 4)], 1, [(1, 0), (4, 0), (1, 3)]),
    ],
)
def test_cut_off_behind_a_line(corners, limit, expected):
    assert clip_half_plane(corners, (1.0, 0.0), limit) == expected


def test_cut_off_by_a_slanting_line_halves_a_square():
    kept = clip_half_plane(SQUARE, (1.0, 1.0), 2.0)
    assert abs(signed_area(kept)) == pytest.approx(2.0)
    assert all(np.dot(p, (1, 1)) >= 2 - 1e-12 for p in kept)
