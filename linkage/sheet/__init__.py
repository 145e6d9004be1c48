"""A measurement sheet: read, checked, changed, and written blank."""

from linkage.sheet.changing import (
    change,
    is_angle,
    put_on_curve,
    rewrite,
    set_numbers,
    set_running,
    turn_bend,
)
from linkage.sheet.reading import read_sheet, sheet_from, sheet_in
from linkage.sheet.schema import json_schema
from linkage.tables.job import Job, Photograph
from linkage.tables.model import Sheet

__all__ = [
    "Job",
    "Photograph",
    "Sheet",
    "change",
    "is_angle",
    "json_schema",
    "put_on_curve",
    "read_sheet",
    "rewrite",
    "set_numbers",
    "set_running",
    "sheet_from",
    "sheet_in",
    "turn_bend",
]
