"""The clearances of near pairs at their lowest places, for many variants of one side together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linkage.arrays import Array
from linkage.clearance import PairClearance, PartPair
from linkage.clearance.outlines import PairTable, PiecePair, Poses
from linkage.clearance.pairs import pair_of
from linkage.clearance.sideways import states_of
from linkage.examine import SideFindings
from linkage.kinematics import Motion
from linkage.mechanism import Mechanism

_PLACES = 4  # lowest places of a pair's curve that are looked at
_NEAR = 0.3  # pieces farther than this from the nearest are no longer looked at [mm]


@dataclass(frozen=True)
class Place:
    """A place in the turn where a pair is near."""

    pair: PairClearance
    at: float  # crank angle, as it was found [rad]


@dataclass(frozen=True)
class Meetings:
    """The near pairs of a side, and where each of them is to be looked at."""

    found: SideFindings
    places: tuple[Place, ...]

    @property
    def angles(self) -> Iterator[float]:
        """The crank angles [rad]."""
        return (place.at for place in self.places)

    def clearances(
        self, mechanisms: Sequence[Mechanism], motion: Motion
    ) -> Iterator[tuple[Place, Array]]:
        """Yield the clearance at each place, of every variant, shape (V,) [mm].

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
        yield from zip(self.places, jobs.least(), strict=True)


def find_meetings(found: SideFindings) -> Meetings:
    """Return where the near pairs of a side are to be looked at."""
    return Meetings(found, tuple(Place(p, at) for p in found.survey.pairs for at in _at(found, p)))


def _at(found: SideFindings, pair: PairClearance) -> list[float]:
    """Return the crank angles at which a pair is lowest, and of all that was found of it."""
    known = [pair.at, *(arc.worst for arc in (*pair.fouls, *pair.close))]
    worn = found.worn.get(pair.parts)
    known += [worn.at] if worn is not None and worn.loss else []
    curve = np.nan_to_num(pair.curve, nan=np.inf)
    low = (curve <= np.roll(curve, 1)) & (curve < np.roll(curve, -1)) & (curve < found.survey.reach)
    others = found.survey.crank[low][np.argsort(curve[low])][:_PLACES]
    step = 2 * np.pi / len(curve)
    for angle in others.tolist():
        if all(abs((angle - k + np.pi) % (2 * np.pi) - np.pi) > step for k in known):
            known.append(angle)
    return list(dict.fromkeys(known))


class _Jobs:
    """Pieces to compare at positions of variants, gathered to be looked at in one go."""

    def __init__(
        self, found: SideFindings, mechanisms: Sequence[Mechanism], poses: Poses, angles: int
    ) -> None:
        self.found, self.mechanisms, self.poses, self.angles = found, mechanisms, poses, angles
        self.rows = {part.name: row for row, part in enumerate(mechanisms[0].parts)}
        self.sideways = [states_of(mechanism) for mechanism in mechanisms]
        base = mechanisms[0]
        self.other = [
            {p.name for p, q in zip(m.parts, base.parts, strict=True) if p != q}
            if (m.wheelsets, m.curve) == (base.wheelsets, base.curve)
            else set(self.rows)
            for m in mechanisms
        ]
        self.pieces: list[PiecePair] = []
        self.known: dict[tuple[frozenset[str], int], tuple[int, ...]] = {}
        self.items: list[tuple[int, int]] = []
        self.counts: list[int] = []

    def add(self, place: Place, column: int) -> None:
        """Add a place, in every variant."""
        parts = frozenset(place.pair.parts)
        nearest = self._nearest(parts, column)
        for variant in range(len(self.mechanisms)):
            at = variant * self.angles + column
            pieces = self._pieces(parts, variant) if self.other[variant] & parts else nearest
            self.items += [(piece, at) for piece in pieces]
            self.counts.append(len(pieces))

    def _pieces(self, parts: frozenset[str], variant: int) -> tuple[int, ...]:
        """Return which pieces of two parts are compared in a variant."""
        if (parts, variant) not in self.known:
            pair = self._pair(parts, variant)
            first = len(self.pieces)
            self.pieces += pair.pieces if pair else ()
            self.known[parts, variant] = tuple(range(first, len(self.pieces)))
        return self.known[parts, variant]

    def _pair(self, parts: frozenset[str], variant: int) -> PartPair | None:
        if variant == 0:
            return next(p for p in self.found.survey.compared if frozenset(p.parts) == parts)
        one, other = sorted(self.rows[name] for name in parts)
        wanted = next(p.asked for p in self.found.survey.compared if frozenset(p.parts) == parts)
        reach = self.found.survey.reach
        mechanism = self.mechanisms[variant]
        return pair_of(mechanism, (one, other), wanted, reach, self.sideways[variant])

    def _nearest(self, parts: frozenset[str], column: int) -> tuple[int, ...]:
        """Return the pieces of two parts that are near one another as the side is."""
        pieces = np.array(self._pieces(parts, 0))
        table = PairTable([self.pieces[piece] for piece in pieces])
        rows = np.arange(len(pieces))
        far = table.farther(rows, np.full(len(pieces), column), self.poses)
        low = np.flatnonzero(far < np.nanmin(far) + _NEAR)
        values = table.clearances(low, np.full(len(low), column), self.poses)
        return tuple(pieces[low[values < np.nanmin(values) + _NEAR]].tolist())

    def least(self) -> Iterator[Array]:
        """Yield the least clearance of each place, of every variant, shape (V,) [mm]."""
        if not self.items:
            return
        pairs, at = np.array(self.items, dtype=np.intp).T
        values = PairTable(self.pieces).clearances(pairs, at, self.poses)
        ends = np.cumsum([0, *self.counts])
        least = [values[a:b].min() if b > a else np.nan for a, b in pairwise(ends)]
        yield from np.array(least).reshape(-1, len(self.mechanisms))
