"""A side as its pins and centre lines: lettered, and followed round the turn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array
from linkage.draw.scene import Scene, other_side, places_on, poses_at, scene_of
from linkage.errors import OutputError
from linkage.examine import Examination, SideFindings
from linkage.kinematics import Motion, solve_at
from linkage.mechanism import FRAME, Part, PieceSort, Place, Point, Slide, Slot, Sort
from linkage.tightspots import TightSpot

TURN = 2 * math.pi
STEPS = 1440
"""Positions round the turn that a path is drawn through."""
STANDS = 1e-6
"""A pin that moves less than this does not move [mm]."""

_EDGE = tuple(10.0**-k for k in range(2, 10))  # before and after an open arc: paths end steeply


@dataclass(frozen=True)
class PinSeen:
    """A joint as a picture names it.

    Attributes
    ----------
    letter : str
        Its letter in this picture.
    name : str
        Its name.
    place : Place
        The point whose path it is.
    slide : str
        Name of the slide or slot whose travel it has; empty for a pin.
    """

    letter: str
    name: str
    place: Place
    slide: str = ""


def standing_scene(
    examination: Examination, spot: TightSpot | None, side: str | None = None
) -> Scene:
    """Return a side as it stands at a tight spot, with nothing said of where parts meet.

    Of that side, its wheelsets in the middle; with the crank straight ahead, or the first
    angle after it that can be reached, where there is no spot.

    Parameters
    ----------
    spot : TightSpot or None
        The spot; None for none.
    side : str or None
        The side; None for the spot's own, without a spot the right-hand one.
    """
    if spot is None:
        findings = examination.sides[side or next(iter(examination.sides))]
        ahead = _first_reached(findings)
        poses = poses_at(findings, ahead)
        return Scene(examination, findings, None, None, None, (), ahead, poses)
    scene = scene_of(examination, spot)
    if side is not None and scene.side != side:
        scene = other_side(scene) or scene
    return replace(scene, pair=None, contact=None)


def scene_at(scene: Scene, right_hand: float) -> Scene:
    """Return a side at another crank angle.

    Parameters
    ----------
    right_hand : float [rad]
        Angle of the right-hand crank.

    Raises
    ------
    OutputError
        Where a loop cannot close there.
    """
    crank = (right_hand - scene.examination.right_hand(scene.side, 0.0)) % TURN
    poses = poses_at(scene.findings, crank)
    if not all(np.isfinite(pose).all() for pose in poses.values()):
        degrees = round(math.degrees(right_hand), 2)
        raise OutputError(
            f"with the crank at {degrees:g} degrees there is nothing to draw: a loop cannot close "
            "there; ask for another angle"
        )
    return replace(scene, spot=None, parts=(), crank=crank, poses=poses)


def _first_reached(findings: SideFindings) -> float:
    crank, reached = findings.motion.crank, findings.motion.reached
    return float(crank[int(np.argmax(reached))])


def pins_of(scene: Scene) -> tuple[PinSeen, ...]:
    """Return the joints of a side with a letter each, and the crank pins of its other wheels.

    In the order of the joints.
    """
    named = [
        (joint.name, joint.a, joint.name if isinstance(joint, Slide | Slot) else "")
        for joint in scene.joints_seen
    ]
    named += [
        (f"{part.axle} crank pin", pin, "")
        for part in scene.parts_seen
        if part.sort is Sort.WHEEL
        for pin in wheel_pins(part)
    ]
    return tuple(
        PinSeen(_letter(number), name, place, slide)
        for number, (name, place, slide) in enumerate(named)
    )


def crank_pin(scene: Scene) -> Place:
    """Return the place of the first pin on the crank."""
    mechanism = scene.findings.mechanism
    return places_on(scene, mechanism.part(mechanism.crank))[0]


def wheel_pins(part: Part) -> list[Place]:
    """Return where the crank pins of a wheel are, as far as it has any to be seen."""
    pins = [piece for piece in part.pieces if piece.sort is PieceSort.CRANK_PIN]
    return [Place(part.name, *pin.corners[0]) for pin in pins]


def _letter(number: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    first = "" if number < 26 else chr(ord("A") + number // 26 - 1)
    return f"{first}{chr(ord('A') + number % 26)}"


def path_of(motion: Motion, place: Place) -> Array:
    """Return where a place goes.

    Returns
    -------
    array, shape (N, 2) [mm]
        In the frame's axes.
    """
    if place.part == FRAME:
        return np.tile((place.x, place.y), (len(motion.crank), 1))
    return motion.point(place.part, place.x, place.y)


def turn_of(scene: Scene) -> Motion:
    """Return a side's motion round one turn, close enough together to draw a path.

    At rising crank angles from 0 to a whole turn, both ends in; where a loop cannot close, up
    to where it opens.
    """
    course = scene.findings.course
    edges = [
        angle
        for begin, end in course.open_arcs
        for angle in ((begin + end) / 2, *(begin - d for d in _EDGE), *(end + d for d in _EDGE))
    ]
    evenly = np.linspace(0.0, TURN, STEPS + 1)
    return solve_at(course, np.sort(np.concatenate((evenly, np.mod(edges, TURN)))))


def arc_of(scene: Scene, spot: TightSpot) -> Motion:
    """Return a side's motion over the arc of a tight spot.

    From its begin to its end.
    """
    steps = max(2, math.ceil((spot.end - spot.begin) / TURN * STEPS) + 1)
    return solve_at(scene.findings.course, np.mod(np.linspace(spot.begin, spot.end, steps), TURN))


def lines_of(scene: Scene) -> dict[str, list[list[Place]]]:
    """Return the centre lines of the parts that move.

    By part: through its joints; where it has but one, along its bars.
    """
    found = {}
    for part in scene.parts_seen:
        if part.fixed:
            continue
        places = [*places_on(scene, part), *wheel_pins(part)]
        if part.name == scene.findings.mechanism.crank:
            places.insert(0, Place(part.name, 0.0, 0.0))
        places = [p for i, p in enumerate(places) if not _near(p, places[:i])]
        if len(places) > 1:
            found[part.name] = [[*places, places[0]] if len(places) > 2 else places]
        else:
            bars = [piece.corners for piece in part.pieces if len(piece.corners) == 2]
            found[part.name] = [[Place(part.name, *c) for c in bar] for bar in bars]
    return found


def _near(place: Place, others: Sequence[Place]) -> bool:
    return any(math.hypot(place.x - o.x, place.y - o.y) < STANDS for o in others)


def seen_points(scene: Scene, motion: Motion) -> list[Point]:
    """Return all that a picture of a whole turn must have room for.

    Returns
    -------
    list of (float, float) [mm]
        Of pins, centre lines and what is fixed.
    """
    places = [pin.place for pin in pins_of(scene)]
    places += [p for lines in lines_of(scene).values() for line in lines for p in line]
    paths = np.concatenate([path_of(motion, place) for place in places])
    found: list[Point] = paths[np.isfinite(paths).all(axis=1)].tolist()
    for part in scene.parts_seen:
        if part.fixed:
            for piece in part.pieces:
                found += [(x + k * piece.radius, y + m * piece.radius)
                          for x, y in piece.corners for k in (-1, 1) for m in (-1, 1)]  # fmt: skip
    return found


def hour_angles(scene: Scene) -> dict[int, float]:
    """Return a side's own crank angle at each hour of the clock seen from outside it [rad]."""
    return {
        hour: math.radians(30 * (9 - hour if scene.mirrored else hour - 3)) % TURN
        for hour in range(1, 13)
    }
