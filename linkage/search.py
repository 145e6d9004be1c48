"""Find crossings and extrema of any curve over the turn, by closing in on them with arrays.

A curve is a function of crank angles, called with all angles of one round together, so that an
expensive evaluation (solving a mechanism) is done a few times only, however many events there are.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linkage.arrays import Array

Curve = Callable[[Array], Array]

_SPLIT = 16  # parts that each bracket is cut into, each round


def find_crossings(
    curve: Curve, low: Array, high: Array, within: float, split: int = _SPLIT
) -> Array:
    """Close in on the crossing of zero in each of many brackets.

    Parameters
    ----------
    curve : callable
        Takes angles, shape (E, K) [rad], row e for bracket e; returns values of the same shape.
    low, high : array, shape (E,) [rad]
        Brackets; the curve has one sign at `low` and the other at `high`. Nan counts as negative.
    within : float [rad]
        Bracket width to stop at.
    split : int
        Parts that each bracket is cut into, each round: few for a dear curve.

    Returns
    -------
    array, shape (E,) [rad]
        A place of crossing in each, by a line across the last bracket where both its ends are
        numbers, else its middle.
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    if not len(low):
        return low
    rows = np.arange(len(low))
    share = np.linspace(0.0, 1.0, split + 1)
    while True:
        angles = low[:, None] + (high - low)[:, None] * share
        values = curve(angles)
        above = values > 0
        change = np.argmax(above != above[:, :1], axis=1)
        change = np.maximum(change, 1)
        low, high = angles[rows, change - 1], angles[rows, change]
        if np.max(np.abs(high - low)) <= within:
            break
    a, b = values[rows, change - 1], values[rows, change]
    with np.errstate(invalid="ignore", divide="ignore"):
        part = a / (a - b)
    part = np.where(np.isfinite(part) & (part >= 0) & (part <= 1), part, 0.5)
    return np.asarray(low + (high - low) * part)


def find_minima(
    curve: Curve, low: Array, high: Array, within: float, split: int = _SPLIT
) -> tuple[Array, Array]:
    """Close in on the least value in each of many brackets.

    Parameters
    ----------
    curve : callable
        As for `find_crossings`; nan is passed over.
    low, high : array, shape (E,) [rad]
        Brackets, each with one dip.
    within : float [rad]
        Bracket width to stop at.
    split : int
        Parts that each bracket is cut into, each round: few for a dear curve.

    Returns
    -------
    angle, value : array, shape (E,) [rad; as the curve]
        Where the curve is least, and how much it is there.
    """
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    if not len(low):
        return low, low.copy()
    rows = np.arange(len(low))
    share = np.linspace(0.0, 1.0, split + 1)
    best_at, best = low.copy(), np.full(len(low), np.inf)
    while True:
        angles = low[:, None] + (high - low)[:, None] * share
        values = curve(angles)
        values = np.where(np.isnan(values), np.inf, values)
        least = np.argmin(values, axis=1)
        better = values[rows, least] < best
        best = np.where(better, values[rows, least], best)
        best_at = np.where(better, angles[rows, least], best_at)
        low = angles[rows, np.maximum(least - 1, 0)]
        high = angles[rows, np.minimum(least + 1, split)]
        if np.max(np.abs(high - low)) <= within:
            return best_at, best
