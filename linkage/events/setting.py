"""Setting a valve gear: one number of the sheet solved for, so that something comes out even.

By the secant through the last two values tried, of which the first are the sheet's own and one a
little aside. What is aimed at is even where a difference is nought:

- equal leads, equal cut-offs: front end less back end, at one place of the reverser;
- equal gears: mean cut-off of full forward less that of full back gear;
- link alike: the link's angle at one dead centre less that at the other. That is the equal-distance
  rule for a return crank: the link's foot is as far from a fixed place on both.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, assert_never

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
    """No value of a number does what is wanted."""


def find_setting(sheet: Sheet, key: str, aim: Aim, place: str | None = None) -> Setting:
    """Find what a number of a sheet has to be so that something comes out even.

    Of the first side that the number is about. `place`: of the reverser, by its name; full forward,
    or the first that goes round, where none is given.

    Raises
    ------
    SheetError
        Where the key is no number of the sheet, or there are no events.
    NoSettingError
        Where what is aimed at cannot be told, or no value near the sheet's own does it.
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

    trial, found = now + _ASIDE * unit, before
    side = own or _first_moved(before, events(trial), aim, place, key)
    values, faults = [now], [fault(before)]
    for _ in range(_TRIES):
        if abs(faults[-1]) <= _EVEN:
            return Setting(key, side, aim, now, values[-1], before, found)
        found = events(trial)
        values.append(trial)
        faults.append(fault(found))
        slope = (faults[-1] - faults[-2]) / (values[-1] - values[-2])
        if abs(slope) * unit < _EVEN:
            raise NoSettingError(f"{key} does nothing for {aim.words} here")
        trial = values[-1] - faults[-1] / slope
        if abs(trial - now) > _FARTHEST * unit:
            raise NoSettingError(f"no {key} near what it is now gives {aim.words}")
    raise NoSettingError(f"no {key} was found that gives {aim.words}")


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
