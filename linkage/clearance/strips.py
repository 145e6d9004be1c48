"""The clearance of sloping bars: strips that run in and out along their length, level across.

Of every place along a strip there is a line across it and a lateral place. For two pieces the
*difference* z of their lateral places says what of them to look at::

     plan   _____----- strip         a flat piece: the one line across the strip that is z off it
       z |                           a strip: all pairs of lines, one across either, that are z
     ----------------- piece         apart, from the pair at one end of either to that at another

With f(z) the gap in side view of what is to be looked at, and g = |z| - H that in plan, both
convex, the clearance is the least of max(f, g). It lies where g is least, if f is no greater there;
where f is least, if g is no greater there; or between the two, where they are equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from linkage.arrays import Array, Index
from linkage.geometry import core_gap, least_of_greatest, length_of, separations

_EQUAL_STEPS = 40
_EQUAL = 1e-9  # gaps in side view and in plan no farther apart than this are equal [mm]


@dataclass(frozen=True)
class Strip:
    """Sloping bars in place: the line along each, its lateral places, half its width.

    Attributes
    ----------
    ends : array, shape (2, 2, M) [mm]
        Ends of the centre line: which end, then x and y.
    out : array, shape (2, M) [mm]
        Lateral place at either end.
    width : array, shape (M,) [mm]
        Half the width.
    """

    ends: Array
    out: Array
    width: Array

    def pick(self, rows: Index) -> Strip:
        """Return some of them."""
        return Strip(self.ends[..., rows], self.out[:, rows], self.width[rows])

    @cached_property
    def run(self) -> Array:
        """The way from the first end to the last, shape (2, M) [mm]."""
        return np.asarray(self.ends[1] - self.ends[0])

    @cached_property
    def side(self) -> Array:
        """The way from the centre line to the left edge, shape (2, M) [mm]."""
        return np.asarray(np.stack((-self.run[1], self.run[0])) * (self.width / self.length))

    def middle(self, t: Array) -> Array:
        """Return the place on the centre line at a share t of the length, shape (2, M) [mm]."""
        return np.asarray(self.ends[0] + t * self.run)

    def across(self, t: Array) -> Array:
        """Return the two ends of the line across the strip at a share t of its length.

        Shape (2, 2, M) [mm].
        """
        middle = self.middle(t)
        return np.stack((middle - self.side, middle + self.side))

    @cached_property
    def outline(self) -> Array:
        """The four corners, counter-clockwise, shape (4, 2, M) [mm]."""
        side, (first, last) = self.side, self.ends
        return np.stack((first - side, last - side, last + side, first + side))

    def height(self, t: Array) -> Array:
        """Return the lateral place at a share t of the length."""
        return np.asarray(self.out[0] + t * self.rise)

    @cached_property
    def rise(self) -> Array:
        """How much farther out the last end is than the first, never 0, shape (M,) [mm]."""
        return np.asarray(self.out[1] - self.out[0])

    def abreast(self, spot: Array) -> Array:
        """Return the share of the length nearest to a spot."""
        share = ((spot - self.ends[0]) * self.run).sum(axis=0) / (self.run**2).sum(axis=0)
        return np.asarray(np.clip(share, 0, 1))

    def seen_from(self, spots: Array) -> tuple[Array, Array]:
        """Return how far along each strip spots are from its first end, and how far to its left.

        `spots` [mm]: shape (spots, 2, M). Shape (spots, M) each [mm].
        """
        ux, uy = self.run / self.length
        x, y = np.swapaxes(spots - self.ends[0], 0, 1)
        return ux * x + uy * y, ux * y - uy * x

    def distance(self, spots: Array) -> Array:
        """Return how far spots, shape (spots, 2, M), are outside each strip, (spots, M) [mm]."""
        along, aside = self.seen_from(spots)
        beyond = np.maximum(np.maximum(-along, along - self.length), 0.0)
        return length_of(beyond, np.maximum(np.abs(aside) - self.width, 0.0))

    @cached_property
    def length(self) -> Array:
        """From end to end in side view, shape (M,) [mm]."""
        return length_of(*self.run)


class Pairing(Protocol):
    """What of two pieces is looked at, by a share of the way from the least z to the greatest."""

    def pick(self, rows: Index) -> Pairing:
        """Return some of them."""
        ...

    def gap(self) -> Array:
        """Return the gap in side view of the whole outlines, shape (M,) [mm]."""
        ...

    def flattest(self) -> Array:
        """Return where the gap in plan is least, shape (M,) [1]."""
        ...

    def views(self, share: Array) -> tuple[Array, Array]:
        """Return the gap in side view and the gap in plan, shape (M,) each [mm]."""
        ...

    def nearest(self) -> tuple[Array, Array]:
        """Return where the gap in side view is least, and how much, shape (M,) each [1, mm]."""
        ...


def least_clearance_of(pairing: Pairing) -> Array:
    """Return the clearance of pairs of pieces of which one or both slope, shape (M,) [mm].

    Nan where a part has no position.
    """
    flattest = pairing.flattest()
    f, g = pairing.views(flattest)
    least = np.where(f <= g, g, np.nan)
    rest = np.flatnonzero(f > g)
    if not len(rest):
        return least
    some, flattest = pairing.pick(rest), flattest[rest]
    place, side = some.nearest()
    found = np.maximum(side, some.views(place)[1])
    crossed = np.flatnonzero(side < found)
    if len(crossed):
        found[crossed] = _where_equal(some.pick(crossed), place[crossed], flattest[crossed])
    least[rest] = found
    return least


def _where_equal(some: Pairing, low: Array, flat: Array) -> Array:
    """Return the value where two views are equal, the first less at one end, more at the flattest.

    Towards the flattest place the gap in plan falls and the gap in side view grows, so there is
    one such place (T. Chandrupatla, *Advances in Engineering Software* 28 (1997) 145-149: a
    parabola through three places where it can be trusted, else a halving).
    """
    a, b = flat, low  # the last place, and one with the other sign; c, the one before
    at_a, at_b = (np.subtract(*some.views(end)) for end in (a, b))
    share, found, rows = np.full(low.shape, 0.5), np.empty_like(low), np.arange(len(low))
    for step in range(_EQUAL_STEPS + 1):
        place = a + share * (b - a)
        side, plan = some.views(place)
        value = side - plan
        done = (np.abs(value) < _EQUAL) | (step == _EQUAL_STEPS)
        found[rows[done]] = np.maximum(side, plan)[done]
        if done.all():
            break
        if done.any():
            left = np.flatnonzero(~done)
            rows, some = rows[left], some.pick(left)
            a, b, at_a, at_b, place, value = (x[left] for x in (a, b, at_a, at_b, place, value))
        same = (value < 0) == (at_a < 0)
        c, at_c = np.where(same, a, b), np.where(same, at_a, at_b)
        b, at_b = np.where(same, b, a), np.where(same, at_b, at_a)
        a, at_a = place, value
        share = _step((a, b, c), (at_a, at_b, at_c))
    return found


def _step(places: tuple[Array, Array, Array], values: tuple[Array, Array, Array]) -> Array:
    """Return how far from the first place to the second to look next (Chandrupatla)."""
    (a, b, c), (at_a, at_b, at_c) = places, values
    with np.errstate(divide="ignore", invalid="ignore"):
        along, up = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
        straight = at_a / (at_b - at_a) * at_c / (at_b - at_c)
        bent = (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        share = straight + bent
    trusted = (up**2 < along) & ((1 - up) ** 2 < 1 - along) & np.isfinite(share)
    return np.where(trusted, share, 0.5)


@dataclass(frozen=True)
class PieceAndStrip:
    """Flat pieces and strips; the share is that of the strip's length.

    Attributes
    ----------
    core : array, shape (corners, 2, M) [mm]
        Corners of the pieces in place.
    radius, level : array, shape (M,) [mm]
        How far they stand out from their cores, and their lateral places.
    strip : Strip
        The strips.
    half : array, shape (M,) [mm]
        Half the sum of the thicknesses.
    """

    core: Array
    radius: Array
    level: Array
    strip: Strip
    half: Array

    def pick(self, rows: Index) -> PieceAndStrip:
        """Return some of them."""
        core = self.core[..., rows]
        radius, level, half = self.radius[rows], self.level[rows], self.half[rows]
        return PieceAndStrip(core, radius, level, self.strip.pick(rows), half)

    def gap(self) -> Array:
        """Return the gap in side view of the whole outlines, shape (M,) [mm]."""
        return core_gap(self.core, self.strip.outline) - self.radius

    def flattest(self) -> Array:
        """Return where the strip is nearest to the level of the piece, shape (M,) [1]."""
        return np.asarray(np.clip((self.level - self.strip.out[0]) / self.strip.rise, 0.0, 1.0))

    def views(self, share: Array) -> tuple[Array, Array]:
        """Return the gap in side view and the gap in plan, shape (M,) each [mm]."""
        side = core_gap(self.core, self.strip.across(share)) - self.radius
        return side, np.abs(self.strip.height(share) - self.level) - self.half

    def nearest(self) -> tuple[Array, Array]:
        """Return where the gap in side view is least: if above 0, at a corner of either."""
        ends = (np.zeros_like(self.level), np.ones_like(self.level))
        nearest = np.argmin(self.strip.distance(self.core), axis=0)
        corner = self.core[nearest, :, np.arange(len(nearest))].T
        best, place = np.full(self.level.shape, np.inf), ends[0]
        for share in (*ends, self.strip.abreast(corner)):
            side = core_gap(self.core, self.strip.across(share))
            place, best = np.where(side < best, share, place), np.minimum(side, best)
        if len(self.core) > 1:
            rows = np.flatnonzero(core_gap(self.core, self.strip.outline) < 0)
            some = self.pick(rows)
            lines = [separations(some.core, some.strip.across(end[rows])) for end in ends]
            place[rows], best[rows] = least_of_greatest(*lines)
        return place, best - self.radius
