"""The map of two numbers: which pairs of values leave the whole locomotive free."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.advice.slack import SlackOfVariants, Stop
from linkage.advice.window import range_about, value_of, variant
from linkage.arrays import Array, Mask
from linkage.examine import Examination
from linkage.sheet import change, is_angle

STEPS = 60
"""Values of each number that are looked at, evenly over its range, both ends included."""


@dataclass(frozen=True)
class Axis:
    """One of the two numbers.

    Attributes
    ----------
    key : str
        On the sheet.
    now : float [mm or degrees]
        As it is.
    degrees : bool
        Whether it is an angle.
    values : array, shape (A,) [mm or degrees]
        Values looked at, rising.
    """

    key: str
    now: float
    degrees: bool
    values: Array


@dataclass(frozen=True)
class SlackMap:
    """What is nearest to its limit at every pair of values of two numbers.

    Attributes
    ----------
    axes : (Axis, Axis)
        The numbers.
    stops : tuple of tuple of Stop
        By the first number's value, then by the second's.
    """

    axes: tuple[Axis, Axis]
    stops: tuple[tuple[Stop, ...], ...]

    @property
    def slack(self) -> Array:
        """The slack at every pair, shape (A, B) [by the kind of stop]."""
        return np.array([[stop.slack for stop in row] for row in self.stops])

    @property
    def free(self) -> Mask:
        """At which pairs all is free, shape (A, B)."""
        return np.asarray(self.slack >= 0)

    @property
    def nearest(self) -> tuple[float, float] | None:
        """The free pair nearest to today's, by shares of the ranges; None where none is free."""
        at = np.argwhere(self.free)
        if not len(at):
            return None
        away = np.zeros(len(at))
        for axis, places in zip(self.axes, at.T, strict=True):
            away += ((axis.values[places] - axis.now) / np.ptp(axis.values)) ** 2
        first, second = at[int(np.argmin(away))].tolist()
        return float(self.axes[0].values[first]), float(self.axes[1].values[second])


def find_map(
    examination: Examination,
    keys: tuple[str, str],
    ends: tuple[tuple[float | None, float | None], tuple[float | None, float | None]],
    steps: int = STEPS,
) -> SlackMap:
    """Find which pairs of values of two numbers leave all free.

    Parameters
    ----------
    examination : Examination
        What was found out about the sheet as it is.
    keys : (str, str)
        Two dimensions of the sheet, as for `sheet.change`.
    ends : ((float or None, float or None), (float or None, float or None)) [mm or degrees]
        From where to where each is looked at; about today's value where not given.
    steps : int
        Values of each, 2 or more.

    Returns
    -------
    SlackMap
        By samples, as `slack` has it.

    Raises
    ------
    SheetError
        Where a key is no dimension of the sheet.
    ValueError
        Where a range is empty, or both numbers are the same.
    """
    if keys[0] == keys[1]:
        raise ValueError(f"{keys[0]} is given twice: a map needs two numbers")
    first, second = (
        _axis(examination, key, end, steps) for key, end in zip(keys, ends, strict=True)
    )
    sheet = examination.sheet
    slack = SlackOfVariants(sheet.wanted_clearance)
    rows = []
    for value in first.values.tolist():
        sheets = [
            variant(lambda a=value, b=other: change(sheet, {keys[0]: a, keys[1]: b}))  # type: ignore[misc]
            for other in second.values.tolist()
        ]
        rows.append(tuple(slack(sheets)))
    return SlackMap((first, second), tuple(rows))


def _axis(
    examination: Examination, key: str, ends: tuple[float | None, float | None], steps: int
) -> Axis:
    now, angle = value_of(examination, key), is_angle(examination.sheet, key)
    low, high = range_about(now, angle, *ends)
    return Axis(key, now, angle, np.asarray(np.linspace(low, high, steps)))
