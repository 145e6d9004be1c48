"""The placer of labels, on plain numbers: points of paper, and nothing drawn."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.scene.placing import (
    ROW_GAP,
    Ground,
    InRow,
    Want,
    nearest,
    place_in_rows,
    place_near,
    spread,
    stack,
)

SIZE = (300.0, 200.0)
LENGTHS = st.floats(5.0, 60.0)
SPOTS = st.tuples(st.floats(0.0, SIZE[0]), st.floats(0.0, SIZE[1]))


def apart(box, other) -> bool:
    """Tell whether two boxes share no paper."""
    return box[2] <= other[0] or other[2] <= box[0] or box[3] <= other[1] or other[3] <= box[1]


def inside(box) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= SIZE[0] and box[3] <= SIZE[1]


def placed(wants, taken=(), lines=()):
    """Return the boxes of those that found a place, in order."""
    ground = Ground(SIZE, list(taken), np.array(lines, dtype=float).reshape(-1, 2))
    found = [place_near(ground, want) for want in wants]
    return [place[1] for place in found if place is not None]


@settings(deadline=None)
@given(st.lists(st.tuples(st.tuples(LENGTHS, st.just(10.0)), SPOTS), max_size=25), SPOTS)
def test_none_over_another_nor_over_what_is_taken_nor_off_the_frame(labels, corner):
    taken = (*corner, corner[0] + 40, corner[1] + 30)
    boxes = [p.box for p in placed([Want(size, [spot]) for size, spot in labels], [taken])]

    assert all(apart(a, b) for a, b in combinations([*boxes, taken], 2))
    assert all(map(inside, boxes))


@settings(deadline=None)
@given(st.lists(st.tuples(st.tuples(LENGTHS, st.just(10.0)), SPOTS), max_size=12))
def test_the_same_is_placed_the_same(labels):
    wants = [Want(size, [spot]) for size, spot in labels]

    assert placed(wants) == placed(wants)


def test_near_comes_first():
    (place,) = placed([Want((40.0, 10.0), [(150.0, 100.0)])])

    assert math.dist(nearest(place.box, place.anchor), place.anchor) <= 5.0


def test_of_several_anchors_the_one_with_room_is_taken():
    wall = (0.0, 60.0, 300.0, 140.0)
    (place,) = placed([Want((40.0, 10.0), [(150.0, 100.0), (150.0, 20.0)], within=12.0)], [wall])

    assert place.anchor == (150.0, 20.0)


def test_lines_are_hidden_as_little_as_can_be():
    """A line runs to the right of the spot: the words stand anywhere but there."""
    line = [(x, 100.0) for x in range(150, 300, 2)]
    (place,) = placed([Want((40.0, 10.0), [(150.0, 100.0)])], lines=line)

    assert not any(
        place.box[0] < x < place.box[2] and place.box[1] < y < place.box[3] for x, y in line
    )


def test_away_is_the_other_side():
    want = Want((30.0, 10.0), [(150.0, 100.0)], away=(150.0, 0.0))
    (place,) = placed([want])

    assert place.middle[0] == pytest.approx(150.0, abs=1.0)
    assert place.box[1] > 100.0


def test_upon_its_spot_or_not_at_all():
    want = Want((30.0, 10.0), [(150.0, 100.0), (60.0, 100.0)], within=0.0)
    (free,) = placed([want])
    (beside,) = placed([want], [(140.0, 90.0, 160.0, 110.0)])

    assert free.middle == pytest.approx((150.0, 100.0))
    assert beside.middle == pytest.approx((60.0, 100.0))
    assert placed([want], [(0.0, 0.0, *SIZE)]) == []


def test_a_line_to_the_spot_goes_through_no_box():
    wall = (155.0, 60.0, 165.0, 140.0)
    for place in placed([Want((20.0, 10.0), [(150.0, 100.0)]) for _ in range(12)], [wall]):
        along = np.linspace(place.anchor, nearest(place.box, place.anchor), 50)
        hit = ((along > wall[:2]) & (along < wall[2:])).all(axis=1)
        assert not hit.any()


def test_what_may_be_shortened_is_where_its_whole_would_hide_lines():
    hatched = [(x, y) for x in range(100, 200, 2) for y in range(50, 150, 2)]
    long = Want((60.0, 10.0), [(150.0, 100.0)], within=20.0, hides=4)
    short = Want((10.0, 10.0), [(150.0, 100.0)])
    open_ground, dense = Ground(SIZE), Ground(SIZE, [], np.array(hatched, dtype=float))

    assert place_near(open_ground, long, short)[0] == 0
    assert place_near(dense, long, short)[0] == 1


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 300.0), LENGTHS), max_size=6).map(sorted))
def test_a_row_is_spread_in_order_within_its_ends(row):
    wanted, sizes = [at for at, _ in row], [size for _, size in row]
    length = max(300.0, sum(sizes) + ROW_GAP * len(sizes))
    at = spread(wanted, sizes, length)
    edges = [(x - size / 2, x + size / 2) for x, size in zip(at, sizes, strict=True)]

    assert all(low >= -1e-9 and high <= length + 1e-9 for low, high in edges)
    assert all(b[0] - a[1] >= ROW_GAP - 1e-9 for a, b in pairwise(edges))


def test_a_row_with_room_is_left_where_it_is():
    assert spread([20.0, 60.0, 200.0], [10.0, 20.0, 30.0], 300.0) == [20.0, 60.0, 200.0]


def test_those_in_each_others_way_share_the_moving():
    """Two that want the same place stand either side of it, a third far off is not moved."""
    at = spread([100.0, 100.0, 250.0], [20.0, 20.0, 20.0], 300.0)

    assert at == pytest.approx([87.5, 112.5, 250.0])


def test_the_rows_hold_what_matters_and_the_rest_is_left():
    boxes = [InRow(90.0, (10.0 * k, 50.0), heavy=k == 6) for k in range(8)]
    rows = place_in_rows(boxes, 0.0, 300.0)
    stand = {k for row in (rows.upper, rows.lower) for k, _ in row}

    assert len(rows.upper) == len(rows.lower) == 3
    assert 6 in stand
    assert stand | set(rows.left) == set(range(8))


def test_above_and_below_by_their_spots():
    rows = place_in_rows([InRow(20.0, (50.0, 9.0)), InRow(20.0, (50.0, -9.0))], 0.0, 300.0)

    assert (rows.upper, rows.lower, rows.left) == (((0, 50.0),), ((1, 50.0),), ())


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 90.0), st.floats(0.1, 30.0)), max_size=12))
def test_spans_of_one_row_do_not_touch(found):
    spans = [(low, low + size) for low, size in found]
    rows = stack(spans, 1.0)

    for (a, m), (b, n) in combinations(zip(spans, rows, strict=True), 2):
        assert m != n or a[1] + 1.0 <= b[0] or b[1] + 1.0 <= a[0]
    assert not rows or set(rows) == set(range(max(rows) + 1))
