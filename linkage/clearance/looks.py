"""Which pairs of parts of many variants are to be looked at, each as seldom as can be.

Two parts that look alike and move alike in two variants, or on two sides, have the same air; only
what differs is looked at. Where samples are all that is asked for, two parts are not even compared
whose circles keep apart at every one of them.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import blake2b
from itertools import combinations

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.least import Jobs
from linkage.clearance.outlines import PiecePair
from linkage.clearance.pairs import PartPair, Span, apart, pair_of, span_of
from linkage.clearance.sideways import Sideways, states_of
from linkage.kinematics import Motion
from linkage.mechanism import Joint, Mechanism, Part

_ALIKE = 9  # decimals to which poses must agree to be the same motion

NO_LOSSES: Mapping[tuple[str, str], float] = {}
"""Of parts that are not worn."""
Number = tuple[int, int, int]
"""A pair of parts, and how either moves, by the numbers of each."""
_Moving = tuple[tuple[int, int], tuple[int, int]]
"""Two parts and their motions, by their numbers."""


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
        self._spans: dict[tuple[int, int], Span] = {}
        self._circles: dict[int, tuple[float, float, float]] = {}
        self._near: dict[_Moving, bool] = {}

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

    def near(
        self, mechanisms: Sequence[Mechanism], motion: Motion
    ) -> tuple[list[list[Look]], dict[int, Array]]:
        """Return the same of every variant, without parts that are apart at all its crank angles.

        For who looks at no others: between them such parts may come nearer.
        """
        moves: dict[int, Array] = {}
        numbers = [self._moves(part.name, motion, moves) for part in mechanisms[0].parts]
        looks = []
        for mechanism, mine in zip(mechanisms, zip(*numbers, strict=True), strict=True):
            parts = [self._number(part) for part in mechanism.parts]
            self._note_near(mechanism.parts, list(zip(parts, mine, strict=True)), moves)
            looks.append(self._looks(mechanism, mine, parts, self._near))
        return looks, moves

    def _note_near(
        self,
        parts: Sequence[Part],
        moving: Sequence[tuple[int, int]],
        moves: Mapping[int, Array],
    ) -> None:
        """Note of every two parts of a variant whether the circles about them come near."""
        new = [
            (a, b)
            for a, b in combinations(range(len(parts)), 2)
            if (moving[a], moving[b]) not in self._near
        ]
        if not new:
            return
        needed = sorted({row for two in new for row in two})
        place = {row: k for k, row in enumerate(needed)}
        for row in needed:
            if moving[row][0] not in self._circles:
                self._circles[moving[row][0]] = _circle(parts[row])
        circles = np.array([self._circles[moving[row][0]] for row in needed])
        poses = np.stack([moves[moving[row][1]] for row in needed])
        cos, sin = np.cos(poses[..., 2]), np.sin(poses[..., 2])
        x = poses[..., 0] + cos * circles[:, :1] - sin * circles[:, 1:2]
        y = poses[..., 1] + sin * circles[:, :1] + cos * circles[:, 1:2]
        one, other = np.array([(place[a], place[b]) for a, b in new]).T
        squares = (x[one] - x[other]) ** 2 + (y[one] - y[other]) ** 2
        within = np.maximum(circles[one, 2] + circles[other, 2] + self.reach, 0.0)
        near = (squares < within[:, None] ** 2).any(axis=1)  # nowhere where there is no position
        for (a, b), is_near in zip(new, near.tolist(), strict=True):
            self._near[moving[a], moving[b]] = is_near

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

    def _looks(
        self,
        mechanism: Mechanism,
        moves: Sequence[int],
        parts: Sequence[int] | None = None,
        near: Mapping[_Moving, bool] | None = None,
    ) -> list[Look]:
        """Return what of a variant is to be looked at; of all parts, or of such as are near."""
        numbers = [self._number(part) for part in mechanism.parts] if parts is None else parts
        rows = [
            (a, b)
            for a, b in combinations(range(len(numbers)), 2)
            if near is None or near[(numbers[a], moves[a]), (numbers[b], moves[b])]
        ]
        return [
            Look(pair, held, (self._number(key), moves[a], moves[b]))
            for key, (pair, held), (a, b) in self._paired(mechanism, numbers, rows)
            if pair is not None
        ]

    def pairs(self, mechanism: Mechanism) -> Iterator[PartPair]:
        """Yield the pairs of parts of a mechanism that could meet, as `pair_parts` lists them."""
        parts = [self._number(part) for part in mechanism.parts]
        every = combinations(range(len(parts)), 2)
        yield from (p for _, (p, _), _ in self._paired(mechanism, parts, every) if p is not None)

    def _paired(
        self, mechanism: Mechanism, parts: Sequence[int], rows: Iterable[tuple[int, int]]
    ) -> Iterator[tuple[tuple[int, ...], tuple[PartPair | None, tuple[int, int]], tuple[int, int]]]:
        """Yield some two parts: what they are known by, their pair, and their rows.

        `parts`: the numbers of all parts.
        """
        moved = mechanism.wheelsets, mechanism.curve, mechanism.along
        shared = self._number((*moved, mechanism.apart))
        sideways = self._sideways.setdefault(shared, states_of(mechanism))
        row = {part.name: number for number, part in enumerate(mechanism.parts)}
        joints: dict[tuple[int, int], tuple[Joint, ...]] = {}
        for joint in mechanism.joints:
            one, other = row.get(joint.a.part, -1), row.get(joint.b.part, -1)
            two = min(one, other), max(one, other)
            joints[two] = (*joints.get(two, ()), joint)
        joined = {two: self._number(held) for two, held in joints.items()}
        none = self._number(())
        for a, b in rows:
            key = (parts[a], parts[b], joined.get((a, b), none), shared)
            if key not in self._pairs:
                made = None
                first, second = (self._span(mechanism.parts[k], parts[k], shared) for k in (a, b))
                if not apart(first, second, self.reach):
                    made = pair_of(mechanism, (a, b), self.wanted, self.reach, sideways)
                if made is not None and made.parts in self.losses:
                    made = replace(made, asked=max(made.asked, self.losses[made.parts]))
                self._pairs[key] = (made, (a, b))
            yield key, self._pairs[key], (a, b)

    def _span(self, part: Part, number: int, shared: int) -> Span:
        """Return how far out a part reaches with wheelsets of a number, found once."""
        if (number, shared) not in self._spans:
            self._spans[number, shared] = span_of(part, self._sideways[shared])
        return self._spans[number, shared]


def _circle(part: Part) -> tuple[float, float, float]:
    """Return a circle about all pieces of a part, in its own axes [mm]; of none, none at all."""
    corners = [corner for piece in part.pieces for corner in piece.corners]
    if not corners:
        return 0.0, 0.0, -math.inf
    (low_x, high_x), (low_y, high_y) = ((min(c), max(c)) for c in zip(*corners, strict=True))
    x, y = 0.5 * (low_x + high_x), 0.5 * (low_y + high_y)
    wide = (
        math.hypot(corner[0] - x, corner[1] - y) + piece.radius
        for piece in part.pieces
        for corner in piece.corners
    )
    return x, y, max(wide)


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
