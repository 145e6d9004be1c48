"""Parts that can be moved along their pins: which goes with which, and how far.

A part is carried at its pins by parts that are nearer to what stands still, the frames and the
wheels. From these outwards are placed: what slides in what is placed already; what turns about a
pin of a thing that is fixed; what has its pins between two that are placed; and of what is left,
one after another, the part with the fewest pins, nearest to what stands still. A part with two such
pins or more slants between the two farthest apart; with one, all of it goes as that pin lets it::

    frames --- trunnion --- link --- die block --- radius rod --- its pin on the lever
       |                                                               |
       +--- spindle's guide --- valve spindle --- valve pin --- combination lever
       |                                                               |
       +--- slide bars --- crosshead --- drop arm's pin --- union link --- union pin

That a part tips on a single pin, as far as its faces let it, is not in it, nor what a third pin of
a part keeps it from. How far out a part is on the sheet is taken for the middle of what it can be
moved.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from linkage.arrangements.assembly import Assembly
from linkage.mechanism import FRAME, Joint, Place, Slide, Sort
from linkage.riding import OnPin, Over, Ride, weights_at
from linkage.tables.damage import Pins

_LEAST = 1e-6  # less than this is no play [mm]
_MOST = 0.8  # of a part's pins: pins so far apart leave little of it beyond them [1]


def add_along(assembly: Assembly, pins: Pins, gear: Iterable[str]) -> None:
    """Note how far the parts of a gear can be moved along their pins.

    Parameters
    ----------
    assembly : Assembly
        Changed in place; with all of its parts, and what is held on their pins.
    pins : Pins
        What the sheet says of them.
    gear : iterable of str
        Names of the joints that it is said of.
    """
    names = set(gear)
    joints = [joint for joint in assembly.joints if joint.name in names]
    found = {joint.name: _play(assembly, joint, pins) for joint in joints}
    play = {name: (key, by / 2) for name, (key, by) in found.items() if by > _LEAST}
    if not play:
        return
    carried = _Carried(assembly, joints, play)
    for part, rides in carried.placed():
        if any(isinstance(over, OnPin) for ride in rides for over, _ in ride.axles):
            assembly.parts[part] = replace(assembly.parts[part], rides=rides)
    assembly.along = tuple(carried.along)


def _play(assembly: Assembly, joint: Joint, pins: Pins) -> tuple[str, float]:
    """Return how far the parts of a joint can be moved along it [mm], and the key that says so.

    From end to end.
    """
    name = joint.name.replace(" ", "_")
    head = pins.heads.get(name)
    if isinstance(joint, Slide):
        return "", 0.0
    if head is not None and head.along is not None:
        return f"pins.heads.{name}.along", head.along
    left = {
        grip.key: grip.room - grip.stack
        for grip in assembly.grips
        if grip.pin == joint.name and not grip.askew
    }
    if left:
        key = max(left, key=lambda held: left[held])
        return key, max(left[key], 0.0)
    return "pins.along", pins.along or 0.0


class _Carried:
    """Parts, one after another, as they are carried by those before."""

    def __init__(
        self,
        assembly: Assembly,
        joints: Sequence[Joint],
        play: Mapping[str, tuple[str, float]],
    ) -> None:
        self.joints, self.play = joints, play
        self.along: list[tuple[OnPin, float]] = []
        self.rides: dict[str, tuple[Ride, ...]] = {
            name: part.rides
            for name, part in assembly.parts.items()
            if part.fixed or part.sort in (Sort.CRANK, Sort.WHEEL) or name == assembly.crank
        }
        self.still = {FRAME, *(name for name in self.rides if assembly.parts[name].fixed)}
        self.rides[FRAME] = ()
        self.places: dict[str, list[Place]] = {}
        for place in (place for joint in joints for place in (joint.a, joint.b)):
            self.places.setdefault(place.part, []).append(place)

    def placed(self) -> Iterator[tuple[str, tuple[Ride, ...]]]:
        """Yield every part that the joints join to what stands still, and how it rides."""
        while True:
            found: dict[str, list[tuple[Joint, Place, Place]]] = {}
            for joint in self.joints:
                for own, other in ((joint.a, joint.b), (joint.b, joint.a)):
                    if other.part in self.rides and own.part not in self.rides:
                        found.setdefault(own.part, []).append((joint, own, other))
            if not found:
                return
            part = max(found, key=lambda name: self._first(name, found[name]))
            self.rides[part] = self._riding(part, found[part])
            yield part, self.rides[part]

    def _first(
        self, part: str, carriers: list[tuple[Joint, Place, Place]]
    ) -> tuple[bool, bool, bool, int, int]:
        """Return what says which part is to be placed before another: the greatest is."""
        slides = any(isinstance(joint, Slide) for joint, _, _ in carriers)
        stands = any(other.part in self.still for _, _, other in carriers)
        own = self.places[part]
        between = _span([place for _, place, _ in carriers]) > _MOST * _span(own)
        on = min(len(self._weights(other)) for _, _, other in carriers)
        return slides, stands, between, -len(own), -on

    def _riding(self, part: str, carriers: list[tuple[Joint, Place, Place]]) -> tuple[Ride, ...]:
        """Return how a part rides on what carries it, at the two places farthest apart."""
        slides = [carrier for carrier in carriers if isinstance(carrier[0], Slide)]
        first = (slides or carriers)[0]
        farthest = max(carriers, key=lambda carrier: _apart(first[1], carrier[1]))
        two = [first] if slides or _apart(first[1], farthest[1]) < _LEAST else [first, farthest]
        return tuple(self._ride(part, *carrier) for carrier in two)

    def _ride(self, part: str, joint: Joint, own: Place, other: Place) -> Ride:
        weights = self._weights(other)
        if joint.name in self.play:
            key, by = self.play[joint.name]
            pin = OnPin(joint.name, part, key)
            self.along.append((pin, by))
            weights[pin] = 1.0
        return Ride((own.x, own.y), tuple(weights.items()))

    def _weights(self, place: Place) -> dict[Over, float]:
        return dict(weights_at(self.rides[place.part], (place.x, place.y)))


def _span(places: Sequence[Place]) -> float:
    """Return how far the two of some places are apart that are farthest [mm]."""
    return max((_apart(one, other) for one in places for other in places), default=0.0)


def _apart(one: Place, other: Place) -> float:
    return math.hypot(one.x - other.x, one.y - other.y)
