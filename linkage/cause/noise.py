"""What the numbers' errors do to the rooms of things and to the play, and the draws of it.

The mathematics stands at the head of `weighing.py`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from statistics import NormalDist

import numpy as np

from linkage.arrays import Array, Index, Mask, Small
from linkage.cause.explained import without_rods
from linkage.cause.fault import BOTH, Case, Fault, How
from linkage.cause.sampling import CRANK, SAMPLES, RodsOff, Thing, Turned, Variants
from linkage.cause.sizes import Sized
from linkage.play import SharesOfVariants
from linkage.sheet.numbers import numbers_of, with_number
from linkage.wheels import CoupledWheels

DRAWS = 72
"""Of what the numbers are out by."""
_TRIED = 1536  # of the coupled wheels' numbers, from which the free ones are taken
_SOME = 192  # of them that are tried in one go, until enough turn
_LEAST = 1e-3  # chance of an engine being free, below which none is told apart [1]
_LEAST_TURNING = 0.3 / _TRIED  # likewise of its coupled wheels
_NEARER = (0.5, 0.25, 0.125, 0.0)  # how far draws are taken, until enough of them turn
_TINY = 1e-12  # what stands for no standard deviation [mm]
_EVERY = 4  # crank angles from one at which they are looked at to the next
_SEED = 20260314

Was = tuple[Turned, float]
"""What an engine was, where that is not on the sheet: a variant, and what share of the way to it
[1]. A bent rod was longer than it measures."""
SharesOff = Callable[[RodsOff], Small | None]
"""The shares of the play in each draw with some rods off, shape (DRAWS, SAMPLES)."""
Pair = tuple[Fault, Mapping[Case, Turned]]
"""A fault, and what may stop each of its cases."""


class RoomNoise:
    """What the numbers' errors do to the rooms, and the draws of it."""

    def __init__(self, variants: Variants, pairs: Sequence[Pair], near: float) -> None:
        self.base, self.reach, self.near = variants.base, variants.reach, near
        self._far = np.full(SAMPLES, self.reach)
        self._rng = np.random.default_rng(_SEED)
        self._uniform: dict[Thing, Array] = {}
        squares: dict[Thing, Array] = {}
        for fault, turned_by in pairs:
            if fault.how is not How.NUMBER or not turned_by:
                continue
            case = min(turned_by, key=lambda one: abs(one.size))
            turned = turned_by[case]
            most = abs(case.size)  # a guess is out by no more than would be a fault
            error = min(fault.origin.error, most) / math.sqrt(3)
            if turned is None or not error or (fault.side == BOTH and fault.shared):
                continue
            for thing, room in turned.rooms.items():
                if thing in self.base:
                    slope = (room - self.base[thing]) / case.size
                    squares[thing] = squares.get(thing, 0.0) + (slope * error) ** 2
        self.sigma = {thing: np.sqrt(square) for thing, square in squares.items()}
        self._z = _normal(DRAWS)
        self._free = {thing: self._is_free(thing, room) for thing, room in self.base.items()}
        self._base = {
            thing: self._with(thing, room, self._pick(thing, self._free[thing]))
            for thing, room in self.base.items()
        }
        # what may stop the engine of the sheet, whatever else is wrong with it
        self._stuck = {
            thing: self._base[thing]
            for thing, room in self.base.items()
            if not self._free[thing].all() and self._comes_near(thing, room)
        }

    def _with(self, thing: Thing, room: Array, z: Array) -> Small:
        """Return a thing's room in each draw; what is beyond what is looked at stays there."""
        sigma = self.sigma.get(thing)
        if sigma is None:
            return np.broadcast_to(room.astype(np.float32), (DRAWS, SAMPLES))
        drawn = room + np.where(room < self.reach, sigma, 0.0) * z[:, None]
        return np.asarray(drawn, dtype=np.float32)

    def _is_free(self, thing: Thing, room: Array) -> Mask:
        return np.asarray(self._with(thing, room, self._z).min(axis=1) > 0)

    def _chance(self, thing: Thing, room: Array) -> float:
        """Return how likely an engine is free of a thing: its z is above -room / sigma all round.

        Not by the draws: what frees one of them by a hair is no likelier for that.
        """
        sigma = self.sigma.get(thing, np.zeros(SAMPLES))
        near = room < self.reach
        if not near.any():
            return 1.0
        least = float(np.min(room[near] / np.maximum(sigma[near], _TINY)))
        return max(NormalDist().cdf(least), _LEAST)

    def _pick(self, thing: Thing, free: Mask) -> Array:
        """Return z in each draw, of those with which it was free."""
        good = self._z[free] if free.any() else self._z
        return np.asarray(good[(self._draws(thing) * len(good)).astype(int)])

    def drawn(self, turned: Turned) -> tuple[Mapping[Thing, Small], float]:
        """Return the rooms of the engine of the sheet, that was a variant, and how much likelier.

        How much likelier it is that the variant was free than that the engine of the sheet was; the
        rooms of things that are not alike in the two, or stop it.
        """
        rooms: dict[Thing, Small] = {}
        likelier = 1.0
        for thing, nominal in turned.rooms.items():
            actual = self.base.get(thing, self._far)
            free = self._is_free(thing, nominal)
            likelier *= self._chance(thing, nominal) / self._chance(thing, actual)
            if self._comes_near(thing, actual):
                rooms[thing] = self._with(thing, actual, self._pick(thing, free))
        return rooms | self._others(turned.rooms), likelier

    def moved_on(self, case: Sized, was: Was | None) -> tuple[Mapping[Thing, Small], float]:
        """Return the rooms of a variant, that was the engine of the sheet, and how much likelier.

        `was`: what the engine was, where that is not on the sheet either.
        """
        rooms: dict[Thing, Small] = {}
        likelier = 1.0
        moved = was[0].rooms if was is not None else {}
        for thing in dict.fromkeys((*case.things, *moved)):
            before = self.base.get(thing, self._far)
            actual = case.room(thing, before)
            free = self._free.get(thing)
            free = self._is_free(thing, before) if free is None else free
            if was is not None and thing in moved:
                nominal = before + was[1] * (moved[thing] - before)
                free = self._is_free(thing, nominal)
                likelier *= self._chance(thing, nominal) / self._chance(thing, before)
            if self._comes_near(thing, actual):
                rooms[thing] = self._with(thing, actual, self._pick(thing, free))
        return rooms | self._others({*case.things, *moved}), likelier

    def _others(self, seen: Collection[Thing]) -> dict[Thing, Small]:
        """Return what may stop the engine of the sheet, of what was not seen to be another."""
        return {thing: held for thing, held in self._stuck.items() if thing not in seen}

    def _comes_near(self, thing: Thing, room: Array) -> bool:
        """Tell whether a room may be little: what stays well away whatever the numbers is none."""
        sigma = self.sigma.get(thing)
        lowest = room.min() + (0.0 if sigma is None else float(self._z[0]) * sigma.max())
        return bool(lowest < self.near)

    def with_noise(self, thing: Thing, room: Array) -> Small:
        """Return the room of a thing in each draw, of a variant that it need not come near in."""
        z = self._pick(thing, self._is_free(thing, self.base.get(thing, room)))
        return self._with(thing, room, z)

    def _draws(self, thing: Thing) -> Array:
        """Return the draws of a thing, the same for every cause, shape (DRAWS,), from 0 to 1."""
        if thing not in self._uniform:
            self._uniform[thing] = self._rng.permutation((np.arange(DRAWS) + 0.5) / DRAWS)
        return self._uniform[thing]


def _normal(count: int) -> Array:
    """Return the middles of equal parts of a normal distribution, shape (count,)."""
    share = (np.arange(count) + 0.5) / count
    return np.array([NormalDist().inv_cdf(float(x)) for x in share])


class PlayNoise:
    """The coupled wheels with their numbers drawn.

    A guess is out by no more than would be a fault. The draws are those of `_TRIED` with which the
    engine that it was turns; where fewer than `DRAWS` do, others are brought nearer to what the
    sheet has, by halves, until it does: what it may be is convex to first order, and its middle is
    in it.
    """

    def __init__(self, variants: Variants, faults: Sequence[Fault]) -> None:
        self.variants, sheet = variants, variants.sheet
        rng = np.random.default_rng(_SEED)
        self.full: RodsOff = frozenset()
        base = self.variants.wheels
        shares = self.variants.shares(self.full)
        if base is None or shares is None:
            raise AssertionError("asked of wheels that are not there")
        self.base, self._all_on = base, shares
        most = {fault.key: min(abs(case.size) for case in fault.cases) for fault in faults}
        errors_of = {fault.key: fault.origin.error for fault in faults if fault.how is How.NUMBER}
        numbers = [n for n in numbers_of(sheet) if n.origin.error and n.key in base.keys]
        moved, errors = [], []
        for number in numbers:
            error = errors_of.get(number.key, number.origin.error)
            error = min(error, most.get(number.key, math.inf))
            step = 0.2 * error
            turned = self.variants.wheels_of(with_number(sheet, number, step))
            if turned is not None:
                moved.append(turned)
                errors.append(error / step)
        misfits, plays = shares.parts([base, *moved])
        self._moves = rng.uniform(-1.0, 1.0, (_TRIED, len(moved))) * np.array(errors)
        self._slopes = misfits[1:] - misfits[0], plays[1:] - plays[0]
        self._noise = (
            np.tensordot(self._moves, self._slopes[0], axes=1),
            np.tensordot(self._moves, self._slopes[1], axes=1),
        )
        self._moved = moved
        self._coarse = SharesOfVariants(base, CRANK[::_EVERY])
        self._rows, self._scale, self._share = self._free(misfits[0], plays[0])
        self._off: dict[RodsOff, tuple[Array, Array] | None] = {}
        self._held: dict[bytes, dict[RodsOff, Small | None]] = {}

    def _free(self, misfits: Array, plays: Array) -> tuple[Index, Array, float]:
        """Return the draws with which such wheels turn, how far each is taken, and their share."""
        rows = np.zeros(0, dtype=np.intp)
        for begin in range(0, _TRIED, _SOME):
            more = self._turning(misfits, plays, np.arange(begin, begin + _SOME), 1.0)
            rows, share = np.concatenate((rows, more)), (len(rows) + len(more)) / (begin + _SOME)
            if len(rows) >= DRAWS:
                break
        scales = np.ones(len(rows))
        for scale in _NEARER:
            if len(rows) >= DRAWS:
                break
            left = np.setdiff1d(np.arange(3 * DRAWS), rows)
            free = self._turning(misfits, plays, left, scale)
            rows = np.concatenate((rows, free))
            scales = np.concatenate((scales, np.full(len(free), scale)))
        if len(rows) < DRAWS:  # as the sheet has it, it does not turn either
            return np.arange(DRAWS), np.ones(DRAWS), share
        return rows[:DRAWS], scales[:DRAWS], share

    def _turning(self, misfits: Array, plays: Array, rows: Index, scale: float) -> Index:
        """Return the draws with which such wheels turn, taken so far."""
        used = self._coarse.of(
            misfits[::_EVERY] + scale * self._noise[0][rows][:, ::_EVERY],
            plays + scale * self._noise[1][rows],
        )
        return np.asarray(rows[(used < 1.0).all(axis=1)])

    def drawn(self, turned: Turned) -> tuple[SharesOff, float]:
        """Return the shares of the play of the sheet's wheels, that were a variant's.

        With it, how much likelier it is that the variant's turned than that the sheet's did.
        """
        if turned.wheels is None:
            return self._kept(self._rows, self._scale), 1.0
        misfits, plays = self._all_on.parts([turned.wheels])
        rows, scale, share = self._free(misfits[0], plays[0])
        return self._kept(rows, scale), self._likelier(share)

    def moved_on(self, case: Sized, was: Was | None) -> tuple[SharesOff, float]:
        """Return the shares of the play of a variant's wheels, that were the sheet's.

        `was`: what the wheels were, where that is not on the sheet either; and how much likelier it
        is that they turned than that the sheet's did.
        """
        rows, scale, likelier = self._rows, self._scale, 1.0
        if was is not None and was[0].wheels is not None:
            misfits, plays = self._all_on.parts([self.base, was[0].wheels])
            there = misfits[0] + was[1] * (misfits[1] - misfits[0])
            rows, scale, share = self._free(there, plays[0])
            likelier = self._likelier(share)
        if all(one is None or one.wheels is None for one in case.turned):
            return self._kept(rows, scale), likelier
        nodes = [(one and one.wheels) or self.base for one in case.turned]
        held: dict[RodsOff, Small | None] = {}
        return lambda off: self._once(held, off, nodes, case.shares, rows, scale), likelier

    def _likelier(self, share: float) -> float:
        return max(share, _LEAST_TURNING) / max(self._share, _LEAST_TURNING)

    def _kept(self, rows: Index, scale: Array) -> SharesOff:
        """Return the shares of the sheet's wheels: most causes leave them as they are."""
        held = self._held.setdefault(rows.tobytes() + scale.tobytes(), {})
        return lambda off: self._once(held, off, [self.base], np.ones((DRAWS, 1)), rows, scale)

    def _once(  # noqa: PLR0913
        self, held: dict[RodsOff, Small | None], off: RodsOff, nodes: Sequence[CoupledWheels],
        parts: Array, rows: Index, scale: Array,
    ) -> Small | None:  # fmt: skip
        if off not in held:
            held[off] = self._shares(nodes, parts, off, rows, scale)
        return held[off]

    def _shares(
        self, nodes: Sequence[CoupledWheels], parts: Array, off: RodsOff, rows: Index, scale: Array
    ) -> Small | None:
        """Return the shares of wheels that are so much of each of some, in every draw."""
        shares = self.variants.shares(off)
        left = [one for wheels in nodes if (one := without_rods(wheels, off)) is not None]
        noise = self._noise if not off else self._noise_of(off)
        if shares is None or len(left) < len(nodes) or noise is None:
            return None
        misfits, plays = shares.parts(left)
        used = shares.of(
            np.tensordot(parts, misfits, axes=1) + scale[:, None, None] * noise[0][rows],
            parts @ plays + scale[:, None] * noise[1][rows],
        )
        return np.asarray(used, dtype=np.float32)

    def _noise_of(self, off: RodsOff) -> tuple[Array, Array] | None:
        if off not in self._off:
            shares = self.variants.shares(off)
            left = [without_rods(wheels, off) for wheels in (self.base, *self._moved)]
            kept = [wheels for wheels in left if wheels is not None]
            if shares is None or len(kept) < len(left):
                self._off[off] = None
            else:
                misfits, plays = shares.parts(kept)
                self._off[off] = (
                    np.tensordot(self._moves, misfits[1:] - misfits[0], axes=1),
                    np.tensordot(self._moves, plays[1:] - plays[0], axes=1),
                )
        return self._off[off]
