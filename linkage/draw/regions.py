"""The regions of a map of two numbers, on a grid fine enough to draw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from linkage.advice.map import SlackMap
from linkage.arrays import Array, Index, Mask
from linkage.mechanism import Point

FINE = 400
"""Parts that either side of the map is drawn in."""

_SMOOTH = 0.8  # steps of the map over which edges are evened out
_DEEP = 0.85  # of the greatest depth in a patch, where its letter may stand
_SMALLEST = 0.01  # share of the map below which a second patch of a region has no letter


@dataclass(frozen=True)
class Regions:
    """Where it is free, and where what stops it."""

    x: Array  # (F,) [mm or degrees] values of either number, even
    y: Array
    free: Array  # (F, F) by y, then x: above 0 where it is free, below where it is not; no length
    # (F, F) number of what stops it, as `SlackMap.stoppers` has them but for those after the last
    # that is told apart, which share its number; -1 where it is free
    kinds: Index

    def middles(self, number: int) -> list[tuple[Point, float]]:
        """Return a spot well within each patch of a region; within the largest only of tiny ones.

        `number`: the region's, from 0. The spots, and how far each is from what is not the region;
        none for a region too small to be drawn ([mm or degrees, share of the map's sides]).
        """
        patches, count = ndimage.label(self.kinds == number)
        sizes = np.bincount(patches.ravel(), minlength=count + 1)[1:]
        spots: list[tuple[Point, float]] = []
        for patch in np.argsort(-sizes, kind="stable").tolist():
            if spots and sizes[patch] < _SMALLEST * patches.size:
                break
            inside = np.pad(patches == patch + 1, 1)
            deep = ndimage.distance_transform_edt(inside)[1:-1, 1:-1]
            best = np.argwhere(deep >= _DEEP * deep.max())
            away = np.hypot(*(best - np.median(np.argwhere(patches == patch + 1), axis=0)).T)
            row, column = best[int(np.argmin(away))].tolist()
            spot = (float(self.x[column]), float(self.y[row]))
            spots.append((spot, float(deep[row, column]) / FINE))
        return spots


def regions_of(found: SlackMap, most: int) -> Regions:
    """Return the regions of a map.

    Their edges are evened out by less than a step; every pair looked at lies in its own.

    `most`: how many stops are told apart, the last of them being all that are left.
    """
    first, second = (axis.values for axis in found.axes)
    x, y = (np.linspace(values[0], values[-1], FINE + 1) for values in (first, second))
    across, up = _between(first, x), _between(second, y)
    free = up @ _evened(_near_zero(found.slack)).T @ across.T
    number = {what: min(n, most - 1) for n, what in enumerate(found.stoppers)}
    kinds = np.array([[number[s.what] if s.slack < 0 else -1 for s in row]
                      for row in found.stops], dtype=np.intp)  # fmt: skip
    if not number:
        return Regions(x, y, free, np.full(free.shape, -1, dtype=np.intp))
    # the edge runs between what is free and what is not: beyond it, the nearest stop
    near = ndimage.distance_transform_edt(kinds < 0, return_distances=False, return_indices=True)
    filled = kinds[tuple(near)]
    shares = [up @ _evened(np.where(filled == n, 1.0, -1.0)).T @ across.T
              for n in range(1 + max(number.values()))]  # fmt: skip
    return Regions(x, y, free, np.where(free < 0, np.argmax(shares, axis=0), -1))


def _between(values: Array, fine: Array) -> Array:
    """Return the weights that make values at a fine grid of those at a coarse one."""
    weights: Array = np.array([np.interp(fine, values, one) for one in np.eye(len(values))]).T
    return weights


def _near_zero(slack: Array) -> Array:
    """Keep the slack near 0, so that the edge lies fairly between two pairs whatever their stops.

    Slack of different stops has different units. Near is what half of the pairs along the edge
    are within.
    """
    free: Mask = slack >= 0
    along = ndimage.binary_dilation(free) & ndimage.binary_dilation(~free)
    near = float(np.median(np.abs(slack[along]))) if along.any() else 1.0
    least = 0.1 * near  # a pair hardly on one side must not fall to the other by rounding
    clipped = np.clip(np.abs(slack), least, max(near, 1e-6))
    return np.where(free, clipped, -clipped)


def _evened(values: Array) -> Array:
    """Even out values over the map, but where that would change their sign."""
    even = ndimage.gaussian_filter(values, _SMOOTH, mode="nearest")
    return np.where((even >= 0) == (values >= 0), even, values)
