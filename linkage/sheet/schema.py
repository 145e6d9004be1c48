"""The sheet's JSON Schema, for editors."""

from __future__ import annotations

from typing import Any

from linkage.arrangements import ARRANGEMENTS
from linkage.sheet.head import SIDE_NAMES, Head
from linkage.tables.fields import Table


def json_schema(arrangement: str | None = None) -> dict[str, Any]:
    """Return the JSON Schema of the sheets of one arrangement, or of any.

    Which keys an arrangement needs is left to the reading, since a side may give what the common
    tables leave out.
    """
    chosen = ARRANGEMENTS if arrangement is None else {arrangement: ARRANGEMENTS[arrangement]}
    definitions: dict[str, Any] = {}
    properties: dict[str, Any] = {}
    kinds: list[type[Table]] = [*(held.tables for held in list(chosen.values())[::-1]), Head]
    for table in kinds:
        schema = table.model_json_schema(by_alias=True)
        definitions |= schema.pop("$defs", {})
        properties |= schema["properties"]
    properties["arrangement"] |= {"enum": list(chosen)}
    for part in definitions.values():
        part.pop("required", None)
    of_side = {key: value for key, value in properties.items() if key not in Head.model_fields}
    side = {"type": "object", "additionalProperties": False, "properties": of_side}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Measurement sheet",
        "type": "object",
        "additionalProperties": False,
        "required": ["arrangement"],
        "properties": properties | dict.fromkeys(SIDE_NAMES, side),
        "$defs": definitions,
    }
