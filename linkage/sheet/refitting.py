"""Parts put on another way round, or in one another's place: on a sheet, and in its file.

A rod has three other ways to go on, each half a turn: about its length, which puts its other face
to the wheel and its other edge up; about an upright, which puts its ends and its faces the other
way; and square to both, end for end and upside down with the same face to the wheel. Two rods whose
far ends are on one part may be on one another's pins there: a choice of that part's table says
which takes which (`Facts.exchanges`).
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import combinations
from typing import Any, get_args

from pydantic.fields import FieldInfo

from linkage.sheet.changing import edited, typed_length
from linkage.sheet.merging import merge, value_at
from linkage.sheet.reading import sheet_like
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.facts import facts_of, fields_by_key, table_of, tables_of
from linkage.tables.fields import Table
from linkage.tables.model import Sheet
from linkage.tables.rods import Bar

_OTHER_FACE = {"towards_frames": "away_from_frames", "away_from_frames": "towards_frames"}
_OTHER_EDGE = {"up": "down", "down": "up", "ahead": "back", "back": "ahead"}


class Turn(Enum):
    """Which way a part is turned."""

    NONE = "as it is"
    ABOUT_ITS_LENGTH = "its other face to the wheel"
    ABOUT_AN_UPRIGHT = "end for end, its other face to the wheel"
    END_FOR_END = "end for end"

    @property
    def ends(self) -> bool:
        """Whether its ends change places."""
        return self in (Turn.ABOUT_AN_UPRIGHT, Turn.END_FOR_END)

    @property
    def ways(self) -> Mapping[str, str]:
        """What its bends' ways become."""
        faces = _OTHER_FACE if self in (Turn.ABOUT_ITS_LENGTH, Turn.ABOUT_AN_UPRIGHT) else {}
        edges = _OTHER_EDGE if self in (Turn.ABOUT_ITS_LENGTH, Turn.END_FOR_END) else {}
        return {**faces, **edges}


@dataclass(frozen=True)
class Refit:
    """A place on the engine, and the part that goes there.

    Attributes
    ----------
    side, key : str
        The place: which side ("only" where there is but one), the key of the rod's table there.
    from_side, from_key : str
        Where that part is now.
    turn : Turn
        How it is turned on the way.
    pins : str
        The choice of that table which becomes the other one, so that two rods take one another's
        pins; "" where the part itself goes elsewhere.
    """

    side: str
    key: str
    from_side: str
    from_key: str
    turn: Turn = Turn.NONE
    pins: str = ""


def refit(sheet: Sheet, refits: Sequence[Refit]) -> Sheet:
    """Return the sheet with parts in other places, all at once.

    Raises
    ------
    SheetError
        Where the sheet takes no such part there.
    """
    data = copy.deepcopy(dict(sheet.data))
    _put_all(data, sheet.data, sheet, refits)
    return sheet_like(sheet, data)


def rewrite_refitted(sheet: Sheet, text: str, refits: Sequence[Refit]) -> str:
    """Return a sheet's text with parts in other places; comments and all else as typed."""
    return edited(text, lambda document, before: _put_all(document, before, sheet, refits))


def _put_all(
    data: MutableMapping[str, Any],
    before: Mapping[str, Any],
    sheet: Sheet,
    refits: Sequence[Refit],
) -> None:
    for one in refits:
        held = data.setdefault(one.side, {}) if one.side in ("right", "left") else data
        *above, last = one.key.split(".")
        for step in above:
            held = held.setdefault(step, {})
        if one.pins:
            held.setdefault(last, {})[one.pins] = _other_choice(sheet, one)
            continue
        there, part = _typed(before, sheet, one.side, one.key), _fitted(sheet, one)
        typed = _typed(before, sheet, one.from_side, one.from_key)
        new = _turned(sheet, one.key, typed, part, one.turn)
        own = held.setdefault(last, {})
        for key in part.ITS_OWN:
            if key in new:
                if there.get(key) != new[key]:
                    own[key] = new[key]
            elif key in own:
                del own[key]
            elif key in there and key == "bend":
                own[key] = []


def _typed(data: Mapping[str, Any], sheet: Sheet, side: str, key: str) -> dict[str, Any]:
    """Return what is typed of a part, the common table with its side's own laid over it."""
    location = key.split(".")
    common = value_at(data, location) or {}
    own = value_at(data.get(side, {}), location) or {} if side in ("right", "left") else {}
    return merge(common, own, table_of(type(sheet.sides[side]), tuple(location)))


def _fitted(sheet: Sheet, one: Refit) -> Bar:
    """Return the table of the part that goes to a place."""
    found: Any = sheet.sides[one.from_side]
    for step in one.from_key.split("."):
        found = found[step] if isinstance(found, Mapping) else getattr(found, step)
    if not isinstance(found, Bar):
        raise TypeError(f"{one.from_key} is no rod")
    return found


def _other_choice(sheet: Sheet, one: Refit) -> str:
    """Return what a choice of two becomes."""
    table, field = _choice(sheet, one)
    choices = get_args(field.annotation)
    found: str = next(choice for choice in choices if choice != getattr(table, one.pins))
    return found


def _choice(sheet: Sheet, one: Refit) -> tuple[Table, FieldInfo]:
    """Return the table in which two rods' pins are chosen, and the field of that."""
    tables = tables_of(sheet.sides[one.side])
    table = next(held for place, held in tables if ".".join(map(str, place)) == one.key)
    return table, fields_by_key(type(table))[one.pins]


def rods_on_pins(sheet: Sheet, one: Refit) -> tuple[str, str]:
    """Return the keys of the tables of the two rods that take one another's pins."""
    rods = facts_of(_choice(sheet, one)[1]).exchanges
    if rods is None:
        raise TypeError(f"{one.key}.{one.pins} exchanges no rods")
    return rods


def _turned(
    sheet: Sheet, key: str, values: Mapping[str, Any], rod: Bar, turn: Turn
) -> dict[str, Any]:
    """Return a rod's numbers, as typed, when it is turned; `key`: of its table."""
    turned = rod.end_for_end(values, typed_length(sheet, key)) if turn.ends else dict(values)
    if isinstance(turned.get("bend"), list):
        turned["bend"] = [
            {turn.ways.get(key, key): value for key, value in bend.items()}
            for bend in turned["bend"]
        ]
    return turned


def every_way_to_refit(sheet: Sheet, side: str) -> Iterator[tuple[Refit, ...]]:
    """Yield how else the rods of one side could be on, as far as that makes a difference.

    Each turned, each exchanged with its like of the other side, and with one of its kind on its
    own; one that is as the other side's too. Not one with a kink or a bow: that is damage.
    """
    rods = {key: bar for key, bar in bars_of(sheet, side).items() if _as_made(bar)}
    for key, rod in rods.items():
        yield from _turns(sheet, side, key, rod)
    for other in sheet.sides:
        if other != side:
            yield from _across(sheet, side, rods, other)
    yield from _exchanges(sheet, side, rods)
    yield from ((one,) for one, _ in _on_pins(sheet, side))


def ways_to_refit(sheet: Sheet, side: str) -> Iterator[tuple[Refit, ...]]:
    """Yield how the rods of one side may be on wrongly, each with what would put that right.

    Each turned, as far as that makes a difference; each exchanged with its like of the other side,
    and with one of its kind on its own, as far as they differ; two on one another's pins. A rod
    with a kink or a bow is not turned: that is damage, and no way round is right for it. Nor is
    one, or put on another pin, that is as the other side's: both would have to be wrong alike.
    """
    rods = {key: bar for key, bar in bars_of(sheet, side).items() if _as_made(bar)}
    others = [bars_of(sheet, other) for other in sheet.sides if other != side]
    for key, rod in rods.items():
        if any(key in across and not _differ(rod, across[key]) for across in others):
            continue
        yield from _turns(sheet, side, key, rod)
    for other in sheet.sides:
        if other != side:
            yield from _across(sheet, side, rods, other)
    yield from _exchanges(sheet, side, rods)
    across = {name: dict(_on_pins(sheet, name)) for name in sheet.sides if name != side}
    for one, now in _on_pins(sheet, side):
        there = [held[replace(one, side=name, from_side=name)] for name, held in across.items()]
        if now not in there:
            yield (one,)


def _turns(sheet: Sheet, side: str, key: str, rod: Bar) -> Iterator[tuple[Refit, ...]]:
    """Yield the ways to turn a rod that make a difference."""
    known = [_typed(sheet.data, sheet, side, key)]
    for turn in (Turn.END_FOR_END, Turn.ABOUT_ITS_LENGTH, Turn.ABOUT_AN_UPRIGHT):
        turned = _turned(sheet, key, known[0], rod, turn)
        if turned not in known:
            known.append(turned)
            yield (Refit(side, key, side, key, turn),)


def _exchanges(sheet: Sheet, side: str, rods: Mapping[str, Bar]) -> Iterator[tuple[Refit, ...]]:
    """Yield the rods of one side in one another's place, as far as they differ.

    Coupling rods, and those that may take one another's pins.
    """
    on_pins = {rods_on_pins(sheet, one) for one, _ in _on_pins(sheet, side)}
    for one, other in combinations(rods, 2):
        alike = type(rods[one]) is type(rods[other]) and isinstance(rods[one], CouplingRodTable)
        alike = alike or bool({(one, other), (other, one)} & on_pins)
        if alike and _differ(rods[one], rods[other]):
            yield _exchanged((side, one), (side, other), Turn.NONE)


def _across(
    sheet: Sheet, side: str, rods: Mapping[str, Bar], other: str
) -> Iterator[tuple[Refit, ...]]:
    """Yield the rods of one side exchanged with their like of the other."""
    across = bars_of(sheet, other)
    for key, rod in rods.items():
        if key in across and _as_made(across[key]) and _differ(rod, across[key]):
            for turn in (Turn.NONE, Turn.ABOUT_ITS_LENGTH) if rod.bend else (Turn.NONE,):
                yield _exchanged((side, key), (other, key), turn)


def _on_pins(sheet: Sheet, side: str) -> Iterator[tuple[Refit, str]]:
    """Yield how two rods of one side would take one another's pins, and which take they do."""
    for place, table in tables_of(sheet.sides[side]):
        for key, field in fields_by_key(type(table)).items():
            if facts_of(field).exchanges:
                where = ".".join(map(str, place))
                yield Refit(side, where, side, where, pins=key), getattr(table, key)


def bars_of(sheet: Sheet, side: str) -> dict[str, Bar]:
    """Return the bars of one side by the keys of their tables."""
    found: dict[str, object] = {}
    for name, table in vars(sheet.sides[side]).items():
        if isinstance(table, Mapping):
            found |= {f"{name}.{own}": rod for own, rod in table.items()}
        found[name] = table
    return {key: table for key, table in found.items() if isinstance(table, Bar)}


def _exchanged(one: tuple[str, str], other: tuple[str, str], turn: Turn) -> tuple[Refit, ...]:
    return Refit(*one, *other, turn), Refit(*other, *one, turn)


def _as_made(rod: Bar) -> bool:
    """Tell whether a rod has no bends but joggles, which are made on purpose, and no twist."""
    return not rod.twist and all(bend.kind == "joggle" for bend in rod.bend)


def _differ(one: Bar, other: Bar) -> bool:
    """Tell whether two rods are not the same by what is their own."""
    return any(getattr(one, key, None) != getattr(other, key, None) for key in one.ITS_OWN)
