"""Plates that stand in the way trimmed at an edge: a slide bar's end, a bracket, a running plate.

Of a plate that is fixed the edges are tried from the one nearest to the place of contact. With the
outward normal ``n`` of an edge and ``h`` the height of the edge along it, what is left by ``d`` off
that edge is the part of the plate where ``n . p <= h - d``. The least ``d`` that leaves the air
asked for is closed in on by halves: more off an edge never leaves less air.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from linkage.advice.bench import least_count, step_of, steps_up
from linkage.advice.cure import File
from linkage.advice.keys import own_key
from linkage.advice.trial import AS_MUCH, trial_of
from linkage.examine import Examination
from linkage.geometry import Point, clip_half_plane
from linkage.mechanism import Mechanism, Piece
from linkage.tightspots import Close, Fouls

_EDGES = 2  # edges tried, the nearest first
_IN_LINE = 1e-6  # edges of one part that are no farther apart are trimmed alike [mm]
_SOME = 1 / 3  # share of a plate, across from the edge, that may be filed away [1]


def trimmings(examination: Examination, spot: Fouls | Close) -> Iterator[tuple[File, Mechanism]]:
    """Yield what is to come off an edge of a fixed plate that a part meets; the less first."""
    mechanism = examination.sides[spot.side].mechanism
    found: list[tuple[File, Mechanism]] = []
    for name, piece in zip(spot.contact.parts, spot.contact.pieces, strict=True):
        part = mechanism.part(name)
        if not part.fixed or len(piece.corners) < 3:
            continue
        step = step_of(examination.sheet, own_key(spot.side, f"{part.key}.thickness"))
        for normal in _normals(piece, spot.contact.spot)[:_EDGES]:
            trimming = _Trimming(examination, spot, name, piece, normal, step)
            count = trimming.least()
            if count is not None:
                cure = File(name, "edge", round(count * step, 6), changes=())
                found.append((cure, trimming.made(count)))
    yield from sorted(found, key=lambda one: one[0].amount)


@dataclass(frozen=True)
class _Trimming:
    """One edge of one plate, and how much may come off it, in steps."""

    examination: Examination
    spot: Fouls | Close
    part: str
    piece: Piece
    normal: Point
    step: float  # [mm]

    def least(self) -> int | None:
        """Return the least count of steps that is enough; None where a third of it is not."""
        trial = trial_of(self.examination, self.spot)

        def enough(count: int) -> bool:
            return trial.keeps(self.spot.wanted - AS_MUCH, self.made(count))

        missing = self.spot.wanted - self.spot.contact.side_view
        return least_count(enough, max(steps_up(missing, self.step), 1), self.most)

    @property
    def most(self) -> int:
        """How many steps a third of the plate is, across from the edge."""
        heights = self._heights(self.piece)
        return math.floor(_SOME * (max(heights) - min(heights)) / self.step)

    def made(self, count: int) -> Mechanism:
        """Return the mechanism with so many steps off."""
        mechanism = self.examination.sides[self.spot.side].mechanism
        height, by = max(self._heights(self.piece)), count * self.step
        part = mechanism.part(self.part)
        pieces = tuple(self._cut(piece, height, by) for piece in part.pieces)
        trimmed = replace(part, pieces=pieces)
        return replace(mechanism, parts=tuple(trimmed if p is part else p for p in mechanism.parts))

    def _heights(self, piece: Piece) -> list[float]:
        return [x * self.normal[0] + y * self.normal[1] for x, y in piece.corners]

    def _cut(self, piece: Piece, height: float, by: float) -> Piece:
        """Return a piece trimmed, if its edge is in line: the ends of both slide bars."""
        if len(piece.corners) < 3 or abs(max(self._heights(piece)) - height) > _IN_LINE:
            return piece
        back = -self.normal[0], -self.normal[1]
        left = tuple(clip_half_plane(piece.corners, back, by - height))
        return replace(piece, corners=left, out=(piece.out[0],) * len(left))


def _normals(piece: Piece, spot: Point) -> list[Point]:
    """Return the outward normals of a plate's edges, that of the edge nearest to a spot first."""
    off: dict[Point, float] = {}
    corners = piece.corners
    for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
        length = math.hypot(bx - ax, by - ay)
        normal = (by - ay) / length, (ax - bx) / length
        off[normal] = abs((ax - spot[0]) * normal[0] + (ay - spot[1]) * normal[1])
    return sorted(off, key=lambda normal: off[normal])
