"""How fast two pieces can approach one another, from the enclosed speeds of their parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.outlines import PiecePair, circle_about, slopes
from linkage.kinematics import Enclosure
from linkage.kinematics.intervals import Interval, cos, sin
from linkage.mechanism import Piece, Point

_TOGETHER = 24 * 360  # intervals worked on together: they stay in cache


@dataclass(frozen=True)
class PartSpeeds:
    """Enclosures of all parts, shape (parts, N)."""

    x: Interval
    y: Interval
    cos: Interval
    sin: Interval
    vx: Interval
    vy: Interval
    turning: Interval

    def whole(self) -> PartSpeeds:
        """Return what encloses all of them that are known, shape (parts, 1)."""
        return PartSpeeds(*(_hull(getattr(self, field.name)) for field in fields(self)))


def _hull(box: Interval) -> Interval:
    low = np.fmin.reduce(box.low, axis=1, keepdims=True)
    return Interval(low, np.fmax.reduce(box.high, axis=1, keepdims=True))


def part_speeds(enclosure: Enclosure, names: Sequence[str]) -> PartSpeeds:
    """Stack the enclosures of some parts.

    Arrays of shape (parts, N).
    """

    def stacked(kind: str, index: int) -> Interval:
        values = [getattr(enclosure, kind)[name][index] for name in names]
        shape = enclosure.middle.shape
        return Interval(
            np.stack([np.broadcast_to(value.low, shape) for value in values]),
            np.stack([np.broadcast_to(value.high, shape) for value in values]),
        )

    turn = stacked("poses", 2)
    return PartSpeeds(
        stacked("poses", 0),
        stacked("poses", 1),
        cos(turn),
        sin(turn),
        stacked("speeds", 0),
        stacked("speeds", 1),
        stacked("speeds", 2),
    )


def approach_bounds(pairs: Sequence[PiecePair], speeds: PartSpeeds) -> Array:
    """Bound how fast the clearance of each pair can change over each interval.

    Returns
    -------
    array, shape (P, N) [mm/rad]
        No point of one piece's core moves faster than this as seen from the other.

    Notes
    -----
    Seen from piece a, the core of b moves by the speed of its middle and by its turning times its
    half-length; the clearance (`outlines`) cannot change faster. The same holds the other way
    round, and the smaller of the two is taken. A radius does not matter, but for the
    width of a sloping strip: a disc turning on the
    spot stays where it is.
    """
    if not pairs:
        return np.empty((0, speeds.x.low.shape[1]))
    together = max(1, _TOGETHER // speeds.x.low.shape[1])
    return np.concatenate(
        [
            _bounds(pairs[first : first + together], speeds)
            for first in range(0, len(pairs), together)
        ]
    )


def _bounds(pairs: Sequence[PiecePair], speeds: PartSpeeds) -> Array:
    rows = np.array([pair.parts for pair in pairs], dtype=np.intp)
    first = _seen_from(rows[:, 0], rows[:, 1], [pair.pieces[1] for pair in pairs], speeds)
    second = _seen_from(rows[:, 1], rows[:, 0], [pair.pieces[0] for pair in pairs], speeds)
    return np.minimum(first, second)


def approach_of_wholes(pairs: Sequence[PiecePair], speeds: PartSpeeds) -> Array:
    """Bound how fast either of two parts goes as seen from the other, over each interval.

    Of all the pieces together: no less than `approach_bounds` has of any, for they are all seen
    from the same one of the two.

    Parameters
    ----------
    pairs : sequence of PiecePair
        Pieces of two parts, either of them first.

    Returns
    -------
    array, shape (N,) [mm/rad]
    """
    rows = pairs[0].parts
    alike = [p.pieces if p.parts == rows else p.pieces[::-1] for p in pairs]
    a, b = (np.full(len(pairs), row) for row in rows)
    first = _seen_from(a, b, [pieces[1] for pieces in alike], speeds).max(axis=0)
    second = _seen_from(b, a, [pieces[0] for pieces in alike], speeds).max(axis=0)
    return np.asarray(np.minimum(first, second))


def place_speeds(
    rows: Sequence[tuple[int, int]], places: Sequence[Point], speeds: PartSpeeds
) -> Array:
    """Bound how fast places of parts go as seen from other parts, over each interval.

    Shape (P, N) [mm/rad].

    `rows`: the part it is seen from, and the one that the place is fixed in. `places` [mm].
    """
    base, rider = np.array(rows, dtype=np.intp).T
    return _seen_from(base, rider, [Piece((spot,), 0.0, (0.0,), 0.0) for spot in places], speeds)


def _seen_from(base: Index, rider: Index, pieces: list[Piece], speeds: PartSpeeds) -> Array:
    circles = np.array([circle_about(piece) for piece in pieces])
    wide = np.array([piece.radius if slopes(piece) else 0.0 for piece in pieces])
    px, py, lengths = circles[:, :1], circles[:, 1:2], np.hypot(circles[:, 2], wide)
    c, s = _take(speeds.cos, rider), _take(speeds.sin, rider)
    arm_x, arm_y = c * px - s * py, s * px + c * py
    far_x = _take(speeds.x, rider) - _take(speeds.x, base) + arm_x
    far_y = _take(speeds.y, rider) - _take(speeds.y, base) + arm_y
    w_rider, w_base = _take(speeds.turning, rider), _take(speeds.turning, base)
    vx = _take(speeds.vx, rider) - _take(speeds.vx, base) - w_rider * arm_y + w_base * far_y
    vy = _take(speeds.vy, rider) - _take(speeds.vy, base) + w_rider * arm_x - w_base * far_x
    turning = (w_rider - w_base).magnitude
    bound = np.hypot(vx.magnitude, vy.magnitude) + turning * lengths[:, None]
    return np.asarray(bound * (1 + 1e-12))


def _take(box: Interval, rows: Index) -> Interval:
    return Interval(box.low[rows], box.high[rows])
