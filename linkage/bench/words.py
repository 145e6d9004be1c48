"""What the report says in the repairer's own words, as the page has it: the sheet's job table."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from typing import Any

from linkage.errors import Problem, SheetError
from linkage.report.voice import capital
from linkage.sheet import Job
from linkage.sheet.changing import edited
from linkage.tables.facts import fields_by_key

_FILES = frozenset({"photographs"})
"""What is not typed: names of files beside the sheet."""
_LONG = frozenset({"letterhead", "complaint"})
"""Texts that have lines of their own."""
_JOB = "job"
LONGEST = 2000
"""Of one of them, in letters."""


def words_data(typed: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return each of them: its key, what it is, what stands on the sheet, whether it has lines."""
    job = typed.get(_JOB)
    held = job if isinstance(job, Mapping) else {}
    return [
        {
            "key": key,
            "says": capital(field.description or key),
            "typed": _said(held.get(key, "")),
            "lines": _is_list(field.default) or key in _LONG,
        }
        for key, field in fields_by_key(Job).items()
        if key not in _FILES
    ]


def _said(value: Any) -> str:
    return "\n".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def _is_list(default: Any) -> bool:
    return isinstance(default, tuple)


def with_words(text: str, source: str, key: str, typed: str) -> str:
    """Return a sheet's text with words of the report as typed; none takes them off.

    Raises
    ------
    SheetError
        Where the report has no such words.
    """
    fields = fields_by_key(Job)
    if key not in fields or key in _FILES:
        raise SheetError(source, [Problem(f"{_JOB}.{key}", "is nothing that the report says")])
    lines = [line.strip() for line in typed.splitlines() if line.strip()]
    value: Any = lines if _is_list(fields[key].default) else "\n".join(lines)

    def put_in(document: MutableMapping[str, Any], _: Mapping[str, Any]) -> None:
        if value:
            document.setdefault(_JOB, {})[key] = value
        elif key in document.get(_JOB, {}):
            del document[_JOB][key]

    return edited(text, put_in)
