"""Every dimension of a sheet by its place, and how well it was measured."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import get_args

from linkage.tables.fields import Kind, Location, Table, measured_to
from linkage.tables.holes import Hole
from linkage.tables.origin import Origin, Source, source_of
from linkage.units import iso_2768_1, parse_angle

ANGLE_ERROR = 1.0
"""Of an angle where none is given, plus or minus [degrees]: common practice, no source."""
GUESS_ANGLE = 5.0
"""Of an angle that is guessed, plus or minus [degrees]: common practice, no source."""
_GUESS_SHARE = 0.1
_GUESS_LEAST = 0.25  # [mm] at 4 mm to the foot


@dataclass(frozen=True)
class Dimension:
    """One dimension: its place, "length" or "angle", and its value [mm or rad]."""

    location: Location
    kind: str
    value: float


@cache
def kinds_of(table: type[Table]) -> dict[str, tuple[str, str]]:
    """Return a table's dimension fields: name to key in the file and kind."""
    kinds = {}
    for name, info in table.model_fields.items():
        marks = [*info.metadata]
        for inner in get_args(info.annotation):
            marks += getattr(inner, "__metadata__", ())
        for mark in marks:
            if isinstance(mark, Kind):
                kinds[name] = (info.alias or name, mark.name)
    return kinds


def dimensions_in(table: Table, above: Location = ()) -> Iterable[Dimension]:
    """Yield every dimension of a table and of the tables in it, in the table's order."""
    kinds = kinds_of(type(table))
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        here = (*above, info.alias or name)
        if name in kinds and value is not None:
            yield from _of_field(here, kinds[name][1], value)
        elif isinstance(value, dict):
            for key, inner in value.items():
                if isinstance(inner, Table):
                    yield from dimensions_in(inner, (*here, key))
        elif isinstance(value, Table):
            yield from dimensions_in(value, here)
        elif isinstance(value, tuple):
            for number, inner in enumerate(value):
                if isinstance(inner, Table):
                    yield from dimensions_in(inner, (*here, number))


def _of_field(here: Location, kind: str, value: object) -> Iterable[Dimension]:
    """Yield the dimensions of one field: one, or those of a hole or of a list."""
    if isinstance(value, tuple):
        for number, inner in enumerate(value):
            yield from _of_field((*here, number), kind, inner)
    elif isinstance(value, Hole):
        names = ("along", "across")
        if value.round:
            yield Dimension(here, "length", value.along)
        else:
            yield from (Dimension((*here, key), "length", getattr(value, key)) for key in names)
    elif isinstance(value, float):
        yield Dimension(here, kind, value)


def origin_of(
    dimension: Dimension, typed: object, usual: float | None, unit: str, spread: float
) -> Origin:
    """Return where a dimension comes from, and how far out it may be.

    Parameters
    ----------
    typed : object
        What stands in the file; None where nothing does.
    usual : float or None [mm]
        What is measured to on this sheet, where it says so.
    spread : float [mm]
        How far out it may be where it is a guess at a length, plus or minus.
    """
    source, angle = source_of(typed), dimension.kind == "angle"
    beside = _beside(typed, unit, angle)
    if beside is not None:
        return Origin(source, beside)
    if source is Source.GUESSED or (source is Source.ASSUMED and typed is not None):
        return Origin(source, GUESS_ANGLE if angle else spread)
    if angle:
        return Origin(source, ANGLE_ERROR)
    return Origin(source, usual if usual is not None else default_error(abs(dimension.value)))


def _beside(typed: object, unit: str, angle: bool) -> float | None:
    """Return the error that stands beside a dimension [mm, degrees for angles], if one does."""
    if not angle:
        return measured_to(typed, unit)
    beside = typed.get("measured_to") if isinstance(typed, Mapping) else None
    return None if beside is None else math.degrees(parse_angle(beside))


def guess_spread(length: float, factor: float) -> float:
    """Return how far out a guess at a length may be, plus or minus [mm].

    A tenth of it, but at least a quarter of a millimetre at 4 mm to the foot, or all of it where it
    is less: common practice, no source.

    Parameters
    ----------
    length : float [mm]
        As guessed.
    factor : float [1]
        What sizes at 4 mm to the foot are multiplied by.
    """
    least = _GUESS_LEAST * factor
    return max(_GUESS_SHARE * abs(length), min(least, abs(length)) if length else least)


def default_error(length: float) -> float:
    """Return the measuring error to reckon with where a sheet gives none.

    Parameters
    ----------
    length : float [mm]
        The dimension, not below 0.

    Returns
    -------
    float [mm]
        Plus or minus. ISO 2768-1 grade m from 0.5 to 400 mm; below, where the standard asks for
        the deviation beside the dimension, a fifth of it but at least 0.02; above, in proportion
        to the last row. Both of the latter are common practice, no source.
    """
    if length < 0.5:
        return max(0.2 * length, 0.02)
    return iso_2768_1(length) if length <= 400 else iso_2768_1(400.0) * length / 400
