"""Interval arithmetic against exact results: what is true must lie inside, without exception.

Sums, products and quotients are compared in exact fractions, sine and cosine with mpmath at 50
digits and with its interval arithmetic, `mpmath.iv`.
"""

import math
from fractions import Fraction

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.kinematics import intervals
from linkage.kinematics.intervals import Interval

NUMBERS = st.floats(-1e6, 1e6, allow_subnormal=False)
SHARES = st.floats(0, 1)
FEW = settings(max_examples=150, deadline=None)


# 1e6 over less than 1e-300 overflows: infinity is a sound end, but no fraction to compare with
DIVISORS = NUMBERS.map(lambda number: number if abs(number) > 1e-200 else 0.0)


@st.composite
def interval_and_member(draw, numbers=NUMBERS):
    """Return ends and an exact member of an interval."""
    low, high = sorted((draw(numbers), draw(numbers)))
    share = Fraction(draw(SHARES))
    return low, high, Fraction(low) + share * (Fraction(high) - Fraction(low))


def holds(found, exact):
    return Fraction(float(found.low)) <= exact <= Fraction(float(found.high))


@FEW
@given(x=interval_and_member(), y=interval_and_member())
def test_sum_difference_product_hold_the_exact_result(x, y):
    a, b = Interval(x[0], x[1]), Interval(y[0], y[1])
    assert holds(a + b, x[2] + y[2])
    assert holds(a - b, x[2] - y[2])
    assert holds(a * b, x[2] * y[2])
    assert holds(-a, -x[2])


@FEW
@given(x=interval_and_member(), number=NUMBERS)
def test_mixed_with_plain_numbers(x, number):
    a, exact = Interval(x[0], x[1]), Fraction(number)
    assert holds(a + number, x[2] + exact)
    assert holds(number - a, exact - x[2])
    assert holds(a * number, x[2] * exact)
    assert holds(np.float64(number) * a, x[2] * exact)


@FEW
@given(x=interval_and_member(), y=interval_and_member(DIVISORS))
def test_quotient_holds_the_exact_result_or_is_unknown(x, y):
    found = Interval(x[0], x[1]) / Interval(y[0], y[1])
    if y[0] <= 0 <= y[1]:
        assert np.isnan(found.low)
        assert np.isnan(found.high)
    else:
        assert holds(found, x[2] / y[2])


@FEW
@given(x=interval_and_member(), power=st.integers(1, 4))
def test_powers(x, power):
    assert holds(Interval(x[0], x[1]) ** power, x[2] ** power)


def test_square_of_an_interval_about_nothing_is_not_negative():
    found = Interval(-2.0, 1.0) ** 2
    assert -1e-300 < found.low <= 0.0
    assert found.high >= 4.0


@FEW
@given(x=interval_and_member())
def test_around_and_meet(x):
    around = Interval.around(0.5 * (x[0] + x[1]), 0.5 * (x[1] - x[0]) * (1 + 1e-15))
    assert holds(around.meet(Interval(x[0], x[1])), x[2])


@st.composite
def arc_and_member(draw):
    """Return an arc, often begun or ended on a multiple of pi/2, and an angle in it [rad]."""
    multiple = draw(st.integers(-40, 40)) * math.pi / 2
    begin = multiple if draw(st.booleans()) else draw(st.floats(-70, 70))
    length = draw(st.sampled_from([0.0, 1e-15, 1e-9, 0.01, math.pi / 2, math.pi, 7.0]))
    low, high = (begin, begin + length) if draw(st.booleans()) else (begin - length, begin)
    return low, high, Fraction(low) + Fraction(draw(SHARES)) * (Fraction(high) - Fraction(low))


@FEW
@given(arc=arc_and_member())
def test_sine_and_cosine_hold_the_exact_result(arc):
    low, high, inside = arc
    with mp.workdps(50):
        angle = mp.mpf(inside.numerator) / inside.denominator
        for ours, theirs in ((intervals.cos, mp.cos), (intervals.sin, mp.sin)):
            found = ours(Interval(low, high))
            assert mp.mpf(float(found.low)) <= theirs(angle) <= mp.mpf(float(found.high))


@FEW
@given(arc=arc_and_member())
def test_sine_and_cosine_hold_the_other_library_s_interval(arc):
    low, high, _ = arc
    saved = mp.iv.dps
    mp.iv.dps = 40
    try:
        for ours, theirs in ((intervals.cos, mp.iv.cos), (intervals.sin, mp.iv.sin)):
            found, exact = ours(Interval(low, high)), theirs(mp.iv.mpf([low, high]))
            # its ends are good to 1e-39 and may stand that far outside the true ones
            assert mp.mpf(float(found.low)) <= mp.mpf(exact.a) + mp.mpf(10) ** -35
            assert mp.mpf(float(found.high)) >= mp.mpf(exact.b) - mp.mpf(10) ** -35
    finally:
        mp.iv.dps = saved


@pytest.mark.parametrize("multiple", range(-6, 7))
def test_cosine_over_a_multiple_of_pi_reaches_its_extreme(multiple):
    top = multiple * math.pi
    found = intervals.cos(Interval(top - 0.1, top + 0.2))
    if multiple % 2 == 0:
        assert found.high == 1.0
        assert found.low == pytest.approx(math.cos(0.2), abs=1e-14)
    else:
        assert found.low == -1.0
        assert found.high == pytest.approx(-math.cos(0.2), abs=1e-14)


def test_cosine_is_not_wider_than_need_be():
    low = np.linspace(-9, 9, 500)
    found = intervals.cos(Interval(low, low + 1e-3))
    assert (found.high - found.low).max() < 1.1e-3


def test_unknown_stays_unknown():
    unknown = Interval(np.nan, np.nan)
    for found in (unknown + 1.0, unknown * Interval(0.0, 1.0), unknown**2, intervals.cos(unknown)):
        assert np.isnan(found.low)
        assert np.isnan(found.high)
