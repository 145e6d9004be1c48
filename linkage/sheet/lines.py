"""The lines of a blank sheet one by one: what stands to be measured, in the order of the sheet."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from linkage.arrangements import Arrangement
from linkage.sheet.blank import (
    TYPICAL,
    Made,
    Row,
    arranged,
    head_rows,
    keyed_lines,
    scale_factor,
    scaled,
    sections_of,
)
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.facts import Degrees, facts_of, fields_by_key, table_of
from linkage.tables.fields import read_length
from linkage.tables.origin import Source, source_of

_HINTED = re.compile(r"^\w+ = .*?(?:# (.*))?$")


@dataclass(frozen=True)
class BlankLine:
    """One reading of a blank sheet."""

    section: str  # the table it stands in; "" above all tables
    # where in that table, dots between: "nut.diameter"; a list's places are numbered from 1
    key: str
    value: Any  # what the blank sheet has there [in its unit]
    hint: str  # how it is measured; the readings of one line share it
    unit: str  # what is written there
    optional: bool = False  # whether it may be left out
    no_place: str = ""  # why no calliper goes there, where none does
    place: int = 0  # in the list that it is one of, from 1; 0 where it is in none

    @property
    def full(self) -> str:
        """The whole key, as messages have it."""
        return f"{self.section}.{self.key}" if self.section else self.key

    @property
    def line(self) -> str:
        """The whole key of the sheet's line it stands in."""
        head = self.key.split(".")[0]
        return f"{self.section}.{head}" if self.section else head


def blank_lines(
    arrangement: str,
    scale: str | None = None,
    wheels: WheelArrangement | None = None,
    unit: str = "mm",
) -> tuple[BlankLine, ...]:
    """Return every reading that a blank sheet has a place for, commented ones too.

    In the order of the sheet, which is the order of measuring.

    `scale`: a key of `linkage.units.SCALES`; 4 mm to the foot where none is given. `wheels`: the
    coupled axles; as the arrangement has them where not given. `unit`: in which lengths are
    written, "mm" or "in".

    Examples
    --------
    >>> [line.full for line in blank_lines("slider-crank") if line.section == "wheels"][:3]
    ['wheels.throw', 'wheels.side_play', 'wheels.right_leads_by']
    """
    held = arranged(arrangement)
    if held.blank:
        return tuple(_of_text(held))
    made = Made(scale_factor(scale), unit)
    sections = (("", head_rows(arrangement, scale, unit)), *sections_of(arrangement, wheels))
    return tuple(
        line for section, rows in sections for row in rows for line in _of_row(section, row, made)
    )


def _of_row(section: str, row: Row, made: Made) -> Iterator[BlankLine]:
    # what stands above all tables is no size of a part
    made = made if section else Made(1.0, made.unit)
    for key, value, place in _leaves(row.key, row.value):
        plain, unit = scaled(value, made), _unit(value, made)
        yield BlankLine(section, key, plain, row.hint, unit, row.rare, row.no_place, place)


def _leaves(key: str, value: Any) -> Iterator[tuple[str, Any, int]]:
    """Yield the readings of a line, and their places in a list.

    A bend is one, and so is a place [ahead, up].
    """
    if isinstance(value, Mapping):
        for inner, held in value.items():
            yield from _leaves(f"{key}.{inner}", held)
    elif isinstance(value, list | tuple) and not isinstance(value[0], Mapping):
        for number, held in enumerate(value, 1):
            yield f"{key}.{number}", held, number
    else:
        yield key, value, 0


def _unit(value: Any, made: Made) -> str:
    if isinstance(value, str):
        return "word"
    return "degrees" if isinstance(value, Degrees) else made.unit


def _of_text(arrangement: Arrangement) -> Iterator[BlankLine]:
    """Yield the readings of a sheet that is a text; of its parts and pins under their names."""
    hints = dict(_hints(arrangement.blank))
    for name, held in tomllib.loads(arrangement.blank).items():
        if isinstance(held, Mapping):
            tables: Iterable[tuple[str, Mapping[str, Any]]] = [(name, held)]
        elif isinstance(held, list):
            tables = [(f"{name}.{table['name']}", table) for table in held]
        else:
            yield BlankLine("", name, held, hints.get((name, ""), ""), "word")
            continue
        fields = fields_by_key(table_of(arrangement.tables, (name,)))
        for section, table in tables:
            for key, value in table.items():
                why = facts_of(fields[key]).no_place
                for line in _of_table(section, key, value, hints):
                    yield replace(line, no_place=why)


def _of_table(
    section: str, key: str, value: Any, hints: Mapping[tuple[str, str], str]
) -> Iterator[BlankLine]:
    hint = hints.get((section, key), "")
    inner = value.items() if isinstance(value, Mapping) else [("", value)]
    for name, held in inner:
        guess = source_of(held) is Source.GUESSED
        number = read_length(held, "mm") if guess else held
        unit = "mm" if isinstance(number, float) or _holds_place(held) else "word"
        yield BlankLine(section, f"{key}.{name}" if name else key, number, hint, unit)


def _holds_place(value: Any) -> bool:
    """Return whether a value is a place on the frame [mm], or joins a part to one."""
    if not isinstance(value, list):
        return False
    return all(isinstance(x, float) for x in value) or any(_holds_place(held) for held in value)


def _hints(text: str) -> Iterator[tuple[tuple[str, str], str]]:
    """Yield what stands beside each key of a linkage, by its table and its key."""
    for section, key, line in keyed_lines(text):
        found = _HINTED.match(line)
        if found is not None:
            hint = (found[1] or "").replace(TYPICAL.rstrip(": "), "").strip(": ")
            yield ((section, key) if section else (key, "")), hint
