"""The kinds of value a sheet holds: lengths, angles, points, outlines, places."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, cast

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ValidationInfo,
)
from pydantic.json_schema import WithJsonSchema

from linkage.lengths import Say, lengths_in
from linkage.tables.origin import without_source
from linkage.tables.views import View
from linkage.units import parse_angle, parse_length

Point = tuple[float, float]
Location = tuple[int | str, ...]
"""A place in the file: steps from the top, or from a table; lists counted from 0."""
_TABLE_FORMS = (("value", ""), ("outside_to_outside", "ends"), ("inside_to_inside", "holes"))
DIMENSION_KEYS = frozenset(
    {"value", "outside_to_outside", "inside_to_inside", "rise", "run", "measured_to"}
)
"""A table with one of these is a single dimension, not a table of several."""


@dataclass(frozen=True)
class Kind:
    """Marks a field as a dimension: "length" [mm], "hole" [mm] or "angle" [rad]."""

    name: str


class Table(BaseModel):
    """A table of a sheet: only known keys, and nothing changes once it is read.

    ORDER has the keys that are measured before the rest; VIEWS how it is drawn to be measured, by
    the names that its fields' callipers have for its views. INSTEAD has groups of choices, each of
    one or more keys: where a side gives one choice, the common others no longer hold.
    """

    ORDER: ClassVar[tuple[str, ...]] = ()
    VIEWS: ClassVar[Mapping[str, View]] = {}
    INSTEAD: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = ()

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    def other_ways(self, _side: Any) -> Mapping[str, Any]:
        """Return what it holds by the choices of INSTEAD that were not typed, as one would type it.

        `_side`: the tables of its side.
        """
        return {}


def nearest(word: str, known: Iterable[str]) -> list[str]:
    """Return the known words that a mistyped one may be meant for, at most three.

    The nearest by its letters; else those that it is short for, or that are short for it.

    Examples
    --------
    >>> nearest("centers", ["centres", "width"])
    ['centres']
    >>> nearest("lap", ["steam_lap", "exhaust_lap", "port"])
    ['exhaust_lap', 'steam_lap']
    >>> nearest("inches", ["mm", "in"])
    ['in']
    """
    words = sorted(known)
    near = difflib.get_close_matches(word, words, n=1, cutoff=0.6)
    part = [whole for whole in words if word in whole.split("_")]
    short = [whole for whole in words if word.startswith(whole)]
    return near or part[:3] or short[-1:]


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return a question naming the known words nearest to a mistyped one, or nothing."""
    near = " or ".join(f'"{one}"' for one in nearest(word, known))
    return f"; did you mean {near}?" if near else ""


def is_dimension(value: object) -> bool:
    """Return whether a table in the file is one dimension written as a table."""
    return isinstance(value, Mapping) and not DIMENSION_KEYS.isdisjoint(value)


def _unit(info: ValidationInfo) -> str:
    return str((info.context or {}).get("unit", "mm"))


def say_in(info: ValidationInfo) -> Say:
    """Return how lengths are said of a sheet that is being checked."""
    return lengths_in(_unit(info)).plainly


def measured_to(value: object, unit: str) -> float | None:
    """Return the measuring error written beside a dimension [mm], if one is."""
    if not isinstance(value, Mapping) or "measured_to" not in value:
        return None
    error = parse_length(value["measured_to"], unit)
    if error <= 0:
        raise ValueError("measured_to should be above 0")
    return error


def read_length(value: object, unit: str) -> float:
    """Return a length [mm] from a number, a text or a table of the file."""
    if not isinstance(value, Mapping):
        return parse_length(without_source(value), unit)
    form, extra = _form(value)
    measured_to(value, unit)
    length = parse_length(without_source(value[form]), unit)
    if not extra:
        return length
    halves = sum(_pair(value.get(extra), extra, unit)) / 2
    return length - halves if form == "outside_to_outside" else length + halves


def _form(value: Mapping[str, object]) -> tuple[str, str]:
    """Return which way a dimension's table gives it, and the key that goes with that way."""
    known = {key for form in _TABLE_FORMS for key in form if key} | {"measured_to"}
    for key in value:
        if key not in known:
            raise ValueError(f'has an unknown key "{key}"{did_you_mean(key, known)}')
    forms = [form for form in _TABLE_FORMS if form[0] in value]
    if len(forms) != 1:
        raise ValueError("should give exactly one of value, outside_to_outside, inside_to_inside")
    form, extra = forms[0]
    idle = set(value) - {form, extra, "measured_to"}
    if idle:
        raise ValueError(f"has {' and '.join(sorted(idle))}, which does not go with {form}")
    return form, extra


def _pair(value: object, key: str, unit: str) -> tuple[float, float]:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError(f"needs {key} = [one end, other end], both diameters")
    pair = (parse_length(value[0], unit), parse_length(value[1], unit))
    if min(pair) <= 0:
        raise ValueError(f"{key} should be above 0")
    return pair


def _length(value: object, info: ValidationInfo) -> float:
    return read_length(value, _unit(info))


def _angle(value: object, info: ValidationInfo) -> float:
    if not isinstance(value, Mapping):
        return parse_angle(without_source(value))
    forms = [form for form in _ANGLE_FORMS if set(value) - {"measured_to"} == form]
    if not forms:
        wanted = "{ value = ..., measured_to = ... }, or { rise = ..., run = ... }"
        raise ValueError(f"should be an angle, or {wanted}")
    if parse_angle(value.get("measured_to", 1.0)) <= 0:
        raise ValueError("measured_to should be above 0")
    if "value" in value:
        return parse_angle(without_source(value["value"]))
    rise, run = (parse_length(without_source(value[key]), _unit(info)) for key in ("rise", "run"))
    if not (rise or run):
        raise ValueError("has neither rise nor run: they say how far one edge goes from the other")
    return math.atan2(rise, run)


_ANGLE_FORMS: tuple[set[str], ...] = ({"value"}, {"rise", "run"})


class At(ValueError):  # noqa: N818 (it says where)
    """Something wrong at a place inside the table that is being checked.

    Parameters
    ----------
    location : sequence
        Steps from that table to the place.
    wrong : str
        What is wrong there, in words.
    """

    def __init__(self, location: Location, wrong: str) -> None:
        self.location = tuple(location)
        super().__init__(wrong)


_LEAST = 1e-6
"""Of a size [mm]: below the wavelength of light nothing is measured with a calliper."""


def _above_zero(value: float) -> float:
    if value <= 0:
        raise ValueError("should be above 0")
    if value < _LEAST:
        raise ValueError("is smaller than anything that can be measured; should be above 0.000001")
    return value


def _not_below_zero(value: float) -> float:
    if value < 0:
        raise ValueError("should not be below 0")
    return value


LENGTH_JSON: dict[str, Any] = {
    "anyOf": [
        {"type": "number"},
        {"type": "string"},
        {
            "type": "object",
            "additionalProperties": False,
            "properties": {
                "value": {"type": ["number", "string"]},
                "measured_to": {"type": ["number", "string"]},
                "outside_to_outside": {"type": ["number", "string"]},
                "ends": {"type": "array", "minItems": 2, "maxItems": 2},
                "inside_to_inside": {"type": ["number", "string"]},
                "holes": {"type": "array", "minItems": 2, "maxItems": 2},
            },
        },
    ]
}
"""JSON Schema of a length."""
_LENGTH_SCHEMA = WithJsonSchema(LENGTH_JSON)
_ANGLE_SCHEMA = WithJsonSchema({"type": ["number", "string", "object"]})
_POINT_SCHEMA = WithJsonSchema(
    {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": ["number", "string"]}}
)

Length = Annotated[float, BeforeValidator(_length), Kind("length"), _LENGTH_SCHEMA]
"""A length of either sign [mm]."""
Size = Annotated[
    float, BeforeValidator(_length), AfterValidator(_above_zero), Kind("length"), _LENGTH_SCHEMA
]
"""A length above 0 [mm]."""
Amount = Annotated[
    float,
    BeforeValidator(_length),
    AfterValidator(_not_below_zero),
    Kind("length"),
    _LENGTH_SCHEMA,
]
"""A length not below 0 [mm]."""
Angle = Annotated[float, BeforeValidator(_angle), Kind("angle"), _ANGLE_SCHEMA]
"""An angle, degrees in the file [rad]."""


def _point(value: object, info: ValidationInfo) -> Point:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("should be a point [ahead, up]")
    return parse_length(value[0], _unit(info)), parse_length(value[1], _unit(info))


Spot2D = Annotated[Point, BeforeValidator(_point), _POINT_SCHEMA]
"""A point [mm]."""


def _place(value: object, info: ValidationInfo) -> str | Point:
    if isinstance(value, str):
        part, dot, point = value.rpartition(".")
        if not (dot and part.strip() and point.strip()):
            raise ValueError('should be "part.point", or [ahead, up] for a place on the frame')
        return value
    return _point(value, info)


PlaceName = Annotated[Any, BeforeValidator(_place), WithJsonSchema({"type": ["string", "array"]})]
"""``"part.point"``, or a bare point for a place on the frame [mm]."""


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _between(a: Point, b: Point, p: Point) -> bool:
    """Return whether a point known to be on the line of `a` and `b` lies from one to the other."""
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def _edges_meet(edge: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    (a, b), (c, d) = edge, other
    sides = _cross(c, d, a), _cross(c, d, b), _cross(a, b, c), _cross(a, b, d)
    if sides[0] * sides[1] < 0 and sides[2] * sides[3] < 0:
        return True
    ends = ((c, d, a), (c, d, b), (a, b, c), (a, b, d))
    return any(
        side == 0 and _between(start, stop, p)
        for side, (start, stop, p) in zip(sides, ends, strict=True)
    )


_CORNERS = 400
"""Of an outline at most: every edge is held against every other."""
_INWARD = 40
"""Corners at most where an outline turns inwards: about as many convex pieces is it cut into."""


def check_outline(corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return an outline as it is, once it is known to be one.

    `corners` [mm]: in order round the plate; the first need not be repeated at the end. They come
    back counter-clockwise, without repeats.

    Raises
    ------
    ValueError
        Too many corners, or that turn inwards; fewer than 3 different, all in one line, or
        crossing itself.
    """
    if len(corners) > _CORNERS:
        raise ValueError(f"has {len(corners)} corners, and {_CORNERS} are the most: leave some out")
    tidy = tuple(p for i, p in enumerate(corners) if p != corners[i - 1])
    if len(set(tidy)) < 3:
        raise ValueError("should have at least 3 different corners")
    edges = [(p, tidy[(i + 1) % len(tidy)]) for i, p in enumerate(tidy)]
    count = len(edges)
    for i in range(count):
        for j in range(i + 1, count):
            if (j - i) % count not in (1, count - 1) and _edges_meet(edges[i], edges[j]):
                raise ValueError(
                    f"crosses itself: the edge from corner {i + 1} meets that from corner {j + 1}"
                )
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in edges) / 2
    span = max(math.dist(a, b) for a, b in edges)
    if abs(area) < 1e-9 * span**2:
        raise ValueError("should not have all its corners in one line")
    round_about = tidy if area > 0 else tidy[::-1]
    inward = sum(_cross(a, b, c) < 0 for a, b, c in _corners_of(round_about))
    if inward > _INWARD:
        raise ValueError(
            f"turns inwards at {inward} corners, and {_INWARD} are the most: leave some out"
        )
    return round_about


def _corners_of(outline: tuple[Point, ...]) -> Iterator[tuple[Point, Point, Point]]:
    """Yield each corner between the one before it and the one after."""
    return zip(outline[-1:] + outline[:-1], outline, outline[1:] + outline[:1], strict=True)


def _outline(value: object, info: ValidationInfo) -> tuple[Point, ...]:
    if not isinstance(value, list | tuple):
        raise ValueError("should be a list of corners [[ahead, up], ...]")
    return check_outline(tuple(_point(cast(object, corner), info) for corner in value))


Outline = Annotated[
    tuple[Point, ...],
    BeforeValidator(_outline),
    WithJsonSchema({"type": "array", "minItems": 3, "items": {"type": "array"}}),
]
"""Corners of a plate, in order, not crossing itself [mm]."""


def exactly_one(table: Table, names: Sequence[str]) -> str:
    """Return which one of some fields is given; ValueError unless it is just one."""
    given = [name for name in names if getattr(table, name) is not None]
    if len(given) != 1:
        found = f", not {' and '.join(given)} together" if given else ""
        raise ValueError(f"give exactly one of {', '.join(names)}{found}")
    return given[0]
