"""Tight spots for a page: in words, where in the turn, and where on the parts at each angle."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, assert_never

import numpy as np

from linkage.arrays import Array
from linkage.clearance import Contact
from linkage.examine import Examination
from linkage.kinematics import Motion
from linkage.mechanism import FRAME
from linkage.page.curves import curve_data
from linkage.page.poses import Stops, own_stops
from linkage.play import PlayArc
from linkage.report.spots import say_spot, say_what
from linkage.report.voice import SIDE_WORDS, Voice, to_bench
from linkage.scene.here import as_it_is
from linkage.scene.motion import air_at, beyond_at, contact_at
from linkage.scene.plan import meeting
from linkage.tightspots import (
    KINDS,
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
    dial_word,
)


@dataclass(frozen=True)
class _Here:
    """What is to be seen of a spot at one crank angle: words, and places by side [mm]."""

    says: str
    rings: Mapping[str, list[list[float | None]]]


def spot_data(
    examination: Examination,
    spot: TightSpot,
    stops: Stops,
    motions: Mapping[str, Motion],
    everywhere: bool = True,
) -> dict[str, Any]:
    """Return one tight spot as plain values.

    ``says``: the whole sentence; ``where``: the side; ``word``: one for the dial; ``hinders``:
    whether it hinders the turn; ``sides``, ``parts``; ``begin``, ``end``: right-hand crank
    [degrees]; ``stop``: where to jump to; ``first``: the first stop within it; ``here``: for that
    and each one after it which of ``texts`` holds there, and the places to ring, by side [mm];
    ``overlap``: whether metal overlaps; ``curve``.

    `everywhere`: whether two parts are looked at all along, not only where they are worst.
    """
    begin, end = (examination.right_hand(spot.side, angle) for angle in (spot.begin, spot.end))
    jump, *others = (stops.of(angle) for angle in own_stops(examination, spot))
    first, count = stops.within(begin, end)
    if others:  # an arc that cannot close is shown from its last position to its first
        first, count = jump, (others[0] - jump) % len(stops.crank) + 1
    inside = [(first + k) % len(stops.crank) for k in range(count)]
    if everywhere or not isinstance(spot, Fouls | Close | TouchesWithPlay):
        found = _here(examination, spot, stops, motions, inside)
    else:
        found = _at_worst_only(examination, spot, [k == jump for k in inside])
    texts = list(dict.fromkeys(item.says for item in found))
    sides = [spot.side] if spot.side in examination.sides else list(examination.sides)
    return {
        "says": say_spot(examination, spot),
        "where": SIDE_WORDS[spot.side].lower(),
        "word": dial_word(spot),
        "hinders": KINDS[type(spot)].hinders,
        "sides": sides,
        "parts": parts_of(examination, spot),
        "begin": round(math.degrees(begin), 3),
        "end": round(math.degrees(end), 3),
        "stop": jump,
        "first": first,
        "here": [[texts.index(item.says), item.rings] for item in found],
        "texts": texts,
        "overlap": isinstance(spot, Fouls),
        "curve": curve_data(examination, sides[0], spot),
    }


def parts_of(examination: Examination, spot: TightSpot) -> list[str]:
    """Return the parts that a spot is about; for what is no part itself, what carries it.

    Names of parts of its side.
    """
    side = spot.side if spot.side in examination.sides else next(iter(examination.sides))
    mechanism = examination.sides[side].mechanism
    there = {part.name for part in mechanism.parts}
    parts = [name for name in spot.parts if name in there]
    if isinstance(spot, RunsOff):
        joint = next(j for j in mechanism.joints if j.name == spot.run_off.travel.joint)
        parts += [place.part for place in (joint.a, joint.b) if place.part in there]
    return list(dict.fromkeys(parts))


def _here(
    examination: Examination,
    spot: TightSpot,
    stops: Stops,
    motions: Mapping[str, Motion],
    inside: list[int],
) -> list[_Here]:
    """Return what is seen of a spot at each right-hand crank angle within it."""
    crank, voice = [float(stops.crank[k]) for k in inside], to_bench(examination.sheet)
    worst = stops.of(examination.right_hand(spot.side, spot.worst))
    match spot:
        case PlayUsedUp():
            rings = [_play_rings(examination, spot.arc, angle) for angle in crank]
            known = zip(inside, rings, strict=True)
            return [_Here(_says(spot, voice, k == worst), ring) for k, ring in known]
        case RunsOff():
            return _run_off_here(examination, spot, motions[spot.side], inside)
        case Fouls() | Close() | TouchesWithPlay():
            own = np.array(crank) - examination.right_hand(spot.side, 0.0)
            return _pair_here(examination, spot, own)
        case (
            CannotClose() | BranchUndecided() | PoorTransmission() | Pinched() | Limps()
            | UnlikeWheels() | Uneven() | Mistimed()
        ):  # fmt: skip
            return [_Here(_says(spot, voice, k == worst), {}) for k in inside]
        case _:
            assert_never(spot)


def _pair_here(
    examination: Examination, spot: Fouls | Close | TouchesWithPlay, crank: Array
) -> list[_Here]:
    """Return where two parts meet at each angle, and by how much there."""
    findings, voice = examination.where(spot), to_bench(examination.sheet)
    values = air_at(findings, spot.clearance.parts, crank)
    found = []
    for angle, value in zip(crank.tolist(), values.tolist(), strict=True):
        contact = contact_at(findings, spot.clearance.parts, angle)
        rings = [[*_rounded(contact.spot), round(meeting(contact), 4)]]
        found.append(_Here(_say_pair(spot, contact, value, voice), {spot.side: rings}))
    return found


def _at_worst_only(
    examination: Examination, spot: Fouls | Close | TouchesWithPlay, worst: list[bool]
) -> list[_Here]:
    """Return where two parts meet where they are worst, as it was found, and no place elsewhere."""
    voice, rings = to_bench(examination.sheet), {}
    if not isinstance(spot, TouchesWithPlay):  # of that nobody has looked where
        rings = {spot.side: [[*_rounded(spot.contact.spot), round(meeting(spot.contact), 4)]]}
    return [
        _Here(_just_here(spot, voice), rings) if so else _Here(_at_worst(spot, voice), {})
        for so in worst
    ]


def _say_pair(
    spot: Fouls | Close | TouchesWithPlay, contact: Contact, value: float, voice: Voice
) -> str:
    """Say by how much two parts foul or are apart at one angle, by their clearance there [mm]."""
    match spot:
        case Fouls() | Close():
            amount = value if isinstance(spot, Close) else -value
            there = as_it_is(replace(spot, contact=contact), amount)
            return _at_worst(spot, voice) if there is None else _just_here(there, voice)
        case TouchesWithPlay():
            return _just_here(spot, voice)
        case _:
            assert_never(spot)


def _run_off_here(
    examination: Examination, spot: RunsOff, motion: Motion, inside: list[int]
) -> list[_Here]:
    """Return where something is past its end at each angle, and by how much there."""
    travel, voice = spot.run_off.travel, to_bench(examination.sheet)
    findings = examination.where(spot)
    mechanism = findings.mechanism
    joint = next(j for j in mechanism.joints if j.name == travel.joint)
    path = motion.joint(joint.name) if joint.a.part != FRAME else None
    beyond = beyond_at(findings, spot.run_off, motion).tolist()
    found = []
    for k in inside:
        there = as_it_is(spot, beyond[k])
        says = _at_worst(spot, voice) if there is None else _just_here(there, voice)
        places = [] if path is None else [[*_rounded(path[k]), None]]
        found.append(_Here(says, {spot.side: places}))
    return found


def _play_rings(
    examination: Examination, arc: PlayArc, crank: float
) -> dict[str, list[list[float | None]]]:
    """Return where the crank pins concerned stand, by side."""
    axles = (
        {}
        if examination.play is None
        else {axle.name: axle for axle in examination.play.wheels.axles}
    )
    found: dict[str, list[list[float | None]]] = {}
    for hole in arc.holes:
        if hole.kind == "hole" and hole.side in examination.sides:
            axle = axles[hole.axle]
            pin = axle.pins[hole.side]
            turned = crank + pin.angle
            x = axle.ahead + pin.throw * math.cos(turned)
            y = axle.up - pin.throw * math.sin(turned)
            ring = [*_rounded((x, y)), None]
            if ring not in found.setdefault(hole.side, []):
                found[hole.side].append(ring)
    return found


def _at_worst(spot: TightSpot, voice: Voice) -> str:
    """Say a spot at a place of which it is not known by how much it is that there."""
    what = "tight spot" if KINDS[type(spot)].hinders else "fault"
    return f"Within this {what}. At its worst: {say_what(spot, voice)}."


def _says(spot: TightSpot, voice: Voice, known: bool) -> str:
    return _just_here(spot, voice) if known else _at_worst(spot, voice)


def _just_here(spot: TightSpot, voice: Voice) -> str:
    return f"Here: {say_what(spot, voice)}."


def _rounded(values: Iterable[float]) -> list[float | None]:
    return [round(float(value), 4) for value in values]
