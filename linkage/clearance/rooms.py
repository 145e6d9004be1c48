"""The air of every near pair of parts all round the turn, of many variants of a mechanism.

By samples at the crank angles of the motion alone: for weighing what might be, not for a verdict.
A pair that looks alike and moves alike in two variants, or on two sides, is looked at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance.least import Jobs, circles_apart
from linkage.clearance.looks import Look, Looks, Number, jobs_of
from linkage.clearance.near import reach_of
from linkage.clearance.outlines import PairTable, Poses
from linkage.kinematics import Motion
from linkage.mechanism import Mechanism

_ROWS = 64  # pieces that are looked at together: they stay in cache
_CLOSE = 0.35  # of what is looked at: air below this is known at every angle [1]
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
        looks, moves = self._looks.near(mechanisms, motion)
        new = {
            look.number: look for some in looks for look in some if look.number not in self._found
        }
        every = list(new.values())
        for first in range(0, len(every), _TOGETHER):
            self._look(every[first : first + _TOGETHER], moves)
        rooms: list[Rooms] = []
        for some in looks:
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
        """Return the air of each pair at each crank angle, shape (pairs, N) [mm].

        Every second angle is looked at first; between two of them only where the air is little, or
        goes so fast that it may be little there. Else it is their mean, which is out by the bend
        of the curve: 0.006 mm at 3 degrees, where a throw of 4.33 mm goes all against a part.
        """
        table, poses = PairTable(jobs.pieces), Poses.of(jobs.moves)
        curves = np.full((count, jobs.moves.shape[1]), self.reach)
        every = np.ones((count, 1), dtype=bool)
        self._look_at(jobs, table, poses, curves, every, 0)
        before, after = curves[:, 0::2], np.roll(curves[:, 0::2], -1, axis=1)
        least = np.minimum(before, after)
        asked = least < np.maximum(_CLOSE * self.reach, 2 * np.abs(after - before))
        curves[:, 1::2] = np.where(asked, self.reach, 0.5 * (before + after))
        self._look_at(jobs, table, poses, curves, asked & (least < self.reach), 1)
        return curves

    def _look_at(  # noqa: PLR0913 (one pass of the above)
        self, jobs: Jobs, table: PairTable, poses: Poses, curves: Array, asked: Mask, first: int
    ) -> None:
        """Look at every second crank angle from one on, where it is asked of a pair."""
        some = Poses(*(held[:, first::2] for held in (poses.x, poses.y, poses.cos, poses.sin)))
        rows, places = [], []
        for start in range(0, len(jobs.pieces), _ROWS):
            mine = np.arange(start, min(start + _ROWS, len(jobs.pieces)))
            close = (circles_apart(jobs, mine, some) < self.reach) & asked[jobs.owner[mine]]
            near, at = np.nonzero(close)
            rows.append(mine[near])
            places.append(first + 2 * at)
        row, place = np.concatenate(rows), np.concatenate(places)
        air = self._air(table, poses, row, place)
        np.minimum.at(curves, (jobs.owner[row], place), np.where(np.isnan(air), self.reach, air))

    def _air(self, table: PairTable, poses: Poses, row: Index, at: Index) -> Array:
        """Return the air of pieces; what is dear only where a cheap bound says it is near."""
        if not len(row):
            return np.zeros(0)
        air = table.farther(row, at, poses)
        near = np.flatnonzero(air < self.reach)
        air[near] = table.clearances(row[near], at[near], poses, self.reach)
        return air
