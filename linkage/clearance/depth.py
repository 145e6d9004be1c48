"""How far overlapping outlines of several pieces must be shifted before they are apart.

An outline that is not convex is several convex pieces. Two outlines A and B, seen from the side,
are apart when no piece of one meets one of the other. Shift B by t: piece b still meets a while t
is inside the set M of all a - b, points of either (a convex polygon, grown by both radii), so

    depth = least |t| that is inside none of the M = distance of 0 from what is outside their union

which is no less than the depth of any one pair, for the way out of one may lead into the next.
The nearest place outside a union of such sets, seen from within, is the foot on an edge or a round
corner of one of them, or where the outlines of two cross; each of these is looked at, the nearest
first, and the first that a step outwards leads out of all of them is the answer. Sets farther from
0 than that play no part.

A rod that is shifted into a notch is apart only if it fits; one that turns may fit of a sudden, so
the depth can jump where the parts turn, though never while they are only shifted. It is bounded
all the same: grown by how far the pieces go in an interval, the sets give a t that is outside all
of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.geometry import hull

_STEP = 1e-7  # how far outwards is looked whether a place is outside [mm]
_TOGETHER = 64  # places looked at in one go


@dataclass(frozen=True)
class Shifts:
    """The shifts at which two convex pieces meet: a polygon grown by a radius.

    Attributes
    ----------
    corners : array, shape (n, 2) [mm]
        Counter-clockwise; one or two where the pieces are points and bars in line.
    radius : float [mm]
        How far they stand out.
    """

    corners: Array
    radius: float

    @classmethod
    def of(cls, a: Array, b: Array, radius: float) -> Shifts:
        """Make from the corners of two cores, shape (n, 2) each, and the sum of their radii."""
        every = (a[:, None] - b[None]).reshape(-1, 2)
        return cls(np.array(hull(every)), radius)


def depth_of(sets: Sequence[Shifts]) -> float:
    """Return how far 0 is from what is outside all of some sets [mm]; 0 if it is outside itself."""
    out = _outside(sets, np.zeros((1, 2)))[:, 0]
    depth, count = -float(out.min()), 0  # that of the deepest alone
    if depth <= 0:
        return 0.0
    while True:
        near = np.flatnonzero(out < depth - _STEP if count else out < depth)
        if len(near) <= max(count, 1):  # fewer, where the depth is less than a step
            return depth  # of one set alone it is how far 0 is inside
        count = len(near)
        depth = _depth([sets[k] for k in near.tolist()])


def _depth(sets: Sequence[Shifts]) -> float:
    """Return the least of the places on the outlines that are outside all of the sets [mm]."""
    spots, ways = _places(sets)
    order = np.argsort((spots**2).sum(axis=1))
    for first in range(0, len(order), _TOGETHER):
        some = order[first : first + _TOGETHER]
        out = _outside(sets, spots[some] + _STEP * ways[some]).min(axis=0)
        free = np.flatnonzero(out >= 0)
        if len(free):
            return float(np.hypot(*spots[some[free[0]]]))
    raise AssertionError("what is bounded has an outside")


def _outside(sets: Sequence[Shifts], spots: Array) -> Array:
    """Return how far spots, shape (m, 2), are outside each set, less than 0 inside, (sets, m)."""
    found = np.empty((len(sets), len(spots)))
    alike: dict[int, list[int]] = {}  # by how many corners
    for number, one in enumerate(sets):
        alike.setdefault(len(one.corners), []).append(number)
    for count, some in alike.items():
        start = np.stack([sets[number].corners for number in some])[:, None]
        radius = np.array([sets[number].radius for number in some])[:, None]
        run = np.roll(start, -1, axis=2) - start
        away = spots[:, None] - start
        square = (run**2).sum(axis=3)
        along = (away * run).sum(axis=3) / np.where(square > 0, square, 1.0)
        off = away - np.clip(along, 0.0, 1.0)[..., None] * run
        apart = np.sqrt((off**2).sum(axis=3).min(axis=2))
        left = run[..., 0] * away[..., 1] - run[..., 1] * away[..., 0]
        within = (left >= 0).all(axis=2) & (count > 2)
        found[some] = np.where(within, -apart, apart) - radius
    return found


def _places(sets: Sequence[Shifts]) -> tuple[Array, Array]:
    """Return places on the outlines, and which way is outwards there, shape (m, 2) each."""
    lines, circles = _lines(sets), _circles(sets)
    every = (_feet(lines, circles), _two_lines(lines), _line_and_circle(lines, circles),
             _two_circles(circles))  # fmt: skip
    spots, ways = (np.concatenate([pair[k] for pair in every]) for k in (0, 1))
    size = np.sqrt((ways**2).sum(axis=1))
    good = np.isfinite(spots).all(axis=1) & (size > _STEP)
    return spots[good], ways[good] / size[good, None]


@dataclass(frozen=True)
class _Lines:
    """Edges: the ways outwards (n, 2), and how far out along them they are (n,)."""

    normal: Array
    level: Array


@dataclass(frozen=True)
class _Circles:
    """Round corners: middles (n, 2) and radii (n,)."""

    middle: Array
    radius: Array


def _lines(sets: Sequence[Shifts]) -> _Lines:
    normals, levels = [np.empty((0, 2))], [np.empty(0)]
    for one in sets:
        run = np.roll(one.corners, -1, axis=0) - one.corners
        length = np.hypot(run[:, 0], run[:, 1])
        some = length > 0
        normal = np.stack((run[some, 1], -run[some, 0]), axis=1) / length[some, None]
        normals.append(normal)
        levels.append((normal * one.corners[some]).sum(axis=1) + one.radius)
    return _Lines(np.concatenate(normals), np.concatenate(levels))


def _circles(sets: Sequence[Shifts]) -> _Circles:
    some = [one for one in sets if one.radius > 0]
    middles = [np.empty((0, 2)), *(one.corners for one in some)]
    radii = [np.empty(0), *(np.full(len(one.corners), one.radius) for one in some)]
    return _Circles(np.concatenate(middles), np.concatenate(radii))


def _feet(lines: _Lines, circles: _Circles) -> tuple[Array, Array]:
    """Return the places nearest to 0: on lines, and on circles on the side where 0 is."""
    apart = np.hypot(circles.middle[:, 0], circles.middle[:, 1])[:, None]
    ahead = np.array([1.0, 0.0])  # from the middle itself every way is as short
    way = np.where(apart > 0, -circles.middle / np.where(apart > 0, apart, 1.0), ahead)
    spots = circles.middle + circles.radius[:, None] * way
    return (
        np.concatenate((lines.level[:, None] * lines.normal, spots)),
        np.concatenate((lines.normal, way)),
    )


def _two_lines(lines: _Lines) -> tuple[Array, Array]:
    i, j = np.triu_indices(len(lines.level), 1)
    (ax, ay), (bx, by) = lines.normal[i].T, lines.normal[j].T
    turn = ax * by - ay * bx
    p, q, way = lines.level[i], lines.level[j], lines.normal[i] + lines.normal[j]
    some = turn != 0
    spots = np.stack((by * p - ay * q, ax * q - bx * p), axis=1)[some] / turn[some, None]
    return spots, way[some]


def _line_and_circle(lines: _Lines, circles: _Circles) -> tuple[Array, Array]:
    i, j = (rows.ravel() for rows in np.indices((len(lines.level), len(circles.radius))))
    normal, middle, radius = lines.normal[i], circles.middle[j], circles.radius[j]
    off = lines.level[i] - (normal * middle).sum(axis=1)
    return _both(normal, off, (middle, radius), lambda way: way + normal)


def _two_circles(circles: _Circles) -> tuple[Array, Array]:
    i, j = np.triu_indices(len(circles.radius), 1)
    run = circles.middle[j] - circles.middle[i]
    apart = np.hypot(run[:, 0], run[:, 1])
    some = apart > 0
    run, apart = run[some], apart[some]
    r, s = circles.radius[i[some]], circles.radius[j[some]]
    off = (apart**2 + r**2 - s**2) / (2 * apart)
    normal = run / apart[:, None]

    def outwards(way: Array) -> Array:
        other = r[:, None] * way - run
        return np.asarray(way + other / s[:, None])

    return _both(normal, off, (circles.middle[i[some]], r), outwards)


def _both(
    normal: Array, off: Array, circle: tuple[Array, Array], outwards: Callable[[Array], Array]
) -> tuple[Array, Array]:
    """Return both places of circles that are `off` their middles along a normal, and ways out.

    `outwards` takes the way out of the circle there.
    """
    middle, radius = circle
    some = np.abs(off) < radius
    across = np.sqrt(np.where(some, radius**2 - off**2, np.nan))[:, None]
    side = np.stack((-normal[:, 1], normal[:, 0]), axis=1)
    foot = off[:, None] * normal
    found = [foot + sign * across * side for sign in (1, -1)]
    ways = [outwards(spot / radius[:, None]) for spot in found]
    return np.concatenate([middle + spot for spot in found]), np.concatenate(ways)
