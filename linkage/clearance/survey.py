"""The clearance of every pair of parts round the whole turn, held between the samples too.

The turn is cut into intervals. In each, the clearance at the middle and a bound on how fast the
pair can approach give a value that it cannot fall below. Intervals in which that is not enough to
decide are cut in three and looked at again, until the least clearance is known within `WITHIN` and
every arc below a level has its ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.near import ANGLE, WITHIN, PairCurves, poses_at, reach_of, within_circles
from linkage.clearance.outlines import PairTable
from linkage.clearance.pairs import PartPair, pair_parts
from linkage.clearance.speeds import approach_bounds, part_speeds
from linkage.kinematics import Course, enclose
from linkage.kinematics.course import TURN
from linkage.search import find_crossings, find_minima

Word = Literal["proven", "bounded", "sampled"]

INTERVALS = 360
_FINEST = 5e-5  # half of the shortest interval looked at: 0.003 degree [rad]


@dataclass(frozen=True)
class ArcBelow:
    """A stretch of the turn in which a pair has less than some clearance.

    Attributes
    ----------
    begin, worst, end : float [rad]
        Crank angles, each after the last; good to 0.001 degree.
    least : float [mm]
        Clearance at the worst place.
    """

    begin: float
    worst: float
    end: float
    least: float


@dataclass(frozen=True)
class PairClearance:
    """The clearance of two parts round the turn.

    Attributes
    ----------
    parts : (str, str)
        Their names.
    least : float [mm]
        Least clearance found; negative where metal overlaps.
    at : float [rad]
        Crank angle there.
    asked : float [mm]
        Clearance asked for of this pair.
    between_samples : str
        "proven": nowhere less than `least` by more than `WITHIN`, by enclosed speeds; "bounded":
        the same by sampled speeds with a margin; "sampled": neither over some of the turn.
    fouls : tuple of ArcBelow
        Where there is no air.
    close : tuple of ArcBelow
        Where there is less than asked for (the fouls included).
    curve : array, shape (INTERVALS,) [mm]
        Clearance at the middles of the intervals, for plotting; nan where not reached, and
        nowhere more than is looked at (`Survey.reach`).
    """

    parts: tuple[str, str]
    least: float
    at: float
    asked: float
    between_samples: Word
    fouls: tuple[ArcBelow, ...]
    close: tuple[ArcBelow, ...]
    curve: Array


@dataclass(frozen=True)
class Survey:
    """All clearances of one side.

    Attributes
    ----------
    crank : array, shape (INTERVALS,) [rad]
        Middles of the intervals.
    pairs : tuple of PairClearance
        Least first; pairs that stay farther apart than `reach` are left out.
    reach : float [mm]
        Up to which clearances are looked at.
    compared : tuple of PartPair
        Every pair of parts that was compared, with its pieces.
    """

    crank: Array
    pairs: tuple[PairClearance, ...]
    reach: float
    compared: tuple[PartPair, ...]


def survey_clearances(course: Course, wanted: float) -> Survey:
    """Find the least clearance of every pair of parts, and where there is too little.

    All pairs that come nearer than a few times the clearance wanted.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    """
    reach = reach_of(wanted)
    pairs = pair_parts(course.mechanism, wanted, reach)
    curves = _curves(course, pairs, reach)
    if curves is None:
        return Survey(_middles(), (), reach, pairs)
    least = curves.least()
    fouls = curves.arcs_below(np.zeros(len(curves.pairs)), least)
    close = curves.arcs_below(np.array([pair.asked for pair in curves.pairs]), least)
    found = [
        PairClearance(
            pair.parts,
            float(least.value[i]),
            float(least.at[i] % TURN),
            pair.asked,
            curves.word,
            fouls[i],
            close[i],
            curves.grid[i],
        )
        for i, pair in enumerate(curves.pairs)
        if least.value[i] < reach
    ]
    return Survey(_middles(), tuple(sorted(found, key=lambda p: p.least)), reach, pairs)


def _middles() -> Array:
    return np.asarray((np.arange(INTERVALS) + 0.5) * (TURN / INTERVALS))


def _curves(course: Course, pairs: Sequence[PartPair], reach: float) -> _Curves | None:
    """Return the clearance curves of the pairs that come within reach; None where none does."""
    pieces = [piece for pair in pairs for piece in pair.pieces]
    if not pieces:
        return None
    enclosure = enclose(course, _middles(), np.pi / INTERVALS)
    bounds = approach_bounds(pieces, part_speeds(enclosure, course.mechanism))
    near, bounds = _near_pieces(course, pairs, bounds, reach)
    if not near:
        return None
    word: Word = "proven"
    if not enclosure.proven[enclosure.reached].all():
        word = "bounded"
    if not enclosure.reached.all():
        word = "sampled"
    return _Curves(course, near, bounds, reach, word)


def _near_pieces(
    course: Course, pairs: Sequence[PartPair], bounds: Array, reach: float
) -> tuple[list[PartPair], Array]:
    """Keep of every pair the pieces that come within reach somewhere, and their bounds."""
    half = np.pi / INTERVALS
    table = PairTable([piece for pair in pairs for piece in pair.pieces])
    poses = poses_at(course, _middles())
    may = within_circles(table, poses, bounds * half, reach)
    which, at = np.nonzero(may)
    values = np.full(may.shape, np.inf)
    values[which, at] = table.clearances(which, at, poses, reach)
    with np.errstate(invalid="ignore"):
        keep = np.asarray((values - bounds * half < reach).any(axis=1))
    kept: list[PartPair] = []
    index = 0
    for pair in pairs:
        count = len(pair.pieces)
        pieces = tuple(
            p for p, k in zip(pair.pieces, keep[index : index + count], strict=True) if k
        )
        index += count
        if pieces:
            kept.append(PartPair(pair.parts, pair.asked, pieces))
    return kept, bounds[keep]


@dataclass(frozen=True)
class _Least:
    value: Array
    at: Array


@dataclass(frozen=True)
class _Items:
    """Intervals of crank angle under scrutiny, each for one pair of parts."""

    owner: Index
    middle: Array
    half: Array
    speed: Array
    value: Array

    def pick(self, which: Mask | Index) -> _Items:
        return _Items(
            self.owner[which],
            self.middle[which],
            self.half[which],
            self.speed[which],
            self.value[which],
        )

    def join(self, other: _Items) -> _Items:
        return _Items(
            np.concatenate((self.owner, other.owner)),
            np.concatenate((self.middle, other.middle)),
            np.concatenate((self.half, other.half)),
            np.concatenate((self.speed, other.speed)),
            np.concatenate((self.value, other.value)),
        )


class _Curves(PairCurves):
    """The clearance of every near pair of parts, with bounds on how fast it changes."""

    def __init__(
        self,
        course: Course,
        pairs: Sequence[PartPair],
        bounds: Array,
        reach: float,
        word: Word,
    ) -> None:
        super().__init__(course, pairs, reach)
        self.word = word
        bounds = np.maximum.reduceat(bounds, self.first[:-1], axis=0)
        self.floor = np.minimum.reduceat(self.table.lateral, self.first[:-1])
        owner = np.repeat(np.arange(len(pairs)), INTERVALS)
        crank = np.tile(_middles(), len(pairs))
        value = self.values(owner, crank)
        self.base = _Items(
            owner, crank, np.full(len(owner), np.pi / INTERVALS), bounds.ravel(), value
        )
        grid = value.reshape(len(pairs), INTERVALS)
        self.grid = np.where(np.isinf(grid), np.nan, np.minimum(grid, reach))

    def _thirds(self, items: _Items) -> _Items:
        """Cut intervals in three; the middle third has its value already."""
        third = items.half / 3
        outer_at = np.concatenate((items.middle - 2 * third, items.middle + 2 * third))
        owner, speed = np.tile(items.owner, 2), np.tile(items.speed, 2)
        outer = _Items(owner, outer_at, np.tile(third, 2), speed, self.values(owner, outer_at))
        middle = _Items(items.owner, items.middle, third, items.speed, items.value)
        return middle.join(outer)

    def least(self) -> _Least:
        """Return the least clearance of each pair and where, to `ANGLE`."""
        items = self.base
        best = np.full(len(self.pairs), np.inf)
        place, width = np.zeros(len(self.pairs)), np.zeros(len(self.pairs))
        while len(items.owner):
            order = np.argsort(-items.value, kind="stable")
            better = items.value[order] < best[items.owner[order]]
            chosen = order[better]
            best[items.owner[chosen]] = items.value[chosen]
            place[items.owner[chosen]] = items.middle[chosen]
            width[items.owner[chosen]] = items.half[chosen]
            low = np.maximum(items.value - items.speed * items.half, self.floor[items.owner])
            goal = np.minimum(best, self.reach)[items.owner] - WITHIN
            undecided = (low < goal) & (items.half > _FINEST)
            items = items.pick(undecided)
            if len(items.owner):
                items = self._thirds(items)
        return self._close_in(best, place, 2 * width)

    def _close_in(self, best: Array, place: Array, width: Array) -> _Least:
        owners = np.flatnonzero(np.isfinite(best) & (best < self.reach))
        at, value = find_minima(
            self.rows(owners), place[owners] - width[owners], place[owners] + width[owners], ANGLE
        )
        best, place = best.copy(), place.copy()
        lower = value < best[owners] - 1e-12
        best[owners[lower]] = value[lower]
        place[owners[lower]] = at[lower]
        return _Least(best, place)

    def arcs_below(self, level: Array, least: _Least) -> list[tuple[ArcBelow, ...]]:
        """Return for each pair the arcs in which its clearance is below a level."""
        below = least.value < level
        items = self.base.pick(below[self.base.owner])
        settled: list[_Items] = []
        while len(items.owner):
            spread = items.speed * items.half
            far = np.abs(items.value - level[items.owner]) > spread
            under = level[items.owner] <= self.floor[items.owner]
            done = far | under | (items.half <= _FINEST) | np.isinf(items.value)
            settled.append(items.pick(done))
            items = items.pick(~done)
            if len(items.owner):
                items = self._thirds(items)
        found: list[tuple[ArcBelow, ...]] = [() for _ in self.pairs]
        if settled:
            every = settled[0]
            for more in settled[1:]:
                every = every.join(more)
            for owner in np.flatnonzero(below):
                found[owner] = self._arcs(int(owner), float(level[owner]), every)
        return found

    def _arcs(self, owner: int, level: float, items: _Items) -> tuple[ArcBelow, ...]:
        mine = items.pick(items.owner == owner)
        mine = mine.pick(np.argsort(mine.middle))
        middle, low = mine.middle, mine.value < level
        if low.all():
            at, least = self._worst(mine, -np.inf, np.inf)
            return (ArcBelow(0.0, at % TURN, TURN, least),)
        starts = np.flatnonzero(low & ~np.roll(low, 1))
        ends = np.flatnonzero(low & ~np.roll(low, -1))
        if len(ends) and len(starts) and ends[0] < starts[0]:
            ends = np.roll(ends, -1)
        arcs = []
        count = len(middle)
        for start, end in zip(starts, ends, strict=True):
            steps = np.arange(start, end + 1 if end >= start else end + count + 1)
            turned = middle[steps % count] + TURN * (steps // count)
            before = middle[start - 1] - (TURN if start == 0 else 0.0)
            beyond = middle[(end + 1) % count] + TURN * ((steps[-1] + 1) // count)
            edges = find_crossings(
                self.rows(np.array([owner, owner]), np.array([level, level])),
                np.array([before, turned[-1]]),
                np.array([turned[0], beyond]),
                ANGLE,
            )
            stretch = mine.pick(steps % count)
            at, least = self._worst(replace(stretch, middle=turned), edges[0], edges[1])
            arcs.append(ArcBelow(*_in_turn(float(edges[0]), at, float(edges[1])), least))
        return tuple(arcs)

    def _worst(self, stretch: _Items, begin: float, end: float) -> tuple[float, float]:
        """Return where a stretch of one pair is least, and how much; the middle of a level floor.

        The intervals are cut until nothing in them can be less by more than `WITHIN`.
        """
        lowest = float(stretch.value.min())
        best, items = stretch, stretch
        while len(items.owner):
            at = int(np.argmin(items.value))
            if items is stretch or items.value[at] < best.value[0]:
                best = items.pick(np.array([at]))
            low = np.maximum(items.value - items.speed * items.half, self.floor[items.owner])
            undecided = (low < best.value[0] - WITHIN) & (items.half > _FINEST)
            items = items.pick(undecided)
            if len(items.owner):
                items = self._thirds(items)
        floor = stretch.middle[stretch.value <= lowest + 1e-9]
        if len(floor) > 2 and best.value[0] > lowest - 1e-9:
            return float(floor[len(floor) // 2]), lowest
        first = np.maximum(best.middle - 2 * best.half, begin)
        last = np.minimum(best.middle + 2 * best.half, end)
        angle, least = find_minima(self.rows(best.owner), first, last, ANGLE)
        return float(angle[0]), float(least[0])


def _in_turn(begin: float, worst: float, end: float) -> tuple[float, float, float]:
    """Bring an arc's begin into 0..a turn, the others after it."""
    shift = TURN * float(np.floor(begin / TURN))
    return begin - shift, float(worst) - shift, end - shift
