"""The positions that a page can show: one whole turn, and the places that matter in it, computed.

Both sides are listed at the same right-hand crank angles, so that they stay in step. Positions go
into the page as 16-bit whole numbers: 3 for each moving part at each angle.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.arrays import Array
from linkage.examine import Examination
from linkage.kinematics import Motion
from linkage.scene.motion import TURN, motion_at, standing_by
from linkage.tightspots import CannotClose, TightSpot

EVERY = 1
"""Positions are this far apart [degrees]."""
NO_PLACE = -32768
"""Stands in the page for a part that has no position."""
_MOST = 32767
_ANGLE = math.pi / _MOST  # of a part, one step [rad]
_SAME = 1e-7  # angles nearer than this are one [rad]


@dataclass(frozen=True)
class Stops:
    """The crank angles of one sheet that its page shows."""

    crank: Array  # (N,) [rad] right-hand crank, rising, from 0 to less than a turn

    def of(self, angle: float) -> int:
        """Return which of them is nearest to a right-hand crank angle [rad]."""
        away = np.abs((self.crank - angle + math.pi) % TURN - math.pi)
        return int(np.argmin(away))

    def within(self, begin: float, end: float) -> tuple[int, int]:
        """Return the first of an arc and how many there are in it [rad]."""
        if end - begin >= TURN - _SAME:
            return 0, len(self.crank)
        along = (self.crank - begin + _SAME) % TURN
        inside = np.flatnonzero(along <= end - begin + 2 * _SAME)
        if not len(inside):
            return self.of(begin), 1
        return int(inside[np.argmin(along[inside])]), len(inside)


def even_crank() -> Array:
    """Return the right-hand crank angles of an even turn, (N,) [rad]."""
    return np.asarray(np.radians(np.arange(0, 360, EVERY)))


def stops_of(examination: Examination) -> Stops:
    """Return the crank angles to show: an even turn, and each tight spot's own.

    Of a loop that cannot close, the last position before and the first after it.
    """
    extra = [angle % TURN for spot in examination.spots for angle in own_stops(examination, spot)]
    crank = np.sort(np.concatenate((even_crank(), extra)))
    return Stops(crank[np.diff(crank, prepend=-1.0) > _SAME])


def own_stops(examination: Examination, spot: TightSpot) -> tuple[float, ...]:
    """Return the right-hand crank angles at which a spot is to be seen, the first to jump to.

    Not brought into one turn ([rad]).
    """
    if not isinstance(spot, CannotClose):
        return (examination.right_hand(spot.side, spot.worst),)
    findings = examination.where(spot)
    edges = ((spot.begin, -1.0), (spot.end, 1.0))
    return tuple(
        examination.right_hand(spot.side, standing_by(findings, edge, way)[0])
        for edge, way in edges
    )


def motion_of(examination: Examination, side: str, stops: Stops) -> Motion:
    """Return a side's motion at the stops.

    Solved at that side's own crank angles.
    """
    own = stops.crank - examination.right_hand(side, 0.0)
    return motion_at(examination.sides[side], own)


def poses_data(motion: Motion, parts: Iterable[str]) -> dict[str, Any]:
    """Return positions as text for a page.

    ``mm``: what one step of x and y is [mm]; ``rad``: one of the angle [rad]; ``numbers``:
    base64 of 16-bit numbers, little end first, parts by angles by (x, y, angle).

    `parts`: the parts that move, in the order in which the page is to have them.
    """
    table = np.stack([np.broadcast_to(motion.poses[name], (len(motion.crank), 3))
                      for name in parts])  # fmt: skip
    reach = float(np.nanmax(np.abs(table[..., :2]), initial=1.0))
    step = np.array([reach / _MOST, reach / _MOST, _ANGLE])
    turned = np.array(table)
    turned[..., 2] = (turned[..., 2] + math.pi) % TURN - math.pi
    whole = np.where(motion.reached[:, None], np.rint(turned / step), NO_PLACE)
    numbers = base64.b64encode(whole.astype("<i2").tobytes()).decode("ascii")
    return {"mm": step[0], "rad": _ANGLE, "numbers": numbers}
