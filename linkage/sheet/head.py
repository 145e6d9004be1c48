"""What stands at the top of a sheet, before its tables."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationInfo
from pydantic.json_schema import WithJsonSchema

from linkage.arrangements import ARRANGEMENTS
from linkage.tables.felt import FeltTable, SeenTable
from linkage.tables.fields import Size, Table, did_you_mean
from linkage.tables.job import Job
from linkage.units import SCALES, parse_angle, parse_length

TOOLS = {"micrometer": 0.01, "callipers": 0.03, "scanner": 0.05, "rule": 0.25}
"""What a tool is good for, plus or minus [mm]: common practice, no source."""
PLACES = ("full_forward", "mid", "full_back")
"""Where a reverser can be set by name, in any arrangement: those of all their tables."""
MOST_LINES = 50
"""Of things felt, and of gaps seen."""
FELT_LINES = "what was felt in turning the wheels, a table each"
SEEN_LINES = "gaps that were seen or measured with the crank at a place, a table each"
SIDE_NAMES = ("right", "left", "only")


def _tool(value: object, info: ValidationInfo) -> float:
    if isinstance(value, str) and value.strip().isalpha():
        if value not in TOOLS:
            raise ValueError(f"should be a length, or one of {', '.join(TOOLS)}")
        return TOOLS[value]
    error = parse_length(value, str((info.context or {}).get("unit", "mm")))
    if error <= 0:
        raise ValueError("should be above 0")
    return error


def _scale(value: object) -> object:
    if isinstance(value, str) and value not in SCALES:
        near = did_you_mean(value, SCALES)
        raise ValueError(f"should be one of {', '.join(SCALES)}{near}")
    return value


def place_of_reverser(value: object) -> str | float:
    """Return a place of the reverser as typed: a name, or an angle of its arm [rad]."""
    if isinstance(value, str) and value.replace("_", "").isalpha():
        if value not in PLACES:
            near = did_you_mean(value, PLACES)
            raise ValueError(f"should be {', '.join(PLACES)} or degrees{near}")
        return value
    return parse_angle(value)


def _arrangement(value: object) -> object:
    if not isinstance(value, str) or value not in ARRANGEMENTS:
        *names, last = (f'"{name}"' for name in ARRANGEMENTS)
        near = did_you_mean(str(value), ARRANGEMENTS)
        raise ValueError(f"should be {', '.join(names)} or {last}{near}")
    return value


class Head(Table):
    """What stands at the top of a sheet, before its tables, and what belongs to no side."""

    title: str = ""
    arrangement: Annotated[str, BeforeValidator(_arrangement)]
    units: Literal["mm", "in"] = "mm"
    scale: Annotated[str, BeforeValidator(_scale)] | None = None
    measured_to: (
        Annotated[float, BeforeValidator(_tool), WithJsonSchema({"type": ["number", "string"]})]
        | None
    ) = Field(None, description="plus or minus, where a line says nothing else; or the tool")
    wanted_clearance: Size | None = Field(None, description="air asked for between moving parts")
    sides: tuple[Literal["right", "left", "only"], ...] | None = Field(None, min_length=1)
    running: Annotated[
        Any, BeforeValidator(place_of_reverser), WithJsonSchema({"type": ["number", "string"]})
    ] = Field(None, description=f"position of the reverser: {', '.join(PLACES)}, degrees")
    sure: tuple[str, ...] = Field(
        (), description="keys of unusual numbers that have been checked and are right"
    )
    job: Job = Field(Job(), description="what the report to the owner says beside the findings")
    felt: tuple[FeltTable, ...] = Field((), max_length=MOST_LINES, description=FELT_LINES)
    seen: tuple[SeenTable, ...] = Field((), max_length=MOST_LINES, description=SEEN_LINES)
