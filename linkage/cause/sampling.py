"""Many variants of a sheet turned together: what may stop each, all round the turn.

The one place that says of a variant what the hand would feel. Of each thing that can stop the
wheels it gives the room left at `SAMPLES` crank angles, below nought where it stops them:

- two parts, by their air (`clearance.RoomsOfVariants`);
- a loop, by how far round the turn it is from where it does not close, inside below nought
  (`_round_the_turn`): so what lies between two variants has its ends between theirs;
- a travel, by the room to its end; a part pinched under a head, by the room there;
- the coupled wheels, by the play that is left of all there is (`play.SharesOfVariants`), with all
  rods on and with any of them off.

Of a variant only those are held that are not as on the sheet as it stands, for a single fault
changes few. What the samples pass between is told by a whole examination, not by this.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from linkage.arrangements import build, coupled_wheels, wheels_untouched
from linkage.arrays import Array, Mask
from linkage.cause.explained import without_rods
from linkage.clearance import RoomsOfVariants, hold_over
from linkage.errors import LinkageError
from linkage.kinematics import Course, Motion, follow, solve_as_far
from linkage.kinematics.course import follow_whole
from linkage.mechanism import Mechanism
from linkage.play import SharesOfVariants
from linkage.sheet import Sheet, set_running
from linkage.tables.felt import Stance
from linkage.tables.shapes import Side
from linkage.wheels import CoupledWheels

SAMPLES = 120
"""Crank angles looked at: every 3 degrees, closer than a place in the turn is felt."""
CRANK: Array = np.asarray(np.arange(SAMPLES) * (2 * np.pi / SAMPLES), dtype=np.float64)
_FAR_ROUND = math.radians(30.0)
"""How far round the turn from where a loop does not close as much room is said to be left as is
looked at [rad]: that of one that closes everywhere."""
_TOGETHER = 60  # variants turned together
_SAME = 1e-7  # rooms that differ by no more are the same [mm]

RodsOff = frozenset[tuple[str, str]]
"""Coupling rods that are off, by side and key."""


class Kind(StrEnum):
    """What kind of thing stops the wheels."""

    FOULS = "fouls"
    OPEN = "cannot close"
    RUNS_OFF = "runs off"
    PINCHED = "pinched"


@dataclass(frozen=True)
class Thing:
    """Something of one side that can stop the wheels.

    Attributes
    ----------
    side : str
        Whose crank angles its rooms are at.
    kind : Kind
        How.
    parts : tuple of str
        The parts concerned.
    keys : frozenset of str
        The keys of their tables: with any of them off it is gone.
    stance : Stance or None
        Standing how it does; None as the sheet has it.
    """

    side: str
    kind: Kind
    parts: tuple[str, ...]
    keys: frozenset[str] = field(compare=False)
    stance: Stance | None = None


@dataclass(frozen=True, eq=False)
class Turned:
    """What may stop a variant.

    Attributes
    ----------
    rooms : mapping of Thing to array, shape (SAMPLES,) [mm]
        The room left, of what is not as on the sheet as it stands.
    wheels : CoupledWheels or None
        Its coupled wheels; None where they are as on the sheet.
    """

    rooms: Mapping[Thing, Array]
    wheels: CoupledWheels | None


class Variants:
    """Turns variants of a sheet, and keeps what it found of them.

    Parameters
    ----------
    sheet : Sheet
        As it stands.
    stances : sequence of Stance
        Other ways of standing in which all is looked at too.
    stance : Stance
        In which it is looked at.
    before : Variants, optional
        Of the same engine, with other numbers: a side that is in both is not turned again.
    """

    def __init__(
        self, sheet: Sheet, stances: Sequence[Stance] = (), stance: Stance | None = None,
        before: Variants | None = None,
    ) -> None:  # fmt: skip
        self.sheet, self.stance = sheet, stance or Stance()
        if before is not None and before.sheet.wanted_clearance != sheet.wanted_clearance:
            before = None
        self._air: RoomsOfVariants = (
            RoomsOfVariants(sheet.wanted_clearance) if before is None else before._air
        )
        self.reach = self._air.reach
        self.wheels = coupled_wheels(sheet)
        self._made = self._build(sheet)
        self._courses: dict[Hashable, Course] = {}
        self._shares: dict[RodsOff, SharesOfVariants | None] = {}
        # either side's: by the figures of its mechanism
        self._known: dict[Hashable, dict[Thing, Array]] = {} if before is None else before._known
        # by identity of a side's tables, which are kept for that; None where they make no side
        self._sides: dict[int, tuple[Side, dict[Thing, Array] | None]] = {}
        self.base: dict[Thing, Array] = {}
        for side, made in self._made.items():
            (rooms,) = self._all_of(side, [made])
            self.base |= rooms
        there = {} if before is None else before._elsewhere
        self._elsewhere: dict[Stance, Variants] = {
            one: Variants(sheet, stance=one, before=there.get(one)) for one in stances
        }
        for one, others in self._elsewhere.items():
            self.base |= _at(one, others.base)

    def __call__(self, sheets: Iterable[Sheet]) -> Iterator[list[Turned | None]]:
        """Yield what may stop some variants, as many together as are turned together.

        None for what cannot be put together as a sheet at all.
        """
        some: list[Sheet] = []
        for sheet in sheets:
            some.append(sheet)
            if len(some) == _TOGETHER:
                yield self._together(some)
                some = []
        if some:
            yield self._together(some)

    def _together(self, sheets: Sequence[Sheet]) -> list[Turned | None]:
        rooms: list[dict[Thing, Array] | None] = [{} for _ in sheets]
        for side in self._made:
            self._note(
                side, [sheet for sheet in sheets if sheet.sides[side] != self.sheet.sides[side]]
            )
            for k, sheet in enumerate(sheets):
                found = self._sides.get(id(sheet.sides[side]), (None, {}))[1]
                held = rooms[k]
                rooms[k] = None if found is None or held is None else {**held, **found}
        for stance, others in self._elsewhere.items():
            for k, turned in enumerate(others._together(sheets)):
                held = rooms[k]
                if held is not None and turned is not None:
                    rooms[k] = {**held, **_at(stance, turned.rooms)}
        return [
            None if held is None else Turned(held, self.wheels_of(sheet))
            for sheet, held in zip(sheets, rooms, strict=True)
        ]

    def _note(self, side: str, sheets: Sequence[Sheet]) -> None:
        """Find out what may stop one side of some sheets: many share one, that is turned once."""
        new: dict[int, Mechanism] = {}
        for sheet in sheets:
            own = sheet.sides[side]
            if id(own) in self._sides:
                continue
            self._sides[id(own)] = own, None
            try:
                new[id(own)] = self._build(sheet, side)[side]
            except (LinkageError, ValueError, ZeroDivisionError):
                continue
        for key, mine in zip(
            new, self._all_of(side, list(new.values())) if new else (), strict=True
        ):
            self._sides[key] = self._sides[key][0], dict(self._unlike(side, mine))

    def _unlike(self, side: str, mine: Mapping[Thing, Array]) -> Iterator[tuple[Thing, Array]]:
        """Yield the rooms that are not as on the sheet as it stands."""
        far = np.full(SAMPLES, self.reach)
        here = (thing for thing in self.base if thing.side == side and thing.stance is None)
        for thing in {*mine, *here}:
            now, room = self.base.get(thing, far), mine.get(thing, far)
            if np.abs(now - room).max() > _SAME:
                yield thing, room

    def _build(self, sheet: Sheet, *sides: str) -> dict[str, Mechanism]:
        """Return the mechanisms of a sheet's sides as they stand."""
        running, pushed = self.stance.running, dict(self.stance.pushed)
        made = build(sheet if running is None else set_running(sheet, running), *sides)
        return {side: hold_over(mine, side, pushed) for side, mine in made.items()}

    def wheels_of(self, sheet: Sheet) -> CoupledWheels | None:
        """Return a variant's coupled wheels; None where they are as on the sheet."""
        if wheels_untouched(sheet, self.sheet):
            return None
        try:
            wheels = coupled_wheels(sheet)
        except (LinkageError, ValueError):
            return None
        return None if wheels is None or _same(wheels, self.wheels) else wheels

    def shares(self, off: RodsOff) -> SharesOfVariants | None:
        """Return what says the share of the play used with some rods off; None with none on."""
        if off not in self._shares:
            left = None if self.wheels is None else without_rods(self.wheels, off)
            self._shares[off] = None if left is None else SharesOfVariants(left, CRANK)
        return self._shares[off]

    # --- one side ------------------------------------------------------------------------------

    def _of_side(self, side: str, mechanisms: Sequence[Mechanism]) -> list[dict[Thing, Array]]:
        """Return the room of all that is near, of some variants of a side."""
        found: list[dict[Thing, Array]] = [{} for _ in mechanisms]
        forms: dict[Hashable, list[int]] = {}
        for k, mechanism in enumerate(mechanisms):
            forms.setdefault(_form(mechanism), []).append(k)
        for some in forms.values():
            mine = [mechanisms[k] for k in some]
            for k, rooms in zip(some, self._turned(side, mine), strict=True):
                found[k] = rooms
        return found

    def _all_of(self, side: str, mechanisms: Sequence[Mechanism]) -> list[dict[Thing, Array]]:
        """Return the same of sides that may be as one that was turned, of either side."""
        keys = [_figures(mechanism) for mechanism in mechanisms]
        new = {key: m for key, m in zip(keys, mechanisms, strict=True) if key not in self._known}
        found = self._of_side(side, list(new.values())) if new else []
        self._known |= dict(zip(new, found, strict=True))
        return [
            {replace(thing, side=side): room for thing, room in self._known[key].items()}
            for key in keys
        ]

    def _turned(self, side: str, mechanisms: Sequence[Mechanism]) -> list[dict[Thing, Array]]:
        course = self._course(side, mechanisms[0])
        motion = solve_as_far(course, mechanisms, SAMPLES)
        found = []
        for k, air in enumerate(self._air(mechanisms, motion)):
            made = mechanisms[k]
            keys = {part.name: part.key for part in made.parts}
            rooms = {_pair(side, keys, parts): curve for parts, curve in air.items()}
            rooms |= dict(_travels(side, made, motion, (k, len(mechanisms)), self.reach))
            rooms |= dict(_pinched(side, made))
            rooms |= dict(self._open(side, made, motion, (k, len(mechanisms))))
            found.append(rooms)
        return found

    def _course(self, side: str, like: Mechanism) -> Course:
        """Return the course of the side as it stands, or of a variant of another form."""
        here = self._made.get(side, like)
        base = here if _form(here) == _form(like) else like
        key = side, _form(base)
        if key not in self._courses:
            self._courses[key] = follow_whole(base) or follow(base)
        return self._courses[key]

    def _open(
        self, side: str, mechanism: Mechanism, motion: Motion, at: tuple[int, int]
    ) -> Iterator[tuple[Thing, Array]]:
        """Yield the loops that do not close all round; `at`: which variant, of how many."""
        variant, count = at
        before = np.zeros(SAMPLES, dtype=bool)  # not closed for a group before
        for step, rows in zip(motion.chain.steps, motion.unknowns, strict=True):
            mine = np.broadcast_to(rows, (len(rows), count, SAMPLES))[:, variant]
            open_ = np.isnan(mine).any(axis=0) & ~before
            if open_.any():
                parts = step.group.parts
                keys = keys_of(mechanism, parts)
                yield Thing(side, Kind.OPEN, parts, keys), self.reach * _round_the_turn(open_)
            before |= open_


def _round_the_turn(open_: Mask) -> Array:
    """Return how far each crank angle is from the ends of some arcs, inside below nought [1].

    In parts of `_FAR_ROUND`; the ends lie halfway between samples.
    """
    apart = np.abs((CRANK[:, None] - CRANK + math.pi) % (2 * math.pi) - math.pi)
    half = math.pi / SAMPLES
    inside = np.where(open_, np.inf, apart).min(axis=1)
    outside = np.where(open_, apart, np.inf).min(axis=1)
    found = np.where(open_, half - np.minimum(inside, math.pi), outside - half)
    return np.asarray(found / _FAR_ROUND)


def _at(stance: Stance, rooms: Mapping[Thing, Array]) -> dict[Thing, Array]:
    """Return rooms as those of an engine that stands so."""
    return {replace(thing, stance=stance): room for thing, room in rooms.items()}


def _form(mechanism: Mechanism) -> Hashable:
    """Return what mechanisms must have alike to be turned together."""
    return (
        tuple(part.name for part in mechanism.parts),
        tuple((type(j), j.name, j.a.part, j.b.part) for j in mechanism.joints),
        tuple((t.joint, t.part, t.against) for t in mechanism.travels),
    )


def _figures(mechanism: Mechanism) -> Hashable:
    return (
        mechanism.parts,
        mechanism.joints,
        mechanism.travels,
        mechanism.wheelsets,
        mechanism.along,
    )


def _same(one: CoupledWheels, other: CoupledWheels | None) -> bool:
    return other is not None and (one.axles, one.rods, one.knuckles) == (
        other.axles, other.rods, other.knuckles,
    )  # fmt: skip


def keys_of(mechanism: Mechanism, names: Iterable[str]) -> frozenset[str]:
    """Return the keys of the tables of some parts."""
    wanted = set(names)
    return frozenset(part.key for part in mechanism.parts if part.name in wanted) - {""}


def _pair(side: str, keys: Mapping[str, str], parts: tuple[str, str]) -> Thing:
    return Thing(side, Kind.FOULS, parts, frozenset(keys.get(part, "") for part in parts) - {""})


def _travels(
    side: str, mechanism: Mechanism, motion: Motion, at: tuple[int, int], reach: float
) -> Iterator[tuple[Thing, Array]]:
    """Yield the room of each travel to its nearer end, up to what is looked at.

    `at`: which variant, of how many.
    """
    variant, count = at
    for travel in mechanism.travels:
        place = np.broadcast_to(motion.travel(travel.joint), (count, SAMPLES))[variant]
        room = np.minimum(travel.most - place, place - travel.least)
        room = np.where(np.isnan(room), np.inf, room)
        if np.isfinite(room).any():
            parts = (travel.part, travel.against)
            joint = next(joint for joint in mechanism.joints if joint.name == travel.joint)
            keys = keys_of(mechanism, (*parts, joint.a.part))
            yield Thing(side, Kind.RUNS_OFF, parts, keys), np.minimum(room, reach)


def _pinched(side: str, mechanism: Mechanism) -> Iterator[tuple[Thing, Array]]:
    for grip in mechanism.grips:
        thing = Thing(side, Kind.PINCHED, grip.parts, keys_of(mechanism, grip.parts))
        yield thing, np.full(SAMPLES, grip.room - grip.stack)
