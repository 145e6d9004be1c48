"""A part that is offered for one on a sheet: its numbers, read from a file of their own."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkage.errors import Problem, SheetError
from linkage.sheet.head import TOOLS
from linkage.sheet.merging import merge
from linkage.sheet.reading import load_toml, sheet_from
from linkage.tables.facts import table_of
from linkage.tables.fields import did_you_mean
from linkage.tables.model import Sheet
from linkage.tables.rods import Bar
from linkage.units import parse_length

_NESTED = ("axles", "coupling_rods")


@dataclass(frozen=True)
class Offer:
    """One part offered.

    Attributes
    ----------
    source : str
        The file, as the user named it.
    title : str
        What the seller calls it; the file's name where it does not say.
    table : tuple of str
        The table of the fitted part that it would replace: ("radius_rod",).
    values : mapping
        Its numbers, as typed.
    error : float [mm]
        How well it was measured, plus or minus; 0 where it does not say.
    """

    source: str
    title: str
    table: tuple[str, ...]
    values: Mapping[str, Any]
    error: float = 0.0


def read_offer(path: Path, sheet: Sheet) -> Offer:
    """Read the file of an offered part.

    Its numbers, not yet checked.

    Parameters
    ----------
    path : Path
        TOML with one table, named as the fitted part's on the sheet; above it, if need be,
        `title`, `units` and `measured_to`.

    Raises
    ------
    SheetError
        Where the file is no such thing, or holds a part that the sheet does not have.
    """
    source = str(path)
    data = load_toml(path, source)

    def refuse(key: str, wrong: str) -> SheetError:
        return SheetError(source, [Problem(key, wrong)])

    tables = {key: value for key, value in data.items() if isinstance(value, Mapping)}
    if len(tables) != 1:
        raise refuse("", "should hold the table of one part, such as [radius_rod]")
    ((name, values),) = tables.items()
    table: tuple[str, ...] = (name,)
    if name in _NESTED:
        if len(values) != 1:
            raise refuse(name, f"should hold one part, such as [{name}.front]")
        ((own, values),) = values.items()
        table = (name, own)
    side = next(iter(sheet.sides.values()))
    fitted: Any = side
    for step in table:
        there = fitted if isinstance(fitted, Mapping) else vars(fitted)
        if there.get(step) is None:
            near = did_you_mean(step, [key for key, value in there.items() if value is not None])
            raise refuse(".".join(table), f"is no part of {sheet.source}{near}")
        fitted = there[step]
    if data.get("units", sheet.unit) != sheet.unit:
        raise refuse(
            "units", f"should be those of the sheet, {sheet.unit}, or stand with each number"
        )
    error = data.get("measured_to", 0.0)
    try:
        size = TOOLS[error] if error in TOOLS else parse_length(error, sheet.unit) if error else 0.0
    except ValueError as wrong:
        raise refuse("measured_to", str(wrong)) from wrong
    return Offer(source, str(data.get("title", path.stem)), table, values, size)


def fit_offer(sheet: Sheet, offer: Offer, sides: Sequence[str], turned: bool = False) -> Sheet:
    """Put an offered part in the place of the fitted one.

    All else as typed.

    Parameters
    ----------
    offer : Offer
        The part; what its file does not give is as on the fitted one, but for its bends.
    turned : bool
        End for end.

    Raises
    ------
    SheetError
        Where its numbers cannot be.
    """
    data = copy.deepcopy(dict(sheet.data))
    for side in sides:
        table = table_of(type(sheet.sides[side]), offer.table)
        common = _at(data, offer.table)
        own = data.setdefault(side, {}) if side in ("right", "left") else data
        holder = own
        for step in offer.table[:-1]:
            holder = holder.setdefault(step, {})
        fitted = merge(common, holder.get(offer.table[-1], {}) if holder is not data else {}, table)
        rod = _fitted(sheet, offer, side)
        if isinstance(rod, Bar):
            fitted["bend"] = []
        values = _turned(offer.values, rod) if turned else offer.values
        holder[offer.table[-1]] = merge(fitted, values, table)
    return sheet_from(data, sheet.source, ask=False)


def can_turn(sheet: Sheet, offer: Offer, sides: Sequence[str]) -> bool:
    """Tell whether an offered part is another one when turned end for end."""
    return any(_turned(offer.values, _fitted(sheet, offer, s)) != dict(offer.values) for s in sides)


def _at(data: Mapping[str, Any], table: Sequence[str]) -> Mapping[str, Any]:
    for step in table:
        data = data.get(step, {})
    return data


def _fitted(sheet: Sheet, offer: Offer, side: str) -> object:
    found: Any = sheet.sides[side]
    for step in offer.table:
        found = found[step] if isinstance(found, Mapping) else getattr(found, step)
    return found


def _turned(values: Mapping[str, Any], rod: object) -> dict[str, Any]:
    """Return a rod's numbers as they are when it is turned end for end."""
    turned = dict(values)
    if not isinstance(rod, Bar):
        return turned
    for key in ("ends", "holes", "centres"):
        if isinstance(turned.get(key), list):
            turned[key] = turned[key][::-1]
    rear, front = rod.end_names()
    ends = {name: other[0] for names, other in ((rear, front), (front, rear)) for name in names}
    if isinstance(turned.get("bend"), list):
        turned["bend"] = [
            {**bend, "from": ends.get(bend.get("from"), bend.get("from"))}
            for bend in turned["bend"]
        ]
    return turned
