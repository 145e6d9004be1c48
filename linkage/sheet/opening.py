"""A file to its text, and the text to data; slips of its syntax in plain words, all at once."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkage.errors import Problem, SheetError
from linkage.letters import visible
from linkage.sheet.mending import mended, unmarked
from linkage.tables.fields import Location

DEEPEST = 20
"""Brackets within brackets that a sheet may have."""
_MOST = 20  # slips of syntax that are told at once
_TRIES = 4  # changes of one line, before it is given up
_LONGEST = 60  # letters of a line that are shown
_ONE_LINE = re.compile(r"\s*[^\s=\[\]{}#,]+\s*[:=]|\s*\[{1,2}\s*[A-Za-z]|\s*[A-Za-z][\w.]*\s")
_YES = ("True", "False", "yes", "no", "Yes", "No")
_LINES = (
    "a line is the name of a table, [wheels], or a key with its value, throw = 4.33, or a remark, "
    "which begins with #"
)
_VALUES = 'a value is a number, words in quotes "...", a list in [ ], or several keys in { }'
_BEGINS = re.compile(r"\s*[\w.]+\s*=|\s*\[{1,2}\s*[A-Za-z]")
_FAR = 40  # lines above, where a list that was left open is looked for
_TWICE = ("Cannot declare", "Cannot overwrite", "Cannot mutate", "Duplicate")
_TOO_LONG = "a number has thousands of digits"


def read_text(path: Path, source: str) -> str:
    """Return the text of a file, line ends and byte order mark as they are.

    Raises
    ------
    SheetError
        Where it cannot be read, or is no text.
    """
    try:
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError as error:
        raise _refuse(source, "there is no such file") from error
    except IsADirectoryError as error:
        raise _refuse(source, "is a directory; name the sheet's file") from error
    except UnicodeDecodeError as error:
        raise _refuse(source, "is not text in UTF-8; save it as UTF-8") from error
    except (OSError, ValueError) as error:  # ValueError: a name that can be none
        raise _refuse(source, f"cannot be read: {getattr(error, 'strerror', error)}") from error


@dataclass(frozen=True)
class Opened:
    """What a text holds, as far as it can be read."""

    data: dict[str, Any]  # its words without what cannot be shown
    slips: tuple[Problem, ...] = ()  # of its syntax
    # where a line was mended to read on; None where something was lost that others may miss
    mended: tuple[Location, ...] | None = ()


def open_text(text: str, source: str) -> Opened:
    """Return what the text of a sheet holds, lines with slips as they were probably meant.

    Raises
    ------
    SheetError
        Where it is deeper than any sheet, or has names or numbers that none has.
    """
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").split("\n")
    slips: dict[int, Problem] = {}
    tries = Counter[int]()
    lost = False
    while True:
        try:
            data = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            number = _line_of(str(error), lines)
            number = _opening(lines, number) or number
            slips.setdefault(number, Problem("", _slip(str(error), number, lines)))
            line = lines[number - 1]
            # what goes on over several lines cannot be left out to look at the rest
            whole = _ONE_LINE.match(line) and (_left_open(line) or "Unclosed" not in str(error))
            if len(slips) == _MOST or not whole:
                return Opened({}, tuple(slips.values()), None)
            again = None if any(word in str(error) for word in _TWICE) else mended(line)
            if again is None or again == line:
                again = f"[slip-{number}]" if line.lstrip().startswith("[") else ""
                lost |= "Cannot overwrite" not in str(error)
            tries[number] += 1
            if again == lines[number - 1] or tries[number] > _TRIES:
                # what is wrong is not where it shows: nothing more can be read
                return Opened({}, tuple(slips.values()), None)
            lines[number - 1] = again
        except RecursionError as error:
            raise _too_deep(source) from error
        except ValueError as error:  # of Python's own, for a number
            raise _refuse(source, f"cannot be read: {_TOO_LONG}") from error
        else:
            break
    data, places = unmarked(data)
    clean = {key: _cleaned(value, source) for key, value in _keys_of(data, source)}
    return Opened(clean, tuple(slips[k] for k in sorted(slips)), None if lost else places)


def data_in(text: str, source: str) -> dict[str, Any]:
    """Return what a TOML text holds, its words without what cannot be shown.

    Raises
    ------
    SheetError
        Holds every slip of its syntax that could be told.
    """
    opened = open_text(text, source)
    if opened.slips:
        raise SheetError(source, opened.slips)
    return opened.data


def _refuse(source: str, wrong: str) -> SheetError:
    return SheetError(source, [Problem("", wrong)])


def _too_deep(source: str) -> SheetError:
    return _refuse(source, f"has brackets within brackets, more than {DEEPEST} deep")


def _keys_of(table: Mapping[str, Any], source: str) -> Iterator[tuple[str, Any]]:
    for key, value in table.items():
        if visible(key) != key or "\n" in key:
            shown = visible(key).replace("\n", " ")[:_LONGEST]
            raise SheetError(source, [Problem(shown, "has letters that cannot be shown in it")])
        yield key, value


def _cleaned(value: object, source: str, deep: int = 1) -> object:
    """Return a value of the file with its words cleaned."""
    if deep > DEEPEST:
        raise _too_deep(source)
    if isinstance(value, str):
        return visible(value)
    if isinstance(value, list):
        return [_cleaned(held, source, deep + 1) for held in value]
    if isinstance(value, dict):
        held = _keys_of(value, source)
        return {key: _cleaned(inner, source, deep + 1) for key, inner in held}
    return value


def _line_of(message: str, lines: list[str]) -> int:
    """Return the number of the line that a message is about, from 1; where it ended, the last."""
    match = re.search(r"at line (\d+)", message)
    if match:
        return min(int(match[1]), len(lines))
    return max((i for i, line in enumerate(lines, 1) if line.strip()), default=1)


def _left_open(line: str) -> bool:
    """Tell whether a line opens a list or a table in braces that it does not close."""
    value = line.partition("=")[2].partition("#")[0]
    return value.count("[") > value.count("]") or value.count("{") > value.count("}")


def _opening(lines: list[str], number: int) -> int | None:
    """Return the line of a list left open, where the next line begins something else; else None.

    `number`: the line at which that was seen.
    """
    for k in range(number, max(number - _FAR, 0), -1):
        line, after = lines[k - 1], next((held for held in lines[k:] if held.strip()), "[]")
        if _left_open(line):
            return k if _BEGINS.match(after) else None
        if line.lstrip().startswith("["):
            return None
    return None


def _slip(message: str, number: int, lines: list[str]) -> str:
    """Return what is wrong with a line that is no TOML, and what is to be written there."""
    line = lines[number - 1].strip()
    reason = message.partition(" (at ")[0]
    shown = visible(line)
    found = shown if len(shown) <= _LONGEST else f"{shown[: _LONGEST - 3]}..."
    hint = _hint(reason, line) or f"{_LINES}; {_VALUES}"
    return f"line {number} cannot be read: {hint} (found {found})"


def _hint(reason: str, line: str) -> str:
    """Return in plain words what was slipped, as far as it shows; else nothing."""
    key, equals, rest = line.partition("=")
    value = rest.partition("#")[0].strip()
    for fits, hint in (
        ("Unclosed array" in reason, "a list that is opened with [ has no ] at its end"),
        ("Cannot declare" in reason, "this table stands there already; put both together"),
        ("Cannot overwrite" in reason, "this key stands there already; keep one of them"),
        (re.search("[\u201c\u201d\u201e\u2018\u2019]", line), 'quotes are written straight, "..."'),
        (line.startswith("[") and line.count("[") != line.count("]"), "a bracket is missing"),
        (
            line.startswith("[") and " " in line.strip("[] "),
            "the name of a table is one word; its words are joined by _",
        ),
        (re.match("//|;|--|/[*]", line), "a remark begins with #"),
        (not equals and ":" in line, "a value is given with =, not with :"),
        (not equals, _LINES),
        (not key.strip(), "there is no key before ="),
        (value.startswith("="), "a value is given with one =, not with two"),
        (not value, "there is no value after ="),
        (
            re.match(r"[-+]?\d+,\d", value),
            'a number with a decimal comma is written in quotes, "4,33"',
        ),
        (
            re.match(r"[-+]?\d[\d./ -]*(in|mm|cm|thou|deg|\"|/|\u00b0)", value),
            'a number with its unit is written in quotes, "3/32 in"',
        ),
        (
            "\\" in value and "scape" in reason,
            "in quotes no \\ may stand; in the name of a file write / for it",
        ),
        (re.match(r"\"[^\"]*\"\s*[^\s#]", value), "the whole of a value stands in the quotes"),
        (value[-1:] in (",", ";"), "no comma or semicolon stands at the end of a line"),
        (
            re.match(r"[-+]?\d[\d.]*\s+[^\s#]", value),
            "after a number only a remark may stand, which begins with #",
        ),
        (
            re.match(r"[A-Za-z](?!.*\"$)", value) and value not in _YES,
            'words are written in quotes, "..."',
        ),
        (value.count('"') % 2 or value.count("'") % 2, "a quote is missing"),
        (value.count("[") != value.count("]"), "a bracket is missing"),
        (value.count("{") != value.count("}"), "a brace is missing"),
        (
            value in _YES,
            "yes and no are written true, false",
        ),
        (re.match(r"[A-Za-z]", value), 'words are written in quotes, "..."'),
        (re.match(r"[-+]?(\.\d|\d+\.(?!\d)|0\d)", value), "a number is written like 0.5 or 4.0"),
        (" " in key.strip(), "a key is one word; its words are joined by _"),
    ):
        if fits:
            return hint
    return ""
