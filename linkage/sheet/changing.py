"""The same sheet with another number."""

from __future__ import annotations

import copy
import math
import re
import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import replace
from typing import Any

from linkage.errors import Problem, SheetError
from linkage.sheet.brackets import lists_in_brackets
from linkage.sheet.head import SIDE_NAMES
from linkage.sheet.merging import put, value_at
from linkage.sheet.reading import sheet_like
from linkage.tables.fields import Location, did_you_mean
from linkage.tables.model import Sheet
from linkage.tables.origin import Source, source_of, with_source
from linkage.tables.rods import Bend

_MOVED = 5e-4  # what is assumed otherwise by more than it is written down to is moved [mm, degrees]


def change(sheet: Sheet, values: Mapping[str, float]) -> Sheet:
    """Return the sheet with some dimensions changed, all else as typed.

    Checked like any other, but no questions are asked of unusual numbers. A guess stays a guess.

    Parameters
    ----------
    values : mapping of str to float [mm, degrees for angles]
        New values by key: ``"radius_rod.centres"`` for all sides that share it,
        ``"left.radius_rod.centres"`` for that side alone. Lists are counted from 1, as in
        ``"radius_rod.bend[1].towards_frames"``.

    Raises
    ------
    SheetError
        Where a key is no dimension of this sheet, or its new value cannot be.
    """
    for key in values:
        _check_known(sheet, key)
    return set_numbers(sheet, values)


def set_numbers(sheet: Sheet, values: Mapping[str, float]) -> Sheet:
    """Return the sheet with some numbers as given, as `change` does.

    Numbers that it does not have yet too.

    Parameters
    ----------
    values : mapping of str to float [mm, degrees for angles]
        By key, as for `change`.

    Raises
    ------
    SheetError
        Where a number cannot be.
    """
    data = copy.deepcopy(dict(sheet.data))
    _put_all(
        data, sheet.data, values, lambda key, value, before: _exactly(sheet, key, value, before)
    )
    return sheet_like(sheet, data)


def rewrite(sheet: Sheet, text: str, values: Mapping[str, float]) -> str:
    """Return a sheet's text with some numbers changed, comments, line ends and all else as typed.

    Lengths to 0.001 mm or 0.0001 in, as the sheet's are typed, angles to 0.001 degree; marked as
    what they are to be, for nobody has measured them yet. What the sheet was silent on and what was
    assumed by a number that is changed now (a plate's place, by its thickness) stays where it was:
    it is put in as a guess, for filing one face moves no other.

    Parameters
    ----------
    values : mapping of str to float [mm, degrees for angles]
        New values by key, as for `change`; a key the sheet does not have yet is added.
    """
    made = _with_all(sheet, text, values, Source.PLANNED)
    stays = _would_move(sheet, made, values)
    return _with_all(sheet, made, stays, Source.GUESSED) if stays else made


def _with_all(sheet: Sheet, text: str, values: Mapping[str, float], source: Source) -> str:
    """Return a sheet's text with some numbers changed, and where they come from."""

    def put_in(document: MutableMapping[str, Any], before: Mapping[str, Any]) -> None:
        _put_all(document, before, values, lambda key, value, _: _said(sheet, key, value, source))

    return edited(text, put_in)


def _would_move(sheet: Sheet, text: str, values: Mapping[str, float]) -> dict[str, float]:
    """Return what was assumed of a sheet and is assumed otherwise by its text as it is now.

    As it was, by key [mm, degrees]; of what is handed on from another number, nothing.
    """
    try:
        after = sheet_like(sheet, tomllib.loads(text.removeprefix("\ufeff")))
    except (SheetError, tomllib.TOMLDecodeError):
        return {}
    return {
        key: value
        for side, held in sheet.dimensions.items()
        for key, value in held.items()
        if sheet.origins[sheet.handed_on.get(key, key)].source is Source.ASSUMED
        and key not in sheet.handed_on
        and key not in values
        and abs(after.dimensions[side].get(key, value) - value) > _MOVED
    }


def edited(text: str, edit: Callable[[MutableMapping[str, Any], Mapping[str, Any]], None]) -> str:
    """Return a sheet's text edited, its comments, its mark and ends of lines as they are.

    `edit`: takes the document, to be changed, and what stood in it, its lists in brackets.
    """
    import tomlkit

    mark = "\ufeff" if text.startswith("\ufeff") else ""
    ends = "\r\n" if "\r\n" in text else "\n"
    document = tomlkit.parse(text.removeprefix(mark).replace("\r\n", "\n"))
    edit(document, lists_in_brackets(document.unwrap()))
    return mark + tomlkit.dumps(document).replace("\n", ends)


def turn_bend(sheet: Sheet, side: str, key: str, number: int, way: str) -> Sheet:
    """Return the sheet with a bend that goes as far, but another way.

    All else as typed.

    Parameters
    ----------
    side : str
        Which side; "only" where there is but one.
    key : str
        Of the rod's table, without the side.
    number : int
        Which of its bends, from 1.

    Raises
    ------
    SheetError
        Where the rod cannot go that way.
    """
    data = copy.deepcopy(dict(sheet.data))
    common = {key: value for key, value in data.items() if key not in SIDE_NAMES}
    place: Location = (*steps_of(key), "bend", number - 1)
    holder = data.setdefault(side, {}) if side in ("right", "left") else data
    bend = value_at(holder, place) or value_at(common, place)
    turned = {way if key in Bend.WAYS else key: value for key, value in bend.items()}
    put(holder, place, turned, common)
    return sheet_like(sheet, data)


def _put_all(
    data: MutableMapping[str, Any],
    common: Mapping[str, Any],
    values: Mapping[str, float],
    said: Callable[[str, float, object], object],
) -> None:
    """Put values in their places, with the measuring error that stands there already.

    `common`: the tables of both sides, from which a side's own list begins.
    """
    for key, value in values.items():
        location = steps_of(key)
        before = value_at(data, location)
        text = said(key, value, before)
        if isinstance(before, Mapping) and "measured_to" in before:
            text = {"value": text, "measured_to": before["measured_to"]}
        if location[0] in SIDE_NAMES:
            data.setdefault(str(location[0]), {})
            put(data[str(location[0])], location[1:], text, common)
        else:
            put(data, location, text)


def _exactly(sheet: Sheet, key: str, value: float, before: object) -> object:
    source = Source.MEASURED if before is None else source_of(before)
    if not is_angle(sheet, key):
        return with_source(source, f"{float(value)!r} mm")
    return float(value) if source is Source.MEASURED else with_source(source, f"{value:.12f}")


def _said(sheet: Sheet, key: str, value: float, source: Source) -> str:
    said = f"{round(float(value), 3)}"
    if not is_angle(sheet, key):
        said = sheet.lengths.typed(float(value), key, sheet.unit)
    return with_source(source, said)


def typed_length(sheet: Sheet, table: str) -> Callable[[float, str], str]:
    """Return what types a length [mm] of a table as the sheet's lengths are typed, by its key."""
    return lambda by, key: sheet.lengths.typed(by, f"{table}.{key}", sheet.unit)


def set_running(sheet: Sheet, place: str | float) -> Sheet:
    """Return the sheet with its reverser set to a place: a name, or an angle of its arm [rad]."""
    typed = place if isinstance(place, str) else math.degrees(place)
    return replace(sheet, running=place, data={**sheet.data, "running": typed})


def put_on_curve(sheet: Sheet, radius: float) -> Sheet:
    """Return the sheet with the curve that the engine stands on.

    All else as typed.

    Parameters
    ----------
    radius : float [mm]
        Of the sharpest curve.

    Raises
    ------
    SheetError
        Where the radius is not above 0, or the sheet has no wheels.
    """
    data = copy.deepcopy(dict(sheet.data))
    put(data, ("wheels", "curve"), f"{float(radius)!r} mm")
    return sheet_like(sheet, data)


def is_angle(sheet: Sheet, key: str) -> bool:
    """Tell whether a dimension is an angle, by its key with or without a side."""
    bare = key.partition(".")[2] if key.partition(".")[0] in SIDE_NAMES else key
    return not sheet.angles.isdisjoint({key, bare, *(f"{side}.{bare}" for side in SIDE_NAMES)})


def _check_known(sheet: Sheet, key: str) -> None:
    """Refuse a key that is no dimension of the sheet."""
    known = {name for held in sheet.dimensions.values() for name in held}
    side, _, bare = key.partition(".")
    own = side in sheet.sides
    alike = {
        name.partition(".")[2] if name.split(".")[0] in sheet.sides else name for name in known
    }
    if bare not in alike if own else key not in known:
        raise SheetError(
            sheet.source, [Problem(key, f"is no dimension of this sheet{did_you_mean(key, known)}")]
        )


def steps_of(key: str) -> Location:
    """Return a dotted key as steps; its lists are counted from 1, the steps from 0."""
    steps: list[int | str] = []
    for step in key.split("."):
        name, *numbers = re.split(r"[\[\]]+", step.rstrip("]"))
        steps += [name, *(int(number) - 1 for number in numbers)]
    return tuple(steps)
