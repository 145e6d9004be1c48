"""Coupled wheels of other sizes: they turn freely in the hand, and slip on the rail.

Rods hold all coupled wheels to one rate, so that in each turn of the cranks a wheel of diameter d
over its tread would roll ``pi d``, and the engine goes one way only. A wheel that differs from the
others by ``d - D`` therefore slides

    s = pi |d - D|

along the rail in each turn, or stands clear of it, and then carries nothing. What differs by less
than a hundredth of the diameter passes (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.wheels import Axle, CoupledWheels

UNLIKE_TREADS = 0.01
"""Share of a diameter by which coupled wheels may differ (common practice, no source) [1]."""


@dataclass(frozen=True)
class UnlikeTread:
    """The wheels of one axle that are not of the others' size.

    Attributes
    ----------
    axle : str
        Its name.
    sides : tuple of str
        Which of its wheels: "right", "left".
    tread, others : float [mm]
        Diameter over the tread, and that of most coupled wheels.
    key : str
        Of its number on the sheet, without a side.
    """

    axle: str
    sides: tuple[str, ...]
    tread: float
    others: float
    key: str

    @property
    def slip(self) -> float:
        """How far the wheel slides on the rail in each turn [mm]."""
        return math.pi * abs(self.tread - self.others)

    @property
    def room(self) -> float:
        """By how much more it might differ; below nought, by how much less it ought to [mm]."""
        return UNLIKE_TREADS * self.others - abs(self.tread - self.others)


def find_unlike_treads(wheels: CoupledWheels) -> tuple[UnlikeTread, ...]:
    """Return the axles whose wheels are not of the size of most, rear to front.

    Where as many are of one size as of another, the driving wheels' is the right one.

    Examples
    --------
    >>> axles = tuple(
    ...     Axle(name, 29.0 * k, 0.0, {}, 0.0, 0.0, key, {"right": tread, "left": tread})
    ...     for k, (name, key, tread) in enumerate(
    ...         [("driving", "wheels", 20.0), ("leading", "axles.leading", 18.5)]
    ...     )
    ... )
    >>> [(one.axle, one.sides, round(one.slip, 2)) for one in find_unlike_treads(
    ...     CoupledWheels(axles, 0, ()))]
    [('leading', ('right', 'left'), 4.71)]
    """
    known = [tread for axle in _driving_first(wheels) for tread in axle.treads.values()]
    if not known:
        return ()
    others = max(known, key=lambda one: sum(_alike(each, one) for each in known))
    found = []
    for axle in wheels.axles:
        unlike = {side: one for side, one in axle.treads.items() if not _alike(one, others)}
        for tread in dict.fromkeys(unlike.values()):
            sides = tuple(side for side, one in unlike.items() if one == tread)
            found.append(UnlikeTread(axle.name, sides, tread, others, f"{axle.key}.tread"))
    return tuple(found)


def _driving_first(wheels: CoupledWheels) -> tuple[Axle, ...]:
    driving = wheels.axles[wheels.driving]
    return driving, *(axle for axle in wheels.axles if axle is not driving)


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= UNLIKE_TREADS * other
