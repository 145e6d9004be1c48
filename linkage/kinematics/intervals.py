"""Arrays of closed intervals with outward rounding: every true result lies inside.

Each operation is done in floating point and then widened by one or two units in the last place at
either end (four for sine and cosine, whose numpy versions are good to a few). What the compiled
closure equations need is here, and no more.

References
----------
R. E. Moore, R. B. Kearfott, M. J. Cloud, *Introduction to Interval Analysis* (2009), ch. 2-3
(cited from memory).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.arrays import Array

_TRIG_SLACK = 1e-15  # sine and cosine: more than 4 units in the last place of 1 [1]
_TURN = 2 * np.pi
_STEP = 2.0**-52  # of a number: one to two units in its last place [1]
_LEAST = 1e-305  # more than a unit in the last place of what is nearly nought


class Interval:
    """An array of intervals.

    Parameters
    ----------
    low, high : array, any shape
        Ends, low <= high; nan in either makes the interval unknown and stays so.
    """

    __slots__ = ("high", "low")
    __array_ufunc__ = None  # numpy hands mixed operations to us

    def __init__(self, low: Any, high: Any) -> None:
        self.low = np.asarray(low, dtype=np.float64)
        self.high = np.asarray(high, dtype=np.float64)

    @classmethod
    def around(cls, middle: Any, radius: Any) -> Interval:
        """Return middle plus or minus radius, rounded outward."""
        return _widen(np.asarray(middle) - radius, np.asarray(middle) + radius)

    @property
    def middle(self) -> Array:
        """A point inside, near the middle."""
        return 0.5 * (self.low + self.high)

    @property
    def magnitude(self) -> Array:
        """Greatest absolute value inside."""
        return np.maximum(np.abs(self.low), np.abs(self.high))

    def meet(self, other: Interval) -> Interval:
        """Return the part common to both (each is known to hold the true value)."""
        return Interval(np.maximum(self.low, other.low), np.minimum(self.high, other.high))

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __add__(self, other: Any) -> Interval:
        if isinstance(other, Interval):
            return _widen(self.low + other.low, self.high + other.high)
        return _widen(self.low + other, self.high + other)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Interval:
        return self.__add__(-other)

    def __rsub__(self, other: Any) -> Interval:
        return (-self).__add__(other)

    def __mul__(self, other: Any) -> Interval:
        if isinstance(other, Interval):
            ends = (
                self.low * other.low,
                self.low * other.high,
                self.high * other.low,
                self.high * other.high,
            )
            low = np.minimum(np.minimum(ends[0], ends[1]), np.minimum(ends[2], ends[3]))
            high = np.maximum(np.maximum(ends[0], ends[1]), np.maximum(ends[2], ends[3]))
            return _widen(low, high)
        a, b = self.low * other, self.high * other
        return _widen(np.minimum(a, b), np.maximum(a, b))

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Interval:
        if isinstance(other, Interval):
            return self * _inverse(other)
        return self * _inverse(Interval(other, other))

    def __rtruediv__(self, other: Any) -> Interval:
        return _inverse(self).__mul__(other)

    def __pow__(self, power: int) -> Interval:
        if power == 2:
            low, high = np.abs(self.low), np.abs(self.high)
            across = (self.low <= 0) & (self.high >= 0)
            least = np.where(across, 0.0, np.minimum(low, high))
            return _widen(least**2, np.maximum(low, high) ** 2)
        if power < 0:
            return _inverse(self ** (-power))
        result = self
        for _ in range(power - 1):
            result = result * self
        return result


def _widen(low: Any, high: Any) -> Interval:
    """Return both ends moved outward to the next number or the one after it.

    `_STEP` times a number is one to two of its last places, and `_LEAST` more than a last place of
    what is nearly nought; so the sum, rounded, is at least the next number. numpy's `nextafter`
    takes six times as long.
    """
    return Interval(low - (np.abs(low) * _STEP + _LEAST), high + (np.abs(high) * _STEP + _LEAST))


def _inverse(x: Interval) -> Interval:
    unknown = (x.low <= 0) & (x.high >= 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        made = _widen(1 / x.high, 1 / x.low)
    return Interval(np.where(unknown, np.nan, made.low), np.where(unknown, np.nan, made.high))


def cos(x: Any) -> Any:
    """Return the cosine of intervals (numbers and arrays pass through numpy).

    The ends give the least and greatest value unless a multiple of pi lies between them, where
    the cosine is 1 (even multiples) or -1 (odd ones).
    """
    if not isinstance(x, Interval):
        return np.cos(x)
    a, b = np.cos(x.low), np.cos(x.high)
    low, high = np.minimum(a, b) - _TRIG_SLACK, np.maximum(a, b) + _TRIG_SLACK
    slack = 1e-12  # catches a multiple of pi that rounding would put just outside [rad]
    tops = np.floor((x.high + slack) / _TURN) >= np.ceil((x.low - slack) / _TURN)
    bottoms = np.floor((x.high - np.pi + slack) / _TURN) >= np.ceil((x.low - np.pi - slack) / _TURN)
    return Interval(
        np.where(bottoms, -1.0, np.maximum(low, -1.0)), np.where(tops, 1.0, np.minimum(high, 1.0))
    )


def sin(x: Any) -> Any:
    """Return the sine of intervals (numbers and arrays pass through numpy)."""
    if not isinstance(x, Interval):
        return np.sin(x)
    # pi/2 as a float is 6e-17 short, far less than the slack and widening allow for
    return cos(x - np.pi / 2)
