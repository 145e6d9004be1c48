"""About where the link hangs with the crank straight ahead, in axes with x along the cylinder.

The link is held by three lengths: either eccentric rod and the link that it hangs by. For a place
of its suspension pin as high as that lets it be, its lean is that at which both rods reach, the
most upright way; its place ahead follows from the upper rod. That place moves the height a little,
so it is done again until it stands still.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from linkage.arrangements.assembly import turn
from linkage.arrangements.starts import (
    circle_on_line,
    least_root,
    root_near,
    slot_point,
    slot_points,
)
from linkage.arrays import Array
from linkage.mechanism import Point

_MOST_LEAN = math.radians(60)
_ROUNDS = 60
_STILL = 1e-9  # [mm]


@dataclass(frozen=True)
class LinkStart:
    """What holds the link."""

    # the centre of the eccentric whose rod takes the upper and the lower pin, and the rod's length
    upper: tuple[Point, float]
    lower: tuple[Point, float]
    # [mm] the pins of the rods and of what it hangs by, from the middle of the slot, upright
    top: Point
    bottom: Point
    suspension: Point
    hung_from: Point  # [mm]
    hanger: float  # [mm] length of what it hangs by

    def stands(self) -> tuple[Point, float]:
        """Return where the middle of the slot is [mm] and how the link leans [rad]."""
        return _stands(self)

    def middle(self, lean: float, up: float) -> Point:
        """Return the middle of the slot where the upper rod reaches, its suspension so high [mm].

        `lean` [rad]: of the link.
        """
        y = up - turn(self.suspension, lean)[1]
        x, above = turn(self.top, lean)
        centre, length = self.upper
        return circle_on_line(centre, length, y + above) - x, y

    def fault(self, up: float, lean: float) -> float:
        """Return how much the lower rod is short then [mm]."""
        x, y = self.middle(lean, up)
        dx, dy = turn(self.bottom, lean)
        centre, length = self.lower
        return math.dist((x + dx, y + dy), centre) - length

    def faults(self, up: float, lean: Array) -> Array:
        """Return the same at many leans, shape (N,) [rad], [mm]."""
        cos, sin = np.cos(lean), np.sin(lean)

        def turned(point: Point) -> tuple[Array, Array]:
            return point[0] * cos - point[1] * sin, point[0] * sin + point[1] * cos

        (x, above), (dx, dy) = turned(self.top), turned(self.bottom)
        y = up - turned(self.suspension)[1]
        centre, length = self.upper
        off = y + above - centre[1]
        across = centre[0] + np.sqrt(np.maximum(length**2 - off * off, 0.0)) - x
        centre, length = self.lower
        return np.asarray(np.hypot(across + dx - centre[0], y + dy - centre[1]) - length)


@lru_cache(maxsize=512)  # the sides of an engine, and many variants of a sheet, have it alike
def _stands(start: LinkStart) -> tuple[Point, float]:
    up = start.hung_from[1] - start.hanger
    every = partial(start.faults, up)
    lean = least_root(partial(start.fault, up), -_MOST_LEAN, _MOST_LEAN, every=every)
    middle = start.middle(lean, up)
    for _ in range(_ROUNDS):
        x = middle[0] + turn(start.suspension, lean)[0]
        aside = min(abs(x - start.hung_from[0]), start.hanger)
        before, up = up, start.hung_from[1] - math.sqrt(start.hanger**2 - aside**2)
        if abs(up - before) < _STILL:
            break
        lean = root_near(partial(start.fault, up), lean, -_MOST_LEAN, _MOST_LEAN)
        middle = start.middle(lean, up)
    return middle, lean


def die_at_height(
    middle: Point, lean: float, height: float, curvature: float, reach: float
) -> Point:
    """Return where the slot of a link crosses a level line [mm].

    `middle` [mm], `lean` [rad]: how the link stands. `curvature` [1/mm]: of the slot, as in
    `starts.slot_point`. `reach` [mm]: how far along the slot is looked.
    """

    def place(offset: float) -> Point:
        x, y = turn(slot_point(curvature, offset), lean)
        return middle[0] + x, middle[1] + y

    def faults(offset: Array) -> Array:
        return middle[1] + slot_points(curvature, offset, lean)[1] - height

    return place(least_root(lambda by: place(by)[1] - height, -reach, reach, every=faults))
