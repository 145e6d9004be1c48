"""What may be put on a sheet that has no number of it yet: a nut, a bend, a bracket, a reverser.

An example of each goes on the sheet as a guess (`sheet.blank.left_out`), with what it cannot be
without, and in place of what it cannot be with: which that is, reading the sheet tells, so no gear
has to say it here.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import combinations
from typing import Any

from linkage.bench.numbers import Shown, numbers_shown, of_whole_axle, part_of, wheels_of
from linkage.bench.typed import value_of
from linkage.errors import Problem, SheetError
from linkage.report.naming import name_number, name_part
from linkage.report.voice import capital
from linkage.sheet import Sheet, sheet_from
from linkage.sheet.blank import FIXED, LeftOut, left_out
from linkage.sheet.brackets import in_brackets
from linkage.sheet.changing import edited, steps_of
from linkage.sheet.merging import put, value_at
from linkage.sheet.opening import data_in
from linkage.tables.origin import Source, with_source

_MOST_BESIDE = 3
"""So many may have to come with what is added, at most."""
BENDS: Mapping[str, str] = {"bow": "an arc", "kink": "a sharp corner", "joggle": "a shift"}
WAYS: Mapping[str, str] = {
    "towards_frames": "towards the frames",
    "away_from_frames": "away from the frames",
    "up": "up",
    "down": "down",
}
_OFFSET, _SPREAD = 0.5, 0.1
"""Where a bend is, and over how much of the rod a joggle goes, at first [of its centres]."""
_SAID = {"pins.heads.little_end": "a head that is proud on the little end's pin"}
"""Of what has no name as a number."""
NOT_SO = "cannot be put on this sheet by itself"


@dataclass(frozen=True)
class Adding:
    """What is to be put on a sheet.

    `key`: of what is left out. `side`: "right" or "left" for that side alone, else "". `bend` and
    `way`: of a bend, keys of `BENDS` and `WAYS`.
    """

    key: str
    side: str = ""
    bend: str = "bow"
    way: str = "towards_frames"


@dataclass(frozen=True)
class Thing:
    """Something fixed beside the motion, as typed: its corners from the driving axle."""

    name: str
    rear: str
    front: str
    bottom: str
    top: str
    out: str
    thickness: str


def left_out_of(sheet: Sheet) -> Sequence[LeftOut]:
    """Return what may be put on a sheet, whether it is there or not; words apart."""
    _, wheels = wheels_of(sheet)
    held = _left_out(sheet.arrangement, sheet.scale, wheels, sheet.unit)
    return tuple(item for item in held if item.damage or _has_table(sheet, item.key))


def _has_table(sheet: Sheet, key: str) -> bool:
    """Tell whether a sheet has the table that a key is of; of a whole table that it may have it."""
    table = key.rpartition(".")[0]
    return not table or value_at(sheet.data, steps_of(table)) is not None


@lru_cache(maxsize=8)
def _left_out(*given: Any) -> Sequence[LeftOut]:
    guess = with_source(Source.GUESSED, "")
    return tuple(item for item in left_out(*given)
                 if not isinstance(item.value, str) or item.value.startswith(guess))  # fmt: skip


def additions_data(shown: Shown) -> dict[str, Any]:
    """Return what may be put on a sheet, and what of it is there, as the page has them."""
    sheet, typed = shown.sheet, shown.typed
    sided = len(sheet.sides) > 1
    more: list[dict[str, Any]] = []
    there: list[dict[str, str]] = []
    for item in left_out_of(sheet):
        found = [
            side
            for side in ("", *sheet.sides)
            if value_at(typed, steps_of(_on(side, item.key))) is not None
        ]
        there += [
            {"id": _on(side, item.key), "says": say_addition(item.key, side)} for side in found
        ]
        bend = _is_bend(item)
        if bend or not found:
            more.append({
                "key": item.key, "part": capital(name_part(part_of(item.key)).removeprefix("the ")),
                "says": say_addition(item.key), "bend": bend,
                "hint": "" if bend else item.hint.replace("_", " "),
                "sided": sided and "." in item.key and not of_whole_axle(item.key),
                "damage": item.damage,
            })  # fmt: skip
    things = typed.get(FIXED, ())
    there += [{"id": f"{FIXED}[{n}]", "says": str(thing.get("name", "something fixed"))}
              for n, thing in enumerate(things, 1)]  # fmt: skip
    return {"more": more, "there": there, "bends": _choices(BENDS), "ways": _choices(WAYS)}


def _choices(words: Mapping[str, str]) -> list[dict[str, str]]:
    return [{"key": key, "says": says} for key, says in words.items()]


def say_addition(key: str, side: str = "") -> str:
    """Say what is put on a sheet; of one side, which."""
    said = _SAID.get(key) or (name_number(key) if "." in key else name_part(key))
    said = said.removeprefix("the ")
    return f"{said}, {side}" if side in ("right", "left") else said


def _on(side: str, key: str) -> str:
    return f"{side}.{key}" if side in ("right", "left") else key


def _is_bend(item: LeftOut) -> bool:
    return item.key.rpartition(".")[2] == "bend"


def with_added(text: str, source: str, sheet: Sheet, adding: Adding) -> str:
    """Return a sheet's text with something put on it, and what it cannot be without.

    Raises
    ------
    SheetError
        Where there is no such thing, or the sheet cannot be read with it whatever comes with it.
    """
    known = {item.key: item for item in left_out_of(sheet)}
    item = known.get(adding.key)
    if item is None or adding.bend not in BENDS or adding.way not in WAYS:
        raise SheetError(
            source, [Problem(adding.key, "is nothing that this sheet has a place for")]
        )
    data = data_in(text, source)
    missing = [one for one in known.values() if value_at(data, steps_of(one.key)) is None]
    first: SheetError | None = None
    for more, less in _ways_to_add(item, missing, sheet):
        wanted = [_Put(_on(adding.side, one.key), _value(one, adding, sheet)) for one in more]
        tried = copy.deepcopy(data)
        _change(tried, data, wanted, less)
        try:
            sheet_from(tried, source, ask=False)
        except SheetError as error:
            first = first or error
            continue
        return edited(text, partial(_change, wanted=wanted, less=less))
    raise first or SheetError(source, [Problem(adding.key, NOT_SO)])


@dataclass(frozen=True)
class _Put:
    key: str
    value: Any


def _ways_to_add(
    item: LeftOut, missing: Sequence[LeftOut], sheet: Sheet
) -> Iterator[tuple[Sequence[LeftOut], str]]:
    """Yield what to put on a sheet, least first, and which number to take off for it, if any."""
    table, _, row = item.key.partition(".")
    others = [one for one in missing if one is not item and not one.damage and not _is_bend(one)
              and (one.key.partition(".")[0] == table if row else "." not in one.key)]  # fmt: skip
    sets = [(item, *beside) for count in range(_MOST_BESIDE + 1)
            for beside in combinations(others, count)]  # fmt: skip
    yield from ((more, "") for more in sets)
    if not row:
        numbers = [key for key in numbers_shown(sheet) if sheet.origins[key].source is not
                   Source.ASSUMED]  # fmt: skip
        yield from ((more, key) for more in sets if len(more) < _MOST_BESIDE for key in numbers)


def _value(item: LeftOut, adding: Adding, sheet: Sheet) -> Any:
    """Return what goes on the sheet; of a bend, the kind and the way that are asked for."""
    if not _is_bend(item):
        return item.value
    (usual,) = item.value
    amount = usual["towards_frames"]
    table = item.key.rpartition(".")[0]
    held = next(iter(sheet.dimensions.values()))
    centres = held.get(f"{table}.centres", 0.0)
    unit = sheet.lengths.typed

    def guess(share: float) -> str:
        return with_source(Source.GUESSED, unit(share * centres, f"{table}.centres", sheet.unit))

    at = {} if adding.bend == "bow" else {"at": guess(_OFFSET)}
    spread = {"length": guess(_SPREAD)} if adding.bend == "joggle" else {}
    return [{"kind": adding.bend, "from": usual["from"], **at, **spread, adding.way: amount}]


def _change(
    document: MutableMapping[str, Any],
    before: Mapping[str, Any],
    wanted: Iterable[_Put],
    less: str,
) -> None:
    """Put things on a document, and take one number off."""
    for item in wanted:
        place = steps_of(item.key)
        value: Any = item.value
        if place[-1] == "bend":  # one more
            value = [*(value_at(before, place) or value_at(before, place[1:]) or ()), *value]
        if "." in item.key:
            value = in_brackets(value)
        else:
            value = {key: in_brackets(held) for key, held in value.items()}
        if place[0] in ("right", "left"):
            document.setdefault(str(place[0]), {})
            put(document[str(place[0])], place[1:], value, before)
        else:
            put(document, place, value)
    if less:
        held: Any = document
        *above, last = steps_of(less)
        for step in above:
            held = held[step]
        del held[last]


def with_thing(text: str, source: str, thing: Thing) -> str:
    """Return a sheet's text with something fixed on it, upright and square.

    Raises
    ------
    SheetError
        Where one of its numbers cannot be written down.
    """
    problems = [] if thing.name else [Problem("name", "is missing: say what it is")]
    held: dict[str, Any] = {}
    for field in ("rear", "front", "bottom", "top", "out", "thickness"):
        try:
            held[field] = value_of(getattr(thing, field))
        except ValueError:
            problems.append(Problem(field, "is missing, or no number", getattr(thing, field)))
    if problems:
        raise SheetError(source, problems)
    rear, front, low, high = (held[field] for field in ("rear", "front", "bottom", "top"))
    corners = [[rear, low], [front, low], [front, high], [rear, high]]
    table = {"name": thing.name, "side_view": corners, "out": held["out"],
             "thickness": held["thickness"]}  # fmt: skip

    def put_in(document: MutableMapping[str, Any], _: Mapping[str, Any]) -> None:
        import tomlkit

        if FIXED not in document:
            document[FIXED] = tomlkit.aot()
        document[FIXED].append(tomlkit.item({**table, "side_view": in_brackets(corners)}))

    return edited(text, put_in)
