"""A sheet's sizes at another scale, beside what can be bought, and what rounding to it does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.kinematics import follow, solve_at
from linkage.sheet import Sheet, change
from linkage.standards.scales import nearest_fraction
from linkage.standards.stock import DRILLS, STOCK, Size, nearest
from linkage.valve import FIGURES, Figure, figures_of

_SAMPLES = 720
ROUNDINGS: Mapping[str, Callable[[float], float]] = {
    "0.1 mm": lambda length: round(length, 1),
    "1/64 in": nearest_fraction,
}
"""Ways to round a length [mm] at the scale it is made to."""


@dataclass(frozen=True)
class AtScale:
    """A size at the scale it is made to."""

    key: str  # on the sheet
    here: float  # [mm] as the sheet has it
    there: float  # [mm]
    drill: Size  # what is nearest to it there
    stock: Size


@dataclass(frozen=True)
class Rounded:
    """What becomes of a motion when all lengths are rounded, at the scale it is made to."""

    to: str  # a key of ROUNDINGS
    figures: Mapping[Figure, tuple[float, float]]  # [mm or rad] before and after
    fault: str = ""  # why it does not go together then


def at_scale(size: float, key: str = "", times: float = 1.0) -> AtScale:
    """Return a size [mm] made so many times as large [1], beside what can be bought."""
    there = size * times
    return AtScale(key, size, there, nearest(abs(there), DRILLS), nearest(abs(there), STOCK))


def sizes_at_scale(sheet: Sheet, times: float) -> list[AtScale]:
    """Return all lengths of a sheet made so many times as large [1], both sides'."""
    found: dict[str, AtScale] = {}
    for held in sheet.dimensions.values():
        for key, value in held.items():
            if key not in sheet.angles and value and key not in found:
                found[key] = at_scale(value, key, times)
    return list(found.values())


def roundings(sheet: Sheet, times: float) -> Iterator[Rounded]:
    """Yield what rounding every length does to the motion of the first side.

    `times` [1]: how many times as large as on the sheet it is made.
    """
    side = next(iter(sheet.sides))
    before = _figures(sheet, side)
    for name, rounded in ROUNDINGS.items():
        values = {
            key: rounded(value * times) / times
            for key, value in sheet.dimensions[side].items()
            if key not in sheet.angles and rounded(value * times)
        }
        try:
            after = _figures(change(sheet, values), side)
        except LinkageError as error:
            yield Rounded(name, {}, str(error).partition("\n")[0])
            continue
        figures = {}
        for figure in before:
            by = 1.0 if _angle(figure) else times
            figures[figure] = by * before[figure], by * after[figure]
        yield Rounded(name, figures)


def _angle(figure: Figure) -> bool:
    return FIGURES[figure].degrees


def _figures(sheet: Sheet, side: str) -> dict[Figure, float]:
    course = follow(build(sheet, side)[side])
    motion = solve_at(course, np.arange(_SAMPLES) * (2 * np.pi / _SAMPLES))
    return {figure: float(value) for figure, value in figures_of(motion).items()}
