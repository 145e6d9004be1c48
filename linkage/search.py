"""Find crossings and extrema of any curve over the turn, by closing in on them with arrays.

A curve is a function of crank angles, called with all angles of one round together, so that an
expensive evaluation (solving a mechanism) is done a few times only, however many events there are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array, Mask

Curve = Callable[[Array], Array]

_SPLIT = 16  # parts that each bracket is cut into, each round
_TURN = 2 * np.pi
_AS_LONG = 1e-6  # floors that differ in length by less are equally long [rad]


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


@dataclass(frozen=True)
class Floor:
    """Where a level floor of a curve begins and ends, as far as samples tell [rad].

    Attributes
    ----------
    begin : (float, float)
        Beside the floor, and on it.
    end : (float, float)
        On the floor, after `begin`, and beside it.
    """

    begin: tuple[float, float]
    end: tuple[float, float]


def floor_in(
    angles: Array, on: Mask, at: float, ends: tuple[float, float] | None = None
) -> Floor | None:
    """Return the longest level floor that samples show: the first of those equally long.

    Parameters
    ----------
    angles : array, shape (K,) [rad]
        Of the samples, each after the last.
    on : array of bool, shape (K,)
        Which of them are on a floor. It may be so narrow that none is.
    at : float [rad]
        A place on a floor.
    ends : (float, float) [rad]
        Of the stretch that the samples are in; not given where that is the whole turn.

    Returns
    -------
    Floor or None
        None where the whole turn is level.
    """
    if ends is None:
        if on.all():
            return None
        before = int(np.argmin(on)) if on.any() else int(np.argmax(angles > at)) - 1
        order = (np.arange(len(angles) + 1) + before) % len(angles)
        turned = angles[order] - angles[before]
        turned = angles[before] + np.append(np.remainder(turned[:-1], _TURN), _TURN)
        at = turned[0] + np.remainder(at - turned[0], _TURN)
        angles, on = turned, on[order]
    else:
        angles = np.concatenate(([ends[0]], angles, [ends[1]]))
        on = np.concatenate(([False], on, [False]))
    if not on.any():
        after = min(max(int(np.searchsorted(angles, at)), 1), len(angles) - 1)
        return Floor((float(angles[after - 1]), at), (at, float(angles[after])))
    first = np.flatnonzero(on & ~np.roll(on, 1))
    last = np.flatnonzero(on & ~np.roll(on, -1))
    length = angles[last] - angles[first]
    longest = int(np.argmax(length >= length.max() - _AS_LONG))
    a, b = int(first[longest]), int(last[longest])
    begin = float(angles[a - 1]), float(angles[a])
    return Floor(begin, (float(angles[b]), float(angles[b + 1])))


def find_middles(
    curve: Curve, floors: Sequence[Floor], within: float, split: int = _SPLIT
) -> Array:
    """Close in on where level floors begin and end, and return their middles.

    Parameters
    ----------
    curve : callable
        As for `find_crossings`, with each floor's row twice, first all their begins and then all
        their ends; negative on the floor, positive beside it.
    within : float [rad]
        Bracket width to stop at.
    split : int
        Parts that each bracket is cut into, each round: few for a dear curve.

    Returns
    -------
    array, shape (len(floors),) [rad]
    """
    brackets = [floor.begin for floor in floors] + [floor.end for floor in floors]
    low, high = np.array(brackets, dtype=float).reshape(-1, 2).T
    edges = find_crossings(curve, low, high, within, split)
    return np.asarray((edges[: len(floors)] + edges[len(floors) :]) / 2)
