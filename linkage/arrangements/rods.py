"""Rods, straight and bent: how long they are now, and the pieces they are made of."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from linkage.mechanism import Piece, Point
from linkage.tables.rods import Bar, Bend, Rod

TWIST_STEPS = 16
"""Stretches of a twisted rod, each as thick as where it is turned most."""
BOW_STEPS = 16
"""Pieces in a slight bow: a chord of one then stands off its arc by the sag / 256."""
_MOST_STEPS = 64  # in one that is bent nearly to a half circle, or by more than 16 mm
_OFF_ARC = 0.004  # chords stand off by no more, or there are more of them [mm]


def bow_chord(arc: float, sag: float) -> float:
    """Return the chord of a circular bow.

    Parameters
    ----------
    arc : float [mm]
        Length along the bow, which it keeps in bending.
    sag : float [mm]
        Height of the arc over its chord.

    Returns
    -------
    float [mm]
        Straight distance of its ends.

    References
    ----------
    Machinery's Handbook, 31st ed. (2020), p. 83, segments of circles: with the angle ``4 b`` at
    the arc's centre, ``sag / arc = sin^2(b) / (2 b)`` and ``chord / arc = sin(2 b) / (2 b)``.

    Examples
    --------
    >>> round(60 - bow_chord(60.0, 1.0), 5)
    0.04447
    """
    if sag == 0:
        return arc
    low, high = 0.0, 1.1  # sin^2(b) / b grows up to b = 1.1655
    for _ in range(80):
        b = (low + high) / 2
        if math.sin(b) ** 2 < 2 * b * sag / arc:
            low = b
        else:
            high = b
    return arc * math.sin(2 * b) / (2 * b)


def _bow_arc(chord: float, sag: float) -> float:
    """Return how long a circular arc over a chord is [mm]; its angle is 4 b."""
    b = math.atan2(2 * sag, chord)
    return 4 * b * (chord**2 + 4 * sag**2) / (8 * sag) if sag else chord


def _bow_steps(chord: float, sag: float) -> list[Point]:
    """Return the ends of the chords that stand for a bow, even along the line of its ends [mm].

    Along that line from the first one, and how high over it. A chord as wide as w, where the arc
    slopes by f, stands off it by ``w^2 / (8 r cos^3 f)``, r being its radius: most at the ends. As
    many of them are even, so that two meet at the top.
    """
    radius, slope = (chord**2 + 4 * sag**2) / (8 * sag), 2 * math.atan2(2 * sag, chord)
    count = chord / math.sqrt(8 * radius * math.cos(slope) ** 3 * _OFF_ARC)
    count = min(max(BOW_STEPS, 2 * math.ceil(count / 2)), _MOST_STEPS)
    places = [chord * k / count for k in range(count + 1)]
    return [
        (place, math.sqrt(radius**2 - (place - chord / 2) ** 2) - (radius - sag))
        for place in places
    ]


def bend_loss(bend: Bend, length: float, at: float) -> float:
    """Return by how much a bend shortens a rod that was `length` long when straight [mm]."""
    amount = bend.amount
    if bend.kind == "kink":
        return length - sum(math.sqrt(limb**2 - amount**2) for limb in (at, length - at))
    if bend.kind == "bow":
        if bend.over:
            return _bow_arc(bend.over, amount) - bend.over
        return length - bow_chord(length, amount)
    spread = bend.length or amount  # along the rod, as it is drawn: the metal is the slope
    return math.hypot(spread, amount) - spread


def eye_to_eye(rod: Rod) -> float:
    """Return how far the centres of a rod's eyes are apart as it is now, in the side view.

    Returns
    -------
    float [mm]
        `centres`, less what the bends took where it was measured (or is wanted) straight.

    Notes
    -----
    The metal keeps its length: a kink leaves two straight limbs, a bow a circular arc, a joggle a
    slope between two straight lengths. Exact for one bend; losses of several are added. A
    joggle up or down also puts the far eye off the line, which wins a little back.
    """
    if rod.centres_measured == "bent":
        return rod.centres
    straight = rod.centres
    length = straight - sum(
        bend_loss(bend, straight, _from_rear(rod, bend, straight)) for bend in rod.bend
    )
    shift = sum(
        _sign(bend) * bend.amount for bend in rod.bend if bend.kind == "joggle" and not bend.lateral
    )
    return math.hypot(length, shift)


def _from_rear(rod: Bar, bend: Bend, length: float) -> float:
    """Return where a bend is, from the rod's first end [mm]."""
    at = length / 2 if bend.at is None or (bend.kind == "bow" and not bend.over) else bend.at
    return length - at if rod.far_end(bend.start) else at


def _sign(bend: Bend) -> float:
    return -1.0 if bend.way in ("towards_frames", "down", "back") else 1.0


@dataclass(frozen=True)
class _Course:
    """How far one bend takes the rod off its line, between straight stretches."""

    places: tuple[float, ...]
    offsets: tuple[float, ...]

    def at(self, place: float) -> float:
        if place <= self.places[0]:
            return self.offsets[0]
        for k in range(1, len(self.places)):
            if place <= self.places[k]:
                part = (place - self.places[k - 1]) / (self.places[k] - self.places[k - 1])
                return self.offsets[k - 1] + part * (self.offsets[k] - self.offsets[k - 1])
        return self.offsets[-1]


def _course(rod: Bar, bend: Bend, length: float) -> _Course:
    at = _from_rear(rod, bend, length)
    amount = _sign(bend) * bend.amount
    if bend.kind == "kink":
        return _Course((0.0, at, length), (0.0, amount, 0.0))
    if bend.kind == "bow":
        chord = bend.over or length
        steps = _bow_steps(chord, bend.amount)
        return _Course(
            tuple(at - chord / 2 + place for place, _ in steps),
            tuple(_sign(bend) * height for _, height in steps),
        )
    spread = bend.length or 0.0
    if rod.far_end(bend.start):
        return _Course((at - spread, at), (amount, 0.0))
    return _Course((at, at + spread), (0.0, amount))


def _levelled(courses: Sequence[_Course], place: float, length: float) -> float:
    """Return how far off the line of the eyes a rod is in the side view [mm]."""
    rear = sum(course.at(0.0) for course in courses)
    front = sum(course.at(length) for course in courses)
    here = sum(course.at(place) for course in courses)
    return here - rear - (front - rear) * place / length


def height_at(rod: Bar, length: float, place: float) -> float:
    """Return how far a rod is off the line of its end eyes in the side view.

    Parameters
    ----------
    length : float [mm]
        Eye to eye, as it is now.
    place : float [mm]
        Along that line, from the first eye.

    Returns
    -------
    float [mm]
        Upward (ahead, of what hangs) is positive.
    """
    in_plane = [_course(rod, bend, length) for bend in rod.bend if bend.amount and not bend.lateral]
    return _levelled(in_plane, place, length) if in_plane else 0.0


def rod_pieces(rod: Bar, length: float, flip: float = 1.0, label: str = "") -> tuple[Piece, ...]:
    """Return the pieces of a rod, in axes with the first eye at the origin and the other on x.

    One bar where it is straight; a chain of bars where it is bent, sideways through their
    places outward, in the side view through their corners. A disc for each eye larger than
    the bar.

    Parameters
    ----------
    length : float [mm]
        Eye to eye, as it is now.
    flip : float [1]
        -1 where the side view's up is the negative y of these axes.

    Notes
    -----
    `out` on the sheet is the inner face where no bend has moved it: at both eyes, but beyond a
    joggle. Where a bar slopes, its lateral thickness is the metal's divided by the cosine of the
    slope.
    """
    courses = [(bend, _course(rod, bend, length)) for bend in rod.bend if bend.amount]
    sideways = [course for bend, course in courses if bend.lateral]
    in_plane = [course for bend, course in courses if not bend.lateral]
    twist = abs(rod.twist or 0.0)
    places = {0.0, length}
    if twist:
        places |= {length * k / TWIST_STEPS for k in range(1, TWIST_STEPS)}
    for _, course in courses:
        places |= {place for place in course.places if 0 < place < length}
    stations = sorted(places)
    middle = rod.out + rod.thickness / 2
    outs = [middle + sum(course.at(place) for course in sideways) for place in stations]
    line = [(place, flip * _levelled(in_plane, place, length)) for place in stations]
    turned = [twist * place / length for place in stations]
    chain = [
        _length_of_bar(rod, (line[k], line[k + 1]), (outs[k], outs[k + 1]), label, turned[k + 1])
        for k in range(len(stations) - 1)
    ]
    return (*chain, *_eyes(rod, length, (outs[0], outs[-1]), bool(sideways)))


def _length_of_bar(
    rod: Bar, corners: tuple[Point, Point], outs: tuple[float, float], label: str, turned: float
) -> Piece:
    """Return a stretch of a rod; `turned` [rad]: about its line, by its twist, at its far end."""
    slope = (outs[1] - outs[0]) / math.dist(*corners)
    thickness = _taken_up(rod.width, rod.thickness, turned)
    return Piece(corners, rod.width / 2, outs, thickness * math.hypot(1.0, slope), label)


def _taken_up(width: float, thickness: float, turned: float) -> float:
    """Return what a section turned about the rod's line takes up in plan [mm]."""
    return thickness * math.cos(turned) + width * math.sin(turned)


def _eyes(rod: Bar, length: float, outs: tuple[float, float], sideways: bool) -> tuple[Piece, ...]:
    """Return the discs of the eyes; a rod bent sideways needs them for its round ends too."""
    return tuple(
        Piece(((place, 0.0),), diameter / 2, (out,), _taken_up(diameter, rod.thickness, by), "eye")
        for place, diameter, out, by in zip(
            (0.0, length),
            rod.ends or (rod.width, rod.width),
            outs,
            (0.0, abs(rod.twist or 0.0)),
            strict=True,
        )
        if sideways or diameter > rod.width
    )
