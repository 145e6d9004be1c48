"""One side of an engine at several places of its reverser, read at any crank angles together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linkage.arrangements import build
from linkage.arrays import Array, Index
from linkage.errors import AssemblyError
from linkage.kinematics import Course, Motion, Swing, follow, solve_at, solve_places, swing_of
from linkage.mechanism import SAME_PLACE, Mechanism, Running, Watched
from linkage.sheet import Sheet, set_running

PISTON, VALVE, LINK, DIE = range(4)
"""What is read, in this order: travels of the crosshead and of the valve [mm], the link's angle
[rad], the die's travel along its slot [mm]."""


@dataclass(frozen=True)
class Place:
    """A place of the reverser."""

    at: Running  # its name, or the arm's angle [rad]; None where there is nothing to set
    share: float  # [1] how far it is from full forward (0) to full back (1); nan where unknown


@dataclass(frozen=True)
class Standing:
    """One side at several places."""

    mechanism: Mechanism
    places: tuple[Place, ...]
    # from crank angles [rad] and the numbers of places, shape (N,) each, to what is read, (4, N)
    read: Callable[[Array, Index], Array]


def standing_at(sheet: Sheet, side: str, mechanism: Mechanism, count: int) -> Standing:
    """Return a side at the places of its reverser that have names, and evenly between the ends.

    `mechanism`: the side as the sheet has it. `count`: how many places in all, those with names
    among them. Where the sheet does not say how far the reverser goes, the one place where the
    sheet has it.

    Raises
    ------
    MechanismError, AssemblyError
        As `kinematics.follow`.
    """
    held = sheet.sides[side]
    names = tuple(name for name in held.PLACES if not list(held.running_faults(name)))
    stops = mechanism.reverser is None or mechanism.reverser.pin
    if stops and names:
        return _set_one_by_one(sheet, side, names)
    course = follow(mechanism)
    if names and not course.arcs[0].whole:  # from a place that locks no lever can be moved on
        return _set_one_by_one(sheet, side, names)
    swing = swing_of(course)
    if swing is None:
        stands = None if mechanism.reverser is None else mechanism.reverser.stands
        only = (Place(stands, np.nan),)
        return Standing(mechanism, only, lambda crank, _: _read(solve_at(course, crank)))
    return _swung(mechanism, swing, count)


def _swung(mechanism: Mechanism, swing: Swing, count: int) -> Standing:
    reverser = swing.reverser
    angles = dict(reverser.named)
    first, *_, last = angles.values()
    evenly = np.linspace(first, last, max(count, 2)).tolist()
    between = sorted(set(range(1, len(evenly) - 1)), key=lambda k: -_nearest(evenly[k], angles))
    kept = between[: max(count - len(angles), 0)]
    found = [*angles.values(), *(evenly[k] for k in kept)]
    span = last - first
    places = sorted(
        (Place(reverser.called(angle), (angle - first) / span) for angle in found),
        key=lambda place: place.share,
    )
    turned = np.array([reverser.turned(place.at) for place in places])

    def read(crank: Array, place: Index) -> Array:
        return _read(solve_places(swing, crank, turned[place]))

    return Standing(mechanism, tuple(places), read)


def _nearest(angle: float, angles: dict[str, float]) -> float:
    """Return how far an angle is from the nearest of some, 0 where it is the same [rad]."""
    least = min(abs(angle - held) for held in angles.values())
    return least if least > SAME_PLACE else 0.0


def _set_one_by_one(sheet: Sheet, side: str, names: tuple[str, ...]) -> Standing:
    """Return a side at its places with names, each a mechanism of its own; none lies between."""
    built = {name: build(set_running(sheet, name), side)[side] for name in names}
    courses = [_followed(mechanism) for mechanism in built.values()]

    def read(crank: Array, place: Index) -> Array:
        found = np.full((4, len(crank)), np.nan)
        for number, course in enumerate(courses):
            mine = place == number
            if course is not None:
                found[:, mine] = _read(solve_at(course, crank[mine]))
        return found

    shares = np.linspace(0.0, 1.0, len(names)).tolist()
    places = tuple(Place(name, share) for name, share in zip(names, shares, strict=True))
    return Standing(next(iter(built.values())), places, read)


def _followed(mechanism: Mechanism) -> Course | None:
    """Return a mechanism's course; None where it cannot be put together at all."""
    try:
        return follow(mechanism)
    except AssemblyError:
        return None


def _read(motion: Motion) -> Array:
    watched: Watched = motion.course.mechanism.watched
    found = np.full((4, len(motion.crank)), np.nan)
    found[PISTON] = motion.travel(watched.crosshead)
    found[VALVE] = motion.travel(watched.valve)
    if watched.link:
        found[LINK] = motion.poses[watched.link][..., 2]
    if watched.die:
        found[DIE] = motion.travel(watched.die)
    return found
