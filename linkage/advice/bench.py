"""What can be done at a bench: amounts in steps that can be bent, set, turned or measured."""

from __future__ import annotations

import math

from linkage.sheet import Sheet
from linkage.tables.sides import CoupledSide

_SMALL = 10.0  # throws below this are those of models on a table [mm]
_LENGTH, _LARGE, _ANGLE = 0.05, 0.1, 0.5  # steps [mm, mm, degrees]


def bench_step(sheet: Sheet, angle: bool = False) -> float:
    """Return the least step in which something is bent, set or packed [mm, degrees].

    Common practice: 0.05 mm is what a model's rod can be set to by hand, and a shim is thick.
    """
    if angle:
        return _ANGLE
    side = next(iter(sheet.sides.values()))
    small = not isinstance(side, CoupledSide) or side.wheels.throw < _SMALL
    return _LENGTH if small else _LARGE


def up(amount: float, step: float) -> float:
    """Return an amount rounded up to whole steps, so that what is said is enough [as they are]."""
    return round(math.ceil(amount / step - 1e-6) * step, 6)
