"""The map of two numbers: which pairs of values leave the whole locomotive free."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.advice.keys import value_of
from linkage.advice.slack import Stop, Stopper, name_of
from linkage.advice.standing import Engine, Left, Standing, concern_of
from linkage.advice.window import range_about, variant
from linkage.arrays import Array, Mask
from linkage.sheet import Sheet, change, is_angle

STEPS = 60
"""Values of each number that are looked at, evenly over its range, both ends included; today's
is looked at besides, so that a pair may differ from today's by one number alone."""


@dataclass(frozen=True)
class Axis:
    """One of the two numbers."""

    key: str  # on the sheet
    now: float  # as it is [mm or degrees]
    degrees: bool  # whether it is an angle
    values: Array  # values looked at, rising, shape (A,) [mm or degrees]


@dataclass(frozen=True)
class SlackMap:
    """What is nearest to its limit at every pair of values of two numbers."""

    axes: tuple[Axis, Axis]  # the numbers
    stops: tuple[tuple[Stop, ...], ...]  # by the first number's value, then by the second's
    today: Stop  # at today's pair, within what was looked at or not
    # where pairs are free only as far as the two numbers go: what else is wrong with today's
    left: Left | None = None

    @property
    def slack(self) -> Array:
        """The slack at every pair, shape (A, B) [by the kind of stop]."""
        return np.array([[stop.slack for stop in row] for row in self.stops])

    @property
    def free(self) -> Mask:
        """At which pairs all is free, shape (A, B)."""
        return np.asarray(self.slack >= 0)

    @property
    def now(self) -> tuple[float, float]:
        """Today's pair."""
        return self.axes[0].now, self.axes[1].now

    def holds(self, pair: tuple[float, float]) -> bool:
        """Tell whether a pair lies within what was looked at."""
        (x, y), (first, second) = pair, (axis.values for axis in self.axes)
        return bool(first[0] <= x <= first[-1] and second[0] <= y <= second[-1])

    @property
    def here(self) -> bool:
        """Whether today's pair is free."""
        return self.today.slack >= 0

    @property
    def stoppers(self) -> tuple[Stopper, ...]:
        """What stops the pairs that are not free, the commonest first."""
        counts = Counter(s.what for row in self.stops for s in row if s.slack < 0)
        return tuple(sorted(counts, key=lambda what: (-counts[what], name_of(what[0]), *what[1:])))

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

    @property
    def alone(self) -> tuple[float | None, float | None]:
        """The free value of each number nearest to today's, the other as it is; None for none."""
        found: list[float | None] = []
        for axis, other, free in zip(
            self.axes, self.axes[::-1], (self.free.T, self.free), strict=True
        ):
            mine = axis.values[free[other.values == other.now].any(axis=0)]
            nearest = np.argmin(np.abs(mine - axis.now)) if len(mine) else None
            found.append(None if nearest is None else float(mine[nearest]))
        return found[0], found[1]


def find_map(
    sheet: Sheet,
    keys: tuple[str, str],
    ends: tuple[tuple[float | None, float | None], tuple[float | None, float | None]],
    steps: int = STEPS,
    passed: Callable[[Sequence[float]], Iterable[float]] = iter,
) -> SlackMap:
    """Find which pairs of values of two numbers leave all free.

    By samples, as `slack` has it; what is wrong with the engine for other reasons does not count.

    `keys`: two dimensions of the sheet, as for `sheet.change`. `ends` [mm or degrees]: from where
    to where each is looked at; about today's value where not given. `steps`: values of each, 2 or
    more; today's besides. `passed`: takes the first number's values and hands them on one by one,
    each when all pairs with the one before have been looked at: a place to show how far it is.

    Raises
    ------
    SheetError
        Where a key is no dimension of the sheet.
    ValueError
        Where a range is empty, or both numbers are the same.
    """
    if keys[0] == keys[1]:
        raise ValueError(f"{keys[0]} is given twice: a map needs two numbers")
    first, second = (_axis(sheet, key, end, steps) for key, end in zip(keys, ends, strict=True))
    stands = Standing(Engine(sheet), concern_of(sheet, keys))
    slack = stands.slack(alone=True)
    rows = []
    for value in passed(first.values.tolist()):
        sheets = [
            variant(lambda a=value, b=other: change(sheet, {keys[0]: a, keys[1]: b}))  # type: ignore[misc]
            for other in second.values.tolist()
        ]
        rows.append(tuple(slack(sheets)))
    (today,) = slack([variant(lambda: change(sheet, {keys[0]: first.now, keys[1]: second.now}))])
    left = stands.left(sheet) if stands.divided else None
    return SlackMap((first, second), tuple(rows), today, left)


def _axis(sheet: Sheet, key: str, ends: tuple[float | None, float | None], steps: int) -> Axis:
    now, angle = value_of(sheet, key), is_angle(sheet, key)
    low, high = range_about(now, angle, *ends)
    values = np.linspace(low, high, steps)
    same = np.isclose(values, now, rtol=0, atol=1e-9)  # but for rounding
    if same.any():
        values[same] = now
    elif low < now < high:
        values = np.sort(np.append(values, now))
    return Axis(key, now, angle, np.asarray(values))
