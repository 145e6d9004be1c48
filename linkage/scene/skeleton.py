"""A side as its pins and centre lines: lettered, and followed round the turn."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.kinematics import Motion
from linkage.mechanism import FRAME, Part, PieceSort, Place, Point, Slide, Slot, Sort
from linkage.scene import style
from linkage.scene.bodies import bodies_of, side_shape
from linkage.scene.drawing import Item, Stroke
from linkage.scene.moment import Moment
from linkage.scene.motion import TURN
from linkage.scene.side import axle

STANDS = 1e-6
"""A pin that moves less than this does not move [mm]."""


@dataclass(frozen=True)
class PinSeen:
    """A joint as a picture names it."""

    letter: str  # its letter in this picture
    name: str  # its name
    place: Place  # the point whose path it is
    slide: str = ""  # name of the slide or slot whose travel it has; empty for a pin


def pins_of(moment: Moment) -> tuple[PinSeen, ...]:
    """Return the joints of a side with a letter each, and the crank pins of its other wheels."""
    named = [
        (joint.name, joint.a, joint.name if isinstance(joint, Slide | Slot) else "")
        for joint in moment.joints_seen
    ]
    named += [
        (f"{part.axle} crank pin", pin, "")
        for part in moment.parts_seen
        if part.sort is Sort.WHEEL
        for pin in wheel_pins(part)
    ]
    return tuple(PinSeen(letter(number), *pin) for number, pin in enumerate(named))


def wheel_pins(part: Part) -> list[Place]:
    """Return where the crank pins of a wheel are, as far as it has any to be seen."""
    pins = [piece for piece in part.pieces if piece.sort is PieceSort.CRANK_PIN]
    return [Place(part.name, *pin.corners[0]) for pin in pins]


def letter(number: int) -> str:
    """Return A to Z, then AA, AB and so on.

    Examples
    --------
    >>> [letter(k) for k in (0, 25, 26, 27, 52)]
    ['A', 'Z', 'AA', 'AB', 'BA']
    """
    more, last = divmod(number, 26)
    return (letter(more - 1) if more else "") + chr(ord("A") + last)


def path_of(motion: Motion, place: Place) -> Array:
    """Return where a place goes, shape (N, 2), in the frame's axes [mm]."""
    if place.part == FRAME:
        return np.tile((place.x, place.y), (len(motion.crank), 1))
    return motion.point(place.part, place.x, place.y)


def lines_of(moment: Moment) -> list[list[Place]]:
    """Return the centre lines of the parts that move, the crank's first pin on its first line.

    Through the joints of each; where it has but one, along its bars.
    """
    found = []
    for part in moment.parts_seen:
        if part.fixed:
            continue
        places = [*moment.links(part.name), *wheel_pins(part)]
        places = [p for i, p in enumerate(places) if not _near(p, places[:i])]
        if len(places) > 1:
            found.append([*places, places[0]] if len(places) > 2 else places)
        else:
            bars = [piece.corners for piece in part.pieces if len(piece.corners) == 2]
            found += [[Place(part.name, *corner) for corner in bar] for bar in bars]
    return found


def _near(place: Place, others: Sequence[Place]) -> bool:
    return any(math.hypot(place.x - o.x, place.y - o.y) < STANDS for o in others)


def seen_points(moment: Moment, motion: Motion) -> list[Point]:
    """Return all that a picture of a whole turn must have room for: pins, lines, what is fixed."""
    places = [pin.place for pin in pins_of(moment)]
    places += [place for line in lines_of(moment) for place in line]
    paths = np.concatenate([path_of(motion, place) for place in places])
    found: list[Point] = paths[np.isfinite(paths).all(axis=1)].tolist()
    for part in moment.parts_seen:
        if part.fixed:
            found += [(x + k * piece.radius, y + m * piece.radius) for piece in part.pieces
                      for x, y in piece.corners for k in (-1, 1) for m in (-1, 1)]  # fmt: skip
    return found


def hour_angles(moment: Moment) -> dict[int, float]:
    """Return a side's own crank angle at each hour of the clock seen from outside it [rad]."""
    return {
        hour: math.radians(30 * (9 - hour if moment.mirrored else hour - 3)) % TURN
        for hour in range(1, 13)
    }


def standing(moment: Moment, pen: style.Pen, name: str = "") -> Iterator[Stroke]:
    """Yield the centre lines as they are at the moment."""
    for line in lines_of(moment):
        yield Stroke([moment.place(place) for place in line], pen, name)


def background(moment: Moment) -> Iterator[Item]:
    """Yield faintly what stands still, and the centre lines at the moment."""
    for body in bodies_of(moment):
        if body.part.fixed:
            yield side_shape(body, moment, faint=True)
    yield from standing(moment, style.BEHIND)
    yield from axle(moment)
