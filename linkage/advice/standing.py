"""An engine as it stands, and what of its faults one part or one number has to answer for.

Of several faults each is answered by itself. What is there already and has nothing to do with the
parts in question does not count against them. Where coupled wheels bind as the engine stands, they
are turned with the rods in question alone on, as on the bench: the other rods may be the fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from linkage.advice.concern import Concern
from linkage.advice.keys import value_of
from linkage.advice.slack import SlackOfVariants, worn_losses
from linkage.arrangements import build, coupled_wheels
from linkage.certainty import Figure
from linkage.clearance import NO_LOSSES
from linkage.errors import AssemblyError, LinkageError
from linkage.examine import Examination, examine
from linkage.mechanism import FRAME, Joint, Mechanism
from linkage.riding import Over
from linkage.sheet import Sheet, change
from linkage.tightspots import PlayUsedUp, TightSpot, rank
from linkage.wheels import CoupledWheels

_STEP = 1e-3  # a number is moved by so much to see what it is about [mm, degrees]


@dataclass(frozen=True)
class Engine:
    """An engine as it stands, for parts and numbers to be judged on; examined when it is asked."""

    sheet: Sheet

    @property
    def found(self) -> Examination | None:
        """What was found out about it; None where it is in pieces."""
        return None if isinstance(self._examined, AssemblyError) else self._examined

    @property
    def refused(self) -> AssemblyError | None:
        """Why it cannot be put together; None where it can."""
        return self._examined if isinstance(self._examined, AssemblyError) else None

    @cached_property
    def _examined(self) -> Examination | AssemblyError:
        try:
            return examine(self.sheet)
        except AssemblyError as error:
            return error


@dataclass(frozen=True)
class Left:
    """What is still wrong, one spot a fault and side, worst first."""

    others: tuple[TightSpot, ...] = ()  # not the doing of the parts in question
    own: tuple[TightSpot, ...] = ()  # theirs: what windows do not count


@dataclass(frozen=True)
class Standing:
    """An engine as it stands, and some parts of it in question."""

    engine: Engine
    concern: Concern | None  # None where they are no parts: all of it is then in question

    @cached_property
    def others(self) -> tuple[TightSpot, ...]:
        """The tight spots as it stands that are not the doing of the parts."""
        found = self.engine.found
        if found is None or self.concern is None:
            return ()
        own = self.concern.own(found, found)
        return tuple(spot for spot in found.spots if spot not in own)

    @property
    def divided(self) -> bool:
        """Whether there is more wrong than the parts answer for, or may be."""
        found = self.engine.found
        return (
            self.concern is not None
            and found is not None
            and (bool(self.others) or any(isinstance(spot, PlayUsedUp) for spot in found.spots))
        )

    def slack(self, alone: bool) -> SlackOfVariants:
        """Return what says how near variants are to their limit.

        `alone`: as far as the parts go; else the whole engine.
        """
        wanted = self.engine.sheet.wanted_clearance
        found, concern = self.engine.found, self.concern
        losses = NO_LOSSES if found is None else worn_losses(found)
        if not alone or found is None or concern is None:
            return SlackOfVariants(wanted, losses=losses)
        binds = any(isinstance(spot, PlayUsedUp) for spot in found.spots)
        wheels = concern.wheels if binds else coupled_wheels
        return SlackOfVariants(wanted, self.others, wheels, losses)

    def decides(self, after: Examination, figure: Figure) -> bool:
        """Tell whether a figure can speak against the parts, once they are as they are then."""
        if self.concern is None:
            return True
        binds = any(isinstance(spot, PlayUsedUp) for spot in self.others)
        return self.concern.decides(after, figure) and not (binds and figure.kind is PlayUsedUp)

    def left(self, sheet: Sheet) -> Left:
        """Return what is wrong with the engine when it is as another sheet has it."""
        try:
            after = examine(sheet, known=self.engine.found)
        except LinkageError:
            return Left()
        if self.concern is None:
            return Left((), _one_each(after.spots))
        own = self.concern.own(after, self.engine.found)
        others = tuple(spot for spot in after.spots if spot not in own)
        return Left(_one_each(others), _one_each(own))


def concern_of(sheet: Sheet, keys: Iterable[str]) -> Concern | None:
    """Return the parts that some numbers are about: those that are not as they were with another.

    None where that is no part: the numbers then concern the whole engine.
    """
    tables: set[str] = set()
    sides: set[str] = set()
    for key in keys:
        found = _about(sheet, key)
        if not found:
            return None
        sides |= {side for side, _ in found}
        tables |= {table for _, table in found}
    return Concern(frozenset(tables), tuple(side for side in sheet.sides if side in sides))


def _about(sheet: Sheet, key: str) -> set[tuple[str, str]]:
    """Return the sides and tables of the parts that a number is about."""
    now = value_of(sheet, key)
    for way in (_STEP, -_STEP):
        try:
            other = change(sheet, {key: now + way})
            old, made = build(sheet), build(other)
            wheels = coupled_wheels(sheet), coupled_wheels(other)
        except LinkageError:
            continue
        found = {(side, table) for side in made for table in _unlike(old[side], made[side])}
        return found.union(_unlike_wheels(*wheels))
    return set()


def _unlike(old: Mechanism, new: Mechanism) -> set[str]:
    """Return the keys of the parts of one mechanism that are not so in another."""
    keys: set[str] = set()
    over: set[Over] = {a.axle for a, b in zip(old.wheelsets, new.wheelsets, strict=True) if a != b}
    over |= {pin for pin, _ in set(old.along) ^ set(new.along)}
    for part, other in zip(old.parts, new.parts, strict=True):
        pieces = zip(part.pieces, other.pieces, strict=False)
        keys |= {a.key or part.key for a, b in pieces if a != b}
        rides = any(not over.isdisjoint(dict(ride.axles)) for ride in part.rides)
        if rides or len(part.pieces) != len(other.pieces):
            keys.add(part.key)
    for joint, made in zip(old.joints, new.joints, strict=True):
        keys |= set(_moved(old, joint, made))
    for travel, limit in zip(old.travels, new.travels, strict=True):
        if travel != limit:  # what runs may be no part itself, but ride on one
            joint = next(joint for joint in old.joints if joint.name == travel.joint)
            names = (travel.part, travel.against, joint.a.part)
            keys |= {part.key for part in old.parts if part.name in names}
    return keys - {""}


def _moved(mechanism: Mechanism, joint: Joint, made: Joint) -> Iterator[str]:
    """Yield the keys of the parts that a joint sits elsewhere on.

    Of what is fast on the crank or the frame, those of what is joined to it there.
    """
    places = ((joint.a, made.a, joint.b), (joint.b, made.b, joint.a))
    slots = replace(joint, a=made.a, b=made.b, near=made.near) != made
    for place, other, across in places:
        if place == other and not (slots and place is joint.b):
            continue
        firm = {part.name for part in mechanism.parts if part.fixed} | {FRAME, mechanism.crank}
        name = across.part if place.part in firm else place.part
        yield from (part.key for part in mechanism.parts if part.name == name)


def _unlike_wheels(
    old: CoupledWheels | None, new: CoupledWheels | None
) -> Iterator[tuple[str, str]]:
    """Yield the sides and tables of the rods and axles of some wheels that are not so in others."""
    if old is None or new is None:
        return
    for rod, other in zip(old.rods, new.rods, strict=True):
        if rod != other:
            yield rod.side, rod.key
    for axle, made in zip(old.axles, new.axles, strict=True):
        yield from ((side, axle.key) for side in axle.pins if axle != made)


def _one_each(spots: Iterable[TightSpot]) -> tuple[TightSpot, ...]:
    """Return the worst spot of each fault on each side, worst first."""
    return rank({(spot.side, spot.fault): spot for spot in reversed(tuple(spots))}.values())
