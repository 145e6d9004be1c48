"""The job table: what the owner said, what was done by hand, what goes into the report to him.

Nothing in it is a dimension, and nothing that is found out about the motion depends on it.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field
from pydantic.json_schema import WithJsonSchema

from linkage.letters import visible
from linkage.tables.fields import Table


def _strip(value: str) -> str:
    """Return a text without white space about it, and without what no paper can show."""
    return visible(value).strip()


def _when(value: object) -> object:
    """Return a date of the file as text, "2026-03-14"; words stand as they are."""
    if isinstance(value, datetime.datetime):
        value = value.date()
    return value.isoformat() if isinstance(value, datetime.date) else value


def _several(value: object) -> object:
    """Return one text alone as a list of one."""
    if not isinstance(value, str | list | tuple):
        raise ValueError('should be a list of texts ["...", "..."]')
    return [value] if isinstance(value, str) else value


Words = Annotated[str, AfterValidator(_strip)]
"""Text in the repairer's own words."""
When = Annotated[str, BeforeValidator(_when), AfterValidator(_strip)]
"""A date, or words."""
Lines = Annotated[
    tuple[Annotated[str, Field(min_length=1), AfterValidator(_strip)], ...],
    BeforeValidator(_several),
    WithJsonSchema({"type": ["array", "string"], "items": {"type": "string"}}),
]
"""Several texts; one alone may stand without brackets."""


class Photograph(Table):
    """A photograph that goes into the report."""

    file: str = Field(min_length=1, description="JPEG or PNG, from the sheet's folder")
    caption: Words = ""


def _photograph(value: object) -> object:
    if not isinstance(value, str | Mapping | Photograph):
        raise ValueError('should be a file "lock.jpg", or { file = "lock.jpg", caption = "..." }')
    return {"file": value} if isinstance(value, str) else value


_PHOTOGRAPH_JSON: dict[str, Any] = {
    "anyOf": [
        {"type": "string"},
        {
            "type": "object",
            "additionalProperties": False,
            "required": ["file"],
            "properties": {"file": {"type": "string"}, "caption": {"type": "string"}},
        },
    ]
}
_OnePhotograph = Annotated[
    Photograph, BeforeValidator(_photograph), WithJsonSchema(_PHOTOGRAPH_JSON)
]


class Job(Table):
    """What the report says beside what was found out. All of it may be left out."""

    letterhead: Words = Field("", description="the repairer's name and address, a line each")
    owner: Words = Field("", description="whose engine it is")
    came_in: When = Field("", description="when it came in: a date, or words")
    complaint: Words = Field("", description="what came in, and what the owner said of it")
    other_work: Lines = Field((), description="what else was done, a line each")
    parts_replaced: Lines = Field((), description="new parts, a line each")
    not_original: Lines = Field((), description="what is not original, a line each")
    photographs: Annotated[tuple[_OnePhotograph, ...], BeforeValidator(_several)] = Field(
        (), description='"lock.jpg", or { file = "lock.jpg", caption = "..." }'
    )
    advice: Lines = Field((), description="how to keep it so, a line each")
    date: When = Field("", description="of the report: a date, or words")
