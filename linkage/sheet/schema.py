"""The sheet's JSON Schema, for editors."""

from __future__ import annotations

from typing import Any

from linkage.sheet.fields import Table
from linkage.sheet.head import Head
from linkage.sheet.tables import ARRANGEMENTS


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema of a sheet, made from its tables.

    Any key of any arrangement is known; which of them an arrangement needs is left to the
    reading, since a side may give what the common tables leave out.
    """
    definitions: dict[str, Any] = {}
    properties: dict[str, Any] = {}
    for table in (Head, *ARRANGEMENTS.values()):
        schema = _schema_of(table)
        definitions |= schema.pop("$defs", {})
        properties |= schema["properties"]
    for part in definitions.values():
        part.pop("required", None)
    tables = {key: value for key, value in properties.items() if key not in Head.model_fields}
    side = {"type": "object", "additionalProperties": False, "properties": tables}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Measurement sheet",
        "type": "object",
        "additionalProperties": False,
        "required": ["arrangement"],
        "properties": properties | dict.fromkeys(("right", "left", "only"), side),
        "$defs": definitions,
    }


def _schema_of(table: type[Table]) -> dict[str, Any]:
    schema = table.model_json_schema(by_alias=True)
    _strip(schema)
    return schema


def _strip(schema: Any) -> None:
    """Take out marks that are only ours, in place."""
    if isinstance(schema, dict):
        schema.pop("assumed", None)
        for inner in schema.values():
            _strip(inner)
    elif isinstance(schema, list):
        for inner in schema:
            _strip(inner)
