"""What the page shows of each number of a sheet, in the words of the trade, by part."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from linkage.arrangements import ARRANGEMENTS, build
from linkage.arrangements.numbers import hint_at
from linkage.bench.typed import typed_of
from linkage.report.naming import name_number, name_part, side_of
from linkage.report.voice import capital, to_bench
from linkage.sheet import Sheet, is_angle
from linkage.sheet.blank import FIXED
from linkage.sheet.changing import steps_of
from linkage.sheet.head import Head
from linkage.sheet.merging import value_at
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.facts import fields_by_key
from linkage.tables.origin import Source
from linkage.tables.sides import CoupledSide
from linkage.units import MM_PER_INCH, SCALES

_ORIGINS = {
    Source.MEASURED: "measured",
    Source.PLANNED: "to be",
    Source.GUESSED: "guessed",
    Source.ASSUMED: "assumed",
}
_ON_TOP = ("title", "wanted_clearance", "measured_to", "running", "scale")
_SAID = {
    "title": "what it is",
    "wanted_clearance": "the air asked for",
    "measured_to": "what it is measured to",
    "running": "where the reverser stands",
    "scale": "the scale",
}
_TOP_HINTS = {
    "title": "the engine, as it is called in the report",
    "scale": "sets what is usual, and how far out a guess may be",
}
_ACROSS = {"towards_frames": 1, "away_from_frames": -1, "out": -1}
"""Numbers that a drag across the plan changes: 1 where towards the frames makes them larger."""
UNUSUAL = "Unusual, and said to be right."
THE_ENGINE = "The engine"
_TWO_STEPS = ("axles", "coupling_rods", "fixed")


@dataclass(frozen=True)
class Shown:
    """A sheet, and what stands in its file, as typed."""

    sheet: Sheet
    typed: Mapping[str, Any]
    saved: Mapping[str, Any]  # the same of the file as it was saved


def groups_data(shown: Shown, letters: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the numbers of a sheet by part, in the order of the sheet.

    `letters`: of the measuring form, by key without a side.
    """
    bodies = _bodies(shown.sheet)
    groups: dict[str, list[dict[str, Any]]] = {}
    for key in numbers_shown(shown.sheet):
        groups.setdefault(part_of(_bare(key)), []).append(_number(shown, key, letters, bodies))
    top = {"part": "", "says": THE_ENGINE, "numbers": list(_top(shown)), "offered": False}
    return [
        top,
        *(
            {
                "part": part,
                "says": _say_part(shown, part),
                "numbers": numbers,
                "offered": not _is_fixed(part),
            }
            for part, numbers in groups.items()
        ),
    ]


def _is_fixed(part: str) -> bool:
    return steps_of(part)[0] == FIXED


def _say_part(shown: Shown, part: str) -> str:
    """Say what a part is; of something fixed, what the sheet calls it."""
    thing = value_at(shown.sheet.data, steps_of(part)) if _is_fixed(part) else None
    if isinstance(thing, Mapping) and "name" in thing:
        return capital(str(thing["name"]))
    return capital(name_part(part).removeprefix("the "))


def numbers_shown(sheet: Sheet) -> tuple[str, ...]:
    """Return the keys of the numbers that are a sheet's own, as they stand in its file."""
    keys = dict.fromkeys(key for held in sheet.dimensions.values() for key in held)
    return tuple(key for key in keys if key not in sheet.handed_on)


def value_of_number(sheet: Sheet, key: str) -> float:
    """Return what a number is [mm, degrees for angles]."""
    return next(held[key] for held in sheet.dimensions.values() if key in held)


def say_value(sheet: Sheet, key: str) -> str:
    """Say what a number of the sheet is, with its unit."""
    value = value_of_number(sheet, key)
    return to_bench(sheet).number(value, is_angle(sheet, key), key)


def _bare(key: str) -> str:
    return key.removeprefix(f"{side_of(key)}.") if side_of(key) else key


def part_of(bare: str) -> str:
    """Return the part that a number is of, by the key of its table."""
    steps = bare.split(".")
    return ".".join(steps[: 2 if steps[0] in _TWO_STEPS and len(steps) > 2 else 1])


def _number(
    shown: Shown, key: str, letters: Mapping[str, str], bodies: Mapping[str, list[str]]
) -> dict[str, Any]:
    """Return one number as plain values, as the page has them (`Num`)."""
    sheet, side, bare = shown.sheet, side_of(key), _bare(key)
    there, saved = (value_at(held, steps_of(key)) for held in (shown.typed, shown.saved))
    split = not side and len(sheet.sides) > 1 and not of_whole_axle(bare)
    return {
        "id": key,
        "side": side or "both",
        "own": {name: f"{name}.{key}" for name in sheet.sides} if split else None,
        "says": name_number(bare).removeprefix("the "),
        "hint": hint_at(bare),
        "letter": letters.get(bare),
        "typed": typed_of(there),
        "shown": say_value(sheet, key),
        "value": _in_unit(sheet, key),
        "across": _ACROSS.get(bare.rpartition(".")[2]),
        "origin": _ORIGINS[sheet.origins[key].source],
        "error": _error(sheet, key),
        "kind": "angle" if is_angle(sheet, key) else "length",
        "bodies": bodies.get(part_of(bare), []),
        "changed": there != saved,
        "doubt": UNUSUAL if key in shown.typed.get("sure", ()) else None,
    }


def _in_unit(sheet: Sheet, key: str) -> float:
    """Return a number as a step starts from it: in the unit of the sheet, degrees for angles."""
    value = value_of_number(sheet, key)
    inches = sheet.unit == "in" and not is_angle(sheet, key)
    return round(value / MM_PER_INCH, 5) if inches else round(value, 4)


def from_unit(sheet: Sheet, key: str, value: float) -> float:
    """Return what a step came to, in mm, or degrees for angles (`_in_unit` the other way)."""
    return value * MM_PER_INCH if sheet.unit == "in" and not is_angle(sheet, key) else value


def sides_of(sheet: Sheet, key: str) -> tuple[str, ...]:
    """Return the sides that a number is of."""
    return tuple(name for name in sheet.sides if side_of(key) in ("", name))


def of_whole_axle(bare: str) -> bool:
    """Tell whether a number is one for both sides, whatever the sheet says."""
    return bare == "wheels.right_leads_by" or bare.startswith("axles.")


def _error(sheet: Sheet, key: str) -> str:
    error, voice = sheet.origins[key].error, to_bench(sheet)
    return f"{error:.1f} degrees" if is_angle(sheet, key) else voice.length(max(error, 0.01))


def _bodies(sheet: Sheet) -> dict[str, list[str]]:
    """Return the names of the drawn parts by the keys of their tables."""
    found: dict[str, dict[str, None]] = {}
    for mechanism in build(sheet).values():
        for part in mechanism.parts:
            if not part.unseen:
                found.setdefault(part.key, {})[part.name] = None
    return {key: list(names) for key, names in found.items()}


def _top(shown: Shown) -> Iterator[dict[str, Any]]:
    """Yield what stands above all tables."""
    places = ARRANGEMENTS[shown.sheet.arrangement].tables.PLACES
    choices = {"scale": list(SCALES), "running": list(places)}
    for key in _ON_TOP:
        if key == "running" and not places:
            continue
        there, saved = shown.typed.get(key), shown.saved.get(key)
        yield {
            "id": key,
            "side": "both",
            "own": None,
            "says": _SAID[key],
            "hint": _TOP_HINTS.get(key) or fields_by_key(Head)[key].description or "",
            "letter": None,
            "typed": typed_of(there),
            "shown": _top_shown(shown.sheet, key) if there is None else typed_of(there),
            "value": None,
            "across": None,
            "origin": "word" if there is not None or key == "title" else "assumed",
            "error": None,
            "kind": "text" if key == "title" else "choice" if key in choices else "length",
            **({"choices": choices[key]} if key in choices else {}),
            "bodies": [],
            "changed": there != saved,
            "doubt": UNUSUAL if key in shown.typed.get("sure", ()) else None,
        }


def _top_shown(sheet: Sheet, key: str) -> str:
    return to_bench(sheet).length(sheet.wanted_clearance) if key == "wanted_clearance" else ""


def wheels_of(sheet: Sheet) -> tuple[tuple[str, ...], WheelArrangement | None]:
    """Return a sheet's axles but the driving one, and of which wheels they are; None for others."""
    coupled = (side for side in sheet.sides.values() if isinstance(side, CoupledSide))
    axles = tuple(dict.fromkeys(name for side in coupled for name in side.axles))
    return axles, WheelArrangement.of_axles(axles) if axles else None


@cache
def letters_for(
    arrangement: str, scale: str | None, unit: str, wheels: WheelArrangement | None
) -> Mapping[str, str]:
    """Return the letters of the measuring form by key, as `tightspot new` writes them."""
    from linkage.form.letters import letters_of
    from linkage.form.model import models_of

    return letters_of(models_of(arrangement, scale or "4 mm", wheels, unit))
