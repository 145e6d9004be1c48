"""What both sides amount to: a link that swings unevenly, unlike valves, wheels of other sizes.

Three rules like those of `tightspots.py`: they turn figures into findings, and compute none.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

import numpy as np

from linkage.mechanism import Mechanism
from linkage.play import find_unlike_treads
from linkage.tightspots import TURN, Mistimed, TightSpot, Uneven, UnlikeWheels
from linkage.valve import Figure, UnlikeValves
from linkage.wheels import CoupledWheels

LOPSIDED = np.radians(7.5)
"""A link with the middle of its swing farther from upright is lopsided (our own mark) [rad]."""
UNLIKE = np.radians(6.0)
"""Two links are unlike if their swings, or the middles of them, differ by more (our own) [rad]."""


def uneven(
    figures: Mapping[str, Mapping[Figure, float]], links: Mapping[str, str]
) -> list[TightSpot]:
    """Say on which side a link, by its name, swings lopsidedly, or unlike the other side's.

    `figures` [rad]: of the motion. Of two unlike it is the more lopsided, or that with less swing.
    """
    found: list[TightSpot] = []
    swings = {
        side: (held[Figure.SWING] / 2, held[Figure.SWING_MIDDLE])
        for side, held in figures.items()
        if not np.isnan(held[Figure.SWING])
    }
    for side, (half, middle) in swings.items():
        other = next((held for name, held in swings.items() if name != side), None)
        far = (math.nan,) * 2 if other is None else (other[0] - other[1], other[0] + other[1])
        if abs(middle) > LOPSIDED or (other is not None and _worse((half, middle), other)):
            ends = half - middle, half + middle
            found.append(Uneven(side, (links[side],), 0.0, 0.0, TURN, *ends, far))
    return found


def _worse(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Tell whether of two unlike swings, half and middle of each, it is the first that is wrong."""
    if abs(one[1] - other[1]) > UNLIKE:
        return abs(one[1]) > abs(other[1])
    return 2 * (other[0] - one[0]) > float(UNLIKE)


def unlike_wheels(wheels: CoupledWheels, sides: Collection[str]) -> list[TightSpot]:
    """Say which coupled wheels are of another size than the others; `sides`: those of the sheet."""
    found: list[TightSpot] = []
    for one in find_unlike_treads(wheels):
        side = next(iter(sides)) if len(sides) == 1 else one.sides[0]
        side = side if len(one.sides) < len(sides) or len(sides) == 1 else "both"
        found.append(UnlikeWheels(side, (f"{one.axle} wheel",), 0.0, 0.0, TURN, one))
    return found


def mistimed(mechanism: Mechanism, unlike: UnlikeValves, explained: float) -> list[TightSpot]:
    """Say that a valve goes otherwise than the other side's, unless measuring errors explain it.

    `mechanism`: of the side that is thought to be wrong. `explained` [mm]: by how much the errors
    of all numbers can make the two differ.
    """
    if unlike.apart <= explained:
        return []
    slide = next(joint for joint in mechanism.joints if joint.name == mechanism.watched.valve)
    parts = (slide.a.part,)
    return [Mistimed(unlike.side, parts, 0.0, 0.0, TURN, unlike, explained, place=unlike.place)]
