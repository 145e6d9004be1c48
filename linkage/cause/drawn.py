"""Many variants of a sheet with all its numbers moved at once, turned together in arrays.

All that is asked of a side of the engine, to say what stops it, is a row of figures: those of its
joints, of the pieces of its near pairs, of the ends of its travels. Let c be that row and d how far
the numbers of the sheet are out. Then

    c(d) = c(0) + J d,

with J by differences, each number's mechanism being made once; loops are closed, and the air of
pieces found, exactly, of the figures so moved. Lengths go into c linearly; of angles, and of what a
length does beside an angle, the second order is left out: 0.01 mm of a throw of 4.33 at 4 degrees.

Which pieces are looked at, and at which crank angles, a few variants say with every number as far
out as it may be: those that come near are, and those that with a fifth more would. So the time goes
by the variants, and no more than `_TOGETHER` of them are in hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from linkage.arrangements import build, coupled_wheels
from linkage.arrays import Array, Index, Mask
from linkage.cause.explained import without_rods
from linkage.cause.sampling import CRANK, SAMPLES, Kind, RodsOff, Thing, keys_of
from linkage.clearance.least import Jobs, circles_apart
from linkage.clearance.looks import Looks
from linkage.clearance.near import reach_of
from linkage.clearance.outlines import PairTable, PiecePair, Poses, figures_of, slopes
from linkage.clearance.pairs import PartPair
from linkage.errors import LinkageError
from linkage.kinematics import Motion, follow
from linkage.kinematics.course import follow_whole
from linkage.kinematics.joints import dimension_values
from linkage.kinematics.turn import solve_numbers
from linkage.mechanism import Mechanism
from linkage.play import SharesOfVariants
from linkage.sheet import Sheet
from linkage.sheet.numbers import SheetNumber, numbers_of, with_number
from linkage.wheels import CoupledWheels

STEP = 1e-3
"""By which a number is moved for its slopes [mm, degrees]."""
_TOGETHER = 32  # variants in hand
_FIRST = 24  # variants that say what comes near
_MORE = 0.2  # of how far they come, that others may come farther [1]
_SEED = 20260314

Progress = Callable[[int, int], None]


@dataclass(frozen=True, eq=False)
class Stops:
    """What stops one side in each of many variants.

    Attributes
    ----------
    things : tuple of Thing
        What can.
    asked : array, shape (T,) [mm]
        What room is asked of each.
    least : array, shape (V, T) [mm]
        The least room round the turn: exact where it is near what is asked.
    at : array of int, shape (V, T)
        At which sample.
    stopped : array of bool, shape (V, T, SAMPLES)
        Where there is none.
    """

    things: tuple[Thing, ...]
    asked: Array
    least: Array
    at: Index
    stopped: Mask

    def on(self, side: str) -> Stops:
        """Return the same of the other side, where that is alike."""
        return replace(self, things=tuple(replace(thing, side=side) for thing in self.things))


class Drawn:
    """Turns variants of a sheet with all its numbers moved.

    Parameters
    ----------
    sheet : Sheet
        As it stands.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.numbers = tuple(n for n in numbers_of(sheet) if n.origin.error)
        self.errors = np.array([number.origin.error for number in self.numbers])
        signs = np.random.default_rng(_SEED).choice([-1.0, 1.0], (_FIRST, len(self.numbers)))
        first = signs * self.errors
        self.sides = {name: _Side(sheet, name, self.numbers, first) for name in sheet.sides}
        wheels = coupled_wheels(sheet)
        self.play = None if wheels is None else _Play(sheet, wheels, self.numbers)

    def turn(self, moves: Array, progress: Progress | None = None) -> dict[str, Stops]:
        """Return what stops each side of some variants.

        Parameters
        ----------
        moves : array, shape (V, K) [mm, degrees]
            How far every number is out.
        """
        found: dict[str, list[Stops]] = {name: [] for name in self.sides}
        for begin in range(0, len(moves), _TOGETHER):
            known: list[tuple[_Side, Stops]] = []
            for name, side in self.sides.items():
                alike = next((done for other, done in known if side.is_like(other)), None)
                if alike is None:
                    alike = side.turn(moves[begin : begin + _TOGETHER])
                    known.append((side, alike))
                found[name].append(alike.on(name))
            if progress is not None:
                progress(min(begin + _TOGETHER, len(moves)), len(moves))
        return {name: _joined(some) for name, some in found.items()}


def _joined(some: Sequence[Stops]) -> Stops:
    return Stops(
        some[0].things,
        some[0].asked,
        np.concatenate([one.least for one in some]),
        np.concatenate([one.at for one in some]),
        np.concatenate([one.stopped for one in some]),
    )


class _Side:
    """One side, as a row of figures and its slopes by every number."""

    def __init__(
        self, sheet: Sheet, name: str, numbers: Sequence[SheetNumber], first: Array
    ) -> None:
        self.name, self.made = name, build(sheet, name)[name]
        self.reach = reach_of(sheet.wanted_clearance)
        self.looks = Looks(sheet.wanted_clearance, self.reach)
        self.course = follow_whole(self.made) or follow(self.made)
        self.pairs = tuple(self.looks.pairs(self.made))
        self.pieces = [two for pair in self.pairs for two in pair.pieces]
        self.owner = np.repeat(np.arange(len(self.pairs)), [len(p.pieces) for p in self.pairs])
        self.form = _form(self.pairs)
        self.figures = _figures(self.made, self.pieces)
        self.slopes = np.stack(
            [self._slope(sheet, number) for number in numbers] or [np.zeros((0, len(self.figures)))]
        ).reshape(len(numbers), len(self.figures))
        self.table = PairTable(self.pieces)
        self.row, self.at = self._live(first)

    def _slope(self, sheet: Sheet, number: SheetNumber) -> Array:
        """Return how the figures go with a number, shape (F,); nought where it takes no way."""
        if self.name in number.places:
            for step in (STEP, -STEP):
                try:
                    made = build(with_number(sheet, number, step), self.name)[self.name]
                    pairs = tuple(self.looks.pairs(made))
                except (LinkageError, ValueError, ZeroDivisionError):
                    continue
                if _form(pairs) == self.form and _shape(made) == _shape(self.made):
                    pieces = [two for pair in pairs for two in pair.pieces]
                    ends = np.isfinite(self.figures)  # a travel may have none
                    slope = np.zeros(len(ends))
                    slope[ends] = (_figures(made, pieces)[ends] - self.figures[ends]) / step
                    return np.where(np.isfinite(slope), slope, 0.0)
        return np.zeros(len(self.figures))

    def is_like(self, other: _Side) -> bool:
        """Tell whether another side is as this one with every number moved."""
        same = self.figures.shape == other.figures.shape and self.form == other.form
        return (
            same
            and np.array_equal(self.figures, other.figures)
            and np.array_equal(self.slopes, other.slopes)
        )

    # --- where the figures of a row are ----------------------------------------------------------

    @cached_property
    def _joints(self) -> tuple[int, ...]:
        return tuple(len(dimension_values(joint)) for joint in self.made.joints)

    @cached_property
    def _ends(self) -> int:
        """Where the figures of the travels begin, and after them those of what is pinched."""
        return sum(self._joints)

    @cached_property
    def _drawings(self) -> int:
        """Where the figures of the pieces begin."""
        return self._ends + 2 * len(self.made.travels) + len(self.made.grips)

    # --- turning -----------------------------------------------------------------------------

    def _solve(self, figures: Array) -> Motion:
        columns = iter(figures.T)
        numbers = tuple(
            tuple(next(columns)[:, None] for _ in range(count)) for count in self._joints
        )
        return solve_numbers(self.course, CRANK, numbers, len(figures))

    def _air(self, figures: Array, motion: Motion, row: Index, at: Index) -> Array:
        """Return the air of pieces at crank angles in each variant, shape (V, items) [mm]."""
        count, names = len(figures), [part.name for part in self.made.parts]
        table = np.stack(
            [np.broadcast_to(motion.poses[name], (count, SAMPLES, 3)) for name in names], axis=1
        ).reshape(count * len(names), SAMPLES, 3)
        pairs = self.table.varied(figures[:, self._drawings :], len(names))
        rows = (row + len(self.pieces) * np.arange(count)[:, None]).ravel()
        air = pairs.clearances(rows, np.tile(at, count), Poses.of(table), self.reach)
        # what is farther is known to be no more than that, and not how much
        return np.fmin(air, self.reach).reshape(count, len(row))

    def _live(self, first: Array) -> tuple[Index, Index]:
        """Return which pieces come near, at which samples, by pair and sample in order."""
        if not self.pieces:
            return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
        here = self.figures[None]
        still = self._solve(np.repeat(here, 2, axis=0))
        table = np.stack([np.broadcast_to(still.poses[part.name], (2, SAMPLES, 3))[0]
                          for part in self.made.parts])  # fmt: skip
        jobs = Jobs(self.pieces, self.owner, np.zeros(len(self.pairs)), table, ())
        every = np.arange(len(self.pieces))
        row, at = np.nonzero(circles_apart(jobs, every, Poses.of(table)) < self.reach)
        now = self._air(np.repeat(here, 2, axis=0), still, row, at)[0]
        moved = self.figures + first @ self.slopes
        there = self._air(moved, self._solve(moved), row, at)
        least = np.minimum(there.min(axis=0), now)
        asked = np.array([pair.asked for pair in self.pairs])[self.owner[row]]
        live = np.flatnonzero(least < asked + _MORE * (now - least))
        order = live[np.lexsort((at[live], self.owner[row[live]]))]
        return row[order], at[order]

    def turn(self, moves: Array) -> Stops:
        """Return what stops some variants."""
        figures = self.figures + moves @ self.slopes
        motion = self._solve(figures)
        every = [
            *self._of_pairs(figures, motion),
            *self._of_travels(figures, motion),
            *self._of_loops(motion, len(moves)),
        ]
        rooms = [room for _, _, room in every]
        least = np.stack([room.min(axis=1) for room in rooms], axis=1)
        at = np.stack([room.argmin(axis=1) for room in rooms], axis=1)
        stopped = np.stack([room < 0 for room in rooms], axis=1)
        things = tuple(thing for thing, _, _ in every)
        return Stops(things, np.array([asked for _, asked, _ in every]), least, at, stopped)

    def _of_pairs(self, figures: Array, motion: Motion) -> Iterator[tuple[Thing, float, Array]]:
        air = self._air(figures, motion, self.row, self.at) if len(self.row) else None
        owner = self.owner[self.row]
        for number in np.unique(owner).tolist():
            pair, mine = self.pairs[number], np.flatnonzero(owner == number)
            room = np.full((len(figures), SAMPLES), self.reach)
            if air is not None:
                for item in mine.tolist():
                    at = self.at[item]
                    room[:, at] = np.minimum(room[:, at], air[:, item])
            keys = keys_of(self.made, pair.parts)
            yield Thing(self.name, Kind.FOULS, pair.parts, keys), pair.asked, room

    def _of_travels(self, figures: Array, motion: Motion) -> Iterator[tuple[Thing, float, Array]]:
        shape = len(figures), SAMPLES
        for number, travel in enumerate(self.made.travels):
            if not (math.isfinite(travel.least) or math.isfinite(travel.most)):
                continue
            low, high = (figures[:, self._ends + 2 * number + k, None] for k in (0, 1))
            place = np.broadcast_to(motion.travel(travel.joint), shape)
            room = np.minimum(high - place, place - low)
            parts = (travel.part, travel.against)
            joint = next(joint for joint in self.made.joints if joint.name == travel.joint)
            thing = Thing(
                self.name, Kind.RUNS_OFF, parts, keys_of(self.made, (*parts, joint.a.part))
            )
            yield thing, 0.0, np.where(np.isnan(room), self.reach, np.minimum(room, self.reach))
        for number, grip in enumerate(self.made.grips):
            room = figures[:, self._ends + 2 * len(self.made.travels) + number, None]
            keys = keys_of(self.made, grip.parts)
            yield (
                Thing(self.name, Kind.PINCHED, grip.parts, keys),
                0.0,
                np.broadcast_to(room, shape),
            )

    def _of_loops(self, motion: Motion, count: int) -> Iterator[tuple[Thing, float, Array]]:
        before = np.zeros((count, SAMPLES), dtype=bool)
        for step, rows in zip(motion.chain.steps, motion.unknowns, strict=True):
            mine = np.broadcast_to(rows, (len(rows), count, SAMPLES))
            open_ = np.isnan(mine).any(axis=0) & ~before
            parts = step.group.parts
            thing = Thing(self.name, Kind.OPEN, parts, keys_of(self.made, parts))
            yield thing, 0.0, np.where(open_, -1.0, self.reach)
            before |= open_


def _figures(made: Mechanism, pieces: Sequence[PiecePair]) -> Array:
    """Return the row of figures: joints, ends of travels, what is pinched, pieces."""
    joints = [x for joint in made.joints for x in dimension_values(joint)]
    ends = [x for travel in made.travels for x in (travel.least, travel.most)]
    grips = [grip.room - grip.stack for grip in made.grips]
    drawn = [x for two in pieces for piece in two.pieces for x in figures_of(piece)]
    return np.array([*joints, *ends, *grips, *drawn])


def _form(pairs: Sequence[PartPair]) -> object:
    """Return what pairs must have alike for their figures to be one row."""
    return tuple(
        (pair.parts, tuple((two.parts, *((len(p.corners), slopes(p)) for p in two.pieces))
                           for two in pair.pieces))
        for pair in pairs
    )  # fmt: skip


def _shape(made: Mechanism) -> object:
    return tuple((type(joint), joint.name) for joint in made.joints)


class _Play:
    """The share of their play that the coupled wheels use, with all numbers moved."""

    def __init__(self, sheet: Sheet, wheels: CoupledWheels, numbers: Sequence[SheetNumber]) -> None:
        self.base = wheels
        self.moved = [self._of(sheet, number) for number in numbers]
        self._known: dict[RodsOff, tuple[SharesOfVariants, Array, Array] | None] = {}

    def _of(self, sheet: Sheet, number: SheetNumber) -> CoupledWheels:
        if number.key not in self.base.keys:
            return self.base
        try:
            return coupled_wheels(with_number(sheet, number, STEP)) or self.base
        except (LinkageError, ValueError):
            return self.base

    def used(self, moves: Array, off: RodsOff = frozenset()) -> Array | None:
        """Return the share used, by the right-hand crank, shape (V, SAMPLES); None with no rods."""
        if off not in self._known:
            self._known[off] = self._parts(off)
        known = self._known[off]
        if known is None:
            return None
        shares, misfits, plays = known
        found = np.empty((len(moves), SAMPLES))
        for begin in range(0, len(moves), _TOGETHER):
            some = moves[begin : begin + _TOGETHER]
            by = np.tensordot(some, (misfits[1:] - misfits[0]) / STEP, axes=1)
            wider = some @ ((plays[1:] - plays[0]) / STEP)
            found[begin : begin + _TOGETHER] = shares.of(misfits[0] + by, plays[0] + wider)
        return found

    def _parts(self, off: RodsOff) -> tuple[SharesOfVariants, Array, Array] | None:
        left = [without_rods(wheels, off) for wheels in (self.base, *self.moved)]
        kept = [wheels for wheels in left if wheels is not None]
        if len(kept) < len(left):
            return None
        shares = SharesOfVariants(kept[0], CRANK)
        return shares, *shares.parts(kept)
