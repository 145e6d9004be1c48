"""The derivatives of the shares of play, as few as there are.

A hole's share hangs on six unknowns: the turn and the place of its axle, the place and the slope of
its rod. A knuckle's hangs on place and slope of two rods, a box's on one shift of its axle. Holes
and knuckles are *links* here. Sums over all shares, by one unknown or two, are made of these few
numbers, for a table of all shares by all unknowns is nine tenths noughts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index, Mask

TERMS = 6  # unknowns that a link hangs on


@dataclass(frozen=True, eq=False)
class Pattern:
    """Which unknowns the shares hang on.

    Attributes
    ----------
    by : array of int, shape (6, links)
        The unknowns of each link; `size` for one that is known, by which all slopes are 0.
    links : array of int, shape (links,)
        Which share is each link's.
    boxes, shifts : array of int, shape (boxes,)
        Which share is each box's, and by which unknown.
    size : int
        Number of unknowns.
    """

    by: Index
    links: Index
    boxes: Index
    shifts: Index
    size: int

    @cached_property
    def cells(self) -> Index:
        """Where the products of a link's slopes go in a matrix, shape (6 * 6 * links,)."""
        wide = self.size + 1
        return np.asarray((self.by[:, None] * wide + self.by[None]).ravel())

    @cached_property
    def holders(self) -> Index:
        """Return for each unknown the slopes by it, some more than once, shape (size, most)."""
        flat = self.by.ravel()
        held = [np.flatnonzero(flat == column) for column in range(self.size)]
        most = max((len(own) for own in held), default=0)
        return np.stack([np.resize(own if len(own) else [0], most) for own in held])


@dataclass(frozen=True, eq=False)
class Slopes:
    """Derivatives of the shares at N crank angles.

    Attributes
    ----------
    pattern : Pattern
        By which unknowns.
    links : array, shape (N, 2, 6, links) [1/unit]
        Of each link, along and across.
    boxes : array, shape (1 or N, boxes) [1/mm]
        Of each box, by its shift.
    """

    pattern: Pattern
    links: Array
    boxes: Array

    def pick(self, rows: Index | Mask) -> Slopes:
        """Return some of the crank angles."""
        boxes = self.boxes if len(self.boxes) == 1 else self.boxes[rows]
        return Slopes(self.pattern, self.links[rows], boxes)

    @cached_property
    def scale(self) -> Array:
        """By how much a unit of each unknown, and of t, changes the shares, (N, size + 1)."""
        of = self.pattern
        most = np.abs(self.links).max(axis=1).reshape(len(self.links), -1)
        out = np.ones((len(most), of.size + 1))
        out[:, :-1] = most.take(of.holders, axis=1).max(axis=2)
        out[:, of.shifts] = np.maximum(out[:, of.shifts], self.boxes)
        return out

    def times(self, step: Array) -> Array:
        """Return how the shares change by a step, shape (N, size + 1): (N, shares, 2)."""
        of = self.pattern
        out = np.zeros((len(step), len(of.links) + len(of.boxes), 2))
        by = step.take(of.by, axis=1)
        out[:, of.links] = np.swapaxes((self.links * by[:, None]).sum(axis=2), 1, 2)
        out[:, of.boxes, 0] = self.boxes * step[:, of.shifts]
        return out

    def along(self, shares: Array) -> tuple[Array, Array]:
        """Return v . S of some shares v, (N, shares, 2): of links, (N, 6, links), and of boxes."""
        of = self.pattern
        own = np.moveaxis(shares.take(of.links, axis=1), 2, 1)[:, :, None]
        links = own[:, 0] * self.links[:, 0] + own[:, 1] * self.links[:, 1]
        return links, shares[:, of.boxes, 0] * self.boxes

    def sums(self, weights: Array, along: tuple[Array, Array]) -> Array:
        """Return ``sum of weight v . S``, (N, K, size + 1), with weights of shape (N, K, shares).

        `along`: v . S.
        """
        of = self.pattern
        count, sets = weights.shape[:2]
        terms = weights.take(of.links, axis=2)[:, :, None] * along[0][:, None]
        out = _added(terms.reshape(count * sets, -1), of.by.ravel(), of.size + 1)
        out = out.reshape(count, sets, -1)
        out[:, :, of.shifts] += weights.take(of.boxes, axis=2) * along[1][:, None]
        return out

    def squares(
        self, all_ways: Array, one_way: Array, along: tuple[Array, Array], bends: Array
    ) -> Array:
        """Return ``sum of S' (all_ways + one_way v v') S``, and what links bend by, added up.

        Shape (N, size + 1, size + 1), the weights (N, shares). `along`: v . S. `bends`, shape
        (N, 6, 6, links): second derivatives of the links, weighed.
        """
        of = self.pattern
        first, second = all_ways.take(of.links, axis=1), one_way.take(of.links, axis=1)
        own = self.links * first[:, None, None]
        terms = bends
        for k in (0, 1):
            terms += own[:, k, :, None] * self.links[:, k, None]
        terms += (along[0] * second[:, None])[:, :, None] * along[0][:, None]
        wide = of.size + 1
        out = _added(terms.reshape(len(terms), -1), of.cells, wide * wide)
        first, second = all_ways.take(of.boxes, axis=1), one_way.take(of.boxes, axis=1)
        out[:, of.shifts * (wide + 1)] += first * self.boxes**2 + second * along[1] ** 2
        return out.reshape(-1, wide, wide)

    @property
    def dense(self) -> Array:
        """The derivatives of all shares by all unknowns, shape (N, shares, 2, size)."""
        of, count = self.pattern, len(self.links)
        out = np.zeros((count, len(of.links) + len(of.boxes), 2, of.size + 1))
        rows = np.broadcast_to(of.links, of.by.shape)
        for axis in (0, 1):
            out[:, rows, axis, of.by] = self.links[:, axis]
        out[:, of.boxes, 0, of.shifts] = self.boxes
        return out[..., : of.size]


def _added(terms: Array, places: Index, wide: int) -> Array:
    """Return terms, shape (N, M), added up by the places they go to, shape (M,): (N, wide)."""
    count = len(terms)
    every = (np.arange(count, dtype=np.intp) * wide)[:, None] + places
    flat = np.bincount(every.ravel(), weights=terms.ravel(), minlength=count * wide)
    return np.asarray(flat.reshape(count, wide), dtype=np.float64)
