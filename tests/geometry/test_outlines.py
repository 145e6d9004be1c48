"""Outlines cut off, by hand."""

import pytest

from linkage.geometry import clip_half_plane

SQUARE = [(0, 0), (2, 0), (2, 2), (0, 2)]


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
    assert sorted(kept) == [(0, 2), (2, 0), (2, 2)]
