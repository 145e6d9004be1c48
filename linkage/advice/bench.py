"""What can be done at a bench: amounts in steps that can be bent, set, turned or measured.

Every command that says how far something is to go takes its figure from here, so that all say the
same for the same cure.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from linkage.advice.keys import held_key
from linkage.sheet import Sheet, is_angle
from linkage.tables.origin import Source
from linkage.tables.sides import CoupledSide

_SMALL = 10.0  # throws below this are those of models on a table [mm]
_ANGLE = 0.5  # step [degrees]
_ROUNDING = 1e-6  # of a step: so much less or more is none


def bench_step(sheet: Sheet, angle: bool = False) -> float:
    """Return the least step in which something is bent, set or packed [mm, degrees].

    Common practice: 0.05 mm or 2 thou is what a model's rod can be set to by hand, and a shim is
    thick.
    """
    if angle:
        return _ANGLE
    side = next(iter(sheet.sides.values()))
    small = not isinstance(side, CoupledSide) or side.wheels.throw < _SMALL
    return sheet.lengths.step if small else sheet.lengths.large_step


def step_of(sheet: Sheet, key: str) -> float:
    """Return the step in which a number is put right, no finer than it was measured to [mm, deg].

    `key`: on the sheet, as for `sheet.change`; of a number that nobody measured, and of one that
    the sheet does not have, the bench's own step.
    """
    step = bench_step(sheet, is_angle(sheet, key))
    held = held_key(sheet, key)
    if held is None or sheet.origins[held].source is not Source.MEASURED:
        return step
    return max(up(sheet.origins[held].error, step), step)


def steps_up(amount: float, step: float) -> int:
    """Return how many whole steps are enough for an amount [1]; both as they are."""
    return math.ceil(amount / step - _ROUNDING)


def least_count(enough: Callable[[int], bool], first: int, most: int) -> int | None:
    """Return the least count of steps that is enough, of up to a most; None where none is.

    More steps are never less enough. `first`: where to begin: doubled until it is enough, and then
    halved into.
    """
    short, count = 0, min(first, most)
    if count < 1:
        return None
    while not enough(count):
        if count == most:
            return None
        short, count = count, min(2 * count, most)
    while count - short > 1:
        between = (count + short) // 2
        count, short = (between, short) if enough(between) else (count, between)
    return count


def up(amount: float, step: float) -> float:
    """Return an amount rounded up to whole steps, so that what is said is enough [as they are]."""
    return round(steps_up(amount, step) * step, 6)


def down(amount: float, step: float) -> float:
    """Return an amount rounded down to whole steps: what is said is not too much [as they are]."""
    return round(math.floor(amount / step + _ROUNDING) * step, 6)


def nearest(amount: float, step: float) -> float:
    """Return an amount in whole steps, the nearest to it [as they are]."""
    return round(round(amount / step) * step, 6)
