"""A sheet to fill in, with a measuring hint beside every number."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import tomlkit
from tomlkit.items import Table as TomlTable

from linkage.arrangements import ARRANGEMENTS, Arrangement
from linkage.sheet.assumptions import fill_in
from linkage.sheet.brackets import in_brackets
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.facts import (
    TYPICAL_RATIO,
    Degrees,
    facts_of,
    fields_by_key,
    in_order,
    table_of,
)
from linkage.tables.fields import Table, read_length
from linkage.tables.origin import Source, with_source
from linkage.units import MM_PER_INCH, SCALES

SCHEMA_FILE = "tightspot-sheet.schema.json"
"""Beside a sheet, where its first line lets editors look for the JSON Schema."""
_SCHEMA_LINE = f"#:schema ./{SCHEMA_FILE}\n"
TYPICAL = "a guess, measure yours: "
USUAL_SCALE = "4 mm"
"""The scale of a blank sheet where none is asked for."""


@dataclass(frozen=True)
class Row:
    """One line of a blank sheet: its key within its table, and the field's facts."""

    key: str  # within its table
    value: Any  # as `Facts.typical`
    hint: str  # how it is measured
    rare: bool = False  # whether it may be left out, and stands commented out
    no_place: str = ""  # why no calliper goes there


@dataclass(frozen=True)
class Exactly:
    """A length [mm] that is of the scale already."""

    length: float


@dataclass(frozen=True)
class Made:
    """To which scale the lengths of a blank sheet are made, and in which unit they are written."""

    factor: float  # what lengths at 4 mm to the foot are multiplied by [1]
    unit: str = "mm"

    def typical(self, length: float) -> float:
        """Return a length [mm] at 4 mm to the foot as it is written."""
        return self.exactly(length * self.factor, 2, 3)

    def exactly(self, length: float, mm: int = 3, inches: int = 4) -> float:
        """Return a length [mm] of the scale already as it is written, to so many decimals."""
        return round(length, mm) if self.unit == "mm" else round(length / MM_PER_INCH, inches)


Section = tuple[str, Sequence[Row]]
"""A table of the sheet: its name, and its rows."""
_EXAMPLES = {
    "mm": (
        'A number may be written 4.33, "4,33", "3/32 in", "38 thou", or with its own error:',
        "{ value = 4.33, measured_to = 0.03 }; centres may be given as",
        "{ outside_to_outside = 10.4, ends = [1.4, 1.4] } or",
        "{ inside_to_inside = 9.0, holes = [0.6, 0.6] }.",
    ),
    "in": (
        'A number may be written 0.17, "11/64", "1 3/16", "38 thou" or "4.33 mm", or with its own',
        'error: { value = 0.17, measured_to = "1 thou" }; centres may be given as',
        "{ outside_to_outside = 0.410, ends = [0.055, 0.055] } or",
        "{ inside_to_inside = 0.354, holes = [0.024, 0.024] }.",
    ),
}
FIXED = "fixed"
_KEYED = re.compile(r"^(\w+) = ")
NO_LETTERS: Mapping[str, str] = {}
"""Of a sheet without a form."""


def rows_of(table: type[Table]) -> tuple[Row, ...]:
    """Return the lines of a table that stand on a blank sheet."""
    rows = []
    for key, field in in_order(table):
        facts = facts_of(field)
        if facts.typical is not None:
            hint = field.description or ""
            rows.append(Row(key, facts.typical, hint, facts.rare, facts.no_place))
    return tuple(sorted(rows, key=lambda row: row.rare))


_JOB = """
# What the report to the owner says beside the findings (tightspot report); all may be left out:
# [job]
# letterhead = "Your name, Model Engine Repairs\\nYour street and town"
# owner = ""
# came_in = 2026-03-14                # or words
# complaint = ""                      # what came in, and what the owner said of it
# other_work = ["Motor and gears cleaned and oiled."]
# parts_replaced = []
# not_original = []
# photographs = ["lock.jpg", { file = "rod.jpg", caption = "The rod as it came." }]
# advice = []                         # how to keep it so
# date = 2026-03-28

# What your hand felt in turning the wheels, as often as there is something to say:
# [[felt]]
# what = "locks"                      # or "stiff", "free"
# side = "right"                      # by whose clock, as you look at that side
# at = "about 5 o'clock"              # or degrees of the crank; or from = ... and to = ...;
#                                     # or, where the wheels turn nowhere, "all round"
# taken_off = ["right.return_crank"]  # what was off, if anything: connecting_rod, motor ...
# pushed = {driving = "right"}        # which wheelset was pushed over, if any, and to which side
"""


def blank_sheet(
    arrangement: str = "walschaerts",
    scale: str | None = None,
    wheels: WheelArrangement | None = None,
    unit: str = "mm",
    letters: Mapping[str, str] = NO_LETTERS,
) -> str:
    """Return a commented sheet to fill in.

    TOML that can be read as it stands: each number is a guess typical of the scale, says so, and
    says how it is measured. What may be left out is commented out.

    `arrangement`: a name of `linkage.arrangements`. `scale`: a key of `linkage.units.SCALES`; 4 mm
    to the foot where none is given. `wheels`: the coupled axles, written with their rods; as the
    arrangement has them where not given. `unit`: "mm" or "in". `letters`: of the measuring form, by
    the whole keys of its readings, to stand in the comments.

    Raises
    ------
    ValueError
        For an arrangement or a scale that is not known, and for a unit that the arrangement's
        example is not written in.
    """
    if scale is not None and scale not in SCALES:
        raise ValueError(f"scale {scale!r} is none of {', '.join(SCALES)}")
    held = arranged(arrangement)
    if held.blank:
        if unit != "mm":
            raise ValueError(f"the example of {arrangement} is in mm: change it on the sheet")
        return _SCHEMA_LINE + _lettered_text(held.blank, letters) + _JOB
    made = Made(scale_factor(scale), unit)
    document = tomlkit.document()
    _write_head(document, head_rows(arrangement, scale, unit), Made(1.0, unit))
    sections = sections_of(arrangement, wheels)
    usual = _usual(held, sections, made.factor)
    for name, rows in sections:
        document.add(tomlkit.nl())
        lettered = [replace(row, hint=_lettered(f"{name}.{row.key}", row.hint, letters))
                    for row in rows]  # fmt: skip
        if name == FIXED:
            _write_fixed(document, lettered, made)
        else:
            whole = _with_usual(held, name, lettered, usual.get(name, {}))
            _write_section(document, name, whole, made)
    one_side = _on_one_side(held, sections, made) + _damage(held, made)
    return _SCHEMA_LINE + tomlkit.dumps(document) + one_side + _JOB


def _lettered(key: str, hint: str, letters: Mapping[str, str]) -> str:
    """Return the hint of a line with the letters that its readings have on the form."""
    mine = [letter for full, letter in letters.items() if full == key or full.startswith(f"{key}.")]
    return f"[{', '.join(mine)}] {hint}".strip() if mine else hint


def keyed_lines(text: str) -> Iterator[tuple[str, str, str]]:
    """Yield each line of an arrangement's example with its table and its key, as far as it has one.

    Parts and pins go under their names, as on the form.
    """
    section = ""
    for line in text.splitlines():
        found = _KEYED.match(line)
        key = found[1] if found else ""
        if line.startswith("["):
            section = line.strip("[]")
        elif key == "name":
            section = f"{section.split('.')[0]}.{tomllib.loads(line)['name']}"
        yield section, key, line


def _lettered_text(text: str, letters: Mapping[str, str]) -> str:
    """Return an arrangement's example with letters in its comments."""
    lines = []
    for section, key, line in keyed_lines(text):
        said, mark, hint = line.partition("# ")
        full = f"{section}.{key}" if section else key
        lettered = _lettered(full, hint, letters) if key else hint
        plain = lettered == hint
        lines.append(line if plain else f"{said}{'' if mark else '  '}# {lettered}")
    return "\n".join(lines) + "\n"


def _usual(
    held: Arrangement, sections: Sequence[Section], factor: float
) -> Mapping[str, Mapping[str, Any]]:
    """Return what would be assumed of a blank sheet, by table and key [mm]."""
    given: dict[str, Any] = {}
    for name, rows in sections:
        mine = {row.key: scaled(row.value, Made(factor)) for row in rows if not row.rare}
        outer, _, inner = name.partition(".")
        if mine and inner:
            given.setdefault(outer, {})[inner] = mine
        elif mine:
            given[name] = mine
    filled = fill_in(held.tables, given, "mm", TYPICAL_RATIO / factor)
    found: dict[str, dict[str, Any]] = {}
    for (table, *keys), text in filled.assumed.items():
        if len(keys) == 1:
            found.setdefault(str(table), {})[str(keys[0])] = read_length(text, "mm")
    return found


def _with_usual(
    held: Arrangement, name: str, rows: Sequence[Row], usual: Mapping[str, float]
) -> Sequence[Row]:
    """Return the lines of a table, with what would be assumed [mm] in those that are for it.

    So that one may be taken in without changing anything. What has no line of its own gets one: it
    is what a verdict may rest on, and what is to be measured next.
    """
    left = dict(usual)
    mine = [
        replace(row, value=Exactly(left.pop(row.key))) if row.key in left else row for row in rows
    ]
    fields = fields_by_key(table_of(held.tables, name.split("."))) if left else {}
    return [
        *mine,
        *(Row(key, Exactly(value), fields[key].description or "", rare=True)
          for key, value in left.items()),
    ]  # fmt: skip


def arranged(name: str) -> Arrangement:
    """Return an arrangement by its name; ValueError where there is none."""
    if name not in ARRANGEMENTS:
        raise ValueError(f"arrangement {name!r} is none of {', '.join(ARRANGEMENTS)}")
    return ARRANGEMENTS[name]


def _on_one_side(held: Arrangement, sections: Sequence[Section], made: Made) -> str:
    """Return an example of what differs on one side, commented out."""
    if not held.differs:
        return ""
    table, _, key = held.differs.rpartition(".")
    found = [row.value for name, rows in sections if name == table
             for row in rows if row.key == key]  # fmt: skip
    if not found:
        return ""
    value = made.typical(found[0] - 0.1)
    return f"""
# What differs on one side only:
# [left]
# {held.differs} = {value}
"""


_DAMAGE: Sequence[tuple[str, Any, str]] = (
    ("crank_pin.lean", {"ahead": 0.2, "over": 3.0},
     "its tip against its root: ahead, behind, away_from_axle or towards_axle"),
    ("crank_pin.bush", 2.2, ""),
    ("connecting_rod.twist", Degrees(5.0), ""),
    ("slide_bars.gap_rear", 4.6, ""),
    ("crosshead.pin", {"diameter": 1.2, "behind": 0.3}, "its end that is proud, behind the block"),
    ("pins.heads.little_end", {"diameter": 1.4, "thickness": 0.3},
     "or any joint; grip: between a rivet's heads; behind: how far its other end is proud"),
    ("union_link.points", "forward", ""),
)  # fmt: skip
"""What has a place on the sheet and is seldom there, at 4 mm to the foot: its key, an example [mm],
and what is to be said where the field has no words of its own."""
DAMAGE = "# What is bent, proud or out of true"
"""How the examples of that begin, which are no readings of an engine as it was made."""


def _damage(held: Arrangement, made: Made) -> str:
    """Return examples of what is bent, proud or out of true, commented out."""
    lines = [f"# {key} = {_typed(example, made)}  # {hint}"
             for key, example, hint in _damages(held)]  # fmt: skip
    if not lines:
        return ""
    where = ", on the side that has it:\n# [right]"
    if len(held.sides) == 1:
        where = "; each goes into the table above that its name begins with:"
    return "\n".join(("", f"{DAMAGE}{where}", *lines, ""))


def _damages(held: Arrangement) -> Iterator[tuple[str, Any, str]]:
    """Yield the examples of `_DAMAGE` that an arrangement has a place for."""
    for key, example, hint in _DAMAGE:
        name, inner, *_ = key.split(".")
        # heads are those of the gear's joints
        if {name, "connecting_rod" if name == "pins" else name} <= set(held.tables.model_fields):
            field = fields_by_key(table_of(held.tables, [name]))[inner]
            yield key, example, hint or field.description or ""


@dataclass(frozen=True)
class LeftOut:
    """What a blank sheet has as an example only.

    `key`: where it goes, of a whole table where all of that may be left out. `value`: as plain
    values, its numbers guesses. `damage`: whether it is something bent, proud or out of true.
    """

    key: str
    value: Any
    hint: str
    damage: bool = False


def left_out(
    arrangement: str, scale: str | None, wheels: WheelArrangement | None, unit: str
) -> Iterator[LeftOut]:
    """Yield what may be put on a sheet besides what a blank one has; but for what is fixed.

    What is assumed where it is left out is not among it: it is a number of the sheet already.
    """
    held = arranged(arrangement)
    if held.blank:
        return
    made = Made(scale_factor(scale), unit)
    sections = sections_of(arrangement, wheels)
    usual = _usual(held, sections, made.factor)
    for name, rows in sections:
        mine = [row for row in rows if row.rare and row.key not in usual.get(name, {})]
        values = {row.key: scaled(row.value, made, guess=True) for row in mine}
        if name == FIXED or not mine:
            continue
        if len(mine) == len(rows):
            yield LeftOut(name, values, "")
        else:
            yield from (LeftOut(f"{name}.{row.key}", values[row.key], row.hint) for row in mine)
    for key, example, hint in _damages(held):
        yield LeftOut(key, scaled(example, made, guess=True), hint, damage=True)


def scale_factor(scale: str | None) -> float:
    """Return what lengths at 4 mm to the foot are multiplied by for a scale [1]."""
    return TYPICAL_RATIO / SCALES[scale].ratio if scale else 1.0


def sections_of(arrangement: str, wheels: WheelArrangement | None = None) -> Sequence[Section]:
    """Return the tables of an arrangement that is made from rows, its coupled axles as asked."""
    held = arranged(arrangement)
    if wheels is None:
        names = (*held.measured, FIXED)
        return [(name, rows_of(table_of(held.tables, name.split(".")))) for name in names]
    plain = [name for name in held.measured if name.split(".")[0] not in _COUPLED]
    first = plain.index("crank_pin") + 1
    return [
        *((name, rows_of(table_of(held.tables, [name]))) for name in plain[:first]),
        *_coupled(held, wheels),
        *((name, rows_of(table_of(held.tables, [name]))) for name in (*plain[first:], FIXED)),
    ]


_COUPLED = ("coupling", "axles", "coupling_rods")


def _coupled(held: Arrangement, wheels: WheelArrangement) -> Iterator[Section]:
    """Yield the tables of coupled axles and their rods."""
    yield "coupling", rows_of(table_of(held.tables, ["coupling"]))
    rods = rows_of(table_of(held.tables, ["coupling_rods", "rod"]))
    axle = table_of(held.tables, ["axles", "axle"])
    apart = next(row.value for row in rods if row.key == "centres")
    for name, given in wheels.axles(apart).items():
        (place, far), *_ = given.items()
        # one of the two ways to say where it stands
        hint = fields_by_key(axle)[place].description or ""
        rows = [replace(row, key=place, value=far, hint=hint) if row.key == "ahead" else row
                for row in rows_of(axle)]  # fmt: skip
        yield f"axles.{name}", rows
    for name, ends in wheels.rods().items():
        rows = [replace(row, value=ends.get(row.key, row.value)) for row in rods]
        yield f"coupling_rods.{name}", [row for row in rows if row.key != "bend"]


def head_rows(arrangement: str, scale: str | None, unit: str = "mm") -> Sequence[Row]:
    """Return what stands above all tables."""
    rows = (
        Row("title", "", ""),
        Row("arrangement", arrangement, ""),
        Row("units", unit, "of bare numbers: mm or in"),
        Row("scale", scale or USUAL_SCALE, ""),
        Row("measured_to", "callipers", "or plus or minus, where a line says nothing else"),
        Row(
            "wanted_clearance",
            0.15,
            "air asked for between moving parts",
            rare=True,
            no_place="a wish, not a measurement",
        ),
    )
    return [row for row in rows if row.value is not None]


def _write_head(document: tomlkit.TOMLDocument, rows: Sequence[Row], made: Made) -> None:
    for text in (
        'Numbers that say "about" are guesses: measure yours and write it without the word.',
        *_EXAMPLES[made.unit],
        "An angle may be written 2.4, or { rise = 1.0, run = 24.0 }, as you read it off two edges.",
        "Ahead is towards the chimney, back towards the cab, from the driving axle.",
    ):
        document.add(tomlkit.comment(text))
    for row in rows:
        if row.rare:
            said = _typed(row.value, made)
            document.add(tomlkit.comment(f"{row.key} = {said}  # {row.hint}"))
        else:
            item = tomlkit.item(row.value)
            document.add(row.key, item.comment(row.hint) if row.hint else item)


def _write_fixed(document: tomlkit.TOMLDocument, rows: Sequence[Row], made: Made) -> None:
    """Write an example of anything fixed, commented out."""
    for text in ("Anything fixed that the motion could touch.", f"[[{FIXED}]]"):
        document.add(tomlkit.comment(text))
    for row in rows:
        said = f"  # {row.hint}" if row.hint else ""
        document.add(tomlkit.comment(f"{row.key} = {_typed(row.value, made)}{said}"))


def _write_section(
    document: tomlkit.TOMLDocument, name: str, rows: Sequence[Row], made: Made
) -> None:
    """Write one table; commented out whole where all of it may be left out."""
    optional = all(row.rare for row in rows)
    table: TomlTable | tomlkit.TOMLDocument = document if optional else tomlkit.table()
    if optional:
        document.add(tomlkit.comment(f"[{name}]"))
    for row in rows:
        value = in_brackets(scaled(row.value, made, guess=True))
        if row.rare:
            table.add(tomlkit.comment(f"{row.key} = {value.as_string()}  # {row.hint}"))
        else:
            word = isinstance(row.value, str)
            table.add(row.key, value.comment(row.hint if word else TYPICAL + row.hint))
    if not optional:
        outer, _, inner = name.partition(".")
        if inner:
            table = tomlkit.table(is_super_table=True).add(inner, table)
        document.add(outer, table)


def scaled(value: Any, made: Made, guess: bool = False) -> Any:
    """Return a value as it is typed, plain, every length in it brought to scale.

    `guess`: whether its numbers are to say that they are guesses.
    """
    if isinstance(value, dict):
        return {key: scaled(held, made, guess) for key, held in value.items()}
    if isinstance(value, list | tuple):
        return [scaled(held, made, guess) for held in value]
    if isinstance(value, Degrees):
        number = value.degrees
    elif isinstance(value, Exactly):
        number = made.exactly(value.length)
    elif isinstance(value, float):
        number = made.typical(value)
    else:
        return value
    return with_source(Source.GUESSED, str(number)) if guess else number


def _typed(value: Any, made: Made) -> str:
    """Return an example of a value as it is typed on one line, brought to scale."""
    return str(in_brackets(scaled(value, made)).as_string())
