"""How a sheet's lengths are said: as most of them were typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from linkage.lengths import MILLIMETRES, Inches, Lengths
from linkage.tables.fields import DIMENSION_KEYS
from linkage.tables.origin import Source, source_of, without_source
from linkage.units import is_fraction, unit_typed


def lengths_of(typed: Iterable[tuple[str, object]], unit: str) -> Lengths:
    """Return how lengths are said: in inches on a sheet of inches, or where most are typed so.

    Parameters
    ----------
    typed : iterable of (str, object)
        Each length's key, in every spelling that it has, and what stands for it in the file.
    unit : {"mm", "in"}
        Unit of bare numbers.
    """
    given = [(key, _bare(value)) for key, value in typed if source_of(value) is not Source.ASSUMED]
    units = [unit_typed(value) or unit for _, value in given]
    if unit == "mm" and 2 * units.count("mm") >= len(units):
        return MILLIMETRES
    return Inches(
        fractions=frozenset(key for key, value in given if is_fraction(value)),
        thou=frozenset(key for (key, _), held in zip(given, units, strict=True) if held == "thou"),
    )


def _bare(value: object) -> object:
    """Return a length as typed, without its error and the word that says where it comes from."""
    if isinstance(value, Mapping):
        return next(
            (_bare(held) for key, held in value.items() if key in DIMENSION_KEYS - {"measured_to"}),
            None,
        )
    return without_source(value)
