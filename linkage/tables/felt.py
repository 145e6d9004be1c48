"""What was felt in turning the wheels, and what was seen: where, which way, with what taken off.

Nothing in it is a dimension: it is set against what is found out (`linkage.cause`), and nothing
found out depends on it.

A place in the turn is typed as it is found by hand, by the clock as the side it is felt on is seen
from outside, or in degrees of that side's crank. One read off by eye is 5 degrees out either way;
one that is only said, "about 12 o'clock", 10 (dead centres found by eye, practice of the trade).
Wheels that stand fast, and can be turned nowhere, lock "all round".
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator
from pydantic.json_schema import WithJsonSchema

from linkage.mechanism import Running
from linkage.tables.fields import Table, measured_to, read_length
from linkage.tables.job import Lines
from linkage.units import parse_angle

BY_HAND = math.radians(5.0)
"""How far out a place in the turn is that was found by hand [rad]."""
SAID = math.radians(10.0)
"""How far out one is that is only said, "about" [rad]."""
GAP_ERROR = 0.1
"""How far out a gap is that was judged with a slip of paper [mm]: a sheet of it is 0.1."""
_HOUR = math.radians(30.0)
_HALF_TURN = math.pi

_CLOCK = re.compile(
    r"(?:(?P<part>half past|quarter past|quarter to)\s+)?(?P<hour>\d{1,2})"
    r"(?::(?P<minutes>\d{2}))?\s*(?P<clock>o'?\s?clock)?",
    re.IGNORECASE,
)
_WORDS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
          "twelve")  # fmt: skip
_PARTS = {"half past": 0.5, "quarter past": 0.25, "quarter to": -0.25}
_WANTED = (
    'should be a place in the turn: "5 o\'clock", "half past 4", "about 5 o\'clock", or degrees of '
    "that side's crank, such as 75"
)
ROCKS = math.radians(6.0)
"""The longest stretch of wheels that are said to stand fast [rad]: their play lets them rock."""
ALL_ROUND = "all round"
"""Stands for the whole turn."""


class What(StrEnum):
    """What the hand felt."""

    LOCKS = "locks"
    STIFF = "stiff"
    FREE = "free"


class Turning(StrEnum):
    """Which way the wheels were turned."""

    FORWARD = "forward"
    BACKWARD = "backward"


@dataclass(frozen=True)
class PlaceFelt:
    """A place in the turn as it was typed.

    Attributes
    ----------
    hours : float or None
        By the clock; None where degrees were typed.
    crank : float [rad]
        In degrees of that side's crank; nan by the clock.
    error : float [rad]
        How far out it may be, either way.
    all_round : bool
        Whether it is no place but the whole turn.
    """

    hours: float | None
    crank: float
    error: float
    all_round: bool = False

    def on(self, side: str) -> float:
        """Return that side's crank angle, in one turn [rad]."""
        if self.hours is None:
            return self.crank % (2 * math.pi)
        turned = 9.0 - self.hours if side == "left" else self.hours - 3.0
        return turned * _HOUR % (2 * math.pi)


def parse_place(value: object) -> PlaceFelt:
    """Return a place in the turn as it is typed: by the clock, or in degrees.

    Raises
    ------
    ValueError
        Where it is neither; the message says what is wanted.

    Examples
    --------
    >>> round(math.degrees(parse_place("about half past 4").on("right")))
    45
    """
    if isinstance(value, Mapping):
        if set(value) - {"value", "measured_to"} or "value" not in value:
            raise ValueError(f"{_WANTED}, or {{ value = 75, measured_to = 3 }}")
        place = parse_one_place(value["value"])
        error = parse_angle(value.get("measured_to", math.degrees(place.error)))
        if not 0.0 < error < _HALF_TURN:
            raise ValueError("measured_to should be above 0 and below 180 degrees: else it is none")
        return PlaceFelt(place.hours, place.crank, error)
    text = value.strip() if isinstance(value, str) else ""
    said = re.fullmatch(r"about\s+(.*)", text, re.IGNORECASE)
    error = SAID if said else BY_HAND
    text = (said[1] if said else text).lower()
    if text == ALL_ROUND:
        return PlaceFelt(None, 0.0, 0.0, all_round=True)
    clock = _CLOCK.fullmatch(_with_figures(text))
    if clock and (clock["part"] or clock["minutes"] or clock["clock"]):
        return PlaceFelt(_hours(clock), math.nan, error)
    try:
        return PlaceFelt(None, parse_angle(text if text else value), error)
    except ValueError:
        raise ValueError(_WANTED) from None


def parse_one_place(value: object) -> PlaceFelt:
    """Return a place in the turn, where the whole turn is none.

    Raises
    ------
    ValueError
        As `parse_place`, and of the whole turn.
    """
    place = parse_place(value)
    if place.all_round:
        raise ValueError(_WANTED)
    return place


def _with_figures(text: str) -> str:
    """Return a clock time with its hour in figures: "five o'clock"."""
    return " ".join(
        str(_WORDS.index(word) + 1) if word in _WORDS else word for word in text.split()
    )


def _hours(clock: re.Match[str]) -> float:
    hour, minutes = int(clock["hour"]), int(clock["minutes"] or 0)
    if not 1 <= hour <= 12 or minutes > 59:
        raise ValueError("is no time of a clock face: hours go from 1 to 12, minutes to 59")
    return hour + minutes / 60 + _PARTS.get(clock["part"] or "", 0.0)


Place = Annotated[
    PlaceFelt,
    BeforeValidator(parse_place),
    WithJsonSchema({"type": ["number", "string", "object"]}),
]
"""A place in the turn, or the whole of it."""
OnePlace = Annotated[
    PlaceFelt,
    BeforeValidator(parse_one_place),
    WithJsonSchema({"type": ["number", "string", "object"]}),
]
"""A place in the turn."""
FeltSide = Literal["right", "left", "only"]


def _gap(value: object, info: ValidationInfo) -> tuple[float, float]:
    """Return a gap and how far out it is [mm]: as one judged with paper where it does not say."""
    unit = str((info.context or {}).get("unit", "mm"))
    gap = read_length(value, unit)
    if gap < 0:
        raise ValueError("should not be below 0: parts that meet have none")
    error = measured_to(value, unit)
    if error is not None and gap and error > gap:
        raise ValueError("measured_to is larger than the gap itself: measure it closer, or say 0")
    return gap, error or GAP_ERROR


class FeltTable(Table):
    """What was felt in turning the wheels by hand."""

    what: Literal["locks", "stiff", "free"] = Field(description="what was felt")
    side: FeltSide | None = Field(None, description="on which side, by whose clock")
    at: Place | None = Field(
        None, description='one place: "5 o\'clock", or degrees of the crank; or "all round"'
    )
    start: OnePlace | None = Field(None, alias="from", description="where it begins, going forward")
    to: OnePlace | None = Field(None, description="where it ends, going forward")
    turning: Literal["forward", "backward"] | None = Field(
        None, description="which way the wheels were turned; both where not given"
    )
    taken_off: Lines = Field((), description="what was off: return_crank, left.coupling_rods")
    running: Any = Field(None, description="where the reverser stood")
    pushed: dict[str, Literal["right", "left"]] = Field(
        {}, description='which wheelset was pushed over, and to which side: {leading = "right"}'
    )

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if self.at is not None and (self.start is not None or self.to is not None):
            raise ValueError("give at = ..., or from = ... and to = ..., not both")
        if (self.start is None) != (self.to is None):
            raise ValueError("from and to go together; one place alone is at = ...")
        return self

    @property
    def all_round(self) -> bool:
        """Whether it was felt nowhere in particular, but all round."""
        return self.at is not None and self.at.all_round

    def ends(self, side: str) -> tuple[float, float, float] | None:
        """Return where it begins and ends on a side, and how far out either is [rad].

        The end after the beginning; None where no place is given. Nobody feels a lock of more
        than half a turn as one place: by the clock it is the shorter way round, for "from 7 to 8
        o'clock" is said of the left-hand side too, where the pin goes from 8 to 7.
        """
        if self.all_round:
            return 0.0, 2 * math.pi, 0.0
        start, to = (self.at, self.at) if self.at is not None else (self.start, self.to)
        if start is None or to is None:
            return None
        begin = start.on(side)
        on = (to.on(side) - begin) % (2 * math.pi)
        by_clock = start.hours is not None and to.hours is not None
        if on > math.pi and by_clock and self.what != "free":
            begin, on = to.on(side), 2 * math.pi - on
        return begin, begin + on, max(start.error, to.error)


class SeenTable(Table):
    """A gap that was seen or measured with the crank at a place."""

    gap: Annotated[
        Any,
        BeforeValidator(_gap),
        WithJsonSchema({"type": ["number", "string", "object"]}),
    ] = Field(description="the air between them: 0 where they touch")
    between: tuple[str, str] = Field(description='two parts: ["connecting rod", "slide bars"]')
    side: FeltSide | None = Field(None, description="on which side, by whose clock")
    at: OnePlace = Field(description='where the crank stood: "5 o\'clock", or degrees')
    running: Any = Field(None, description="where the reverser stood")


@dataclass(frozen=True)
class Stance:
    """How an engine stood that is not how the sheet has it.

    Attributes
    ----------
    running : str or float or None
        Where the reverser stood; None for where the sheet has it.
    pushed : tuple of (str, str)
        Axles whose wheelset was pushed over, and to which side; the others as they like.
    """

    running: Running = None
    pushed: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Off:
    """Something that was taken off.

    Attributes
    ----------
    side : str
        Of which side; empty for what belongs to none.
    key : str
        Of its table, without the side: "return_crank"; "motor" for what is on no sheet.
    stills : frozenset of str
        The tables whose parts are then gone, or stand still.
    """

    side: str
    key: str
    stills: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Felt:
    """What was felt.

    Attributes
    ----------
    what : What
        It locks, is stiff, or is free.
    side : str
        By whose clock, and on which side it seemed to be.
    begin, end : float [rad]
        That side's crank angle, the end after the beginning; a whole turn where none was given.
    error : float [rad]
        How far out either is.
    placed : bool
        Whether a place was given.
    turning : Turning or None
        Which way; None for both.
    off : tuple of Off
        What was taken off.
    running : str or float or None
        Where the reverser stood; None for where the sheet has it.
    pushed : tuple of (str, str)
        Axles whose wheelset was pushed over, and to which side.
    """

    what: What
    side: str
    begin: float
    end: float
    error: float
    placed: bool = True
    turning: Turning | None = None
    off: tuple[Off, ...] = ()
    running: Running = None
    pushed: tuple[tuple[str, str], ...] = ()

    @property
    def all_round(self) -> bool:
        """Whether it is so wherever the wheels stand, and not only somewhere."""
        return self.placed and self.end - self.begin >= 2 * math.pi


@dataclass(frozen=True)
class Seen:
    """A gap that was seen between two parts with the crank at a place [mm, rad]."""

    gap: float
    gap_error: float
    between: tuple[str, str]
    side: str
    at: float
    at_error: float
    running: Running = None
