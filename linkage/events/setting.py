"""Setting a valve gear: one number of the sheet solved for, so that something comes out even.

By the secant through the last two values tried, of which the first are the sheet's own and one a
little aside. What is aimed at is even where a difference is nought:

- equal leads, equal cut-offs: front end less back end, at one place of the reverser;
- equal gears: mean cut-off of full forward less that of full back gear;
- link alike: the link's angle at one dead centre less that at the other. That is the equal-distance
  rule for a return crank: the link's foot is as far from a fixed place on both.

Where that leads nowhere near, values are tried evenly over all that is near: where the difference
changes its sign between two of them it is nought somewhere between; where it never does, the value
is told at which it is least, and what is left of it there.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from itertools import pairwise
from typing import Any, assert_never

import numpy as np

from linkage.errors import LinkageError
from linkage.events.finding import Events, SideEvents, find_events
from linkage.events.timing import Event, PlaceEvents
from linkage.sheet import Sheet, change, is_angle, sheet_from

_PLACES = 3
_MIDDLE = "valve.middle"
_ASIDE = 0.01  # the second value tried: so many throws aside, or that of a radian in degrees [1]
_TRIES = 14
_EVEN = 1e-6  # a difference no greater is nought [mm, 1 or rad]
_FARTHEST = 0.5  # a number is not moved by more than so many throws, or degrees a hundredfold [1]
_EVENLY = 21  # values tried over all that is near, where the secant leads nowhere
_UNTOLD = 1e6  # stands for what cannot be told: more than anything leaves [mm, 1 or rad]
_CLOSE = 1e-3  # the least is closed in on to so many throws, or that of a radian in degrees [1]


class Aim(Enum):
    """What is to come out even."""

    LEADS = "leads"
    CUT_OFFS = "cut-offs"
    GEARS = "gears"
    LINK = "link"

    @property
    def words(self) -> str:
        """What is wanted, after "gives" or "for"."""
        match self:
            case Aim.LEADS | Aim.CUT_OFFS:
                return f"equal {self.value}"
            case Aim.GEARS:
                return "equal cut-offs in both gears"
            case Aim.LINK:
                return "a link that stands alike at both dead centres"
            case _:
                assert_never(self)


@dataclass(frozen=True)
class Setting:
    """What a number has to be, and what else comes of it."""

    key: str
    side: str  # whose events it was solved for
    aim: Aim
    now: float  # [mm, or degrees] as the sheet has it, or as it is taken to be
    to: float  # [mm, or degrees]
    before: Events
    after: Events


class NoSettingError(LinkageError):
    """No value of a number does what is wanted.

    Attributes
    ----------
    nearest, left : float or None
        The value near the sheet's own that leaves least uneven [mm or degrees], and how much that
        is [mm, share of the stroke, or rad]; None where that is not known.
    """

    def __init__(
        self, message: str, nearest: float | None = None, left: float | None = None
    ) -> None:
        super().__init__(message)
        self.nearest, self.left = nearest, left


def find_setting(sheet: Sheet, key: str, aim: Aim, place: str | None = None) -> Setting:
    """Find what a number of a sheet has to be so that something comes out even.

    Of the first side that the number is about. `place`: of the reverser, by its name; full forward,
    or the first that goes round, where none is given.

    Raises
    ------
    SheetError
        Where the key is no number of the sheet, or there are no events.
    NoSettingError
        Where what is aimed at cannot be told, or no value near the sheet's own does it; with what
        comes nearest.
    """
    before = find_events(sheet, _PLACES)
    own = next((name for name in before.sides if key.startswith(f"{name}.")), None)
    side = own or next(iter(before.sides))
    now = before.sides[side].middle if key == _MIDDLE else _now(sheet, side, key)
    degrees = is_angle(sheet, key) if key != _MIDDLE else False
    unit = math.degrees(1.0) if degrees else _throw(sheet)

    def events(value: float) -> Events:
        return find_events(_with(sheet, key, value), _PLACES)

    def fault(found: Events) -> float:
        return _uneven(found.sides[side], aim, place, key)

    aside = events(now + _ASIDE * unit)
    side = own or _first_moved(before, aside, aim, place, key)
    if abs(fault(before)) <= _EVEN:
        return Setting(key, side, aim, now, now, before, before)
    if abs(fault(aside) - fault(before)) < _EVEN * _ASIDE:
        raise NoSettingError(f"{key} does nothing for {aim.words} here")

    def left(value: float) -> float:
        return fault(events(value))

    first = (now, fault(before)), (now + _ASIDE * unit, fault(aside))
    to = _by_secant(left, *first, _FARTHEST * unit)
    if to is None:
        to = _looked_for(left, now, unit, sheet, (key, aim))
    return Setting(key, side, aim, now, to, before, events(to))


def _looked_for(
    left: Callable[[float], float], now: float, unit: float, sheet: Sheet, asked: tuple[str, Aim]
) -> float:
    """Return the value at which nothing is left uneven, of all near what it is now.

    Raises
    ------
    NoSettingError
        Where there is none.
    """
    key, aim = asked
    values = (now + np.linspace(-_FARTHEST, _FARTHEST, _EVENLY) * unit).tolist()
    to, least = of_all_near(left, values, now, _CLOSE * unit)
    if abs(least) <= _EVEN:
        return to
    degrees = key != _MIDDLE and is_angle(sheet, key)
    said = f"{to:.2f} degrees" if degrees else sheet.lengths.number(to, key)
    end = min(abs(to - values[0]), abs(to - values[-1])) <= _CLOSE * unit
    raise NoSettingError(
        f"no {key} near what it is now gives {aim.words}: nearest comes {said}, "
        f"{'as far as was looked, ' if end else ''}which leaves {_left_over(aim, least, sheet)}",
        to,
        least,
    )


def _by_secant(
    left: Callable[[float], float],
    one: tuple[float, float],
    other: tuple[float, float],
    farthest: float,
) -> float | None:
    """Return where nothing is left uneven, from two values and what they leave.

    None where that leads farther than it may from the first, or to no end.
    """
    now = one[0]
    for _ in range(_TRIES):
        if abs(other[1]) <= _EVEN:
            return other[0]
        if other[1] == one[1]:
            return None
        trial = other[0] - other[1] * (other[0] - one[0]) / (other[1] - one[1])
        if abs(trial - now) > farthest:
            return None
        try:
            one, other = other, (trial, left(trial))
        except LinkageError:
            return None
    return None


def of_all_near(
    left: Callable[[float], float], values: list[float], now: float, close: float
) -> tuple[float, float]:
    """Return at which value least is left uneven, and what; nothing, where it changes its sign.

    Of several where it does the one nearest to `now`. What cannot be told of a value keeps it out.
    """
    from scipy.optimize import brentq, minimize_scalar

    @cache
    def told(value: float) -> float:
        try:
            return left(value)
        except LinkageError:
            return math.nan

    faults = [told(value) for value in values]
    pairs = list(zip(values, faults, strict=True))
    changes = [(a, b) for (a, f), (b, g) in pairwise(pairs) if f * g < 0]
    for low, high in sorted(changes, key=lambda ends: abs(sum(ends) / 2 - now)):
        to = float(brentq(told, low, high, xtol=1e-9, rtol=1e-12))
        if abs(told(to)) <= _EVEN:  # where it leaps from one side to the other it is not even
            return to, 0.0
    least = min(range(len(values)), key=lambda k: _size(faults[k]))
    beside = values[max(least - 1, 0)], values[min(least + 1, len(values) - 1)]
    found = minimize_scalar(
        lambda value: _size(told(float(value))),
        bounds=beside,
        method="bounded",
        options={"xatol": close},
    )
    to = min((float(found.x), values[least]), key=lambda value: _size(told(value)))
    return to, told(to)


def _size(fault: float) -> float:
    return _UNTOLD if math.isnan(fault) else abs(fault)


def _left_over(aim: Aim, fault: float, sheet: Sheet) -> str:
    """Say what is left uneven."""
    size = abs(fault)
    front, back = ("front", "back") if fault > 0 else ("back", "front")
    match aim:
        case Aim.LEADS:
            return f"{sheet.lengths.number(size)} more lead at the {front} than at the {back}"
        case Aim.CUT_OFFS:
            return (
                f"the {front} end's cut-off {100 * size:.1f} per cent of the stroke later than "
                f"the {back} end's"
            )
        case Aim.GEARS:
            later, sooner = ("fore", "back") if fault > 0 else ("back", "fore")
            return (
                f"{later} gear cutting off {100 * size:.1f} per cent of the stroke later than "
                f"{sooner} gear"
            )
        case Aim.LINK:
            return f"the link turned by {math.degrees(size):.2f} degrees between them"
        case _:
            assert_never(aim)


def _first_moved(before: Events, after: Events, aim: Aim, place: str | None, key: str) -> str:
    """Return the first side for which a number does something: an inside cylinder's own is last."""
    for name, one in before.sides.items():
        if _uneven(one, aim, place, key) != _uneven(after.sides[name], aim, place, key):
            return name
    return next(iter(before.sides))


def _throw(sheet: Sheet) -> float:
    held = next(iter(sheet.dimensions.values()))
    return next(value for key, value in held.items() if key.endswith("wheels.throw"))


def _now(sheet: Sheet, side: str, key: str) -> float:
    held = sheet.dimensions.get(side) or next(iter(sheet.dimensions.values()))
    for known in (key, key.removeprefix(f"{side}.")):
        if known in held:
            return held[known]
    change(sheet, {key: 0.0})  # says what is known, and what was meant
    raise NoSettingError(f"{key} is no number of this sheet")


def _with(sheet: Sheet, key: str, value: float) -> Sheet:
    known = any(key in held for held in sheet.dimensions.values())
    if known or key != _MIDDLE:
        return change(sheet, {key: value})
    data: dict[str, Any] = copy.deepcopy(dict(sheet.data))
    valve: Mapping[str, Any] = data.get("valve", {})
    data["valve"] = {**valve, "middle": f"{value!r} mm"}
    return sheet_from(data, sheet.source, ask=False)


def _uneven(side: SideEvents, aim: Aim, place: str | None, key: str) -> float:
    """Return by how much what is aimed at is not even.

    Raises
    ------
    NoSettingError
        Where it cannot be told.
    """
    held = side.at(place)
    found: float | None = None
    match aim:
        case Aim.LEADS:
            front, back = (end.lead for end in held.ends)
            found = None if front is None or back is None else front - back
        case Aim.CUT_OFFS:
            found = _less(*(end.cut_off for end in held.ends))
        case Aim.GEARS:
            fore, back_gear = (_mean(side.at(name)) for name in ("full_forward", "full_back"))
            found = None if fore is None or back_gear is None else fore - back_gear
        case Aim.LINK:
            found = held.link_turns
    if found is None:
        raise NoSettingError(
            f"equal {aim.value} cannot be told of this sheet, so {key} cannot be set for them: "
            "see what tightspot events says is missing"
        )
    return found


def _less(one: Event | None, other: Event | None) -> float | None:
    return None if one is None or other is None else one.stroke - other.stroke


def _mean(held: PlaceEvents) -> float | None:
    events = [end.cut_off for end in held.ends]
    shares = [event.stroke for event in events if event is not None]
    return sum(shares) / 2 if len(shares) == 2 else None
