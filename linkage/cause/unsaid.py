"""Faults of which a sheet has no number: damage, parts moved together, or on another way round.

**Damage** is what would be nought on a part as it was made (`Facts.damage`). Where its table is not
on the sheet it is put there, with what else that table needs of the usual size (`NEEDED`). A nut
that the sheet does not have is put there likewise, for it may be the one that meets.

**Parts moved together**: a cylinder that was put back elsewhere takes its covers, its outside and
the slide bars with it. Which numbers go with it they say themselves (`Facts.rides`).

**Parts on another way round**, or in one another's place (`sheet.refitting`): as far as it makes a
difference by what the sheet has of them, and as far as a coupling rod then goes on its pins at all.
Where their numbers were measured on the engine, the sheet has it already, and it was as it would be
with them put right. Which of two pins a rod takes is a choice on the sheet, and known where it is
not as on the other side.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from linkage.arrangements import coupled_wheels
from linkage.arrangements.numbers import facts_at
from linkage.cause.fault import (
    ABSENT,
    OPPOSITE,
    SIZES,
    Case,
    Fault,
    How,
    factor_of,
    is_given,
    size_of,
)
from linkage.errors import LinkageError
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, numbers_of, with_number, with_value
from linkage.sheet.refitting import (
    Refit,
    every_way_to_refit,
    refit,
    rods_on_pins,
    ways_to_refit,
)
from linkage.tables.coupled import PinHead
from linkage.tables.damage import PinLean, ProudEnd
from linkage.tables.facts import Wrong, facts_of, fields_by_key, table_in, tables_of
from linkage.tables.fields import Table
from linkage.tables.origin import Origin, Source

NEEDED: Mapping[type[Table], Mapping[str, float]] = MappingProxyType({
    PinLean: {"over": 3.0},
    ProudEnd: {"diameter": 1.6},
    PinHead: {"diameter": 2.4, "thickness": 0.6},
})  # fmt: skip
"""Tables that are put on a sheet, and what they need, at 4 mm to the foot [mm]: common practice."""
_NUT = Wrong(0.4, 0.5)
_MOVED = Wrong(0.7)
_REFITTED = 1.0  # how often beside others: common practice, no source
_GOES_ON = 1.0  # a hole that is farther than this from its pin does not go on, at 4 mm [mm]


def damage(sheet: Sheet) -> Iterator[Fault]:
    """Yield damage of which the sheet has no table."""
    factor = factor_of(sheet)
    for name, side in sheet.sides.items():
        for place, table in tables_of(side):
            for key, info in fields_by_key(type(table)).items():
                inner = table_in(info.annotation)
                if inner is None or inner not in NEEDED or is_given(table, key):
                    continue
                needed = {field: size * factor for field, size in NEEDED[inner].items()}
                for what, field in fields_by_key(inner).items():
                    facts = facts_of(field)
                    wrong = _NUT if what == "thickness" else facts.wrong
                    if wrong is None or not (facts.damage or wrong is _NUT):
                        continue
                    now = needed.get(what, 0.0)
                    cases = tuple(
                        Case(size, chance, with_value(sheet, (name,), (*place, key), made))
                        for times, chance in SIZES
                        for size in (times * size_of(wrong, factor),)
                        for made in (_made(inner, {**needed, what: now + size}),)
                    )
                    where = ".".join(map(str, (*place, key)))
                    yield Fault(name, where, what, wrong.often, cases, value=now,
                                added=not facts.damage)  # fmt: skip


def _made(table: type[Table], values: Mapping[str, float]) -> Table:
    return table.model_validate({key: f"{value!r} mm" for key, value in values.items()},
                                context={"unit": "mm"})  # fmt: skip


def moved_together(sheet: Sheet) -> Iterator[Fault]:
    """Yield what is fixed together and may stand elsewhere: each group, on each side."""
    factor = factor_of(sheet)
    groups: dict[tuple[str, str], list[SheetNumber]] = {}
    for number in numbers_of(sheet):
        group = facts_at(_bare(sheet, number)).rides
        for name in number.places if group else ():
            groups.setdefault((name, group), []).append(number)
    for (name, group), numbers in groups.items():
        if len(numbers) < 2:
            continue
        cases = tuple(
            Case(size, chance / 2, _all_moved(sheet, name, numbers, size))
            for times, chance in SIZES
            for way in (1, -1)
            for size in (way * times * size_of(_MOVED, factor),)
        )
        table, _, what = _bare(sheet, numbers[0]).rpartition(".")
        across = groups.get((OPPOSITE.get(name, ""), group))
        yield Fault(name, table, what, _MOVED.often, cases, how=How.MOVED,
                    origin=numbers[0].origin, value=numbers[0].value,
                    across=across[0].value if across else math.nan,
                    shared=len(numbers[0].places) > 1)  # fmt: skip


def _bare(sheet: Sheet, number: SheetNumber) -> str:
    """Return a number's key without a side."""
    first, _, rest = number.key.partition(".")
    return rest if first in sheet.sides else number.key


def _all_moved(sheet: Sheet, side: str, numbers: list[SheetNumber], by: float) -> Sheet:
    for number in numbers:
        sheet = with_number(sheet, replace(number, places={side: number.places[side]}), by)
    return sheet


def refitted(sheet: Sheet) -> Iterator[Fault]:
    """Yield parts that may be on another way round, or in one another's place."""
    for side in sheet.sides:
        mends = set(ways_to_refit(sheet, side))
        for refits in every_way_to_refit(sheet, side):
            known = refits in mends if refits[0].pins else _is_known(sheet, refits)
            twice = refits[0].from_side < side  # exchanged between the sides: named by the first
            if twice or (known and refits not in mends):
                continue
            try:
                other = replace(sheet, sides=refit(_plain(sheet), refits).sides)
                goes_on = known or _goes_on(sheet, other)
            except LinkageError:
                continue
            if not goes_on:
                continue
            # the sheet has a part that was measured as it is on: the case is it put right
            where, origin = refits[0], Origin(Source.MEASURED, 0.0) if known else ABSENT
            rods = rods_on_pins(sheet, where) if where.pins else ()
            yield Fault(where.side, where.key, _name(refits), _REFITTED, (Case(0.0, 1.0, other),),
                        how=How.REFITTED, origin=origin, on_sheet=known, refits=refits,
                        rods=rods)  # fmt: skip


def _goes_on(sheet: Sheet, other: Sheet) -> bool:
    """Tell whether coupling rods could be put on so at all: their holes come over their pins."""
    here, there = coupled_wheels(sheet), coupled_wheels(other)
    if here is None or there is None:
        return True
    return all(
        abs(eye.place[0] - held.place[0]) < _GOES_ON * factor_of(sheet)
        for rod, turned in zip(here.rods, there.rods, strict=True)
        for eye, held in zip(rod.eyes, turned.eyes, strict=True)
    )


def _is_known(sheet: Sheet, refits: tuple[Refit, ...]) -> bool:
    """Tell whether all of some parts' own numbers were measured."""
    origins = [sheet.origins[key] for one in refits for key in _numbers(sheet, one)]
    return bool(origins) and all(origin.source is Source.MEASURED for origin in origins)


def _plain(sheet: Sheet) -> Sheet:
    """Return the sheet without what was felt: a part may then be there no longer."""
    data: dict[str, Any] = copy.deepcopy(dict(sheet.data))
    for key in ("felt", "seen"):
        data.pop(key, None)
    return replace(sheet, data=data)


def _numbers(sheet: Sheet, one: Refit) -> Iterator[str]:
    """Yield the keys of the lengths and bends of a part, as they are among the sheet's origins."""
    for key in sheet.dimensions[one.from_side]:
        bare = key.removeprefix(f"{one.from_side}.")
        if bare.startswith((f"{one.from_key}.centres", f"{one.from_key}.bend")):
            own = sheet.handed_on.get(key, key)
            if own in sheet.origins:
                yield own


def _name(refits: tuple[Refit, ...]) -> str:
    """Return what tells one way from another of the same place."""
    return "; ".join(
        f"{one.side}.{one.key}.{one.pins} is the other"
        if one.pins
        else f"{one.side}.{one.key} is {one.from_side}.{one.from_key}, {one.turn.value}"
        for one in refits
    )
