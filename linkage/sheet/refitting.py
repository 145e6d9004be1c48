"""Parts put on another way round, or in one another's place: on a sheet, and in its file.

A rod has three other ways to go on, each half a turn: about its length, which puts its other face
to the wheel and its other edge up; about an upright, which puts its ends and its faces the other
way; and square to both, end for end and upside down with the same face to the wheel.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations
from typing import Any

from linkage.sheet.changing import edited, typed_length
from linkage.sheet.merging import merge, value_at
from linkage.sheet.reading import sheet_like
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.facts import table_of
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
    """

    side: str
    key: str
    from_side: str
    from_key: str
    turn: Turn = Turn.NONE


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
    yield from _exchanges(side, rods)


def ways_to_refit(sheet: Sheet, side: str) -> Iterator[tuple[Refit, ...]]:
    """Yield how the rods of one side may be on wrongly, each with what would put that right.

    Each turned, as far as that makes a difference; each exchanged with its like of the other side,
    and with one of its kind on its own, as far as they differ. A rod with a kink or a bow is not
    among them: that is damage, and no way round is right for it. Nor is one turned that is as the
    other side's: both would have to be wrong alike.
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
    yield from _exchanges(side, rods)


def _turns(sheet: Sheet, side: str, key: str, rod: Bar) -> Iterator[tuple[Refit, ...]]:
    """Yield the ways to turn a rod that make a difference."""
    known = [_typed(sheet.data, sheet, side, key)]
    for turn in (Turn.END_FOR_END, Turn.ABOUT_ITS_LENGTH, Turn.ABOUT_AN_UPRIGHT):
        turned = _turned(sheet, key, known[0], rod, turn)
        if turned not in known:
            known.append(turned)
            yield (Refit(side, key, side, key, turn),)


def _exchanges(side: str, rods: Mapping[str, Bar]) -> Iterator[tuple[Refit, ...]]:
    """Yield the coupling rods of one side in one another's place, as far as they differ."""
    for one, other in combinations(rods, 2):
        alike = type(rods[one]) is type(rods[other]) and isinstance(rods[one], CouplingRodTable)
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
