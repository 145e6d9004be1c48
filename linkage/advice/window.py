"""The window of one number: where the whole locomotive stays free, and what stops it at the ends.

The number is moved over a range, the slack found at each of a few dozen values: by how much the
worst of all that `check` looks at is on the good side of its limit. Where the slack changes sign
an end lies, closed in on by lines; where it only comes near, its summit is sought, for a window
may be narrower than the steps. The slack is sampled at 90 crank angles along the range and at 720
at the ends, the least of them closed in on.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from linkage.arrangements import build, coupled_wheels
from linkage.arrays import Array
from linkage.clearance import least_room, least_slack
from linkage.errors import LinkageError, SheetError
from linkage.examine import Examination
from linkage.kinematics import branch_changes, follow, solve_at, transmission_angles
from linkage.mechanism import Mechanism
from linkage.play import Turning
from linkage.play.least import least_play
from linkage.play.turning import NEARLY
from linkage.sheet import Sheet, change, is_angle
from linkage.tightspots import LEAST_TRANSMISSION
from linkage.wheels import CoupledWheels

STEPS = 32
"""Parts that a range is cut into."""
FINE = 720
"""Crank angles looked at where an end is closed in on."""
NO_SUCH_NUMBER = "no such number"
"""The kind of what stops a window where the sheet itself would refuse the value."""
_COARSE = 90
_END = 5e-4  # an end is closed in on to this [mm, degrees]
_ROUNDS = 40
_SUMMITS = 8  # values tried to either side of a summit that falls short
_LENGTH, _SHARE, _ANGLE = 1.0, 0.05, 10.0  # the range: so much, or a share; degrees [mm, 1, deg]
_KEPT = 6  # mechanisms whose slack is remembered
_SHUT = -1.0  # slack of what cannot be put together or locks [mm]


@dataclass(frozen=True)
class Stop:
    """What is nearest to its limit.

    Attributes
    ----------
    slack : float
        How far from it, above 0 on the good side: air [mm], room to run [mm], play not used
        [share], angle [rad], by kind.
    kind : str
        As of a tight spot.
    side : str
        "right", "left", "both" or "only".
    parts : tuple of str
        The parts concerned; empty where nothing comes near.
    at : float [rad]
        That side's crank angle; nan where none says it.
    """

    slack: float
    kind: str
    side: str
    parts: tuple[str, ...]
    at: float = math.nan


@dataclass(frozen=True)
class Window:
    """An interval of one number in which everything stays free.

    Attributes
    ----------
    low, high : float [mm or degrees]
        Its ends, within 0.001; those of the range where it reaches it.
    below, above : Stop or None
        What stops it there; None where only the range does.
    """

    low: float
    high: float
    below: Stop | None
    above: Stop | None


@dataclass(frozen=True)
class Windows:
    """All windows of one number within a range.

    Attributes
    ----------
    key : str
        On the sheet.
    now : float [mm or degrees]
        As it is.
    degrees : bool
        Whether it is an angle.
    low, high : float [mm or degrees]
        The range.
    windows : tuple of Window
        From low to high; empty where it is free nowhere.
    best : float [mm or degrees]
        Of the values tried, where the slack is greatest.
    stop : Stop
        What is nearest to its limit there.
    """

    key: str
    now: float
    degrees: bool
    low: float
    high: float
    windows: tuple[Window, ...]
    best: float
    stop: Stop

    @property
    def here(self) -> Window | None:
        """The window that today's value is in."""
        return next((w for w in self.windows if w.low <= self.now <= w.high), None)


def find_windows(
    examination: Examination, key: str, low: float | None = None, high: float | None = None
) -> Windows:
    """Find where one number lets everything stay free.

    Parameters
    ----------
    examination : Examination
        What was found out about the sheet as it is.
    key : str
        A dimension of the sheet, as for `sheet.change`.
    low, high : float, optional [mm or degrees]
        The range; about today's value if not given.

    Returns
    -------
    Windows
        With what stops each of them.

    Raises
    ------
    SheetError
        Where the key is no dimension of the sheet.
    ValueError
        Where the range is empty.
    """
    now = _value(examination, key)
    angle = is_angle(examination.sheet, key)
    reach = _ANGLE if angle else max(_LENGTH, _SHARE * abs(now))
    low, high = now - reach if low is None else low, now + reach if high is None else high
    windows = search_windows(
        lambda value: change(examination.sheet, {key: value}), key, now, (low, high)
    )
    return replace(windows, degrees=angle)


def search_windows(
    made: Callable[[float], Sheet], name: str, now: float, ends: tuple[float, float]
) -> Windows:
    """Find where sheets that depend on one number are free.

    Parameters
    ----------
    made : callable
        Takes the number, returns the sheet; SheetError where there is none.
    name : str
        What to call the number.
    now : float [mm or degrees]
        As it is.
    ends : (float, float) [mm or degrees]
        The range.

    Returns
    -------
    Windows
        With what stops each of them.

    Raises
    ------
    ValueError
        Where the range is empty.
    """
    low, high = ends
    if not low < high:
        raise ValueError(f"the range from {low:g} to {high:g} is empty")
    slack = _Slack(made)
    values = np.unique(np.append(np.linspace(low, high, STEPS + 1), now))
    values = values[(values >= low) & (values <= high)]
    stops = [slack(float(value), _COARSE) for value in values]
    values, stops = _with_summits(slack, values, stops)
    windows = tuple(_windows(slack, values, stops))
    best = max(range(len(stops)), key=lambda k: stops[k].slack)
    return Windows(name, now, False, low, high, windows, float(values[best]), stops[best])


def _value(examination: Examination, key: str) -> float:
    """Return a dimension as it is [mm or degrees]; SheetError where there is none of that key."""
    for side, held in examination.sheet.dimensions.items():
        own = key.removeprefix(f"{side}.")
        for name in (key, own, f"{side}.{own}"):
            if name in held and (own == key or key.startswith(f"{side}.")):
                return held[name]
    change(examination.sheet, {key: 0.0})
    raise AssertionError("the sheet has the dimension, but no side has")


class _Slack:
    """The slack as a function of one number; what that number does not touch is looked at once."""

    def __init__(self, made: Callable[[float], Sheet]) -> None:
        self.made = made
        self._known: list[tuple[object, int, Stop]] = []

    def __call__(self, value: float, samples: int) -> Stop:
        """Return what is nearest to its limit at a value, by so many crank angles."""
        try:
            sheet = self.made(value)
            made, wheels = build(sheet), coupled_wheels(sheet)
            stops = [
                self._once(
                    replace(mechanism, dimensions={}),
                    samples,
                    partial(_of_side, side, mechanism, sheet.wanted_clearance, samples),
                )
                for side, mechanism in made.items()
            ]
            if wheels is not None:
                stops.append(
                    self._once(replace(wheels, keys={}), samples, partial(_of_play, wheels))
                )
        except SheetError:
            return Stop(_SHUT, NO_SUCH_NUMBER, "only", ())
        except LinkageError:
            return Stop(_SHUT, "cannot close", "only", ())
        return min(stops, key=lambda stop: stop.slack)

    def _once(self, what: object, samples: int, look: Callable[[], Stop]) -> Stop:
        """Look, unless the same was looked at before as closely; the last few are kept."""
        for known, by, stop in self._known:
            if by == samples and known == what:
                return stop
        stop = look()
        self._known = [*self._known[-_KEPT:], (what, samples, stop)]
        return stop


def _of_side(side: str, mechanism: Mechanism, wanted: float, samples: int) -> Stop:
    course = follow(mechanism)
    if not course.arcs[0].whole:
        return Stop(_SHUT, "cannot close", side, ())
    undecided = branch_changes(course)
    if undecided:
        angle, parts = undecided[0]
        return Stop(_SHUT, "branch undecided", side, parts, angle)
    air = least_slack(course, wanted, samples, exact=samples >= FINE)
    stops = [Stop(air.value, "close", side, air.parts, air.at)]
    crank = np.arange(samples) * (2 * np.pi / samples)
    stops += [
        Stop(room, "runs off", side, (travel.part, travel.against), at)
        for travel, room, at in least_room(course, samples)
    ]
    for parts, angles in transmission_angles(solve_at(course, crank)).items():
        if len(parts) == 2:
            worst = int(np.argmin(angles))
            least = float(angles[worst]) - LEAST_TRANSMISSION
            stops.append(Stop(least, "poor transmission angle", side, parts, float(crank[worst])))
    return min(stops, key=lambda stop: stop.slack)


def _of_play(wheels: CoupledWheels) -> Stop:
    """Return the greatest play used: by one start round the turn, by several about the worst."""
    turning = Turning(wheels)
    step = 2 * np.pi / _COARSE
    crank = np.asarray(np.arange(_COARSE) * step)
    worst = crank[int(np.argmax(least_play(turning.misfits, crank).used))]
    for _ in range(2):  # the steps of the second round are 0.06 degree
        about = np.asarray(worst + np.linspace(-step, step, 2 * _SUMMITS + 1))
        used = turning.apart(about).used
        worst, step = about[int(np.argmax(used))], step / _SUMMITS
    return Stop(NEARLY - float(used.max()), "play used up", "both", (), float(worst))


Tried = tuple[Array, list[Stop]]


def _with_summits(slack: _Slack, values: Array, stops: list[Stop]) -> Tried:
    """Add the summits of the slack that fall short, for a window may lie between the steps."""
    found = dict(zip(values.tolist(), stops, strict=True))
    for k in range(1, len(values) - 1):
        left, here, right = (stops[k + by].slack for by in (-1, 0, 1))
        if here < 0 and here >= left and here >= right and here > _SHUT:
            low, high = float(values[k - 1]), float(values[k + 1])
            for value in np.linspace(low, high, 2 * _SUMMITS + 1)[1:-1].tolist():
                found.setdefault(value, slack(value, _COARSE))
    order = sorted(found)
    return np.array(order), [found[value] for value in order]


def _windows(slack: _Slack, values: Array, stops: list[Stop]) -> list[Window]:
    """Return the windows: runs of values with slack, their ends closed in on."""
    free = [stop.slack >= 0 for stop in stops]
    found, k = [], 0
    while k < len(values):
        if not free[k]:
            k += 1
            continue
        last = k
        while last + 1 < len(values) and free[last + 1]:
            last += 1
        low, below = _end(slack, values, stops, k, k - 1)
        high, above = _end(slack, values, stops, last, last + 1)
        if low < high:
            found.append(Window(low, high, below, above))
        k = last + 1
    return found


def _end(
    slack: _Slack, values: Array, stops: list[Stop], inside: int, outside: int
) -> tuple[float, Stop | None]:
    """Close in on the end of a window between a value inside it and one outside."""
    if not 0 <= outside < len(values):
        return float(values[inside]), None
    fine: Callable[[float], Stop] = lambda value: slack(value, FINE)  # noqa: E731
    good, bad = float(values[inside]), float(values[outside])
    at_good, at_bad = fine(good), fine(bad)
    if at_good.slack < 0:  # finer crank angles find less: a window too narrow to be one
        return good, at_good
    above, under, aside = at_good.slack, at_bad.slack, 0.0
    for turn in range(_ROUNDS):
        if abs(bad - good) <= _END:
            break
        part = 0.5 if turn % 4 == 3 else above / (above - under)
        middle = good + (bad - good) * min(max(part, 0.02), 0.98)
        # a little past where the line says, so that both ends close in
        middle += aside * (1 if bad > good else -1) if abs(bad - good) > 4 * _END else 0.0
        stop = fine(middle)
        if stop.slack >= 0:
            good, above, under, aside = middle, stop.slack, under / 2, 0.4 * _END
        else:
            bad, under, above, at_bad, aside = middle, stop.slack, above / 2, stop, -0.4 * _END
    return good, at_bad
