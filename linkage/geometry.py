"""Planar geometry on arrays: gaps between convex outlines, and what is left of one cut off.

An outline here is a *core* of corners (one: a point, two: a segment, three or more: a convex
polygon, counter-clockwise) grown by a radius.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from linkage.arrays import Array

Point = tuple[float, float]
Core = Array | Sequence[Array]
"""Corners of convex cores, shape (corners, 2, ...) [mm]."""

_GOLDEN = (np.sqrt(5) - 1) / 2
_GOLDEN_STEPS = 40  # leave 5e-9 of the bracket
_NO_LENGTH = 1e-300  # what is shorter has no direction [mm, mm2]


def length_of(x: Array, y: Array) -> Array:
    """Return how long vectors are; of mm nothing overflows, and hypot takes three times as long."""
    return np.sqrt(x * x + y * y)


def point_segment_distance(p: Array, a: Array, b: Array) -> Array:
    """Return the distance of points from segments.

    Parameters
    ----------
    p, a, b : array, shape (2, ...) [mm]
        Point, and ends of the segment (they may coincide); x and y first, for speed.

    Returns
    -------
    array, shape (...) [mm]
        Distance, 0 or more.
    """
    return np.sqrt(_square_from_segment(p, a, b))


def _square_from_segment(p: Array, a: Array, b: Array) -> Array:
    """Return the squares; of many the root is then taken of the least alone."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    wx, wy = p[0] - a[0], p[1] - a[1]
    along = (wx * ux + wy * uy) / np.maximum(ux * ux + uy * uy, _NO_LENGTH)
    along = np.minimum(np.maximum(along, 0.0), 1.0)
    dx, dy = wx - along * ux, wy - along * uy
    return np.asarray(dx * dx + dy * dy)


def core_gap(a: Core, b: Core) -> Array:
    """Return the signed gap between two convex cores.

    Parameters
    ----------
    a, b : array or sequence of arrays, shape (corners, 2, ...) [mm]
        Corners of either.

    Returns
    -------
    array, shape (...) [mm]
        Distance where they are apart; where they overlap, less the shortest way to part them.

    Notes
    -----
    Convex sets apart are nearest at a corner of one of them. Where they overlap, the shortest way
    apart is square to an edge of one of them (the edges of the Minkowski difference).
    """
    p, q = _corners(a), _corners(b)
    if len(a) == 1 and len(b) == 1:
        return _distance(p, q)
    parted = np.maximum.reduce(_separations(p, q))
    if (parted < 0).all():  # often, of few: rods that lie over one another
        return np.asarray(parted)
    return np.where(parted < 0, parted, _distance(p, q))


def core_distance(a: Core, b: Core) -> Array:
    """Return the distance of two convex cores that do not overlap; as for `core_gap`."""
    return _distance(_corners(a), _corners(b))


def _corners(core: Core) -> Array:
    """Return the corners of a core as one array, shape (2, corners, ...)."""
    return np.asarray(np.swapaxes(np.asarray(core), 0, 1))


def _distance(p: Array, q: Array) -> Array:
    return np.sqrt(np.minimum(_square_from_edges(p, q), _square_from_edges(q, p)))


def separations(a: Core, b: Core) -> Array:
    """Return how far each edge of two convex cores, not both points, parts them.

    The greatest of these is their gap, where that is negative; each is a linear function of how
    far one core has been shifted.

    Parameters
    ----------
    a, b : array or sequence of arrays, shape (corners, 2, ...) [mm]
        Corners of either.

    Returns
    -------
    array, shape (L, ...) [mm]
        How far the nearest corner of one is outside each edge of the other, and beyond the ends
        of a segment.
    """
    return _separations(_corners(a), _corners(b))


def _separations(p: Array, q: Array) -> Array:
    return np.concatenate((_edge_separations(p, q), _edge_separations(q, p)))


def _square_from_edges(corners: Array, other: Array) -> Array:
    """Return the square of the least distance of corners from edges, shapes (2, corners, ...)."""
    start, end = (other, _next(other)) if other.shape[1] > 2 else (other[:, :1], other[:, -1:])
    every = _square_from_segment(corners[:, None], start[:, :, None], end[:, :, None])
    return np.asarray(np.minimum.reduce(np.minimum.reduce(every)))


def _next(core: Array) -> Array:
    """Return for each corner the next one round."""
    return np.concatenate((core[:, 1:], core[:, :1]), axis=1)


def _edge_separations(a: Array, b: Array) -> Array:
    """Return how far the nearest corner of b is outside each edge of a, shape (edges, ...)."""
    if a.shape[1] == 1:
        return np.empty((0, *a.shape[2:]))
    if a.shape[1] == 2:
        return _segment_separations(a, b)
    run = _next(a) - a
    ux, uy = (run / np.maximum(length_of(run[0], run[1]), _NO_LENGTH))[:, :, None]
    outside = uy * (b[0] - a[0][:, None]) - ux * (b[1] - a[1][:, None])
    return np.asarray(np.minimum.reduce(outside, axis=1))


def _segment_separations(a: Array, b: Array) -> Array:
    """Return the same of segments, whose two edges are one line.

    A segment has ends as well: without them, what lies in line beyond would not be apart.
    """
    run = a[:, 1] - a[:, 0]
    length = length_of(run[0], run[1])
    ux, uy = run / np.maximum(length, _NO_LENGTH)
    x, y = b[0] - a[0, 0], b[1] - a[1, 0]
    right, along = uy * x - ux * y, ux * x + uy * y
    return np.stack(
        (
            np.minimum.reduce(right),
            -np.maximum.reduce(right),
            np.minimum.reduce(along) - length,
            -np.maximum.reduce(along),
        )
    )


def least_of_greatest(first: Array, last: Array) -> tuple[Array, Array]:
    """Return where on 0..1 the greatest of several linear functions is least.

    That is at an end, or where two of them are equal.

    Parameters
    ----------
    first, last : array, shape (L, M) [mm]
        Their values at 0 and at 1.

    Returns
    -------
    at, least : array, shape (M,) [1; mm]
        Place and value.
    """
    rise, every = last - first, np.arange(first.shape[1])
    falls, climbs = np.argmax(first, axis=0), np.argmax(last, axis=0)
    at_start = ~(rise[falls, every] < 0)
    at = np.where(at_start, 0.0, 1.0)
    least = np.where(at_start, first[falls, every], last[climbs, every])
    left = np.flatnonzero(~at_start & (rise[climbs, every] > 0))
    # from the two on top at the ends to those at the bottom: where they cross, a third may be above
    for _ in range(len(first)):
        if not len(left):
            break
        a, b = falls[left], climbs[left]
        at[left] = (first[a, left] - first[b, left]) / (rise[b, left] - rise[a, left])
        greatest = first[:, left] + at[left] * rise[:, left]
        top = np.argmax(greatest, axis=0)
        least[left] = greatest[top, np.arange(len(left))]
        slope = rise[top, left]
        falls[left[slope < 0]], climbs[left[slope > 0]] = top[slope < 0], top[slope > 0]
        left = left[(top != a) & (top != b) & (slope != 0)]
    return at, least


def least_of_convex(curve: Callable[[Array], Array], shape: tuple[int, ...]) -> tuple[Array, Array]:
    """Return where convex functions on 0..1 are least, by golden sections, all at once.

    Parameters
    ----------
    curve : callable
        Takes parameters of the given shape, returns values of the same shape.
    shape : tuple of int
        Shape of the batch.

    Returns
    -------
    at, least : array, of that shape [1; as the curve]
        Parameter (to 5e-9, ends included) and value.
    """
    low, high = np.zeros(shape), np.ones(shape)
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = curve(left), curve(right)
    for _ in range(_GOLDEN_STEPS):
        go_left = at_left <= at_right
        low, high = np.where(go_left, low, left), np.where(go_left, right, high)
        new = np.where(go_left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        value = curve(new)
        left, right = np.where(go_left, new, right), np.where(go_left, left, new)
        at_left, at_right = np.where(go_left, value, at_right), np.where(go_left, at_left, value)
    at, least = np.where(at_left <= at_right, left, right), np.minimum(at_left, at_right)
    for end in (np.zeros(shape), np.ones(shape)):
        value = curve(end)
        at, least = np.where(value < least, end, at), np.minimum(value, least)
    return at, least


def clip_half_plane(corners: Sequence[Point], normal: Point, limit: float) -> list[Point]:
    """Return the part of a convex core where ``normal . p >= limit`` (Sutherland and Hodgman).

    The corners left; empty where nothing is.

    Parameters
    ----------
    corners : sequence of (float, float) [mm]
        One, two or more corners.
    limit : float [mm]
        Where the cut is.
    """

    def height(p: Point) -> float:
        return normal[0] * p[0] + normal[1] * p[1] - limit

    n = len(corners)
    if n == 1:
        return list(corners) if height(corners[0]) >= 0 else []
    kept: list[Point] = []
    for i in range(n if n > 2 else 1):
        a, b = corners[i], corners[(i + 1) % n]
        ha, hb = height(a), height(b)
        if ha >= 0:
            kept.append(a)
        if ha * hb < 0:
            part = ha / (ha - hb)
            kept.append((a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])))
        if n == 2 and hb >= 0:
            kept.append(b)
    return kept


def hull(points: Array) -> list[Point]:
    """Return the convex hull, counter-clockwise (Andrew's monotone chain).

    Parameters
    ----------
    points : array, shape (N, 2) [mm]
        Any points.
    """
    spots = sorted({(float(x), float(y)) for x, y in points})

    def half(order: list[Point]) -> list[Point]:
        chain: list[Point] = []
        for p in order:
            while (
                len(chain) >= 2
                and (
                    (chain[-1][0] - chain[-2][0]) * (p[1] - chain[-2][1])
                    - (chain[-1][1] - chain[-2][1]) * (p[0] - chain[-2][0])
                )
                <= 0
            ):
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return half(spots) + half(spots[::-1]) if len(spots) > 1 else spots
