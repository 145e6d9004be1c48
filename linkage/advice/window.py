"""The window of one number: where the whole locomotive stays free, and what stops it at the ends.

The number is moved over a range, the slack found at each of a few dozen values: by how much the
worst of all that `check` looks at is on the good side of its limit. Where the slack changes sign
an end lies, closed in on from either side; where it only comes near, its summit is sought, for a
window may be narrower than the steps. Each time all values are looked at together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain

import numpy as np

from linkage.advice.bench import nearest, step_of, up
from linkage.advice.keys import across, value_of
from linkage.advice.slack import SHUT, SlackOfVariants, Stop
from linkage.advice.standing import Engine, Left, Standing, concern_of
from linkage.certainty import Judgement, how_sure_of
from linkage.errors import LinkageError
from linkage.examine import examine
from linkage.sheet import Sheet, change, is_angle
from linkage.sheet.numbers import numbers_of
from linkage.tightspots import PlayUsedUp

STEPS = 32
"""Parts that a range is cut into."""
_END = 5e-4  # an end is closed in on to this [mm, degrees]
_ROUNDS = 12
_BETWEEN = 4  # values tried evenly between the ends of what holds an end, each round
_INSIDE = 7  # values of a window that are looked at for the whole engine
_SUMMITS = 8  # values tried to either side of a summit that falls short
_LENGTH, _SHARE, _ANGLE = 1.0, 0.05, 10.0  # the range: so much, or a share; degrees [mm, 1, deg]


@dataclass(frozen=True)
class Window:
    """An interval of one number in which everything stays free."""

    low: float  # its ends, within 0.001; those of the range where it reaches it [mm or degrees]
    high: float
    below: Stop | None  # what stops it there; None where only the range does
    above: Stop | None


@dataclass(frozen=True)
class Windows:
    """All windows of one number within a range."""

    key: str  # on the sheet
    now: float  # as it is [mm or degrees]
    degrees: bool  # whether it is an angle
    low: float  # the range [mm or degrees]
    high: float
    windows: tuple[Window, ...]  # from low to high; empty where it is free nowhere
    best: float  # of the values tried, where the slack is greatest [mm or degrees]
    stop: Stop  # what is nearest to its limit there
    # where they are free only as far as the number goes: what else is wrong then
    left: Left | None = None
    # how sure it is that it is free at `middle`; None where nobody asked, or it is free nowhere
    sure: Judgement | None = None
    step: float = 0.05  # in which it can be put right [mm or degrees]
    # the same number on the other side; nan where it is none of one side's own [mm or degrees]
    other: float = math.nan

    @property
    def here(self) -> Window | None:
        """The window that today's value is in."""
        return next((w for w in self.windows if w.low <= self.now <= w.high), None)

    @property
    def would_do(self) -> float | None:
        """What it would have to become; None where it may stay, or is free nowhere [mm, degrees].

        As on the other side, where that is free. Else by the least whole steps that are enough; of
        coupled wheels, which are as bad with too much as with too little, to about the middle.
        """
        if self.here or not self.windows:
            return None
        window = min(self.windows, key=lambda w: max(w.low - self.now, self.now - w.high))
        if any(one.low <= self.other <= one.high for one in self.windows):
            return self.other
        turns = all(stop and stop.kind is PlayUsedUp for stop in (window.below, window.above))
        middle = (window.low + window.high) / 2
        if turns:
            by = nearest(middle - self.now, self.step)
        elif self.now < window.low:
            by = up(window.low - self.now, self.step)
        else:
            by = -up(self.now - window.high, self.step)
        return self.now + by if window.low <= self.now + by <= window.high else middle

    @property
    def middle(self) -> float:
        """The middle of the window nearest to today's value; today's where there is no window."""
        inside = self.nearest
        held = next((w for w in self.windows if w.low <= inside <= w.high), None)
        return self.now if held is None else (held.low + held.high) / 2

    @property
    def nearest(self) -> float:
        """The value in a window that is nearest to today's; today's where there is no window."""
        inside = (min(max(self.now, w.low), w.high) for w in self.windows)
        return min(inside, key=lambda value: abs(value - self.now), default=self.now)


def find_windows(
    sheet: Sheet, key: str, low: float | None = None, high: float | None = None
) -> Windows:
    """Find where one number lets everything stay free.

    With what stops each of them, and how sure that is.

    `key`: a dimension of the sheet, as for `sheet.change`. `low`, `high` [mm or degrees]: the
    range; about today's value if not given.

    Raises
    ------
    SheetError
        Where the key is no dimension of the sheet.
    ValueError
        Where the range is empty.
    """
    now = value_of(sheet, key)
    angle = is_angle(sheet, key)
    other = across(sheet, key)
    ends = range_about(now, angle, low, high, other)
    stands = Standing(Engine(sheet), concern_of(sheet, [key]))
    windows = search_windows(lambda value: change(sheet, {key: value}), key, now, ends, stands)
    sure = _how_sure(windows, stands)
    step = step_of(sheet, key)
    return replace(windows, degrees=angle, sure=sure, step=step, other=other)


def _how_sure(windows: Windows, stands: Standing) -> Judgement | None:
    """Say how sure it is that all is free, as far as the number goes, in the middle of a window."""
    if not windows.windows:
        return None
    made = change(stands.engine.sheet, {windows.key: windows.middle})
    try:
        after = examine(made, known=stands.engine.found)
    except LinkageError:
        return None
    own = after.spots if stands.concern is None else stands.concern.own(after, stands.engine.found)
    return how_sure_of(
        after, numbers_of(made), lambda figure: stands.decides(after, figure), stands=bool(own)
    )


def range_about(
    now: float, angle: bool, low: float | None, high: float | None, other: float = math.nan
) -> tuple[float, float]:
    """Return the range to look at, about a number as it is where no ends are given.

    As far as the other side's number, where that is farther off.

    The number `now`, an angle or not, the `other` side's, and ends that are given [mm or degrees].

    Raises
    ------
    ValueError
        Where it is empty.
    """
    reach = _ANGLE if angle else max(_LENGTH, _SHARE * abs(now))
    far = now if math.isnan(other) else other
    low = min(now, far) - reach if low is None else low
    high = max(now, far) + reach if high is None else high
    if not low < high:
        raise ValueError(f"the range from {low:g} to {high:g} is empty")
    return low, high


def search_windows(
    made: Callable[[float], Sheet],
    name: str,
    now: float,
    ends: tuple[float, float],
    stands: Standing,
) -> Windows:
    """Find where sheets that depend on one number are free.

    With what stops each of them. Where more is wrong with the engine than the number can cure: free
    as far as the number goes, and what is left then.

    `made`: takes the number, returns the sheet; SheetError where there is none. `now` [mm or
    degrees]: as it is. `ends` [mm or degrees]: the range, rising. `stands`: the engine as it is.
    """
    made = cache(made)
    whole = stands.slack(alone=False)
    if _frees(whole, made, [now]) or not stands.divided:
        return _search(made, name, now, ends, whole)
    found = _search(made, name, now, ends, stands.slack(alone=True))
    if not found.windows:
        return replace(found, left=Left(stands.others))
    some = [np.linspace(window.low, window.high, _INSIDE).tolist() for window in found.windows]
    if _frees(whole, made, [found.nearest, *chain.from_iterable(some)]):
        return _search(made, name, now, ends, whole)
    return replace(found, left=stands.left(made(found.nearest)))


def _frees(slack: SlackOfVariants, made: Callable[[float], Sheet], values: Sequence[float]) -> bool:
    """Tell whether with one of some values all is free."""
    stops = slack([variant(lambda value=value: made(value)) for value in values])  # type: ignore[misc]
    return any(stop.slack >= 0 for stop in stops)


def _search(
    made: Callable[[float], Sheet],
    name: str,
    now: float,
    ends: tuple[float, float],
    slack: SlackOfVariants,
) -> Windows:
    """Find where sheets are free by some slack."""
    low, high = ends
    steps = np.append(np.linspace(low, high, STEPS + 1), now)
    tried = _Tried(made, slack)
    tried.add(steps[(steps >= low) & (steps <= high)].tolist())
    tried.add(tried.about_summits())
    windows = tuple(tried.windows())
    best = max(tried.stops, key=lambda value: tried.stops[value].slack)
    return Windows(name, now, False, low, high, windows, best, tried.stops[best])


def variant(made: Callable[[], Sheet]) -> Sheet | LinkageError:
    """Return a variant of a sheet, or why there is none."""
    try:
        return made()
    except LinkageError as error:
        return error


class _Tried:
    """Values of one number that were looked at, and what is nearest to its limit at each."""

    def __init__(self, made: Callable[[float], Sheet], slack: SlackOfVariants) -> None:
        self.made, self.stops, self._slack = made, dict[float, Stop](), slack

    def add(self, values: Sequence[float]) -> None:
        """Look at some values more."""
        new = [value for value in dict.fromkeys(values) if value not in self.stops]
        sheets = [variant(lambda value=value: self.made(value)) for value in new]  # type: ignore[misc]
        self.stops.update(zip(new, self._slack(sheets), strict=True))

    def about_summits(self) -> list[float]:
        """Return values about summits of the slack that fall short: a window may lie there."""
        values = sorted(self.stops)
        slack = [self.stops[value].slack for value in values]
        found: list[float] = []
        for k in range(1, len(values) - 1):
            beside = slack[k - 1], slack[k + 1]
            # where all are alike the number has nothing to do with what stops it there
            if SHUT < slack[k] < 0 and slack[k] >= max(beside) and slack[k] > min(beside):
                found += np.linspace(values[k - 1], values[k + 1], 2 * _SUMMITS + 1)[1:-1].tolist()
        return found

    def windows(self) -> list[Window]:
        """Return the windows: runs of values with slack, their ends closed in on."""
        values = sorted(self.stops)
        free = [self.stops[value].slack >= 0 for value in values]
        runs, k = [], 0
        while k < len(values):
            last = k
            while last + 1 < len(values) and free[last + 1] == free[k]:
                last += 1
            if free[k]:
                runs.append((k, last))
            k = last + 1
        ends = [
            (values[inside], values[outside])
            for first, last in runs
            for inside, outside in ((first, first - 1), (last, last + 1))
            if 0 <= outside < len(values)
        ]
        closed = dict(zip(ends, self._closed_in(ends), strict=True))

        def end(inside: int, outside: int) -> tuple[float, Stop | None]:
            if not 0 <= outside < len(values):
                return values[inside], None
            good, bad = closed[values[inside], values[outside]]
            return good, self.stops[bad]

        found = []
        for first, last in runs:
            (low, below), (high, above) = end(first, first - 1), end(last, last + 1)
            found.append(Window(low, high, below, above))
        return [window for window in found if window.low < window.high]

    def _closed_in(self, ends: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        """Bring together the free and the other value that hold each end."""
        held = list(ends)
        for _ in range(_ROUNDS):
            wide = [k for k, (good, bad) in enumerate(held) if abs(bad - good) > _END]
            if not wide:
                break
            between = {k: self._between(*held[k]) for k in wide}
            self.add([value for values in between.values() for value in values])
            for k, values in between.items():
                good, bad = held[k]
                for value in values:
                    if self.stops[value].slack < 0:
                        bad = value
                        break
                    good = value
                held[k] = (good, bad)
        return held

    def _between(self, good: float, bad: float) -> list[float]:
        """Return values between two that hold an end, from the free one on."""
        above, under = self.stops[good].slack, self.stops[bad].slack
        line = good + (bad - good) * above / (above - under)  # where it would be nought, if even
        way = 1.0 if bad > good else -1.0
        near = [line + way * by for by in (-0.05 * abs(bad - good), -0.4 * _END, 0.4 * _END,
                                           0.05 * abs(bad - good))]  # fmt: skip
        evenly = np.linspace(good, bad, _BETWEEN + 2)[1:-1].tolist()
        inside = (value for value in (*near, *evenly) if min(good, bad) < value < max(good, bad))
        return sorted(set(inside), key=lambda value: way * value)
