"""The clearance of every pair of parts round the whole turn, held between the samples too.

The turn is cut into intervals. In each, the clearance at the middle and a bound on how fast the
pair can approach give a value that it cannot fall below::

    x           x      x, found at the middles of two intervals
    | .       . |      from there it falls no faster than speed times distance:
    |   .   .   |      where that is below the least found, something could hide,
    +-----v-----+      and the interval is cut in three and looked at again

It goes so: pieces that never come within reach are dropped; what is left is looked at in every
interval; the least of each pair is closed in on until nothing can hide by more than `WITHIN`; for
each level, intervals are cut until each is on one side of it, runs of those below become arcs, and
the ends and worst places of all arcs are closed in on together, for a call costs more than a place.
Of parts that overlap it is found out last by how much they do as wholes (`whole.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Literal

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.near import ANGLE, LEVEL, WITHIN, PairCurves, poses_at, reach_of
from linkage.clearance.outlines import PairTable, PiecePair, Poses
from linkage.clearance.pairs import PartPair, pair_parts
from linkage.clearance.speeds import PartSpeeds, approach_bounds, approach_of_wholes, part_speeds
from linkage.clearance.whole import Deepest, find_deepest, layers_of, overlaps_of
from linkage.kinematics import Course, enclose
from linkage.kinematics.course import TURN
from linkage.search import Floor, find_crossings, find_minima, floor_in

Word = Literal["proven", "bounded", "sampled"]

INTERVALS = 360
_FINEST = 5e-5  # half of the shortest interval looked at: 0.003 degree [rad]
_MANY = 200  # intervals at a time of which it pays to bound the clearance anew
_AS_MUCH = 1e-6  # what is short of what is asked for by no more is as much: sums round [mm]


@dataclass(frozen=True)
class ArcBelow:
    """A stretch of the turn in which a pair has less than some clearance.

    Attributes
    ----------
    begin, worst, end : float [rad]
        Crank angles, each after the last; good to 0.001 degree. Where the clearance is least all
        along some of it, worst is the middle of that; of the longest, where there are several.
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
        Crank angle there; of a level floor its middle.
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


def survey_clearances(course: Course, wanted: float, moved: frozenset[str] | None = None) -> Survey:
    """Find the least clearance of every pair of parts, and where there is too little.

    All pairs that come nearer than a few times the clearance wanted.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    moved : frozenset of str, optional
        Parts of which one or both must be in a pair; all pairs if not given.
    """
    reach = reach_of(wanted)
    pairs = pair_parts(course.mechanism, wanted, reach, moved=moved)
    curves = _curves(course, pairs, reach)
    if curves is None:
        return Survey(survey_crank(), (), reach, pairs)
    at, least = curves.least()
    fouls = curves.arcs_below(np.zeros(len(curves.pairs)), least)
    asked = np.array([pair.asked for pair in curves.pairs])
    close = curves.arcs_below(asked - _AS_MUCH, least)
    whole = {pair.parts: pair for pair in pairs}
    found = [
        curves.as_wholes(
            i,
            whole[pair.parts],
            PairClearance(
                pair.parts,
                float(least[i]),
                _place(float(at[i]), float(least[i]), (*fouls[i], *close[i])) % TURN,
                pair.asked,
                curves.word,
                fouls[i],
                close[i],
                curves.grid[i],
            ),
        )
        for i, pair in enumerate(curves.pairs)
        if least[i] < reach
    ]
    return Survey(survey_crank(), tuple(sorted(found, key=lambda p: p.least)), reach, pairs)


def survey_crank() -> Array:
    """Return the crank angles of every survey, the middles of its intervals, [rad]."""
    return np.asarray((np.arange(INTERVALS) + 0.5) * (TURN / INTERVALS))


def _curves(course: Course, pairs: Sequence[PartPair], reach: float) -> _Curves | None:
    """Return the clearance curves of the pairs that come within reach; None where none does."""
    if not pairs:
        return None
    enclosure = enclose(course, survey_crank(), np.pi / INTERVALS)
    names = [part.name for part in course.mechanism.parts]
    speeds = part_speeds(enclosure, names)
    near, bounds = _near_pieces(course, pairs, speeds, reach)
    if not near:
        return None
    word: Word = "proven"
    if not enclosure.proven[enclosure.reached].all():
        word = "bounded"
    if not enclosure.reached.all():
        word = "sampled"
    return _Curves(course, near, (bounds, speeds), reach, word)


def _near_pieces(
    course: Course, pairs: Sequence[PartPair], speeds: PartSpeeds, reach: float
) -> tuple[list[PartPair], Array]:
    """Keep of every pair the pieces that come within reach somewhere, and their bounds.

    Most do not, however fast they ever are: of those no interval is looked at.
    """
    half = np.pi / INTERVALS
    owner = [(pair, piece) for pair in pairs for piece in pair.pieces]
    pieces = [piece for _, piece in owner]
    table, poses = PairTable(pieces), poses_at(course, survey_crank())
    which, at = (rows.ravel() for rows in np.indices((len(pieces), INTERVALS)))
    values = table.farther(which, at, poses).reshape(len(pieces), INTERVALS)
    fastest = approach_bounds(pieces, speeds.whole())[:, 0]
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero(np.fmin.reduce(values, axis=1) - fastest * half < reach)
        values, bounds = values[rows], approach_bounds([pieces[row] for row in rows], speeds)
        which, at = np.nonzero(values - bounds * half < reach)
        values[which, at] = table.clearances(rows[which], at, poses, -np.inf)
        keep = np.flatnonzero((values - bounds * half < reach).any(axis=1))
    left: dict[int, tuple[PartPair, list[PiecePair]]] = {}
    for row in rows[keep].tolist():
        pair, piece = owner[row]
        left.setdefault(id(pair), (pair, []))[1].append(piece)
    kept = [PartPair(pair.parts, pair.asked, tuple(some)) for pair, some in left.values()]
    return kept, bounds[keep]


@dataclass(frozen=True)
class _Items:
    """Intervals of crank angle under scrutiny, each of one pair of parts, for one purpose."""

    group: Index
    owner: Index
    middle: Array
    half: Array
    speed: Array
    value: Array

    def pick(self, which: Mask | Index) -> _Items:
        return _Items(*(getattr(self, field.name)[which] for field in fields(self)))

    def join(self, *others: _Items) -> _Items:
        names = [field.name for field in fields(self)]
        return _Items(
            *(np.concatenate([getattr(some, n) for some in (self, *others)]) for n in names)
        )

    def least(self) -> _Items:
        """Return of each group the last interval with the least value, in the groups' order."""
        order = np.lexsort((-np.arange(len(self.value)), self.value, self.group))
        return self.pick(order[np.append(True, np.diff(self.group[order]) > 0)])


@dataclass(frozen=True)
class _Stretch:
    """A run of intervals below a level: its own, and the brackets its ends lie in [rad]."""

    items: _Items
    begin: tuple[float, float]
    end: tuple[float, float]


class _Curves(PairCurves):
    """The clearance of every near pair of parts, with bounds on how fast it changes."""

    def __init__(
        self,
        course: Course,
        pairs: Sequence[PartPair],
        fast: tuple[Array, PartSpeeds],
        reach: float,
        word: Word,
    ) -> None:
        super().__init__(course, pairs, reach)
        self.word = word
        bounds, self.speeds = fast
        bounds = np.maximum.reduceat(bounds, self.first[:-1], axis=0)
        self.floor = np.minimum.reduceat(self.table.lateral, self.first[:-1])
        owner = np.repeat(np.arange(len(pairs)), INTERVALS)
        crank = np.tile(survey_crank(), len(pairs))
        value = self.values(owner, crank)
        half = np.full(len(owner), np.pi / INTERVALS)
        self.base = _Items(owner, owner, crank, half, bounds.ravel(), value)
        grid = value.reshape(len(pairs), INTERVALS)
        self.grid = np.where(np.isinf(grid), np.nan, np.minimum(grid, reach))

    def _thirds(self, items: _Items) -> _Items:
        """Cut intervals in three; the middle third has its value already."""
        third = items.half / 3
        inner = replace(items, half=third)
        sides = [replace(inner, middle=items.middle + way * third) for way in (-2, 2)]
        outer = sides[0].join(sides[1])
        return inner.join(replace(outer, value=self.values(outer.owner, outer.middle)))

    def _lowest(self, items: _Items) -> _Items:
        """Return of each group the interval in which it is least.

        Intervals are cut until nothing in them can be less by more than `WITHIN`.
        """
        best = items.least()
        while len(items.group):
            place = np.searchsorted(best.group, items.group)
            low = np.maximum(items.value - items.speed * items.half, self.floor[items.owner])
            goal = np.minimum(best.value, self.reach)[place] - WITHIN
            open_ = (low < goal) & (items.half > _FINEST)
            items = self._not_above(items.pick(open_), goal[open_])
            if len(items.group):
                items = self._thirds(items)
                best = items.join(best).least()
        return best

    def _not_above(self, items: _Items, goal: Array) -> _Items:
        """Return the intervals in which a clearance may be below a goal [mm], by a closer bound.

        No two places come nearer than the distance they have in side view, less what they can
        move; laterally they do not move. So nothing is below the clearance at the middle with all
        that much nearer in side view: where a bar slopes past another, that hardly falls.
        """
        if len(items.group) < _MANY:  # to cut them is cheaper
            return items
        low = self.values(items.owner, items.middle, items.speed * items.half)
        return items.pick(low < goal)

    def least(self) -> tuple[Array, Array]:
        """Return where each pair's clearance is least, to `ANGLE`, and how much it is there."""
        best = self._lowest(self.base)
        place, least = best.middle.copy(), best.value.copy()
        some = np.flatnonzero(least < self.reach)
        wide = 2 * best.half[some]
        at, value = find_minima(self.rows(some), place[some] - wide, place[some] + wide, ANGLE)
        lower = value < least[some] - 1e-12
        place[some[lower]], least[some[lower]] = at[lower], value[lower]
        with np.errstate(invalid="ignore"):
            on = self.grid[some] <= least[some, None] + LEVEL
        floors = partial(_floors_of_turn, on)
        place[some] = self.middles(some, place[some], least[some], floors)
        return place, least

    def arcs_below(self, level: Array, least: Array) -> list[tuple[ArcBelow, ...]]:
        """Return for each pair the arcs in which its clearance is below a level."""
        found: list[tuple[ArcBelow, ...]] = [() for _ in self.pairs]
        items = self._settled(self.base.pick((least < level)[self.base.owner]), level)
        stretches = [
            stretch
            for owner in np.unique(items.owner).tolist()
            for stretch in _stretches(items.pick(items.owner == owner), float(level[owner]))
        ]
        for owner, arc in self._arcs(stretches, level):
            found[owner] = (*found[owner], arc)
        return found

    def as_wholes(self, owner: int, pair: PartPair, found: PairClearance) -> PairClearance:
        """Return what was found of a pair with its overlaps as wholes.

        `pair`: with all its pieces, those that come nowhere near too: a way apart may lead there.
        """
        layers = layers_of(pair.pieces) if found.fouls else ()
        layers = tuple(one for one in layers if one.lateral < found.least - LEVEL)
        if not layers:
            return found

        def look(crank: Array) -> tuple[Poses, Array]:
            return poses_at(self.course, crank), self.values(np.full(len(crank), owner), crank)

        fast = approach_of_wholes([p for one in layers for p in one.pairs], self.speeds)
        curve = overlaps_of(layers, look, survey_crank(), found.curve)
        deepest = [
            find_deepest(
                layers,
                look,
                (Deepest(arc.worst, arc.least, False), (arc.begin, arc.end)),
                curve,
                fast,
            )
            for arc in found.fouls
        ]
        return _told_whole(found, deepest, curve)

    def _settled(self, items: _Items, level: Array) -> _Items:
        """Cut intervals until all of each is known to be on one side of its pair's level."""
        settled = [items.pick(items.group < 0)]
        while len(items.group):
            far = np.abs(items.value - level[items.owner]) > items.speed * items.half
            under = level[items.owner] <= self.floor[items.owner]
            done = far | under | (items.half <= _FINEST) | np.isinf(items.value)
            settled.append(items.pick(done))
            items = items.pick(~done)
            if len(items.group):
                items = self._thirds(items)
        return settled[0].join(*settled[1:])

    def _arcs(self, stretches: Sequence[_Stretch], level: Array) -> Iterator[tuple[int, ArcBelow]]:
        """Yield the arcs that stretches are the inside of, with their pairs."""
        if not stretches:
            return
        owner = np.array([stretch.items.owner[0] for stretch in stretches])
        edges = np.array([stretch.begin + stretch.end for stretch in stretches])
        ended = np.flatnonzero(np.isfinite(edges[:, 0]))
        low, high = edges[ended][:, [0, 2]].ravel(), edges[ended][:, [1, 3]].ravel()
        twice = np.repeat(owner[ended], 2)
        edges = edges[:, [0, 3]]
        edges[ended] = find_crossings(self.rows(twice, level[twice]), low, high, ANGLE).reshape(
            -1, 2
        )
        at, least = self._worst(stretches, edges)
        for row, (begin, end) in enumerate(edges.tolist()):
            worst = float(at[row])
            if np.isfinite(begin):
                shift = TURN * float(np.floor(begin / TURN))
                arc = ArcBelow(begin - shift, worst - shift, end - shift, float(least[row]))
            else:
                arc = ArcBelow(0.0, worst % TURN, TURN, float(least[row]))
            yield int(owner[row]), arc

    def _worst(self, stretches: Sequence[_Stretch], edges: Array) -> tuple[Array, Array]:
        """Return where each stretch is least, and how much; the middle of a level floor."""
        groups = [
            replace(stretch.items, group=np.full_like(stretch.items.group, row))
            for row, stretch in enumerate(stretches)
        ]
        best = self._lowest(groups[0].join(*groups[1:]))
        first = np.maximum(best.middle - 2 * best.half, edges[:, 0])
        last = np.minimum(best.middle + 2 * best.half, edges[:, 1])
        at, least = find_minima(self.rows(best.owner), first, last, ANGLE)
        lowest = np.array([stretch.items.value.min() for stretch in stretches])
        lower = lowest < least
        least = np.where(lower, lowest, least)
        at[lower] = [
            stretch.items.middle[np.argmin(stretch.items.value)]
            for stretch, low in zip(stretches, lower.tolist(), strict=True)
            if low
        ]

        def floor(row: int, place: float) -> Floor | None:
            items, (begin, end) = stretches[row].items, edges[row].tolist()
            on = items.value <= least[row] + LEVEL
            return floor_in(items.middle, on, place, (begin, end) if np.isfinite(begin) else None)

        return self.middles(best.owner, at, least, floor), least


def _floors_of_turn(on: Mask, row: int, place: float) -> Floor | None:
    return floor_in(survey_crank(), on[row], place)


def _told_whole(found: PairClearance, deepest: Sequence[Deepest], curve: Array) -> PairClearance:
    """Return what was found of a pair with the deepest place of each of its fouls."""
    fouls = [
        replace(arc, worst=one.at, least=one.least)
        for arc, one in zip(found.fouls, deepest, strict=True)
    ]
    close = []
    for arc in found.close:
        within = [
            replace(arc, worst=foul.worst + shift, least=foul.least)
            for foul in fouls
            for shift in (-TURN, 0.0, TURN)
            if arc.begin - ANGLE <= foul.begin + shift and foul.end + shift <= arc.end + ANGLE
        ]
        close.append(min((arc, *within), key=lambda one: one.least))
    most = min(fouls, key=lambda arc: arc.least)
    return replace(
        found,
        least=most.least,
        at=most.worst % TURN,
        between_samples=found.between_samples if all(d.proven for d in deepest) else "sampled",
        fouls=tuple(fouls),
        close=tuple(close),
        curve=curve,
    )


def _place(at: float, least: float, arcs: Sequence[ArcBelow]) -> float:
    """Return where a pair is nearest [rad]: of a level floor its middle, as its arcs have it.

    `at` [rad], `least` [mm]: where it was found, and how near it is there.
    """
    worst = min(arcs, key=lambda arc: arc.least, default=None)
    return at if worst is None or worst.least > least + 2 * LEVEL else worst.worst


def _stretches(mine: _Items, level: float) -> Iterator[_Stretch]:
    """Yield the runs of one pair's intervals that are below a level, in the order of the turn."""
    mine = mine.pick(np.argsort(mine.middle))
    low, count = mine.value < level, len(mine.middle)
    if low.all():
        yield _Stretch(mine, (-np.inf, -np.inf), (np.inf, np.inf))
        return
    for start in np.flatnonzero(low & ~np.roll(low, 1)).tolist():
        length = int(np.argmin(np.roll(low, -start)))
        steps = np.arange(start - 1, start + length + 1)
        turned = mine.middle[steps % count] + TURN * (steps // count)
        inside = replace(mine.pick(steps[1:-1] % count), middle=turned[1:-1])
        begin, end = turned[:2].tolist(), turned[-2:].tolist()
        yield _Stretch(inside, (begin[0], begin[1]), (end[0], end[1]))
