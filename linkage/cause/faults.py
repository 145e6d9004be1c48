"""Every single fault that a sheet can express, each over the sizes that the trade meets.

How a number goes wrong stands in its own field (`Facts.wrong`): its typical size at 4 mm to the
foot, and how often beside others. A size is somewhat less than that or more, either way, with the
chances of `SIZES`, and of a number that is only guessed three times that as well; a rod measured
shorter than the other side's is also looked at with the bend that makes it so. Beside the numbers
there is what a sheet has a place for and does not give: a rod bent in one of four directions, the
throw of one wheel, a pin out of quarter, a return crank slipped on its pin; and what stands in
`unsaid.py`. A number of both sides can be wrong on either alone, or on both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from pydantic import ValidationError

from linkage.arrangements.numbers import facts_at
from linkage.arrangements.rods import bend_loss
from linkage.cause.fault import (
    ABSENT,
    BOTH,
    LENGTH,
    OPPOSITE,
    SIZES,
    Apart,
    Case,
    Fault,
    How,
    factor_of,
    is_given,
    size_of,
    sizes_of,
)
from linkage.cause.peers import across_from, fellow_of, split_side, told_by_like
from linkage.cause.unsaid import damage, moved_together, refitted
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, numbers_of, with_number, with_value
from linkage.sheet.refitting import bars_of
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.facts import (
    WRONG_ANGLE,
    WRONG_LENGTH,
    Degrees,
    Wrong,
    facts_of,
    fields_by_key,
    tables_of,
)
from linkage.tables.fields import Location, Table
from linkage.tables.origin import Origin, Source
from linkage.tables.rods import Bar, Bend
from linkage.tables.shapes import Side

_APART, _MOST = 0.2, 6.0
"""Of the typical size, from which and up to which a number is looked at as it ought to be [1]."""
_BENT = 0.6  # a bend's typical size at 4 mm to the foot [mm]
_SIDEWAYS, _IN_PLANE = 3.0, 0.7  # how often a rod is bent so: handling bends it sideways
_SHAPES = (("kink", 0.25, 0.0), ("kink", 0.5, 0.0), ("kink", 0.75, 0.0), ("joggle", 0.5, 0.2))
"""Of a rod bent sideways: its kind, where along it, and over how much a joggle is spread [1]."""
_IN_PLANE_SHAPES = (("kink", 0.5, 0.0),)
_SIZES_OF_WHOLE = ((0.2, 0.4), (0.7, 0.3), (1.5, 0.3))
"""Of a rod of more than two eyes bent in its plane, as times `_BENT`: a tenth of a millimetre that
an eye is out of the line of the others is felt."""
_FARTHEST = 0.2  # a bend no deeper than so much of the metal on its shorter side
_MEASURED = Origin(Source.MEASURED, 0.05)
AGAINST_LIKE = 0.03
"""How often a guess is wrong where one like it was measured and is as guessed, beside else [1]."""


def faults_of(sheet: Sheet) -> tuple[Fault, ...]:
    """Return every single fault of a sheet."""
    made = _Maker(sheet, factor_of(sheet))
    found = [
        *(*made.numbers(), *made.absent(), *made.slipped(), *made.bent(), *made.bends()),
        *(*damage(sheet), *moved_together(sheet), *refitted(sheet)),
    ]
    return tuple(fault for fault in found if fault.cases)


@dataclass(frozen=True)
class _Maker:
    """Makes the faults of a sheet."""

    sheet: Sheet
    factor: float
    moved: dict[tuple[str, str, float], Side] = field(default_factory=dict)

    def numbers(self) -> Iterator[Fault]:
        """Yield the numbers on the sheet that may be wrong."""
        every = numbers_of(self.sheet)
        by_key = {number.key: number for number in every}
        told = told_by_like(self.sheet, by_key)
        for number in every:
            side, bare = split_side(number.key, self.sheet)
            facts = facts_at(bare)
            wrong = facts.wrong or (WRONG_ANGLE if number.angle else WRONG_LENGTH)
            table, _, what = bare.rpartition(".")
            if not wrong.often or "bend[" in bare:
                continue
            across = self._ought(number, wrong.ought) if wrong.ought is not None else math.nan
            across = self._across(by_key, side, bare) if math.isnan(across) else across
            origin = number.origin
            if number.key in told:
                wrong = replace(wrong, often=wrong.often * AGAINST_LIKE)
                origin = replace(origin, error=min(origin.error, told[number.key]))
            common = Fault("", table, what, wrong.often, (), number.angle, origin=origin,
                           value=number.value, across=across,
                           fellow=fellow_of(by_key, number, bare))  # fmt: skip
            for one, places in self._sides(number, wrong):
                cases = self._moved(replace(number, places=places), wrong, across)
                shared = len(number.places) > 1
                often = wrong.often * (wrong.both if one == BOTH and not wrong.whole else 1.0)
                yield replace(common, side=one, often=often, cases=cases, shared=shared)
            if facts.wrong is not None:
                yield from self._one_of_them(number, wrong)

    def _one_of_them(self, number: SheetNumber, wrong: Wrong) -> Iterator[Fault]:
        """Yield a number that stands for several tables as wrong of one of them alone."""
        for side, (_, *others) in number.places.items():
            for place in others:
                *table, what = (str(step) for step in place)
                key = ".".join((side, *table, what))
                own = replace(number, key=key, places={side: (place,)})
                cases = self._moved(own, wrong, math.nan)
                yield Fault(side, ".".join(table), what, wrong.often, cases, number.angle,
                            value=number.value)  # fmt: skip

    def _sides(
        self, number: SheetNumber, wrong: Wrong
    ) -> Iterator[tuple[str, Mapping[str, tuple[Location, ...]]]]:
        if len(number.places) == 1 or wrong.whole:
            names = tuple(number.places)
            yield (names[0] if len(names) == 1 else BOTH), number.places
            return
        for name, places in number.places.items():
            yield name, {name: places}
        yield BOTH, number.places

    def _ought(self, number: SheetNumber, key: str) -> float:
        held = _at(self.sheet.sides[next(iter(number.places))], key)
        return math.nan if held is None else math.degrees(held) if number.angle else held

    def _moved(self, number: SheetNumber, wrong: Wrong, across: float) -> tuple[Case, ...]:
        by = size_of(wrong, self.factor)
        least = 0.05 * abs(number.value)  # a size stays one
        positive = number.value > 0 and not number.angle
        every = sizes_of(wrong, number.origin.known)
        sizes = [(way * times * by, chance / 2) for times, chance in every for way in (1, -1)]
        apart = across - number.value
        if number.origin.known and max(number.origin.error, _APART * by) < abs(apart) < _MOST * by:
            # as likely as not it was as what it ought to be like
            sizes = [(apart, 0.5), *((size, chance / 2) for size, chance in sizes)]
        return tuple(
            Case(size, chance, self._with(number, size), exact=size == apart)
            for size, chance in sizes
            if not positive or number.value + size > least or size == apart
        )

    def _with(self, number: SheetNumber, size: float) -> Sheet:
        """Return the sheet with a number moved; a side that it is moved on is made once."""
        sides = dict(self.sheet.sides)
        for name, places in number.places.items():
            key = number.key, name, size
            if key not in self.moved:
                alone = with_number(self.sheet, replace(number, places={name: places}), size)
                self.moved[key] = alone.sides[name]
            sides[name] = self.moved[key]
        return replace(self.sheet, sides=sides)

    def absent(self) -> Iterator[Fault]:
        """Yield numbers that the sheet has a place for, and does not give."""
        for name, side in self.sheet.sides.items():
            for place, table in tables_of(side):
                for key, info in fields_by_key(type(table)).items():
                    wrong = facts_of(info).wrong
                    if wrong is None or wrong.instead is None or is_given(table, key):
                        continue
                    if wrong.relative and self._stands_for_it(name, place, key):
                        continue
                    now = _at(side, wrong.instead)
                    if now is not None and not _instead_given(table, key):
                        yield self._put(name, (*place, key), wrong, now)

    def _stands_for_it(self, side: str, place: Location, key: str) -> bool:
        """Tell whether the same of the other side stands for what is felt of the two."""
        for name, other in self.sheet.sides.items():
            for where, table in tables_of(other) if name != side else ():
                if where == place and (is_given(table, key) or _instead_given(table, key)):
                    return True
        return side != next(iter(self.sheet.sides))

    def _put(self, side: str, place: Location, wrong: Wrong, now: float) -> Fault:
        by, angle = size_of(wrong, self.factor), isinstance(wrong.by, Degrees)
        cases = tuple(
            Case(size, chance / 2, with_value(self.sheet, (side,), place, now + one))
            for times, chance in SIZES
            for size in (times * by, -times * by)
            for one in (math.radians(size) if angle else size,)
            if angle or now + one > 0
        )
        *above, what = (str(step) for step in place)
        value = math.degrees(now) if angle else now
        return Fault(side, ".".join(above), what, wrong.often, cases, angle, value=value)

    def slipped(self) -> Iterator[Fault]:
        """Yield what has turned on its pin: given another way, its angle is one number."""
        for name, side in self.sheet.sides.items():
            for place, table in tables_of(side):
                other = dict(table.other_ways(side))
                for key, typed in other.items():
                    wrong = facts_at(".".join((*map(str, place), key))).wrong
                    if wrong is None or not wrong.often or not isinstance(wrong.by, Degrees):
                        continue
                    make = _other_table(table, other)
                    cases = tuple(self._turned(name, place, key, float(typed), make, wrong))
                    origin = self._origin(name, place, table)
                    across = self._typed_across(name, place, key)
                    yield Fault(name, ".".join(map(str, place)), key, wrong.often, cases, True,
                                How.NUMBER, origin, float(typed), across)  # fmt: skip

    def _typed_across(self, side: str, place: Location, key: str) -> float:
        """Return what the other side's would be, given the same other way; nan for none."""
        other = self.sheet.sides.get(OPPOSITE.get(side, ""))
        for where, table in tables_of(other) if other is not None else ():
            if where == place:
                return float(dict(table.other_ways(other)).get(key, math.nan))
        return math.nan

    def _turned(  # noqa: PLR0913
        self, side: str, place: Location, key: str, now: float,
        make: Callable[[str, float], Table | None], wrong: Wrong,
    ) -> Iterator[Case]:  # fmt: skip
        for times, chance in SIZES:
            for size in (times * size_of(wrong, self.factor), -times * size_of(wrong, self.factor)):
                table = make(key, now + size)
                if table is not None:
                    yield Case(size, chance / 2, with_value(self.sheet, (side,), place, table))

    def _origin(self, side: str, place: Location, table: Table) -> Origin:
        """Return where what is given in place of an angle comes from: the worst known of it."""
        keys = [".".join((*map(str, place), key)) for choice in table.INSTEAD[0] for key in choice]
        origins = self.sheet.origins
        own = (origins.get(f"{side}.{key}", origins.get(key)) for key in keys)
        held = [origin for origin in own if origin is not None]
        return next((one for one in held if not one.known), held[0] if held else ABSENT)

    def bends(self) -> Iterator[Fault]:
        """Yield every rod bent in every direction."""
        by_key = {number.key: number for number in numbers_of(self.sheet)}
        for name in self.sheet.sides:
            for key, bar in bars_of(self.sheet, name).items():
                centres = self._centres(by_key, name, key)
                for ways in _ways_bent(bar):
                    cases = tuple(
                        replace(case, chance=case.chance / len(ways))
                        for way in ways
                        for case in self._bent(name, key, bar, way, centres)
                    )
                    often = sum(map(_often_bent, ways))
                    seen = _MEASURED if _looked_along(self.sheet, name, key) else ABSENT
                    yield Fault(name, key, "_or_".join(ways), often, cases, how=How.BENT,
                                origin=seen, centres=centres, ways=ways)  # fmt: skip

    def bent(self) -> Iterator[Fault]:
        """Yield every bend that the sheet has: it is certain, and as likely as it is one-sided."""
        for name in self.sheet.sides:
            other = OPPOSITE.get(name, "")
            across = bars_of(self.sheet, other) if other in self.sheet.sides else {}
            for key, bar in bars_of(self.sheet, name).items():
                for number, bend in enumerate(bar.bend):
                    way, size = _way(bend)
                    sheet = self._without(name, key, bar, number)
                    like = across.get(key)
                    theirs = [by for w, by in map(_way, like.bend) if w == way] if like else []
                    often = _often_bent(way)
                    origin = self.sheet.origins.get(f"{key}.bend[{number + 1}].{way}", _MEASURED)
                    case = Case(-size, 1.0, sheet, bend.at or 0.5 * _length(bar))
                    yield Fault(name, key, way, often, (case,), False, How.BENT, origin, size,
                                max(theirs, default=0.0), on_sheet=True, ways=(way,))  # fmt: skip

    def _across(self, numbers: Mapping[str, SheetNumber], side: str, bare: str) -> float:
        """Return what a number is by the other side's own, or the common one; nan for a guess.

        Of a rod's centres, less what its known bends took, and not the other's.
        """
        across = across_from(numbers, side, bare)
        table, _, what = bare.rpartition(".")
        if what != LENGTH or math.isnan(across):
            return across
        return across + self._lost(OPPOSITE[side], table) - self._lost(side, table)

    def _lost(self, side: str, table: str) -> float:
        """Return what the bends of a rod took of its length, where it was measured as it lies."""
        bar = bars_of(self.sheet, side).get(table) if side in self.sheet.sides else None
        if bar is None or not _measured_bent(bar):
            return 0.0
        return sum(_loss(bar, bend) for bend in bar.bend)

    def _centres(self, numbers: Mapping[str, SheetNumber], side: str, key: str) -> Apart | None:
        """Return a rod's centres beside the other side's; None where they were not measured."""
        bare = f"{key}.{LENGTH}"
        held = numbers.get(f"{side}.{bare}") or numbers.get(bare)
        if held is None or not held.origin.known:
            return None
        across = held.value if len(held.places) > 1 else self._across(numbers, side, bare)
        return Apart(held.value - across, held.origin.error)

    def _without(self, side: str, key: str, bar: Bar, number: int) -> Sheet:
        """Return the sheet without a bend of a rod: as long as it was, if it was measured bent."""
        place, bend = key.split("."), bar.bend[number]
        left = (*bar.bend[:number], *bar.bend[number + 1 :])
        sheet = with_value(self.sheet, (side,), (*place, "bend"), left)
        centres = getattr(bar, "centres", None)
        if not isinstance(centres, float) or not _measured_bent(bar):
            return sheet
        return with_value(sheet, (side,), (*place, LENGTH), centres + _loss(bar, bend))

    def _bent(
        self, side: str, key: str, bar: Bar, way: str, centres: Apart | None
    ) -> Iterator[Case]:
        length, place = _length(bar), (*key.split("."), "bend")
        if not length:
            return
        held_so = _measured_bent(bar)
        shapes = _SHAPES if way.endswith("frames") else _IN_PLANE_SHAPES
        for kind, share, spread in shapes:
            at = share * length
            start: dict[str, Any] = {"kind": kind, "from": bar.end_names()[0][0], "at": at}
            made = partial(_bend, start | ({"length": spread * length} if spread else {}), way)
            most = _FARTHEST * min(at, length - at)
            whole = isinstance(getattr(bar, "centres", None), tuple) and shapes is _IN_PLANE_SHAPES
            of_it = _SIZES_OF_WHOLE if whole else SIZES
            sizes = [(times * _BENT * self.factor, chance) for times, chance in of_it]
            seen = math.nan
            if held_so and centres is not None and -centres.by > centres.error:
                seen = _depth(made, length, at, -centres.by, most)
                sizes = [(seen, 0.5), *((size, chance / 2) for size, chance in sizes)]
            for size, chance in sizes:
                if size > most:
                    continue
                bend = made(size)
                bent = with_value(self.sheet, (side,), place, (*bar.bend, bend))
                drawn_in = bend_loss(bend, length, at) if held_so else 0.0
                shape = f"{way}, {kind} at {share}"
                yield Case(size, chance / len(shapes), bent, at, drawn_in, shape,
                           exact=size == seen)  # fmt: skip


def _measured_bent(bar: Bar) -> bool:
    """Tell whether a rod's length is that of it as it lies, with what its bends took."""
    return getattr(bar, "centres_measured", "straight") == "bent"


def _loss(bar: Bar, bend: Bend) -> float:
    """Return what a bend took of a rod's length [mm]."""
    length = _length(bar)
    return bend_loss(bend, length, bend.at or 0.5 * length) if length else 0.0


def _ways_bent(bar: Bar) -> tuple[tuple[str, ...], ...]:
    """Return the ways in which a rod may be bent, those together that nobody can tell apart.

    A coupling rod binds alike whether it is bent up or down: what its pins feel is that its holes
    are nearer one another, or out of line.
    """
    sideways = (("towards_frames",), ("away_from_frames",))
    if isinstance(bar, CouplingRodTable):
        return (*sideways, ("up", "down"))
    in_plane = ("ahead", "back") if bar.UPRIGHT else ("up", "down")
    return (*sideways, *((way,) for way in in_plane))


def _often_bent(way: str) -> float:
    return _SIDEWAYS if way.endswith("frames") else _IN_PLANE


def _bend(start: Mapping[str, Any], way: str, size: float) -> Bend:
    return Bend.model_validate({**start, way: size})


def _depth(
    made: Callable[[float], Bend], length: float, at: float, short: float, most: float
) -> float:
    """Return how far a rod is bent that is so much shorter for it [mm]; more than most, if it is.

    What a bend costs grows all but with the square of its depth, so that each step closes in.
    """
    size = most
    for _ in range(4):
        size *= math.sqrt(short / bend_loss(made(size), length, at))
        if size > most:
            break
    return size


def _looked_along(sheet: Sheet, side: str, key: str) -> bool:
    """Tell whether a rod was looked along: its table says how it is bent, or ``bend = []``."""
    for top in (sheet.data.get(side, {}), sheet.data):
        held: Any = top
        for step in key.split("."):
            held = held.get(step, {}) if isinstance(held, Mapping) else {}
        if isinstance(held, Mapping) and "bend" in held:
            return True
    return False


def _way(bend: Bend) -> tuple[str, float]:
    """Return which way a bend goes, and how far [mm]."""
    way = next(way for way in Bend.WAYS if getattr(bend, way) is not None)
    return way, float(getattr(bend, way))


def _length(bar: Bar) -> float:
    held = getattr(bar, "centres", None)
    if isinstance(held, tuple):
        return float(sum(held))
    return float(held) if isinstance(held, float) else 0.0


def _instead_given(table: Table, key: str) -> bool:
    """Tell whether a number is given by another of the choices that it is one of."""
    groups = (group for group in table.INSTEAD if any(key in choice for choice in group))
    return any(
        is_given(table, other) for group in groups for choice in group for other in choice
        if other != key
    )  # fmt: skip


def _at(side: Any, key: str) -> float | None:
    """Return a number of a side by its key; nought for the empty one."""
    held = side
    for step in key.split(".") if key else ():
        held = getattr(held, step, None)
    return 0.0 if not key else held


def _other_table(table: Table, other: Mapping[str, Any]) -> Callable[[str, float], Table | None]:
    """Return what makes a table given by its other choice, with one angle of it another."""
    own = {key for group in table.INSTEAD for choice in group for key in choice}

    def make(key: str, value: float) -> Table | None:
        typed = {**other, key: value}
        kept = {name: getattr(table, name) for name in type(table).model_fields if name not in own}
        try:
            read = type(table).model_validate(
                {**{n: f"{v!r} mm" if isinstance(v, float) else v for n, v in kept.items()
                    if v is not None}, **typed},
                context={"unit": "mm"},
            )  # fmt: skip
        except ValidationError:
            return None
        return read

    return make
