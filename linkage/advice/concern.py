"""What of an examination concerns some parts: their tight spots, and the air about them.

A tight spot concerns a part that meets something there; one whose links cannot close, lie in line
or push along themselves; one that a travel runs out with, by the group of links that moves it; and
a part that is fast on the crank or the frame, where such links are joined to that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import assert_never

from linkage.advice.cure import Correction, Together, Tried
from linkage.arrangements import coupled_wheels
from linkage.certainty import Figure
from linkage.clearance import PairClearance, find_contact
from linkage.examine import Examination, SideFindings
from linkage.mechanism import Mechanism
from linkage.play import NEARLY, stay_below
from linkage.sheet import Sheet
from linkage.tightspots import (
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
    graver,
    thing_of,
)
from linkage.wheels import CoupledWheels

_RODS = "coupling_rods"
_WHEELS = ("wheels", "axles", "coupling")


@dataclass(frozen=True)
class Nearest:
    """The pair with the least air to spare, of those that some parts are in."""

    side: str
    pair: PairClearance

    @property
    def spare(self) -> float:
        """Its air beyond what is asked of it; below 0 where it has less [mm]."""
        return self.pair.least - self.pair.asked


@dataclass(frozen=True)
class Concern:
    """Some parts of a sheet, by the keys of their tables, on some of its sides."""

    keys: frozenset[str]
    sides: tuple[str, ...]

    def own(self, after: Examination, before: Examination | None) -> list[TightSpot]:
        """Return the tight spots that count against the parts, once they are in their place.

        Worst first: those that were not there before, and those that have to do with the parts.

        `before`: the engine as it stood; None where it could not be put together.
        """
        if before is None:
            return list(after.spots)
        binds: bool | None = None  # not yet known: it is dear, and the same for all spots of play
        found: list[TightSpot] = []
        for spot in after.spots:
            mine = not was_there(spot, before.spots)
            if not mine and isinstance(spot, PlayUsedUp):
                binds = self._binds(after.sheet) if binds is None else binds
                mine = binds
            elif not mine:
                mine = self._has_to_do(spot, after)
            found += [spot] if mine else []
        return found

    def _has_to_do(self, spot: TightSpot, after: Examination) -> bool:
        """Tell whether a tight spot of one side has to do with the parts."""
        if spot.side not in self.sides:
            return False
        findings = after.where(spot)
        match spot:
            case Fouls() | Close():
                metal = zip(spot.contact.parts, spot.contact.pieces, strict=True)
                keys = {piece.key or findings.mechanism.part(name).key for name, piece in metal}
            case TouchesWithPlay() | Pinched():
                keys = set(_keys_of(findings.mechanism, spot.parts))
            case RunsOff():
                keys = set(_moved_by(findings, _group_of(findings, spot.run_off.travel.joint)))
            case (
                CannotClose() | BranchUndecided() | PoorTransmission() | Uneven() | Mistimed()
            ):  # fmt: skip
                keys = set(_moved_by(findings, spot.parts))
            case Limps():
                keys = {spot.lost.rod.key}
            case UnlikeWheels():
                keys = {spot.unlike.key.rpartition(".")[0]}
            case PlayUsedUp():
                keys = set()
            case _:
                assert_never(spot)
        return not self.keys.isdisjoint(keys)

    def wheels(self, sheet: Sheet) -> CoupledWheels | None:
        """Return the coupled wheels as on the bench: only the rods in question on.

        With what carries them. None where none of the parts couples wheels; all of them where one
        is an axle or a wheel.
        """
        wheels = coupled_wheels(sheet)
        if wheels is None or any(key.split(".")[0] in _WHEELS for key in self.keys):
            return wheels
        mine = {key for key in self.keys if key.split(".")[0] == _RODS}
        if not mine:
            return None
        return _with_rods(wheels, {("right" if s == "only" else s, k)
                                   for s in self.sides for k in mine})  # fmt: skip

    def _binds(self, sheet: Sheet) -> bool:
        """Tell whether coupled wheels would bind on the parts alone, had they any of these."""
        wheels = self.wheels(sheet)
        return wheels is not None and not stay_below([wheels], NEARLY)[0]

    def decides(self, found: Examination, figure: Figure) -> bool:
        """Tell whether a figure has to do with the parts: whether it can speak against them."""
        if figure.kind is PlayUsedUp:
            return any(key.split(".")[0] in (_RODS, *_WHEELS) for key in self.keys)
        if figure.side not in self.sides:
            return False
        findings = found.set_to(figure.place).sides[figure.side]
        if figure.kind is Close:
            first, second = figure.parts
            return not self.keys.isdisjoint(_met(findings, (first, second), figure.at))
        if figure.kind is TouchesWithPlay:
            return not self.keys.isdisjoint(_keys_of(findings.mechanism, figure.parts))
        links = figure.parts
        if figure.kind is RunsOff:
            travels = findings.mechanism.travels
            joint = next(t.joint for t in travels if (t.part, t.against) == figure.parts)
            links = _group_of(findings, joint)
        return not self.keys.isdisjoint(_moved_by(findings, links))

    def nearest(self, found: Examination) -> Nearest | None:
        """Return the pair of the parts with the least air to spare; None where nothing is near."""
        held = [
            Nearest(side, pair)
            for side in self.sides
            for pair in found.sides[side].survey.pairs
            if self._is_of(found.sides[side], pair)
        ]
        return min(held, key=lambda one: one.spare, default=None)

    def _is_of(self, findings: SideFindings, pair: PairClearance) -> bool:
        """Tell whether one of the parts is what comes nearest in a pair."""
        if self.keys.isdisjoint(_keys_of(findings.mechanism, pair.parts)):
            return False
        return not self.keys.isdisjoint(_met(findings, pair.parts, pair.at))


def was_there(spot: TightSpot, before: Iterable[TightSpot], worse: float = math.inf) -> bool:
    """Tell whether a tight spot, or a graver one of the same parts, was there before.

    Wherever in the turn: it is a fault of its own. What runs past one end of its travel was not
    there because it ran past the other.

    `worse` [mm]: what two parts that meet may lose and still be what was there; anything, if not
    given.
    """
    if isinstance(spot, PlayUsedUp):
        return any(isinstance(old, PlayUsedUp) and (old.binds or not spot.binds) for old in before)
    return any(
        old.side == spot.side
        and frozenset(old.parts) == frozenset(spot.parts)
        and (graver(old, spot) or (_alike(old, spot) and _lost(old, spot) < worse))
        for old in before
    )


def makes_wrong(examination: Examination, side: str, tried: Tried) -> bool:
    """Tell whether a cure makes something wrong.

    Of numbers made as on the other side that is not what is wrong there as well: a side with a rod
    as long as it ought to be shows what both sides have.
    """
    cure = tried.cure
    parts = cure.cures if isinstance(cure, Together) else (cure,)
    alike = all(isinstance(one, Correction) and not math.isnan(one.number.other) for one in parts)
    there = [replace(one, side=side) for one in examination.spots if one.side != side]
    held = there if alike else []
    return not all(was_there(one, held) for one in tried.outcome.spoils)


def _alike(old: TightSpot, new: TightSpot) -> bool:
    """Tell whether two spots of the same parts are of one kind, and at one end of a travel."""
    if isinstance(old, RunsOff) and isinstance(new, RunsOff):
        return thing_of(old) == thing_of(new)
    return type(old) is type(new)


def _lost(old: TightSpot, new: TightSpot) -> float:
    """Return by how much two parts that meet come closer than they did [mm]; else nothing."""
    if not isinstance(old, Fouls | Close) or not isinstance(new, Fouls | Close):
        return 0.0
    return old.least - new.least


def _keys_of(mechanism: Mechanism, names: tuple[str, ...]) -> Iterator[str]:
    """Yield the keys of the tables that some parts, and all of their pieces, are made from."""
    for name in names:
        part = mechanism.part(name)
        yield part.key
        yield from (piece.key for piece in part.pieces if piece.key)


def _met(findings: SideFindings, names: tuple[str, str], at: float) -> set[str]:
    """Return the keys of what comes nearest in a pair of parts at a crank angle [rad]."""
    contact = find_contact(findings.course, findings.pairs[names], at)
    metal = zip(contact.parts, contact.pieces, strict=True)
    return {piece.key or findings.mechanism.part(name).key for name, piece in metal}


def _group_of(findings: SideFindings, joint: str) -> tuple[str, ...]:
    """Return the links that are solved together with the travel of a joint."""
    steps = (step.group for step in findings.course.chain.steps)
    return next((group.parts for group in steps if ("travel", joint) in group.unknowns), ())


def _moved_by(findings: SideFindings, links: tuple[str, ...]) -> Iterator[str]:
    """Yield the keys of some links, and of what is fast on the crank or frame they are joined to.

    Parts that they do not share a joint with move them too, but not as faults of theirs.
    """
    mechanism = findings.mechanism
    firm = {part.name for part in mechanism.parts if part.fixed} | {mechanism.crank}
    joined = {
        name
        for joint in mechanism.joints
        for name, other in ((joint.a.part, joint.b.part), (joint.b.part, joint.a.part))
        if name in firm and other in links
    }
    yield from _keys_of(mechanism, (*links, *joined))


def _with_rods(wheels: CoupledWheels, wanted: set[tuple[str, str]]) -> CoupledWheels:
    """Return the wheels that are coupled with some rods on, by side and key, and their carriers."""
    on = {k for k, rod in enumerate(wheels.rods) if (rod.side, rod.key) in wanted}
    for _ in wheels.knuckles:
        on |= {carrier for carrier, carried in (k.rods for k in wheels.knuckles) if carried in on}
    place = {old: new for new, old in enumerate(sorted(on))}
    rods = tuple(wheels.rods[k] for k in sorted(on))
    driving = wheels.axles[wheels.driving]
    joined = {driving.name, *(eye.axle for rod in rods for eye in rod.eyes)}
    axles = tuple(axle for axle in wheels.axles if axle.name in joined)
    return replace(
        wheels,
        axles=axles,
        driving=axles.index(driving),
        rods=rods,
        knuckles=tuple(
            replace(knuckle, rods=(place[knuckle.rods[0]], place[knuckle.rods[1]]))
            for knuckle in wheels.knuckles
            if on.issuperset(knuckle.rods)
        ),
    )
