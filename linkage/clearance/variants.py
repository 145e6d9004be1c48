"""The least air of many variants of a mechanism, each pair of parts looked at as seldom as can be.

Two parts that look alike and move alike in two variants, or on two sides, have the same air; only
what differs is looked at.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from itertools import combinations

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.least import Jobs, least_air, within
from linkage.clearance.near import reach_of
from linkage.clearance.outlines import PiecePair
from linkage.clearance.pairs import PartPair, pair_of
from linkage.clearance.sideways import Sideways, states_of
from linkage.kinematics import Motion
from linkage.mechanism import Joint, Mechanism

_ALIKE = 9  # decimals to which poses must agree to be the same motion
_TOGETHER = 60  # variants looked at together


@dataclass(frozen=True)
class Slack:
    """How much air there is beyond what is asked for, of the pair that has least of it.

    Attributes
    ----------
    value : float [mm]
        Below 0 where a pair comes closer than asked; nan where there is no motion.
    parts : tuple of str
        The pair; empty where no pair comes near.
    at : float [rad]
        Crank angle.
    """

    value: float
    parts: tuple[str, ...]
    at: float


_Number = tuple[int, int, int]
"""A pair of parts, and how either moves, by the numbers of each."""


@dataclass(frozen=True)
class _Found:
    """The least air of a pair beyond what is asked, where, and what it is not below."""

    value: float
    at: float
    floor: float


@dataclass(frozen=True)
class _Look:
    """A pair of parts, and how either moves.

    `rows` are those of the mechanism that the pair was made of: in another it may have others.
    """

    pair: PartPair
    rows: tuple[int, int]
    number: _Number


class AirOfVariants:
    """Finds the pair with the least air in each of many variants, and keeps what it looked at.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    """

    def __init__(self, wanted: float) -> None:
        self.wanted, self.reach = wanted, reach_of(wanted)
        self._things: dict[Hashable, int] = {}
        self._pairs: dict[tuple[int, ...], tuple[PartPair | None, tuple[int, int]]] = {}
        self._sideways: dict[int, Sideways] = {}
        self._found: dict[_Number, _Found] = {}

    def __call__(self, mechanisms: Sequence[Mechanism], motion: Motion) -> list[Slack]:
        """Find the least air beyond what is asked for.

        At most what is looked at (`Survey.reach`) less the clearance wanted.

        Parameters
        ----------
        motion : Motion
            Theirs, round the whole turn, as `kinematics.solve_round` has it.
        """
        variants = np.flatnonzero(motion.reached.all(axis=1)).tolist()
        moves: dict[int, Array] = {}
        numbers = [self._moves(part.name, motion, moves) for part in mechanisms[0].parts]
        looks = {
            v: self._looks(mechanisms[v], [of_part[v] for of_part in numbers]) for v in variants
        }
        for first in range(0, len(variants), _TOGETHER):
            some = [looks[v] for v in variants[first : first + _TOGETHER]]
            self._look(some, moves)
            self._look_again(some, moves)
        nothing = Slack(float("nan"), (), 0.0)
        return [self._worst(looks[v]) if v in looks else nothing for v in range(len(mechanisms))]

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

    def _looks(self, mechanism: Mechanism, moves: Sequence[int]) -> list[_Look]:
        """Return what of a variant is to be looked at."""
        parts = [self._number(part) for part in mechanism.parts]
        shared = self._number((mechanism.wheelsets, mechanism.curve, mechanism.apart))
        sideways = self._sideways.setdefault(shared, states_of(mechanism))
        joints: dict[frozenset[str], tuple[Joint, ...]] = {}
        for joint in mechanism.joints:
            names = frozenset((joint.a.part, joint.b.part))
            joints[names] = (*joints.get(names, ()), joint)
        found = []
        for a, b in combinations(range(len(parts)), 2):
            names = frozenset((mechanism.parts[a].name, mechanism.parts[b].name))
            key = (parts[a], parts[b], self._number(joints.get(names)), shared)
            if key not in self._pairs:
                made = pair_of(mechanism, (a, b), self.wanted, self.reach, sideways)
                self._pairs[key] = (made, (a, b))
            pair, rows = self._pairs[key]
            if pair is not None:
                found.append(_Look(pair, rows, (self._number(key), moves[a], moves[b])))
        return found

    def _look(self, variants: Sequence[Sequence[_Look]], moves: dict[int, Array]) -> None:
        """Look at the pairs of some variants that were never looked at."""
        wanted = {
            look.number: look
            for some in variants
            for look in some
            if look.number not in self._found
        }
        self._find(wanted, variants, moves)

    def _look_again(self, variants: Sequence[Sequence[_Look]], moves: dict[int, Array]) -> None:
        """Look again at pairs of which too little is known, where others had less before."""
        wanted = {}
        for some in variants:
            least = min((self._found[look.number].value for look in some), default=np.inf)
            for look in some:
                found = self._found[look.number]
                if found.floor < min(least, found.value - float(within(found.value))):
                    wanted[look.number] = look
        self._find(wanted, variants, moves)

    def _find(
        self,
        wanted: Mapping[_Number, _Look],
        variants: Sequence[Sequence[_Look]],
        moves: Mapping[int, Array],
    ) -> None:
        """Look at some pairs, as closely as the variants they are in need it."""
        if not wanted:
            return
        place = {number: index for index, number in enumerate(wanted)}
        groups = []
        for some in variants:
            mine = [place[look.number] for look in some if look.number in place]
            rest = [self._found[k.number].value for k in some if k.number not in place]
            if mine:
                groups.append((np.array(mine, dtype=np.intp), min(rest, default=np.inf)))
        found = least_air(_jobs(list(wanted.values()), moves, groups), self.reach - self.wanted)
        for number, *figures in zip(
            wanted, found.value.tolist(), found.at.tolist(), found.floor.tolist(), strict=True
        ):
            self._found[number] = _Found(*figures)

    def _worst(self, looks: Sequence[_Look]) -> Slack:
        free = self.reach - self.wanted
        worst = min(looks, key=lambda look: self._found[look.number].value, default=None)
        if worst is None or self._found[worst.number].value >= free:
            return Slack(free, (), 0.0)
        found = self._found[worst.number]
        return Slack(found.value, worst.pair.parts, found.at)


def _jobs(
    looks: Sequence[_Look], moves: Mapping[int, Array], groups: Sequence[tuple[Index, float]]
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
