"""A sheet's text with numbers as a person typed them, comments, order and line ends kept."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from typing import Any

from linkage.bench.typed import typed_of, value_of
from linkage.errors import Problem, SheetError
from linkage.report.naming import name_number, side_of
from linkage.sheet import Sheet
from linkage.sheet.changing import edited, steps_of
from linkage.sheet.head import SIDE_NAMES, Head
from linkage.sheet.merging import put, value_at
from linkage.sheet.saying import felt_in
from linkage.tables.fields import Location


@dataclass(frozen=True)
class Edit:
    """One number as typed; `typed` None takes it off the sheet."""

    key: str
    typed: str | None
    sure: bool = False  # whether the person says that it is right, unusual as it is


def with_edits(text: str, edits: Sequence[Edit], source: str) -> str:
    """Return a sheet's text with numbers changed.

    Raises
    ------
    SheetError
        Where one is typed so that it cannot be written down, or a place is not there.
    """
    problems = []

    def put_in(document: MutableMapping[str, Any], before: Mapping[str, Any]) -> None:
        for edit in edits:
            try:
                _put(document, before, edit)
            except (ValueError, LookupError, TypeError, AttributeError) as error:
                said = str(error) if type(error) is ValueError else "is no place of this sheet"
                problems.append(Problem(edit.key, said, edit.typed or ""))
        sure = [edit.key for edit in edits if edit.sure]
        if sure:
            document["sure"] = [*dict.fromkeys((*before.get("sure", ()), *sure))]

    after = edited(text, put_in)
    if problems:
        raise SheetError(source, problems)
    return after


def with_felt(text: str, lines: Sequence[Any], source: str) -> str:
    """Return a sheet's text with other lines of what was felt: sentences, or tables as typed.

    Raises
    ------
    SheetError
        Where a sentence does not say what was felt.
    """
    import tomlkit

    problems: list[Problem] = []
    tables: list[dict[str, Any]] = []
    for number, line in enumerate(lines, 1):
        try:
            tables += felt_in(line) if isinstance(line, str) else [dict(line)]
        except (ValueError, TypeError) as error:
            problems.append(Problem(f"felt[{number}]", str(error), str(line)))
    if problems:
        raise SheetError(source, problems)

    def put_in(document: MutableMapping[str, Any], _: Mapping[str, Any]) -> None:
        document.pop("felt", None)
        if tables:
            array = tomlkit.aot()
            for held in tables:
                array.append(tomlkit.item(held))
            document["felt"] = array

    return edited(text, put_in)


def _put(document: MutableMapping[str, Any], before: Mapping[str, Any], edit: Edit) -> None:
    place = steps_of(edit.key)
    own = place[0] in SIDE_NAMES and len(place) > 1
    if edit.typed is None:
        _take_off(document, place)
        return
    value = _of_word(edit) if edit.key in Head.model_fields else _of_number(document, edit)
    if own:
        document.setdefault(str(place[0]), {})
        put(document[str(place[0])], place[1:], value, before)
    else:
        put(document, place, value)


def _of_word(edit: Edit) -> Any:
    """Return what stands above the tables: words as typed."""
    return edit.typed if edit.key == "title" else value_of(edit.typed or "")


def _of_number(document: Mapping[str, Any], edit: Edit) -> Any:
    """Return a number as typed, with the measuring error that stands there already."""
    value, before = value_of(edit.typed or ""), value_at(document, steps_of(edit.key))
    if not isinstance(value, dict) and isinstance(before, Mapping) and "measured_to" in before:
        return {"value": value, "measured_to": before["measured_to"]}
    return value


def _take_off(document: MutableMapping[str, Any], place: Location) -> None:
    """Take a key away, and a side's tables that have nothing more in them."""
    above = [document]
    for step in place[:-1]:
        above.append(above[-1][step])  # type: ignore[index]
    del above[-1][place[-1]]  # type: ignore[arg-type]
    for held, step in zip(reversed(above[:-1]), reversed(place[:-1]), strict=True):
        if isinstance(step, str) and not held[step]:
            del held[step]


def say_change(sheet: Sheet, edit: Edit) -> str:
    """Say what an edit does: "connecting rod's centres, right: 69.20 -> 69.33"."""
    before = typed_of(value_at(sheet.data, steps_of(edit.key))) or "nothing"
    after = "taken off" if edit.typed is None else " ".join(edit.typed.split())
    return f"{say_number(edit.key)}: {before} \N{RIGHTWARDS ARROW} {after}"


def say_number(key: str) -> str:
    """Say what a number is, with its side after a comma where it is of one."""
    side = side_of(key)
    name = name_number(key.removeprefix(f"{side}.") if side else key).removeprefix("the ")
    return f"{name}, {side}" if side in ("right", "left") else name
