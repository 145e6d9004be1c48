"""How the holes of coupling rods and the plays are written on a sheet, and what is made of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, cast

from pydantic import AfterValidator, BeforeValidator, ValidationInfo
from pydantic.json_schema import WithJsonSchema

from linkage.tables.fields import (
    LENGTH_JSON,
    Amount,
    Kind,
    did_you_mean,
    is_dimension,
    read_length,
)

NO_PLAY = (
    "should be above 0: with no play at all nothing turns; measure it, or leave it out to have it "
    "assumed"
)


@dataclass(frozen=True)
class Hole:
    """A hole of a coupling rod."""

    along: float  # [mm] its width along the rod and across it; the same in a round one
    across: float
    round: bool = True  # whether it was given by its diameter alone


def _unit(info: ValidationInfo) -> str:
    return str((info.context or {}).get("unit", "mm"))


def _size(value: object, unit: str, what: str = "") -> float:
    try:
        size = read_length(value, unit)
    except ValueError as error:
        raise ValueError(f"{what}{error}") from error
    if size <= 0:
        raise ValueError(f"{what}should be above 0")
    return size


def _read_hole(value: object, unit: str, what: str = "") -> Hole:
    """Return a hole from a diameter, or from ``{ along = ..., across = ... }`` where it is worn."""
    if not isinstance(value, Mapping) or (is_dimension(value) and "along" not in value):
        size = _size(value, unit, what)
        return Hole(size, size)
    for key in value:
        if key not in ("along", "across"):
            near = did_you_mean(key, ("along", "across"))
            raise ValueError(f'{what}has an unknown key "{key}"{near}')
    if len(value) != 2:
        raise ValueError(f"{what}a worn hole needs both along and across, as wide as it is")
    along, across = (_size(value[key], unit, f"{what}{key} ") for key in ("along", "across"))
    return Hole(along, across, round=False)


def _hole(value: object, info: ValidationInfo) -> Hole:
    return value if isinstance(value, Hole) else _read_hole(value, _unit(info))


def _holes(value: object, info: ValidationInfo) -> tuple[Hole, ...]:
    if not isinstance(value, list | tuple):
        raise ValueError("should be a list of holes, one for each pin, rear to front")
    return tuple(
        _read_hole(cast(object, hole), _unit(info), f"hole {number}: ")
        for number, hole in enumerate(value, 1)
    )


def _centres(value: object, info: ValidationInfo) -> float | tuple[float, ...]:
    unit = _unit(info)
    if isinstance(value, list | tuple):
        return tuple(
            _size(cast(object, span), unit, f"span {number}: ")
            for number, span in enumerate(value, 1)
        )
    return _size(value, unit)


_LEAST_PLAY = 1e-3
"""Of a pin in its hole [mm]: with less it does not turn, and where it binds is sought for ever."""


def _some_play(value: float) -> float:
    if value <= 0:
        raise ValueError(NO_PLAY)
    if value < _LEAST_PLAY:
        raise ValueError("is less play than can be measured; should be 0.001 mm or more")
    return value


_HOLE_JSON = {
    "anyOf": [
        LENGTH_JSON,
        {
            "type": "object",
            "additionalProperties": False,
            "properties": {"along": LENGTH_JSON, "across": LENGTH_JSON},
        },
    ]
}
AnyHole = Annotated[Hole, BeforeValidator(_hole), Kind("hole"), WithJsonSchema(_HOLE_JSON)]
"""A hole: its diameter, or how wide it is along and across the rod where it is worn [mm]."""
Holes = Annotated[
    tuple[Hole, ...],
    BeforeValidator(_holes),
    Kind("hole"),
    WithJsonSchema({"type": "array", "items": _HOLE_JSON}),
]
"""Holes of one rod, rear to front [mm]."""
Spans = Annotated[
    float | tuple[float, ...],
    BeforeValidator(_centres),
    Kind("length"),
    WithJsonSchema({"anyOf": [LENGTH_JSON, {"type": "array", "items": LENGTH_JSON}]}),
]
"""Centre to centre of a rod's holes: one length, or one for each span, rear to front [mm]."""
Play = Annotated[Amount, AfterValidator(_some_play)]
"""A play, total, above 0 [mm]."""
