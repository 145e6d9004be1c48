"""Which pairs of parts of many variants are to be looked at, each as seldom as can be.

Two parts that look alike and move alike in two variants, or on two sides, have the same air; only
what differs is looked at.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import blake2b
from itertools import combinations

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.least import Jobs
from linkage.clearance.outlines import PiecePair
from linkage.clearance.pairs import PartPair, pair_of
from linkage.clearance.sideways import Sideways, states_of
from linkage.kinematics import Motion
from linkage.mechanism import Joint, Mechanism

_ALIKE = 9  # decimals to which poses must agree to be the same motion

NO_LOSSES: Mapping[tuple[str, str], float] = {}
"""Of parts that are not worn."""
Number = tuple[int, int, int]
"""A pair of parts, and how either moves, by the numbers of each."""


@dataclass(frozen=True)
class Look:
    """A pair of parts, and how either moves.

    `rows` are those of the mechanism that the pair was made of: in another it may have others.
    """

    pair: PartPair
    rows: tuple[int, int]
    number: Number


class Looks:
    """Knows pairs of parts and their motions again, from one variant or side to another.

    Parameters
    ----------
    wanted, reach : float [mm]
        As for `pair_parts`.
    losses : mapping of (str, str) to float [mm]
        What wear takes from the air of pairs: as much is asked for, where that is more.
    """

    def __init__(
        self, wanted: float, reach: float, losses: Mapping[tuple[str, str], float] = NO_LOSSES
    ) -> None:
        self.wanted, self.reach, self.losses = wanted, reach, losses
        self._things: dict[Hashable, int] = {}
        self._pairs: dict[tuple[int, ...], tuple[PartPair | None, tuple[int, int]]] = {}
        self._sideways: dict[int, Sideways] = {}

    def of(
        self, mechanisms: Sequence[Mechanism], motion: Motion, variants: Sequence[int]
    ) -> tuple[dict[int, list[Look]], dict[int, Array]]:
        """Return what is to be looked at in some of many variants, and the motions by number."""
        moves: dict[int, Array] = {}
        numbers = [self._moves(part.name, motion, moves) for part in mechanisms[0].parts]
        looks = {
            v: self._looks(mechanisms[v], [of_part[v] for of_part in numbers]) for v in variants
        }
        return looks, moves

    def _number(self, thing: Hashable) -> int:
        """Return the number of a thing, a new one where it was not seen before."""
        return self._things.setdefault(thing, len(self._things))

    def _moves(self, part: str, motion: Motion, moves: dict[int, Array]) -> list[int]:
        """Return the number of a part's motion in each variant, and note the motions."""
        poses = np.broadcast_to(motion.poses[part], (*motion.reached.shape, 3))
        numbers = []
        # a motion is known again by its digest: thousands of variants' poses are gigabytes
        for pose, alike in zip(poses, np.round(poses, _ALIKE) + 0.0, strict=True):
            numbers.append(self._number(blake2b(alike.tobytes(), digest_size=16).digest()))
            moves.setdefault(numbers[-1], pose)
        return numbers

    def _looks(self, mechanism: Mechanism, moves: Sequence[int]) -> list[Look]:
        """Return what of a variant is to be looked at."""
        return [
            Look(pair, rows, (self._number(key), moves[a], moves[b]))
            for key, (pair, rows), (a, b) in self._paired(mechanism)
            if pair is not None
        ]

    def pairs(self, mechanism: Mechanism) -> Iterator[PartPair]:
        """Yield the pairs of parts of a mechanism that could meet, as `pair_parts` lists them."""
        yield from (pair for _, (pair, _), _ in self._paired(mechanism) if pair is not None)

    def _paired(
        self, mechanism: Mechanism
    ) -> Iterator[tuple[tuple[int, ...], tuple[PartPair | None, tuple[int, int]], tuple[int, int]]]:
        """Yield every two parts: what they are known by, their pair, and their rows."""
        parts = [self._number(part) for part in mechanism.parts]
        shared = self._number((mechanism.wheelsets, mechanism.curve, mechanism.apart))
        sideways = self._sideways.setdefault(shared, states_of(mechanism))
        row = {part.name: number for number, part in enumerate(mechanism.parts)}
        joints: dict[tuple[int, int], tuple[Joint, ...]] = {}
        for joint in mechanism.joints:
            one, other = row.get(joint.a.part, -1), row.get(joint.b.part, -1)
            rows = min(one, other), max(one, other)
            joints[rows] = (*joints.get(rows, ()), joint)
        joined = {rows: self._number(held) for rows, held in joints.items()}
        none = self._number(())
        for a, b in combinations(range(len(parts)), 2):
            key = (parts[a], parts[b], joined.get((a, b), none), shared)
            if key not in self._pairs:
                made = pair_of(mechanism, (a, b), self.wanted, self.reach, sideways)
                if made is not None and made.parts in self.losses:
                    made = replace(made, asked=max(made.asked, self.losses[made.parts]))
                self._pairs[key] = (made, (a, b))
            yield key, self._pairs[key], (a, b)


def jobs_of(
    looks: Sequence[Look], moves: Mapping[int, Array], groups: Sequence[tuple[Index, float]]
) -> Jobs:
    """Return what is to be looked at, with the motions in one table."""
    needed = sorted({move for look in looks for move in look.number[1:]})
    row = {move: place for place, move in enumerate(needed)}
    pieces: list[PiecePair] = []
    owner: list[int] = []
    for index, look in enumerate(looks):
        to = {a: row[move] for a, move in zip(look.rows, look.number[1:], strict=True)}
        for pair in look.pair.pieces:
            a, b = pair.parts
            pieces.append(PiecePair((to[a], to[b]), pair.pieces))
            owner.append(index)
    asked = np.array([look.pair.asked for look in looks])
    table = np.stack([moves[move] for move in needed])
    return Jobs(pieces, np.array(owner, dtype=np.intp), asked, table, groups)
