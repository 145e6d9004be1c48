"""Parts that are offered for those on a sheet: their numbers, read from a file of their own."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_origin

from linkage.errors import Problem, SheetError
from linkage.sheet.head import SIDE_NAMES, TOOLS, Head
from linkage.sheet.merging import merge, value_at
from linkage.sheet.opening import data_in, read_text
from linkage.sheet.reading import sheet_like
from linkage.sheet.restating import in_mm, restated
from linkage.sheet.wording import as_typed
from linkage.tables.facts import fields_by_key, table_of
from linkage.tables.fields import did_you_mean
from linkage.tables.model import Sheet
from linkage.tables.rods import Bar
from linkage.tables.shapes import Side
from linkage.units import parse_length

_HEAD = ("title", "units", "measured_to")
_WANTED = "should hold the table of a part, such as [radius_rod], with what was measured of it"


@dataclass(frozen=True)
class OfferedPart:
    """One part of an offer.

    Attributes
    ----------
    table : tuple of str
        The table of the fitted part that it would replace: ("radius_rod",).
    values : mapping
        Its numbers, as typed.
    """

    table: tuple[str, ...]
    values: Mapping[str, Any]

    @property
    def key(self) -> str:
        """The dotted key of its table."""
        return ".".join(self.table)


@dataclass(frozen=True)
class Offer:
    """A part that is offered, or several that would be fitted together.

    Attributes
    ----------
    source : str
        The file, as the user named it.
    title : str
        What the seller calls it; the file's name where it does not say.
    parts : tuple of OfferedPart
        What it consists of, in the order of the file.
    error : float [mm]
        How well it was measured, plus or minus; 0 where it does not say.
    """

    source: str
    title: str
    parts: tuple[OfferedPart, ...]
    error: float = 0.0

    @property
    def keys(self) -> frozenset[str]:
        """The dotted keys of its parts' tables."""
        return frozenset(part.key for part in self.parts)


def read_offer(path: Path, sheet: Sheet) -> Offer:
    """Read the file of a part that is offered, or of several to be fitted together.

    Their numbers, not yet checked; lengths that the sheet would read in another unit in mm.

    Parameters
    ----------
    path : Path
        TOML with one table a part, named as the fitted part's on the sheet; above them, if need be,
        `title`, `units` and `measured_to`.

    Raises
    ------
    SheetError
        Holds every problem: the file is no such thing, offers nothing, or holds a part that the
        sheet does not have.
    """
    source = str(path)
    return offer_in(read_text(path, source), source, sheet, path.stem)


def offer_in(text: str, source: str, sheet: Sheet, title: str = "") -> Offer:
    """Return what is offered, as `read_offer` does, from the text of its file.

    `title`: what it is called where it says nothing of it.
    """
    data = data_in(text, source)
    problems = list(_faults_of_head(data, sheet))
    parts: list[OfferedPart] = []
    for key, held in data.items():
        for item in _in_table(key, held, sheet) if key not in _HEAD else ():
            if isinstance(item, Problem):
                problems.append(item)
            else:
                parts.append(item)
    unit = data.get("units", sheet.unit)
    try:
        error = data.get("measured_to", 0.0)
        size = TOOLS[error] if error in TOOLS else parse_length(error, unit) if error else 0.0
    except (TypeError, ValueError) as wrong:
        size = 0.0
        problems.append(Problem("measured_to", str(wrong), as_typed(data["measured_to"])))
    if not parts and not problems:
        problems.append(Problem("", _WANTED))
    if problems:
        raise SheetError(source, problems)
    if unit != sheet.unit:
        kind = type(next(iter(sheet.sides.values())))
        parts = [
            OfferedPart(part.table, in_mm(part.values, table_of(kind, part.table), unit))
            for part in parts
        ]
    return Offer(source, str(data.get("title", title or source)), tuple(parts), size)


def _faults_of_head(data: Mapping[str, Any], sheet: Sheet) -> Iterator[Problem]:
    """Yield what is wrong above the tables of an offer."""
    for key, held in data.items():
        if isinstance(held, Mapping | list) or key in _HEAD:
            continue
        near = did_you_mean(key, _HEAD)
        why = (
            near or ": a number of a part stands under the name of its table, such as [radius_rod]"
        )
        yield Problem(key, f"is not a known key above the tables of an offer{why}", as_typed(held))
    unit = data.get("units", sheet.unit)
    if unit not in ("mm", "in"):
        yield Problem("units", 'should be "mm" or "in"', as_typed(unit))


def _in_table(key: str, held: Any, sheet: Sheet) -> Iterator[OfferedPart | Problem]:
    """Yield the parts that stand under one key at the top of an offer, or what is wrong there."""
    if not isinstance(held, Mapping | list):
        return  # said of the head
    if key in SIDE_NAMES:
        yield Problem(key, "is a side, which an offer does not have: --side says where it would go")
        return
    side = next(iter(sheet.sides.values()))
    field = fields_by_key(type(side)).get(key)
    fitted = getattr(side, key, None) if field is not None else None
    if key in Head.model_fields or not fitted:
        given = [name for name in type(side).model_fields if getattr(side, name)]
        yield Problem(key, f"is no part of {sheet.source}{did_you_mean(key, given)}")
    elif isinstance(held, list):
        yield Problem(key, "stands in double brackets: a part offered is a single table, as [name]")
    elif field is not None and get_origin(field.annotation) is dict:
        yield from _several(key, held, fitted, sheet)
    elif not held:
        yield Problem(key, "offers nothing: give at least one number of the part")
    else:
        yield OfferedPart((key,), held)


def _several(
    key: str, held: Mapping[str, Any], fitted: Mapping[str, Any], sheet: Sheet
) -> Iterator[OfferedPart | Problem]:
    """Yield the parts of which there are several, by their names."""
    one = f"{key}.{next(iter(fitted))}"
    if not held:
        yield Problem(key, f"offers nothing: it should hold one part, such as [{one}]")
    for name, values in held.items():
        if not isinstance(values, Mapping):
            near = f"stands outside any one part: write it under the part's name, as [{one}]"
            yield Problem(f"{key}.{name}", near, as_typed(values))
        elif name not in fitted:
            near = did_you_mean(name, fitted)
            yield Problem(f"{key}.{name}", f"is no part of {sheet.source}{near}")
        elif not values:
            yield Problem(f"{key}.{name}", "offers nothing: give at least one number of the part")
        else:
            yield OfferedPart((key, name), values)


def fit_offer(
    sheet: Sheet, offer: Offer, sides: Sequence[str], turned: frozenset[str] = frozenset()
) -> Sheet:
    """Put what is offered in the place of what is fitted.

    All else as on the sheet, what was assumed of it included.

    Parameters
    ----------
    offer : Offer
        The parts; what their file does not give is as on those fitted, but for bends.
    turned : frozenset of str
        Keys of the parts that go in end for end.

    Raises
    ------
    SheetError
        Where their numbers cannot be; all problems under the offer's own keys.
    """
    data = copy.deepcopy(dict(sheet.data))
    for side in sides:
        own = data.setdefault(side, {}) if side in ("right", "left") else data
        for part in offer.parts:
            _put_in(data, own, sheet.sides[side], part, part.key in turned)
    try:
        return sheet_like(sheet, data)
    except SheetError as error:
        raise SheetError(offer.source, _without_sides(error.problems)) from error


def _put_in(
    data: Mapping[str, Any],
    own: MutableMapping[str, Any],
    side: Side,
    part: OfferedPart,
    turn: bool,
) -> None:
    """Put one part in its place on one side, `own` being that side's own tables."""
    table = table_of(type(side), part.table)
    holder = own
    for step in part.table[:-1]:
        holder = holder.setdefault(step, {})
    common = value_at(data, part.table) or {}
    mine = holder.get(part.table[-1], {}) if own is not data else {}
    fitted, old = merge(common, mine, table), _fitted(side, part)
    if isinstance(old, Bar):
        fitted["bend"] = []
    values = restated(part.values, fitted, old, side)
    holder[part.table[-1]] = merge(fitted, _turned(values, old) if turn else values, table)


def _without_sides(problems: Sequence[Problem]) -> list[Problem]:
    """Return problems by keys without a side, each once."""
    bare = (
        Problem(p.key.partition(".")[2] if p.key.partition(".")[0] in SIDE_NAMES else p.key,
                p.wrong, p.found)
        for p in problems
    )  # fmt: skip
    return list(dict.fromkeys(bare))


def ways_round(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> list[frozenset[str]]:
    """Return which parts of an offer to turn end for end: none, each alone, all that differ so."""
    able = [
        part.key
        for part in offer.parts
        if any(_turned(part.values, _fitted(sheet.sides[s], part)) != part.values for s in sides)
    ]
    ways = [frozenset[str](), *(frozenset((key,)) for key in able), frozenset(able)]
    return list(dict.fromkeys(ways))


def _fitted(side: Side, part: OfferedPart) -> object:
    """Return the table of the fitted part."""
    found: Any = side
    for step in part.table:
        found = found[step] if isinstance(found, Mapping) else getattr(found, step)
    return found


def _turned(values: Mapping[str, Any], rod: object) -> dict[str, Any]:
    """Return a rod's numbers, in mm, as they are when it is turned end for end."""
    if not isinstance(rod, Bar):
        return dict(values)
    return rod.end_for_end(values, lambda by, _: f"{by!r} mm")
