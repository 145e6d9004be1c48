"""What a part changes in the motion: against what it was, and against the other side.

Two parts measured to an error each are never told apart by less than both errors together. Each
number of the part has its own share in a figure F::

    e = sqrt( sum over its numbers n of (dF/dn)^2 (error offered^2 + error fitted^2) )

for the errors are independent of one another. dF/dn is taken over just that step.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.advice.offered import OfferedNumber, moved
from linkage.advice.slack import SAMPLES
from linkage.arrangements import build
from linkage.arrays import Array
from linkage.errors import LinkageError
from linkage.kinematics import solve_round
from linkage.mechanism import Mechanism
from linkage.sheet import Sheet
from linkage.valve import FIGURES, Figure, figures_of, figures_told

_LEAST = 0.02  # what differs by less is the same: no feeler at the bench tells it [mm]
_LEAST_ANGLE = math.radians(0.1)


@dataclass(frozen=True)
class Shift:
    """One figure of the motion of one side, before and after.

    Attributes
    ----------
    side : str
        "right", "left" or "only".
    figure : Figure
        Which.
    before, after : float [mm or rad]
        As the engine stood, and with the part in its place; nan where it does not go round.
    other : float [mm or rad]
        On the other side, where the part is not put; nan where there is none.
    explained : float [mm or rad]
        By how much the measuring errors of both parts can make it differ, plus or minus.
    most_by : OfferedNumber or None
        The number with the greatest share in that; None where none has any.
    """

    side: str
    figure: Figure
    before: float
    after: float
    other: float
    explained: float
    most_by: OfferedNumber | None = None

    @property
    def by(self) -> float:
        """How much more it is than before; nan where either is not known [mm or rad]."""
        return self.after - self.before

    @property
    def within(self) -> float:
        """What it may differ by and be the same [mm or rad]."""
        return max(self.explained, _LEAST_ANGLE if FIGURES[self.figure].degrees else _LEAST)

    @property
    def kept(self) -> bool:
        """Whether it is what it was."""
        return abs(self.by) <= self.within

    @property
    def like_other(self) -> bool:
        """Whether it is as on the other side."""
        return abs(self.after - self.other) <= self.within

    @property
    def right(self) -> bool:
        """Whether it is what it was or is as on the other side, or nobody knows what it was."""
        unknown = math.isnan(self.before) and math.isnan(self.other)
        return unknown or self.kept or self.like_other


def find_shifts(
    before: Sheet, put: Sheet, numbers: Sequence[OfferedNumber], sides: Sequence[str]
) -> tuple[Shift, ...]:
    """Return the figures of the sides that a part goes on.

    Those of all sides, in the order in which they are told.
    """
    was, now = build(before), build(put)
    uncertain = [number for number in numbers if number.either]
    tries = [moved(put, sides, {n.key: way * n.either}) for n in uncertain for way in (-1.0, 1.0)]
    builds = [build(sheet) for sheet in tries if not isinstance(sheet, LinkageError)]
    whole = len(builds) == len(tries)
    found: list[Shift] = []
    for side in sides:
        beside = next((name for name in now if name not in sides), None)
        old, new = _figures([was[side]]), _figures([now[side], *(made[side] for made in builds)])
        far = _figures([now[beside]]) if beside is not None else {}
        for figure in new:
            first, *rest = new[figure].tolist()
            shares = _shares(rest) if whole else []
            found.append(
                Shift(
                    side,
                    figure,
                    float(old[figure][0]),
                    first,
                    float(far[figure][0]) if figure in far else math.nan,
                    math.hypot(*shares),
                    uncertain[shares.index(max(shares))] if any(shares) else None,
                )
            )
    return tuple(found)


def _figures(mechanisms: Sequence[Mechanism]) -> dict[Figure, Array]:
    """Return the figures of some mechanisms alike but for their numbers, shape (V,)."""
    motion = solve_round(mechanisms, SAMPLES)
    if motion is not None:
        return figures_of(motion)
    return dict.fromkeys(figures_told(mechanisms[0].watched), np.full(len(mechanisms), np.nan))


def _shares(values: Sequence[float]) -> list[float]:
    """Return what each error makes of a figure, half the difference of it either way.

    0 where that is nan: what cannot be said explains nothing.
    """
    pairs = zip(values[::2], values[1::2], strict=True)
    found = (abs(high - low) / 2 for low, high in pairs)
    return [0.0 if math.isnan(share) else share for share in found]
