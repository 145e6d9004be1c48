"""The gaps of near pairs at their lowest places, for many variants of one side together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain

import numpy as np

from linkage.arrays import Array
from linkage.clearance import PairClearance
from linkage.clearance.outlines import PairTable, PiecePair, Poses, slopes
from linkage.clearance.pairs import air_at_joints, pieces_of
from linkage.clearance.sideways import states_of
from linkage.examine import SideFindings
from linkage.kinematics import Motion
from linkage.mechanism import Mechanism

_PLACES = 4  # lowest places of a pair's curve that are looked at
_ALIKE = 0.01  # pieces of a variant that differ by no more are the same ones [mm]
_FLAT = 1e-9  # what differs by no more is level [mm]
_THICK = 1e6  # [mm]
_NEAR = 0.3  # pieces farther than this from the nearest are no longer looked at [mm]


@dataclass(frozen=True)
class Place:
    """A place in the turn where a pair is near."""

    pair: PairClearance
    at: float  # crank angle, as it was found [rad]


@dataclass(frozen=True, eq=False)
class Gap:
    """The gap of two pieces, in every variant, shape (V,) each [mm].

    Their clearance is the greater of the two: what is apart in either view does not touch. Where a
    piece slopes there is but one.
    """

    side: Array  # seen from the side; of sloping pieces the clearance itself
    plan: Array  # seen from above; -inf of sloping ones

    @property
    def clearance(self) -> Array:
        """The clearance, shape (V,) [mm]."""
        return np.maximum(self.side, self.plan)


@dataclass(frozen=True)
class Meetings:
    """The near pairs of a side, and where each of them is to be looked at."""

    found: SideFindings
    places: tuple[Place, ...]

    @property
    def angles(self) -> Iterator[float]:
        """The crank angles [rad]."""
        return (place.at for place in self.places)

    def at_joints(self, mechanisms: Sequence[Mechanism]) -> Callable[[tuple[str, str]], Array]:
        """Return what air a pair has at its own joints, in every variant, shape (V,) [mm].

        By the names of its parts. No more than that is asked of it; infinite where it has no joint.
        """

        @cache
        def airs(parts: tuple[str, str]) -> Array:
            if not np.isfinite(air_at_joints(mechanisms[0], parts)):
                return np.full(len(mechanisms), np.inf)
            return np.array([air_at_joints(mechanism, parts) for mechanism in mechanisms])

        return airs

    def gaps(
        self, mechanisms: Sequence[Mechanism], motion: Motion
    ) -> Iterator[tuple[Place, tuple[Gap, ...]]]:
        """Yield the gaps at each place of the pieces that are near there, in every variant.

        `mechanisms`: the first is the side's own. `motion`: theirs, at `angles`.
        """
        names = [part.name for part in mechanisms[0].parts]
        shape = motion.reached.shape
        # one row of positions: those of the first variant, then of the second
        poses = Poses.of(
            np.stack([np.broadcast_to(motion.poses[n], (*shape, 3)).reshape(-1, 3) for n in names])
        )
        jobs = _Jobs(self.found, mechanisms, poses, shape[1])
        for place in self.places:
            column = int(np.searchsorted(motion.crank, place.at % (2 * np.pi)))
            jobs.add(place, column)
        yield from zip(self.places, jobs.gaps(), strict=True)


def find_meetings(found: SideFindings) -> Meetings:
    """Return where the near pairs of a side are to be looked at."""
    return Meetings(found, tuple(Place(p, at) for p in found.survey.pairs for at in _at(found, p)))


def _at(found: SideFindings, pair: PairClearance) -> list[float]:
    """Return the crank angles at which a pair is lowest, and of all that was found of it."""
    known = [pair.at, *(arc.worst for arc in (*pair.fouls, *pair.close))]
    worn = found.worn.get(pair.parts)
    known += [worn.at] if worn is not None and worn.loss else []
    curve = np.nan_to_num(pair.curve, nan=np.inf)
    low = np.array([k for k in _valleys(curve) if curve[k] < found.survey.reach], dtype=np.intp)
    others = found.survey.crank[low[np.argsort(curve[low])]][:_PLACES]
    step = 2 * np.pi / len(curve)
    for angle in others.tolist():
        if all(abs((angle - k + np.pi) % (2 * np.pi) - np.pi) > step for k in known):
            known.append(angle)
    return list(dict.fromkeys(known))


def _valleys(curve: Array) -> Iterator[int]:
    """Yield where a curve round the turn is lowest; of a flat bottom, its middle.

    There flat pieces lie deepest over one another: at its ends they all but pass in side view.
    """
    count = len(curve)
    with np.errstate(invalid="ignore"):
        steps = np.flatnonzero(~(np.abs(np.diff(curve, append=curve[:1])) <= _FLAT))
    for number, last in enumerate(steps.tolist()):
        before = int(steps[number - 1])
        if before >= last:
            before -= count
        if curve[before] > curve[last] < curve[(last + 1) % count]:
            yield (before + 1 + last) // 2 % count


class _Jobs:
    """Pieces to compare at positions of variants, gathered to be looked at in one go."""

    def __init__(
        self, found: SideFindings, mechanisms: Sequence[Mechanism], poses: Poses, angles: int
    ) -> None:
        self.found, self.mechanisms, self.poses, self.angles = found, mechanisms, poses, angles
        self.rows = {part.name: row for row, part in enumerate(mechanisms[0].parts)}
        base = mechanisms[0]
        held = states_of(base)
        over = base.wheelsets, base.curve, base.along
        like = [(m.wheelsets, m.curve, m.along) == over for m in mechanisms]
        self.sideways = [
            held if same else states_of(m) for m, same in zip(mechanisms, like, strict=True)
        ]
        self.other = [
            {p.name for p, q in zip(m.parts, base.parts, strict=True) if p != q}
            if same
            else set(self.rows)
            for m, same in zip(mechanisms, like, strict=True)
        ]
        self.pairs: dict[tuple[frozenset[str], int], tuple[PiecePair, ...]] = {}
        self.pieces: list[PiecePair] = []
        self.known: dict[PiecePair, int] = {}
        self.items: list[tuple[int, int]] = []
        self.counts: list[int] = []

    def add(self, place: Place, column: int) -> None:
        """Add the pieces that are near at a place, in every variant."""
        parts = frozenset(place.pair.parts)
        nearest = self._nearest(parts, column)
        self.counts.append(len(nearest))
        own = [self._known(piece) for _, piece in nearest]
        for variant in range(len(self.mechanisms)):
            at = variant * self.angles + column
            changed = bool(self.other[variant] & parts)
            held = self._pair(parts, variant) if changed else ()
            for (row, piece), number in zip(nearest, own, strict=True):
                known = self._known(_like(piece, held, row)) if changed else number
                self.items.append((known, at))

    def _known(self, piece: PiecePair) -> int:
        if piece not in self.known:
            self.known[piece] = len(self.pieces)
            self.pieces.append(piece)
        return self.known[piece]

    def _pair(self, parts: frozenset[str], variant: int) -> tuple[PiecePair, ...]:
        """Return which pieces of two parts are compared in a variant."""
        if (parts, variant) not in self.pairs:
            one, other = sorted(self.rows[name] for name in parts)
            reach, mechanism = self.found.survey.reach, self.mechanisms[variant]
            sideways = self.sideways[variant]
            self.pairs[parts, variant], _ = pieces_of(mechanism, (one, other), reach, sideways)
        return self.pairs[parts, variant]

    def _nearest(self, parts: frozenset[str], column: int) -> list[tuple[int, PiecePair]]:
        """Return the pieces of two parts that are near one another as the side is, by row."""
        pieces = self._pair(parts, 0)
        table = PairTable(pieces)
        rows = np.arange(len(pieces))
        bounds = table.farther(rows, np.full(len(pieces), column), self.poses)
        first = np.array([np.nanargmin(bounds)])
        known = table.clearances(first, np.array([column]), self.poses)
        low = np.flatnonzero(bounds < known + _NEAR)  # what cannot be nearer than one that is known
        values = table.clearances(low, np.full(len(low), column), self.poses)
        return [(row, pieces[row]) for row in low[values < np.nanmin(values) + _NEAR].tolist()]

    def gaps(self) -> Iterator[tuple[Gap, ...]]:
        """Yield of each place the gaps of the pieces that are near there, in every variant."""
        if not self.items:
            return
        pairs, at = np.array(self.items, dtype=np.intp).T
        flat = np.array([not any(slopes(piece) for piece in pair.pieces) for pair in self.pieces])
        plan = np.where(flat, PairTable(self.pieces).lateral, -np.inf)[pairs]
        side = PairTable([_level(pair) for pair in self.pieces]).clearances(pairs, at, self.poses)
        first = 0
        for count in self.counts:
            rows = np.arange(first, first + count * len(self.mechanisms))
            first += len(rows)
            yield tuple(_gap(side[mine], plan[mine]) for mine in rows.reshape(-1, count).T)


def _gap(side: Array, plan: Array) -> Gap:
    """Return the gap of two pieces; of such as slope in a variant the clearance in all of them."""
    if np.isfinite(plan).all():
        return Gap(side, plan)
    return Gap(np.maximum(side, plan), np.full_like(plan, -np.inf))


def _level(pair: PiecePair) -> PiecePair:
    """Return flat pieces so thick that only their gap in side view counts."""
    if any(slopes(piece) for piece in pair.pieces):
        return pair
    a, b = (replace(piece, thickness=_THICK) for piece in pair.pieces)
    return replace(pair, pieces=(a, b))


def _like(piece: PiecePair, held: Sequence[PiecePair], row: int) -> PiecePair:
    """Return the pieces of a variant that are those of the side as it is; these if none are.

    `row`: where they are likely to be.
    """
    likely = [held[row]] if row < len(held) else []
    for other in (*likely, *held):
        if _form(other) == _form(piece) and _apart(other, piece) < _ALIKE:
            return other
    return piece


def _form(pair: PiecePair) -> object:
    return pair.parts, [(p.label, p.sort, p.key, len(p.corners)) for p in pair.pieces]


def _apart(one: PiecePair, other: PiecePair) -> float:
    """Return by how much the numbers of pieces of one form differ at the most [mm]."""
    return max(abs(x - y) for x, y in zip(_numbers(one), _numbers(other), strict=True))


def _numbers(pair: PiecePair) -> list[float]:
    return [
        value
        for piece in pair.pieces
        for value in (*chain(*piece.corners), *piece.out, piece.radius, piece.thickness)
    ]
