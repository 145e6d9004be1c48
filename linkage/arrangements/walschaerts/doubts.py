"""Signs and radii that a gear's own proportions give away, each met with a question.

The link hangs upright where the return crank's pin is at its mean distance from the foot, which is
nearly the axle's. So a foot pin that is `foot` from the trunnion is off upright in the middle by::

    asin((distance from the axle to the foot - the eccentric rod's length) / foot)

and swings by asin(radius of the pin circle / foot) to each hand. The radius rod, its die in the
middle of the slot, goes from the trunnion to about the spindle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.arrangements.walschaerts.tables import EccentricRod, ExpansionLink, ReturnCrank
from linkage.lengths import Say
from linkage.tables.fields import Location

_SWING = 35.0
"""To each hand; links swing by 15 to 30 [degrees]: common practice, no source."""
_OFF = 12.0
"""Rods that are wrong by a millimetre or two put a link less far off upright [degrees]."""
_SLOPE = 20.0
"""Radius rods slope less, the die in the middle of the slot [degrees]."""
_MENDED = 1 / 3
"""A question is asked where its answer leaves less of what is odd than this share [1]."""


def asked_of_swing(
    crank: ReturnCrank, link: ExpansionLink, say: Say
) -> Iterator[tuple[Location, str]]:
    """Yield the question whether the pin circle is a diameter, where the link swings too far."""
    foot, radius = math.hypot(link.foot_pin.below, link.foot_pin.back), crank.pin_circle
    if radius is not None and _turned(radius, foot) > _SWING >= _turned(radius / 2, foot):
        yield (
            ("return_crank", "pin_circle"),
            f"{say(radius)} is much for a link whose foot pin is {say(foot)} from its "
            "trunnion: is this the diameter of the circle?",
        )


def asked_of_middle(
    link: ExpansionLink, rod: EccentricRod, say: Say
) -> Iterator[tuple[Location, str]]:
    """Yield the question whether a sign is wrong, where the link is far off upright in the middle.

    Of the one whose other sign serves best.
    """
    ahead, up = link.trunnion.ahead, link.trunnion.up
    below, back = link.foot_pin.below, link.foot_pin.back
    foot = math.hypot(below, back)

    def off(ahead: float, up: float, back: float) -> float:
        return abs(_turned(math.hypot(ahead - back, up - below) - rod.centres, foot))

    now = off(ahead, up, back)
    least, location, value = min(
        (off(ahead, -up, back), ("expansion_link", "trunnion", "up"), up),
        (off(ahead, up, -back), ("expansion_link", "foot_pin", "back"), back),
    )
    if now > _OFF and least < _MENDED * now:
        fitted = ", or is the link in back to front" if "foot_pin" in location else ""
        yield (
            location,
            f"with {say(value)} the eccentric rod holds the link {now:.0f} degrees off upright "
            f"in the middle of its swing: should it be {say(-value)}{fitted}?",
        )


def asked_of_height(
    up: float, rod: float, height: float, rise: float, say: Say
) -> Iterator[tuple[Location, str]]:
    """Yield the question whether the spindle's height has the wrong sign.

    `up`: of the trunnion above the axle [mm]. `rod`: length of the radius rod [mm]. `height`: of
    the spindle [mm]. `rise`: of its line from the axle to the front of the radius rod [mm].
    """
    now, other = (abs(_turned(up - rise - sign * height, rod)) for sign in (1, -1))
    if now > _SLOPE and other < _MENDED * now:
        yield (
            ("valve_spindle", "height"),
            f"with {say(height)} the radius rod slopes by {now:.0f} degrees, its die in the "
            f"middle of the slot: should it be {say(-height)}?",
        )


def _turned(across: float, arm: float) -> float:
    """Return by how much an arm is turned whose end is so far to a side, 90 at most [degrees]."""
    return math.degrees(math.asin(min(max(across / arm, -1.0), 1.0)))
