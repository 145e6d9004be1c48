"""The clearance of two strips, by the difference of their lateral places (`strips`)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.strips import Strip
from linkage.geometry import core_distance, least_of_greatest, length_of


@dataclass(frozen=True)
class TwoStrips:
    """Two strips each; the share is that of the way from the least z to the greatest.

    In side view the difference of two lines across is a parallelogram about 0, and how their
    middles lie to one another a spot w. At one z, w runs along a segment; the gap is how far that
    is from the parallelogram, or, less than 0, how far it reaches into it::

            ________
           /   w---/----     the depth of w is that below the nearest side
          /   0   /
         /_______/

    Attributes
    ----------
    a, b : Strip
        The strips.
    half : array, shape (M,) [mm]
        Half the sum of the thicknesses.
    nearer : array, shape (M,) [mm]
        By how much every two places count as nearer in side view than they are.
    """

    a: Strip
    b: Strip
    half: Array
    nearer: Array

    def pick(self, rows: Index) -> TwoStrips:
        """Return some of them."""
        a, b = self.a.pick(rows), self.b.pick(rows)
        return TwoStrips(a, b, self.half[rows], self.nearer[rows])

    def gap(self) -> Array:
        """Return the gap in side view of the whole outlines, shape (M,) [mm]."""
        distance, _, parted = self._corners
        return np.where(parted < 0, parted, distance.min(axis=0)) - self.nearer

    @cached_property
    def _corners(self) -> tuple[Array, Array, Array]:
        """How far the corners of either are from the other, their z there, and what parts them.

        Shapes (8, M), (8, M) and (M,) [mm].
        """
        distances, differences, parted = [], [], np.full(self.half.shape, -np.inf)
        for p, q, sign in ((self.a, self.b, 1.0), (self.b, self.a, -1.0)):
            along, aside = q.seen_from(p.outline)
            before, beyond = -along, along - q.length
            off = np.maximum(np.maximum(before, beyond), 0.0)
            distances.append(length_of(off, np.maximum(np.abs(aside) - q.width, 0.0)))
            height = q.height(np.clip(along / q.length, 0.0, 1.0))
            differences.append(sign * (np.concatenate((p.out, p.out[::-1])) - height))
            for outside in (before, beyond, aside - q.width, -aside - q.width):
                parted = np.maximum(parted, outside.min(axis=0))
        return np.concatenate(distances), np.concatenate(differences), parted

    def plan_within(self, c: Array) -> Array:
        """Return the least gap in plan of places that are less than c apart in side view [mm]."""
        ranges = []
        for p, q in ((self.a, self.b), (self.b, self.a)):
            along = p.seen_from(q.outline)[0]
            ends = (along.min(axis=0) - c, along.max(axis=0) + c)
            heights = [p.height(np.clip(end / p.length, 0.0, 1.0)) for end in ends]
            ranges.append((np.minimum(*heights), np.maximum(*heights)))
        (low, high), (least, most) = ranges
        return np.asarray(np.maximum(np.maximum(low - most, least - high), 0.0) - self.half)

    def _range(self) -> tuple[Array, Array]:
        a, b = self.a.out, self.b.out
        return np.minimum(*a) - np.maximum(*b), np.maximum(*a) - np.minimum(*b)

    def flattest(self) -> Array:
        """Return where the lateral difference is least, shape (M,) [1]."""
        low, high = self._range()
        return np.clip(-low / (high - low), 0.0, 1.0)

    def views(self, share: Array) -> tuple[Array, Array]:
        """Return the gap in side view and the gap in plan, shape (M,) each [mm]."""
        low, high = self._range()
        z = low + share * (high - low)
        ends = [self.a.middle(s) - self.b.middle(t) for s, t in self._ends(z)]
        inside = least_of_greatest(*(self._beyond(end) for end in ends))[1]
        outside = core_distance(ends, self._parallelogram)
        return np.where(inside < 0, inside, outside) - self.nearer, np.abs(z) - self.half

    @cached_property
    def _parallelogram(self) -> Array:
        """The difference of two lines across, shape (4, 2, M) [mm]."""
        p, q = self.a.side, self.b.side
        return np.stack((-p - q, p - q, p + q, q - p))

    @cached_property
    def _widths(self) -> tuple[tuple[Array, Array, Array], ...]:
        """Of either side of the parallelogram itself, its length, and how far the other reaches."""
        p, q = self.a.side, self.b.side
        pairs = ((p, q, length_of(*p)), (q, p, length_of(*q)))
        return tuple((way, size, np.abs(_cross(way, other)) / size) for way, other, size in pairs)

    def _beyond(self, spot: Array) -> Array:
        """Return how far a spot is beyond each side of the parallelogram, shape (4, M) [mm]."""
        found = []
        for way, length, reach in self._widths:
            off = _cross(way, spot) / length
            found += [off - reach, -off - reach]
        return np.stack(found)

    def _ends(self, z: Array) -> list[tuple[Array, Array]]:
        """Return the ends of the pairs of places that are z apart, as shares of either length.

        Counted along the strip that rises less: the other's place follows from it.
        """
        rises, apart = (self.a.rise, -self.b.rise), z - (self.a.out[0] - self.b.out[0])
        less = np.abs(rises[0]) < np.abs(rises[1])
        slow, fast = np.where(less, rises, rises[::-1])
        found = []
        for end in (0.0, 1.0):
            s = np.clip((apart - end * fast) / slow, 0.0, 1.0)
            t = np.clip((apart - s * slow) / fast, 0.0, 1.0)
            found.append((np.where(less, s, t), np.where(less, t, s)))
        return found

    def nearest(self) -> tuple[Array, Array]:
        """Return where the gap in side view is least, and how much, shape (M,) each [1, mm]."""
        distance, differences, parted = self._corners
        every, corner = np.arange(len(self.half)), np.argmin(distance, axis=0)
        z, gap = differences[corner, every], distance[corner, every]
        rows = np.flatnonzero(parted < 0)
        if len(rows):
            z[rows], gap[rows] = self.pick(rows)._deepest()
        low, high = self._range()
        return np.clip((z - low) / (high - low), 0.0, 1.0), gap - self.nearer

    def _deepest(self) -> tuple[Array, Array]:
        """Return where lines across strips that overlap reach farthest into one another: z, gap.

        Deepest are two that cross at their middles; where the strips have none, it is at an end of
        one of them.
        """
        a, b = self.a, self.b
        spots = {(s, t): a.ends[s] - b.ends[t] for s in (0, 1) for t in (0, 1)}
        beyond = {places: self._beyond(spot) for places, spot in spots.items()}
        found = []
        for (s, t), (to_s, to_t) in (
            ((0, 0), (1, 0)), ((0, 1), (1, 1)), ((0, 0), (0, 1)), ((1, 0), (1, 1)),
        ):  # fmt: skip
            share, value = least_of_greatest(beyond[s, t], beyond[to_s, to_t])
            z, to_z = a.out[s] - b.out[t], a.out[to_s] - b.out[to_t]
            found.append((z + share * (to_z - z), value))
        run, to, w = a.ends[1] - a.ends[0], b.ends[1] - b.ends[0], -spots[0, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            along, other = (_cross(w, way) / _cross(run, to) for way in (to, run))
        met = (along >= 0) & (along <= 1) & (other >= 0) & (other <= 1)
        middle = self._beyond(np.zeros_like(w)).max(axis=0)
        along, other = np.where(met, along, 0.0), np.where(met, other, 0.0)
        found.append((a.height(along) - b.height(other), np.where(met, middle, np.inf)))
        zs, depths = (np.array(column) for column in zip(*found, strict=True))
        best, every = np.argmin(depths, axis=0), np.arange(len(self.half))
        return zs[best, every], depths[best, every]


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[0] * b[1] - a[1] * b[0])
