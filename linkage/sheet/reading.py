"""A file, or the data of one, to a checked sheet; every problem found in one run."""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import permutations
from pathlib import Path
from typing import Any, cast

from pydantic import ValidationError

from linkage.arrangements import ARRANGEMENTS, build
from linkage.errors import Problem, SheetError
from linkage.lengths import Lengths, Say, lengths_in
from linkage.sheet.answering import lengths_of
from linkage.sheet.assumptions import Filled, fill_in
from linkage.sheet.dimensions import Dimension, dimensions_in, guess_spread, origin_of
from linkage.sheet.doubts import doubt_about_air, doubts_about, doubts_between
from linkage.sheet.felt import FeltReader
from linkage.sheet.head import SIDE_NAMES, Head
from linkage.sheet.merging import merge, place_in_file, put, value_at
from linkage.sheet.opening import Opened, open_text, read_text
from linkage.sheet.wording import MISSING, UNKNOWN, as_typed, faults_in, key_of
from linkage.tables.couplings import coupling_faults, unlike_axles
from linkage.tables.facts import NO_FACTS, Facts, facts_of, fields_by_key, table_of
from linkage.tables.fields import Location, Table, did_you_mean, nearest
from linkage.tables.model import Sheet
from linkage.tables.origin import Origin, Source, source_of
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide
from linkage.units import SCALES

USUAL_CLEARANCE = 0.1
"""Wanted clearance where neither the sheet nor its scale says [mm]: common practice, no source."""


@dataclass
class _Reading:
    """One reading on its way: the data, the head, and the problems so far."""

    source: str
    data: Mapping[str, Any]
    unit: str
    lengths: Lengths | None = None  # how they are said, where that is known
    head: Head | None = None
    problems: dict[Problem, None] = field(default_factory=dict)  # in the order they were found

    def add(
        self, location: Sequence[int | str], wrong: str, found: str = "", doubt: bool = False
    ) -> None:
        problem = Problem(key_of(location), wrong, found, doubt)
        side, _, bare = problem.key.partition(".")
        common = replace(problem, key=bare) if side in SIDE_NAMES else problem
        # What is wrong with a whole common table shows again on each side that touches it.
        again = common in self.problems and not found
        if problem not in self.problems and not again:
            self.problems[problem] = None

    def refuse(self) -> SheetError:
        """Return the error that holds all problems, in the order of the file."""
        order = {key: place for place, key in enumerate(self.data)}

        def place(problem: Problem) -> int:
            return order.get(re.split(r"[.\[]", problem.key)[0], len(order))

        return SheetError(self.source, sorted(self.problems, key=place))


def read_sheet(path: str | Path) -> Sheet:
    """Return a measurement sheet, read from its file and checked.

    All lengths in mm, all angles in radians.

    Raises
    ------
    SheetError
        Holds every problem: the file cannot be read, is no TOML, or its keys and values are not
        those of a sheet.
    """
    return sheet_in(read_text(Path(path), str(path)), str(path))


def sheet_in(text: str, source: str, ask: bool = True) -> Sheet:
    """Return a measurement sheet, as `read_sheet` does, from the text of its file.

    `ask`: whether unusual numbers are met with a question.
    """
    opened = open_text(text, source)
    if opened.slips:
        raise SheetError(source, [*opened.slips, *_others(opened, source)])
    sheet, sides = _read(opened.data, source, ask)
    return sheet_from(_filled_in(sheet.data, sides), source, ask=False)


def _others(opened: Opened, source: str) -> Iterator[Problem]:
    """Yield what else is wrong with a sheet, beside its lines with slips of syntax."""
    if opened.mended is None:
        return
    told = {key_of(place) for place in opened.mended}
    try:
        _read(opened.data, source, ask=False)
    except SheetError as error:
        for problem in error.problems:
            if not any(f"{problem.key}.".startswith(f"{key}.") for key in told):
                yield problem


def sheet_from(data: Mapping[str, Any], source: str = "sheet", ask: bool = True) -> Sheet:
    """Return a checked sheet from the data of a file.

    All lengths in mm, all angles in radians.

    Parameters
    ----------
    ask : bool
        Whether unusual numbers are met with a question.

    Raises
    ------
    SheetError
        Holds every problem found.
    """
    return _read(data, source, ask)[0]


def sheet_like(sheet: Sheet, data: Mapping[str, Any]) -> Sheet:
    """Return a checked sheet of other data, without questions, and said as the sheet is."""
    return _read(data, sheet.source, False, sheet.lengths)[0]


def _read(
    data: Mapping[str, Any], source: str, ask: bool, lengths: Lengths | None = None
) -> tuple[Sheet, Sequence[_Side]]:
    """Return a checked sheet, and how its sides were read."""
    unit = data.get("units", "mm")
    reading = _Reading(source, data, unit if unit in ("mm", "in") else "mm", lengths)
    reading.head = _read_head(reading)
    arrangement = data.get("arrangement")
    if not isinstance(arrangement, str) or arrangement not in ARRANGEMENTS:
        meant = nearest(str(_meant_for_arrangement(data)), ARRANGEMENTS)
        if meant:  # so that the tables' slips are said in the same go
            _read_sides(reading, meant[0], ask=False)
        raise reading.refuse()
    sides = _read_sides(reading, arrangement, ask)
    felt = _felt_reader(reading, sides)
    lines = felt.felt() if felt is not None else ()
    if reading.problems or reading.head is None or felt is None:
        raise reading.refuse()
    sheet = replace(_finish(reading, reading.head, sides), felt=lines)
    if reading.problems:
        raise reading.refuse()
    sheet = replace(sheet, seen=felt.seen(lambda: build(sheet)))
    if reading.problems:
        raise reading.refuse()
    return sheet, sides


def _meant_for_arrangement(data: Mapping[str, Any]) -> Any:
    """Return what stands for the arrangement, under a mistyped key too."""
    unknown = (key for key in data if key not in Head.model_fields and key not in SIDE_NAMES)
    typed = next((key for key in unknown if "arrangement" in nearest(key, Head.model_fields)), "")
    return data.get("arrangement", data.get(typed))


def _felt_reader(reading: _Reading, sides: Sequence[_Side]) -> FeltReader | None:
    """Return what reads the things felt; None where what they are set against is wrong itself."""
    models = {side.name: side.model for side in sides if side.model is not None}
    if reading.head is None or len(models) < len(sides):
        return None
    return FeltReader(reading.head, models, reading.add)


def _filled_in(data: Mapping[str, Any], sides: Sequence[_Side]) -> dict[str, Any]:
    """Return a file's data with what was assumed put in it, for all sides where it is alike."""
    whole = copy.deepcopy(dict(data))
    for side in sides:
        for place, text in side.filled.assumed.items():
            own = side.in_file(place)[0] == side.name
            alike = all(other.filled.assumed.get(place) == text for other in sides)
            if own or not alike:
                held = whole.setdefault(side.name, {}) if side.name != "only" else whole
                put(held, place, text, side.common)
            else:
                put(whole, place, text)
    return whole


def _read_head(reading: _Reading) -> Head | None:
    top = {key: value for key, value in reading.data.items() if key in Head.model_fields}
    try:
        return Head.model_validate(top, context={"unit": reading.unit})
    except ValidationError as error:
        for location, wrong, found in faults_in(error, Head):
            mistyped = wrong == MISSING and _meant_for_arrangement(reading.data) is not None
            if not mistyped:
                reading.add(location, wrong, found)
        return None


def _side_names(reading: _Reading, arrangement: str) -> tuple[str, ...]:
    if reading.head is not None and reading.head.sides:
        if len(set(reading.head.sides)) < len(reading.head.sides):
            reading.add(("sides",), "names one side twice", as_typed(reading.head.sides))
        return tuple(dict.fromkeys(reading.head.sides))
    return ARRANGEMENTS[arrangement].sides


@dataclass
class _Side:
    """One side on its way: where it comes from, what it holds."""

    name: str
    arrangement: str
    common: Mapping[str, Any]
    own: Mapping[str, Any]
    filled: Filled = field(default_factory=lambda: Filled({}, {}, {}, 1.0))
    model: Side | None = None
    lacking: list[str] = field(default_factory=list)  # tables that it must have, and has not

    @property
    def kind(self) -> type[Side]:
        """The tables of its arrangement."""
        return ARRANGEMENTS[self.arrangement].tables

    @property
    def typed(self) -> dict[str, Any]:
        """Its tables as typed, its own laid over the common ones."""
        return merge(self.common, self.own, self.kind)

    def in_file(self, location: Location) -> Location:
        """Return a place in the file; what a number of one side alone stands for is that side's."""
        place = tuple(place_in_file(self.name, location, self.common, self.own))
        source = self.filled.handed_on.get(location)
        alone = source is not None and self.in_file(source)[0] == self.name != place[0]
        return (self.name, *place) if alone else place


def _read_sides(reading: _Reading, arrangement: str, ask: bool) -> Sequence[_Side]:
    names = _side_names(reading, arrangement)
    common = {
        key: value
        for key, value in reading.data.items()
        if key not in Head.model_fields and key not in SIDE_NAMES
    }
    for name in SIDE_NAMES:
        if name in reading.data and name not in names:
            reading.add((name,), f"is not one of this sheet's sides, {', '.join(names)}")
    sides = []
    for name in names:
        own = reading.data.get(name, {})
        if not isinstance(own, Mapping):
            reading.add((name,), "should be a table", as_typed(own))
            own = {}
        side = _Side(name, arrangement, common, own)
        _check_side(reading, side)
        sides.append(side)
    _say_lacking(reading, sides, arrangement)
    _check_coupling(reading, sides)
    if ask:
        _ask(reading, sides)
    _check_running(reading, sides)
    return sides


def _ratio(reading: _Reading) -> float | None:
    scale = reading.data.get("scale")
    return SCALES[scale].ratio if isinstance(scale, str) and scale in SCALES else None


def _check_side(reading: _Reading, side: _Side) -> None:
    side.filled = fill_in(side.kind, side.typed, reading.unit, _ratio(reading))
    try:
        side.model = side.kind.model_validate(side.filled.tables, context={"unit": reading.unit})
    except ValidationError as error:
        known = [*Head.model_fields, *SIDE_NAMES]
        faults = faults_in(error, side.kind)
        for location, wrong, found in faults:
            if len(location) == 1 and wrong == MISSING:
                side.lacking.append(str(location[0]))
                continue
            if len(location) == 1 and wrong == UNKNOWN:
                wrong += did_you_mean(str(location[0]), known)
            place = side.in_file(location) if location else ((side.name,) if side.own else ())
            reading.add(place, wrong, found)


def _say_lacking(reading: _Reading, sides: Sequence[_Side], arrangement: str) -> None:
    """Say which tables are missing, what every side lacks once, and what to do."""
    every = [one for one in sides[0].lacking if all(one in side.lacking for side in sides)]
    alone = [((side.name,), [one for one in side.lacking if one not in every]) for side in sides]
    for under, tables in (((), every), *alone):
        if tables:
            others = ", ".join(tables[1:])
            also = f", and so {'are' if len(tables) > 2 else 'is'} {others}" if others else ""
            way = f"tightspot new {arrangement} writes every table, filled with guesses"
            reading.add((*under, tables[0]), f"{MISSING}{also}; {way}")


def _check_coupling(reading: _Reading, sides: Iterable[_Side]) -> None:
    """Note what is wrong with the coupled wheels as a whole, and between the two sides."""
    coupled = [(side, side.model) for side in sides if isinstance(side.model, CoupledSide)]
    for side, model in coupled:
        for fault in coupling_faults(model, _say(reading)):
            found = value_at(side.typed, fault.location)
            silent = found is None or isinstance(found, Mapping)
            typed = "" if silent else as_typed(found)
            reading.add(side.in_file(fault.location), fault.wrong, typed)
    if len(coupled) < 2 or reading.problems:
        return
    (_, one), (other_side, other) = coupled
    for name, wrong in unlike_axles(one, other):
        reading.add((other_side.name, *name), wrong)


def _say(reading: _Reading) -> Say:
    """Return how lengths are said of a sheet that may have faults."""
    return lengths_in(reading.unit).plainly


def _ask(reading: _Reading, sides: Sequence[_Side]) -> None:
    before = len(reading.problems)
    for side in sides:
        if side.model is None:
            continue
        for location, words in doubts_about(side.model, _ratio(reading), reading.unit):
            typed = value_at(side.filled.tables, location)
            _doubt(reading, side.in_file(location), words, typed)
    if len(reading.problems) == before:  # what is odd by itself is asked about first
        _ask_between(reading, [(side, side.model) for side in sides if side.model is not None])
    wanted = reading.head.wanted_clearance if reading.head else None
    models, say = [side.model for side in sides if side.model is not None], _say(reading)
    airs = [air for model in models if (air := doubt_about_air(model, wanted, say))]
    if airs and len(reading.problems) == before:  # beside a throw that is itself no question
        _doubt(reading, ("wanted_clearance",), airs[0], wanted)


def _ask_between(reading: _Reading, read: Sequence[tuple[_Side, Side]]) -> None:
    """Ask about lengths of two sides that are hardly both meant: of that which is a side's own."""
    for (side, one), (_, other) in permutations(read, 2):
        for location, words in doubts_between(one, other, reading.unit):
            place, last = side.in_file(location), side.name == read[-1][0].name
            if place[0] == side.name and (last or value_at(side.common, location) is not None):
                _doubt(reading, place, words, value_at(side.filled.tables, location))


def _doubt(reading: _Reading, location: Location, words: str, typed: object) -> None:
    """Note a question about a number, where the sheet does not say that it is right."""
    key = key_of(location)
    if reading.head is None or key not in reading.head.sure:
        right = f'If it is right, write sure = ["{key}"] at the top of the sheet'
        reading.add(location, f"{words} {right}", as_typed(typed), doubt=True)


def _check_running(reading: _Reading, sides: Iterable[_Side]) -> None:
    """Note where the reverser is set to a place that the sheet does not give."""
    running = reading.head.running if reading.head else None
    for side in sides:
        for location, wrong in side.model.running_faults(running) if side.model else ():
            head = location[0] in Head.model_fields
            reading.add(location if head else side.in_file(location), wrong)


def _finish(reading: _Reading, head: Head, sides: Sequence[_Side]) -> Sheet:
    origins: dict[str, Origin] = {}
    handed_on: dict[str, str] = {}
    angles = set()
    dimensions: dict[str, dict[str, float]] = {}
    for side in sides:
        held = dimensions.setdefault(side.name, {})
        for dimension in dimensions_in(cast(Table, side.model)):
            key = key_of(side.in_file(dimension.location))
            angle = dimension.kind == "angle"
            held[key] = math.degrees(dimension.value) if angle else dimension.value
            if angle:
                angles.add(key)
            origins[key] = _origin(reading, head, side, dimension)
            if dimension.location in side.filled.handed_on:
                source = side.filled.handed_on[dimension.location]
                handed_on[key] = key_of(side.in_file(source))
    sheet = _with_wheels(reading, head, sides)
    return replace(
        sheet,
        sides={side.name: cast(Side, side.model) for side in sides},
        dimensions=dimensions,
        origins=origins,
        handed_on=handed_on,
        angles=frozenset(angles),
        assumed=_assumed(reading, head, sides, sheet.lengths.plainly),
        data=reading.data,
    )


def _with_wheels(reading: _Reading, head: Head, sides: Sequence[_Side]) -> Sheet:
    sheet = Sheet(
        source=reading.source,
        title=head.title,
        arrangement=head.arrangement,
        unit=head.units,
        lengths=_lengths(reading, sides) if reading.lengths is None else reading.lengths,
        scale=head.scale,
        wanted_clearance=_clearance(head),
        running=head.running,
        job=head.job,
    )
    first = sides[0].model
    if not isinstance(first, CoupledSide):
        return sheet
    return replace(sheet, right_leads_by=first.wheels.right_leads_by)


def _lengths(reading: _Reading, sides: Iterable[_Side]) -> Lengths:
    typed = (
        (key, typed)
        for side in sides
        if side.model is not None
        for dimension in dimensions_in(cast(Table, side.model))
        if dimension.kind != "angle"
        for bare in [key_of(dimension.location)]
        for typed in [value_at(side.filled.tables, dimension.location)]
        for key in (bare, *(f"{name}.{bare}" for name in SIDE_NAMES))
    )
    return lengths_of(typed, reading.unit)


def _clearance(head: Head) -> float:
    if head.wanted_clearance is not None:
        return head.wanted_clearance
    return SCALES[head.scale].wanted_clearance if head.scale else USUAL_CLEARANCE


def _origin(reading: _Reading, head: Head, side: _Side, dimension: Dimension) -> Origin:
    typed = value_at(side.filled.tables, dimension.location)
    # a place among others is no surer for being near the wheel
    layer = callable(_facts(side.kind, dimension.location).usual)
    spread = guess_spread(0.0 if layer else dimension.value, side.filled.factor)
    origin = origin_of(dimension, typed, head.measured_to, reading.unit, spread)
    given = isinstance(typed, Mapping) and "measured_to" in typed
    if origin.source is Source.GUESSED and not given and head.scale is None:
        wrong = (
            'is a guess, and nothing says how far out it may be: give scale = "4 mm", say, at the '
            'top of the sheet, or { value = "about ...", measured_to = ... } here'
        )
        reading.add(side.in_file(dimension.location), wrong, as_typed(typed))
    return origin


def _assumed(reading: _Reading, head: Head, sides: Sequence[_Side], say: Say) -> tuple[str, ...]:
    words = []
    if head.wanted_clearance is None:
        words.append(f"wanted clearance {say(_clearance(head))}")
    if head.measured_to is None:
        words.append("measured to ISO 2768-1 grade m, where a line says nothing else")
    first = sides[0].model
    if len(sides) > 1 and "right_leads_by" not in reading.data.get("wheels", {}):
        words.append("right-hand crank leads by 90 degrees")
    words += first.taken_for_granted() if first else ()
    said = [dict(_said(side, say)) for side in sides]
    for side, mine in zip(sides, said, strict=True):
        for place, text in mine.items():
            alike = all(other.get(place) == text for other in said)
            line = text if alike or len(sides) == 1 else f"{side.name}: {text}"
            if line not in words:
                words.append(line)
    return tuple(words)


def _facts(kind: type[Side], place: Location) -> Facts:
    """Return the facts of the number at a place; of what is inside one, the number's own."""
    return _facts_at(kind, tuple(step for step in place if isinstance(step, str)))


@cache
def _facts_at(kind: type[Side], steps: tuple[str, ...]) -> Facts:
    while steps:
        *above, last = steps
        try:
            return facts_of(fields_by_key(table_of(kind, above))[last])
        except KeyError:  # a worn hole's width along, or across
            steps = tuple(above)
    return NO_FACTS


def _said(side: _Side, say: Say) -> Iterator[tuple[Location, str]]:
    """Yield what was assumed of a side, each with its words."""
    for dimension in dimensions_in(cast(Table, side.model)):
        place, tables = dimension.location, side.filled.tables
        typed = value_at(tables, place)
        if typed is None or source_of(typed) is not Source.ASSUMED:
            continue
        needs = _facts(side.kind, place).with_
        beside = value_at(tables, place[:-1])
        if place not in side.filled.handed_on and (not needs or needs in beside):
            words = " ".join(map(str, place)).replace("_", " ")
            said = say(dimension.value)
            yield place, f"{words} {said}"
