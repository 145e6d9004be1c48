"""Crossings and extrema of curves that are known by heart."""

import math

import numpy as np
import pytest

from linkage.search import Floor, find_crossings, find_middles, find_minima, floor_in


def test_crossings_of_a_sine():
    low, high = np.array([2.0, 6.0, -0.5]), np.array([4.0, 7.0, 0.3])
    found = find_crossings(np.sin, low, high, 1e-9)
    assert found == pytest.approx([math.pi, 2 * math.pi, 0.0], abs=1e-12)


def test_crossing_as_close_as_asked_for():
    """Within the last bracket a line is drawn; a curve as bent as a root is still inside it."""
    found = find_crossings(lambda x: np.cbrt(x - 0.3), np.array([0.0]), np.array([1.0]), 1e-6)
    assert found == pytest.approx([0.3], abs=1e-6)


def test_steps_are_crossings():
    found = find_crossings(lambda x: np.where(x < 0.7, 1.0, -1.0), [0.0], [1.0], 1e-8)
    assert found == pytest.approx([0.7], abs=1e-8)


def test_nan_counts_as_negative():
    """Where a loop opens the curve ends; its end is the crossing, either way round."""
    with np.errstate(invalid="ignore"):
        out = find_crossings(lambda x: np.sqrt(0.4 - x) + 1, [0.0], [1.0], 1e-8)
        into = find_crossings(lambda x: np.sqrt(x - 0.4) + 1, [0.0], [1.0], 1e-8)
    assert out == pytest.approx([0.4], abs=1e-8)
    assert into == pytest.approx([0.4], abs=1e-8)


def test_every_bracket_has_its_own_row():
    wanted = np.linspace(0.1, 0.9, 9)
    found = find_crossings(lambda x: x - wanted[:, None], np.zeros(9), np.ones(9), 1e-9)
    assert found == pytest.approx(wanted, abs=1e-12)


def test_curve_is_called_with_whole_rounds():
    calls = []

    def curve(x):
        calls.append(x.shape)
        return x - 0.123

    find_crossings(curve, np.zeros(5), np.ones(5), 1e-9)
    assert set(calls) == {(5, 17)}
    assert len(calls) == math.ceil(math.log(1e9, 16))


def test_no_brackets():
    none = np.empty(0)
    assert find_crossings(np.sin, none, none, 1e-9).shape == (0,)
    at, value = find_minima(np.sin, none, none, 1e-9)
    assert at.shape == value.shape == (0,)


def test_minima_of_a_cosine():
    at, value = find_minima(np.cos, np.array([2.0, 9.0]), np.array([4.5, 10.0]), 1e-7)
    assert at == pytest.approx([math.pi, 3 * math.pi], abs=1e-7)
    assert value == pytest.approx([-1.0, -1.0], abs=1e-15)


def test_minimum_at_the_end_of_its_bracket():
    at, value = find_minima(np.exp, np.array([0.0]), np.array([1.0]), 1e-9)
    assert (at[0], value[0]) == (0.0, 1.0)


def test_minimum_at_a_corner():
    at, value = find_minima(lambda x: np.abs(x - 0.37) + 2, [0.0], [1.0], 1e-9)
    assert at == pytest.approx([0.37], abs=1e-9)
    assert value == pytest.approx([2.0], abs=1e-9)


def test_minimum_passes_over_nan():
    def curve(x):
        return np.where(x < 0.5, np.nan, (x - 0.6) ** 2)

    at, value = find_minima(curve, np.array([0.0]), np.array([1.0]), 1e-7)
    assert at == pytest.approx([0.6], abs=1e-7)
    assert value == pytest.approx([0.0], abs=1e-14)


def test_least_of_a_curve_that_is_nan_throughout():
    _, value = find_minima(lambda x: np.full_like(x, np.nan), [0.0], [1.0], 1e-3)
    assert value[0] == math.inf


TURN = 2 * math.pi
EVERY_DEGREE = (np.arange(360) + 0.5) * TURN / 360


def basin(begin, end):
    """Return a curve over the turn that is 0 from one angle to another and rises beside it."""

    def curve(x):
        past = np.remainder(x - begin, TURN)
        width = np.remainder(end - begin, TURN)
        return np.where(past <= width, 0.0, np.minimum(past - width, TURN - past))

    return curve


@pytest.mark.parametrize(("begin", "end"), [(1.0, 2.5), (6.0, 7.1), (-0.001, 0.003), (3.0, 3.004)])
def test_middle_of_a_level_floor(begin, end):
    """Over the seam of the turn too, and narrower than from one sample to the next."""
    curve, middle = basin(begin, end), (begin + end) / 2
    place = end - 1e-3
    floor = floor_in(EVERY_DEGREE, curve(EVERY_DEGREE) <= 1e-9, place % TURN)
    found = find_middles(lambda x: curve(x) - 1e-9, [floor], 1e-6)
    assert found.shape == (1,)
    assert math.remainder(float(found[0]) - middle, TURN) == pytest.approx(0, abs=1e-5)


def test_floor_that_ends_where_its_stretch_does():
    floor = floor_in(np.array([1.0, 2.0, 3.0]), np.array([True, True, True]), 2.0, (0.5, 3.2))
    assert floor == Floor((0.5, 1.0), (3.0, 3.2))


def test_of_floors_equally_long_the_first():
    on = np.array([False, True, True, False, True, True, False])
    floor = floor_in(np.arange(7.0), on, 4.0, (-1.0, 7.0))
    assert floor == Floor((0.0, 1.0), (2.0, 3.0))


def test_longest_of_floors():
    on = np.array([False, True, True, False, True, True, True])
    floor = floor_in(np.arange(7.0), on, 1.0, (-1.0, 7.0))
    assert floor == Floor((3.0, 4.0), (6.0, 7.0))


def test_no_floor_where_all_the_turn_is_level():
    assert floor_in(EVERY_DEGREE, np.ones(360, dtype=bool), 1.0) is None
