"""The air of every near pair of parts all round the turn, of many variants of a mechanism.

By samples at the crank angles of the motion alone: for weighing what might be, not for a verdict.
A pair that looks alike and moves alike in two variants, or on two sides, is looked at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.least import Bodies, Jobs, circles_apart
from linkage.clearance.looks import Look, Looks, Number, jobs_of
from linkage.clearance.near import reach_of
from linkage.clearance.outlines import PairTable
from linkage.kinematics import Motion
from linkage.mechanism import Mechanism

_ROWS = 400  # pieces that are looked at together
_TOGETHER = 400  # pairs of parts likewise

Rooms = Mapping[tuple[str, str], Array]
"""The air of pairs of parts at each crank angle, shape (N,) [mm]; those that never come near are
not in it, and no air is more than what is looked at."""


class RoomsOfVariants:
    """Finds the air of pairs round the turn in many variants, and keeps what it looked at.

    Parameters
    ----------
    wanted : float [mm]
        Clearance wanted, by which it goes how far is looked.
    """

    def __init__(self, wanted: float) -> None:
        self.reach = reach_of(wanted)
        self._looks = Looks(wanted, self.reach)
        self._found: dict[Number, Array | None] = {}

    def __call__(self, mechanisms: Sequence[Mechanism], motion: Motion) -> list[Rooms]:
        """Find the air of each variant's pairs; as much as is looked at where there is no position.

        Parameters
        ----------
        motion : Motion
            Theirs, at even crank angles round the whole turn.
        """
        looks, moves = self._looks.of(mechanisms, motion, range(len(mechanisms)))
        new = {
            look.number: look
            for some in looks.values()
            for look in some
            if look.number not in self._found
        }
        every = list(new.values())
        for first in range(0, len(every), _TOGETHER):
            self._look(every[first : first + _TOGETHER], moves)
        rooms: list[Rooms] = []
        for some in looks.values():
            near: dict[tuple[str, str], Array] = {}
            for look in some:
                curve = self._found[look.number]
                if curve is not None:
                    near[look.pair.parts] = curve
            rooms.append(near)
        return rooms

    def _look(self, looks: Sequence[Look], moves: Mapping[int, Array]) -> None:
        jobs = jobs_of(looks, moves, ())
        curves = self._curves(jobs, len(looks))
        for look, curve in zip(looks, curves, strict=True):
            self._found[look.number] = curve if curve.min() < self.reach else None

    def _curves(self, jobs: Jobs, count: int) -> Array:
        """Return the air of each pair at each crank angle, shape (pairs, N) [mm]."""
        table, bodies = PairTable(jobs.pieces), Bodies(jobs.moves)
        curves = np.full((count, bodies.count), self.reach)
        for first in range(0, len(jobs.pieces), _ROWS):
            rows = np.arange(first, min(first + _ROWS, len(jobs.pieces)))
            near, at = np.nonzero(circles_apart(jobs, rows, jobs.moves) < self.reach)
            air = self._air(table, bodies, rows[near], at)
            owner = jobs.owner[rows[near]]
            np.minimum.at(curves, (owner, at), np.where(np.isnan(air), self.reach, air))
        return curves

    def _air(self, table: PairTable, bodies: Bodies, row: Index, at: Index) -> Array:
        """Return the air of pieces; what is dear only where a cheap bound says it is near."""
        if not len(row):
            return np.zeros(0)
        air = table.farther(row, at, bodies)
        near = np.flatnonzero(air < self.reach)
        air[near] = table.clearances(row[near], at[near], bodies, self.reach)
        return air
