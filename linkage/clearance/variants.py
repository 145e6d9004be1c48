"""The least air of many variants of a mechanism, each pair looked at as seldom as can be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.clearance.least import least_air, within
from linkage.clearance.looks import NO_LOSSES, Look, Looks, Number, jobs_of
from linkage.clearance.near import reach_of
from linkage.kinematics import Motion
from linkage.mechanism import Mechanism

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
    worn : bool
        Whether it is wear that asks for so much of that pair, not the clearance wanted.
    """

    value: float
    parts: tuple[str, ...]
    at: float
    worn: bool = False


@dataclass(frozen=True)
class _Found:
    """The least air of a pair beyond what is asked, where, and what it is not below."""

    value: float
    at: float
    floor: float


class AirOfVariants:
    """Finds the pair with the least air in each of many variants, and keeps what it looked at.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted.
    losses : mapping of (str, str) to float [mm]
        What wear takes from the air of pairs, by their parts: so much is asked for as well.
    """

    def __init__(self, wanted: float, losses: Mapping[tuple[str, str], float] = NO_LOSSES) -> None:
        self.wanted, self.reach, self.losses = wanted, reach_of(wanted), losses
        self._looks = Looks(wanted, self.reach, losses)
        self._found: dict[Number, _Found] = {}

    def __call__(self, mechanisms: Sequence[Mechanism], motion: Motion) -> list[Slack]:
        """Find the least air beyond what is asked for.

        At most what is looked at (`Survey.reach`) less the clearance wanted.

        Parameters
        ----------
        motion : Motion
            Theirs, round the whole turn, as `kinematics.solve_round` has it.
        """
        variants = np.flatnonzero(motion.reached.all(axis=1)).tolist()
        looks, moves = self._looks.of(mechanisms, motion, variants)
        for first in range(0, len(variants), _TOGETHER):
            some = [looks[v] for v in variants[first : first + _TOGETHER]]
            self._look(some, moves)
            self._look_again(some, moves)
        nothing = Slack(float("nan"), (), 0.0)
        return [self._worst(looks[v]) if v in looks else nothing for v in range(len(mechanisms))]

    def _look(self, variants: Sequence[Sequence[Look]], moves: dict[int, Array]) -> None:
        """Look at the pairs of some variants that were never looked at."""
        wanted = {
            look.number: look
            for some in variants
            for look in some
            if look.number not in self._found
        }
        self._find(wanted, variants, moves)

    def _look_again(self, variants: Sequence[Sequence[Look]], moves: dict[int, Array]) -> None:
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
        wanted: Mapping[Number, Look],
        variants: Sequence[Sequence[Look]],
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
        found = least_air(jobs_of(list(wanted.values()), moves, groups), self.reach - self.wanted)
        for number, *figures in zip(
            wanted, found.value.tolist(), found.at.tolist(), found.floor.tolist(), strict=True
        ):
            self._found[number] = _Found(*figures)

    def _worst(self, looks: Sequence[Look]) -> Slack:
        free = self.reach - self.wanted
        worst = min(looks, key=lambda look: self._found[look.number].value, default=None)
        if worst is None or self._found[worst.number].value >= free:
            return Slack(free, (), 0.0)
        found = self._found[worst.number]
        pair = worst.pair
        worn = self.losses.get(pair.parts, -1.0) >= pair.asked > 0
        return Slack(found.value, pair.parts, found.at, worn)
