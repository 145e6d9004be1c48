"""How parts go sideways: with wheelsets, and by the play that they have along their pins.

A place of a part goes so many times as far as something it rides on: a wheelset, which is known by
its axle, or one part's freedom along a pin that joins it to another. A part that rides at two
places slants between them, and goes on so beyond::

    share of the second ride at a place p:  t = (p - p1).(p2 - p1) / |p2 - p1|^2
    it goes  (1 - t) (what the first place goes)  +  t (what the second goes)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class OnPin:
    """What a part can be moved along a pin, against the part that carries it there.

    Attributes
    ----------
    joint : str
        Name of the joint.
    part : str
        Name of the part that can be moved.
    key : str
        Of the number on the sheet that says how far.
    """

    joint: str
    part: str
    key: str


Over = str | OnPin
"""What goes sideways: a wheelset, by its axle's name, or a part along its pin."""


@dataclass(frozen=True)
class Ride:
    """A place of a part that goes sideways.

    Attributes
    ----------
    place : (float, float) [mm]
        In the part's own axes.
    axles : tuple of (str or OnPin, float) [1]
        What it goes with, and how far it goes for each mm that this goes.
    """

    place: Point
    axles: tuple[tuple[Over, float], ...]


def weights_at(rides: Sequence[Ride], place: Point) -> dict[Over, float]:
    """Return how far a place of a part goes sideways for each mm of all that it rides on.

    Parameters
    ----------
    rides : sequence of Ride
        Of the part: none, one, or two.
    place : (float, float) [mm]
        In the part's own axes.
    """
    if len(rides) < 2:
        return {over: weight for ride in rides for over, weight in ride.axles}
    (x, y), (to_x, to_y) = rides[0].place, rides[1].place
    ux, uy = to_x - x, to_y - y
    along = ((place[0] - x) * ux + (place[1] - y) * uy) / (ux * ux + uy * uy)
    found: dict[Over, float] = {}
    for ride, share in zip(rides, (1 - along, along), strict=True):
        for over, weight in ride.axles:
            found[over] = found.get(over, 0.0) + share * weight
    return found
