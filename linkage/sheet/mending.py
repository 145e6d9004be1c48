"""A line with a slip of the file's own syntax mended, so that the rest of the sheet can be read.

What is mended says so by a mark that stands before its value, for its value is only what was
probably meant: the line's slip is told, and nothing else about that value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from linkage.tables.fields import Location

_MARK = "\ue002"
_WORDS = {"yes": "true", "no": "false"}
_HEADER = re.compile(r"\s*(\[{1,2})\s*([\w.\s-]+?)\s*\]*\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([A-Za-z][\w.]*(?:[ -]+\w+)*?)\s*(?:={1,2}|:=?|\s(?=[-+]?[\d.\"]))(.*)$")


def mended(line: str) -> str | None:
    """Return a line as it was probably meant, its value marked; None where no key can be seen."""
    header = _HEADER.match(line)
    if header is not None:
        name = re.sub(r"\s*\.\s*", ".", header[2])
        return f"{header[1]}{re.sub(r'[ -]+', '_', name)}{']' * len(header[1])}"
    found = _KEY.match(line)
    if found is None:
        return None
    key, value = re.sub(r"[ -]+", "_", found[1]), found[2].partition("#")[0].strip(" \t,;")
    return f"{key} = {_marked(value)}"


def _marked(value: str) -> str:
    """Return a value as a text in quotes that begins with the mark."""
    plain = re.sub(r"[\"'\\\u201c\u201d\u201e\u2018\u2019]", "", value)
    word = _WORDS.get(plain.lower(), plain)
    return f'"{_MARK}{"".join(c for c in word if c.isprintable())}"'


def unmarked(data: Any) -> tuple[Any, tuple[Location, ...]]:
    """Return data without the marks, and where they stood: steps from the top."""
    places = tuple(_marks(data, ()))
    return _without(data), places


def _marks(value: Any, above: Location) -> Iterator[Location]:
    if isinstance(value, str) and value.startswith(_MARK):
        yield above
    inner = value.items() if isinstance(value, Mapping) else ()
    for step, held in enumerate(value) if isinstance(value, list) else inner:
        yield from _marks(held, (*above, step))


def _without(value: Any) -> Any:
    if isinstance(value, str):
        return value.removeprefix(_MARK)
    if isinstance(value, list):
        return [_without(held) for held in value]
    if isinstance(value, dict):
        return {key: _without(held) for key, held in value.items()}
    return value
