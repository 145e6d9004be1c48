"""Where the pins stand with the crank straight ahead: closed forms against their own conditions."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from linkage.arrangements.assembly import turn
from linkage.arrangements.eccentric_links.start import LinkStart
from linkage.arrangements.starts import (
    DieStart,
    LeverStart,
    circle_on_line,
    crossings,
    least_root,
    link_lean,
    slot_point,
    slot_points,
)

place = st.tuples(st.floats(-50, 50), st.floats(-50, 50))
size = st.floats(1.0, 60.0)
height = st.floats(-20, 20)
eccentric = st.tuples(place, size)
CLOSE = 1e-6
"""Square roots near touching circles lose half the digits of 50 mm."""


@given(place, size, place, size)
def test_crossings_keep_both_distances_where_circles_meet(a, radius_a, b, radius_b):
    span = math.dist(a, b)
    assume(abs(radius_a - radius_b) < span - 0.01)
    assume(span + 0.01 < radius_a + radius_b)
    left, right = crossings(a, radius_a, b, radius_b)
    for point in (left, right):
        assert math.dist(a, point) == pytest.approx(radius_a, abs=CLOSE)
        assert math.dist(b, point) == pytest.approx(radius_b, abs=CLOSE)
    side = (b[0] - a[0]) * (left[1] - a[1]) - (b[1] - a[1]) * (left[0] - a[0])
    assert side >= 0


def test_crossings_by_hand():
    left, right = crossings((0.0, 0.0), 3.0, (5.0, 0.0), 4.0)
    assert left == pytest.approx((1.8, 2.4))
    assert right == pytest.approx((1.8, -2.4))


def test_circles_too_far_apart_or_inside_give_a_place_between():
    assert crossings((0.0, 0.0), 1.0, (10.0, 0.0), 2.0)[0] == pytest.approx((1.0, 0.0))
    assert crossings((0.0, 0.0), 9.0, (1.0, 0.0), 2.0)[0] == pytest.approx((9.0, 0.0))


def test_a_circle_on_a_line_ahead():
    assert circle_on_line((1.0, 2.0), 5.0, 5.0) == pytest.approx(5.0)
    assert circle_on_line((1.0, 2.0), 5.0, 9.0) == 1.0


@given(st.floats(15, 30), st.floats(3, 9), st.floats(0.5, 2.5), st.floats(-3, 3))
def test_the_link_closes_and_stands_the_more_upright_way(ahead, below, circle, off):
    trunnion, foot, pin = (ahead, below + off), (0.0, -below), (0.0, -circle)
    rod = math.hypot(ahead, circle) + 0.3
    both = crossings(trunnion, below, pin, rod)
    assume(math.dist(*both) > 0.1)
    lean = link_lean(trunnion, foot, pin, rod)
    x = trunnion[0] + below * math.sin(lean)
    y = trunnion[1] - below * math.cos(lean)
    assert math.dist((x, y), pin) == pytest.approx(rod, abs=CLOSE)
    other = max(both, key=lambda point: math.dist(point, (x, y)))
    assert trunnion[1] - y >= trunnion[1] - other[1] - CLOSE


@pytest.mark.parametrize("union", [3.0, 4.0, 5.0])
def test_a_lever_keeps_every_length(union):
    lever = LeverStart((20.0, 8.0), 16.0, 6.0, (40.0, -2.5), union, 1.2, 9.0)
    lean = lever.lean()
    top, valve, foot = lever.top(lean), lever.down(lean, 1.2), lever.down(lean, 9.0)
    assert math.dist(lever.die, top) == pytest.approx(16.0)
    assert valve[1] == pytest.approx(6.0)
    assert math.dist(foot, lever.drop_arm) == pytest.approx(union)
    assert math.dist(top, foot) == pytest.approx(9.0)
    assert abs(lean) < math.radians(45)


@pytest.mark.parametrize("forward", [True, False])
def test_the_union_link_points_the_way_it_is_said_to(forward):
    """The drop arm's pin below the lever's top: the foot can be on either side of it."""
    lever = LeverStart((20.0, 8.0), 16.0, 6.0, (36.0, -2.5), 3.0, 1.2, 9.0, 1.0, forward)
    foot = lever.down(lever.lean(), 9.0)
    assert math.dist(foot, lever.drop_arm) == pytest.approx(3.0)
    assert (foot[0] > lever.drop_arm[0]) == forward


def test_a_lever_without_union_link_points_at_the_drop_arm():
    lever = LeverStart((20.0, 8.0), 16.0, 6.0, (38.0, -2.0), None, 1.2, 9.0)
    top, foot = lever.top(lever.lean()), lever.down(lever.lean(), 9.0)
    along = math.atan2(foot[1] - top[1], foot[0] - top[0])
    towards = math.atan2(-2.0 - top[1], 38.0 - top[0])
    assert along == pytest.approx(towards)


def test_a_lifted_die_keeps_the_lifting_links_length():
    start = DieStart((20.0, 6.0), 0.1, 1 / 15.0, 3.0, (25.0, 10.5), 3.5, (5.0, 0.4))

    def front(die):
        return circle_on_line(die, 15.0, 6.0), 6.0

    offset = start.offset(front)
    assert math.dist(start.lifting_place(offset, front), (25.0, 10.5)) == pytest.approx(3.5)
    assert abs(offset) < 4.5


def test_a_slot_passes_through_the_trunnion_with_its_centre_ahead():
    assert slot_point(1 / 15.0, 0.0) == (0.0, 0.0)
    for offset in (-3.0, 1.0, 3.0):
        assert math.dist(slot_point(1 / 15.0, offset), (15.0, 0.0)) == pytest.approx(15.0)
    assert slot_point(1 / 15.0, 1e-6)[1] > 0


def test_the_root_nearest_to_nought_or_the_least_fault():
    assert least_root(lambda x: (x - 2) * (x + 1), -3, 3) == pytest.approx(-1.0)
    assert least_root(lambda x: (x - 1) ** 2 + 1, -4, 4) == pytest.approx(1.0, abs=8 / 160)


@given(st.builds(LeverStart, place, size, height, place, st.none() | size, height, size))
def test_a_lever_at_many_leans_is_as_at_each(start):
    leans = np.linspace(-1.4, 1.4, 9)
    assert start.faults(leans) == pytest.approx([start.fault(x) for x in leans.tolist()], abs=CLOSE)


@given(st.builds(LinkStart, eccentric, eccentric, place, place, place, place, size))
def test_a_link_at_many_leans_is_as_at_each(start):
    leans = np.linspace(-1.0, 1.0, 9)
    each = [start.fault(3.0, x) for x in leans.tolist()]
    assert start.faults(3.0, leans) == pytest.approx(each, abs=CLOSE)


@given(st.just(0.0) | st.floats(-0.05, 0.05).filter(lambda x: abs(x) > 1e-6), st.floats(-1.5, 1.5))
def test_many_places_of_a_slot_are_as_each(curvature, lean):
    offsets = np.linspace(-9.0, 9.0, 7)
    each = [turn(slot_point(curvature, x), lean) for x in offsets.tolist()]
    assert np.transpose(slot_points(curvature, offsets, lean)) == pytest.approx(
        np.array(each), abs=1e-9
    )
