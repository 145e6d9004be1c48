"""Where on a pair of parts the least clearance is, and how it is made up there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from linkage.arrays import Array
from linkage.clearance.outlines import (
    PairTable,
    PiecePair,
    Poses,
    out_at,
    slopes,
)
from linkage.clearance.pairs import PartPair
from linkage.clearance.sideways import State
from linkage.clearance.strips import PieceAndStrip, Strip, least_clearance_of
from linkage.clearance.whole import layers_of, whole_clearances, whole_depth
from linkage.geometry import clip_half_plane, core_gap, hull, least_of_convex
from linkage.kinematics import Course, solve_at
from linkage.mechanism import Part, Piece, Point
from linkage.riding import OnPin, weights_at

_ACROSS = 33  # places across a strip looked at for the spot
_ROUND = 24  # corners that stand for a round end when two overlaps are drawn


@dataclass(frozen=True)
class Along:
    """How far over a part is, where it is met, by the play along pins.

    Attributes
    ----------
    over : float [mm]
        Away from the frames.
    most_on : str
        The joint that gives most of it; empty where none gives any.
    """

    over: float = 0.0
    most_on: str = ""


@dataclass(frozen=True)
class Contact:
    """The place where two parts touch or come nearest.

    Attributes
    ----------
    parts : (str, str)
        Their names, in the order of `pieces`.
    pieces : (Piece, Piece)
        The pieces that meet.
    spot : (float, float) [mm]
        Middle of the place of contact, in the frame's axes.
    on_parts : ((float, float), (float, float)) [mm]
        The same spot in either part's own axes.
    side_view : float [mm]
        Gap seen from the side, negative where the outlines overlap: the shortest way apart.
    lateral : float [mm]
        Gap seen in plan, negative where they overlap.
    outer : int
        Which of the two is farther out from the frames at the spot, 0 or 1.
    state : tuple of (str, float) [mm]
        How far over wheelsets are for it, away from the frames; (axle, [mm]).
    centred : float [mm]
        The parts' clearance at the same crank angle with all wheelsets in their middle, and all
        parts on their pins.
    along : (Along, Along)
        How far over either part is there by the play along pins.
    """

    parts: tuple[str, str]
    pieces: tuple[Piece, Piece]
    spot: Point
    on_parts: tuple[Point, Point]
    side_view: float
    lateral: float
    outer: int
    state: State = ()
    centred: float = math.nan
    along: tuple[Along, Along] = (Along(), Along())


def find_contact(course: Course, pair: PartPair, crank: float) -> Contact:
    """Find where two parts come nearest at one crank angle.

    The nearest pieces, and the spot.

    Parameters
    ----------
    crank : float [rad]
        Crank angle.

    Raises
    ------
    ValueError
        Where the mechanism has no position at that angle.
    """
    motion = solve_at(course, [crank])
    names = [part.name for part in course.mechanism.parts]
    table = np.stack([motion.poses[name] for name in names])
    if not np.isfinite(table).all():
        raise ValueError("the mechanism has no position there")
    values = _clearances(pair.pieces, table)
    chosen = pair.pieces[int(np.argmin(values))]
    poses = [table[row, 0] for row in chosen.parts]
    cores = [
        [np.array(_placed(pose, corner)) for corner in piece.corners]
        for pose, piece in zip(poses, chosen.pieces, strict=True)
    ]
    spot = _spot(chosen, cores)
    on_parts = tuple(_own(pose, spot) for pose in poses)
    outs = [out_at(piece, own) for piece, own in zip(chosen.pieces, on_parts, strict=True)]
    half = 0.5 * sum(piece.thickness for piece in chosen.pieces)
    side = _side_gap(chosen.pieces, cores)
    if side < 0:  # as far as the whole outlines must be shifted, not these pieces alone
        side = min(side, -whole_depth(pair.pieces, chosen, Poses.of(table), 0))
    return Contact(
        tuple(names[row] for row in chosen.parts),  # type: ignore[arg-type]
        chosen.pieces,
        spot,
        on_parts,  # type: ignore[arg-type]
        side,
        abs(outs[1] - outs[0]) - half,
        0 if outs[0] > outs[1] else 1,
        chosen.state,
        _least(pair.centred or pair.pieces, table),
        tuple(
            _along(course.mechanism.part(names[row]), own, chosen.state)
            for row, own in zip(chosen.parts, on_parts, strict=True)
        ),  # type: ignore[arg-type]
    )


def _along(part: Part, place: Point, state: State) -> Along:
    """Return how far over a place of a part is by the play along pins."""
    weights = weights_at(part.rides, place)
    found = {o: weights.get(o, 0.0) * by for o, by in state if isinstance(o, OnPin)}
    if not any(found.values()):
        return Along()
    return Along(sum(found.values()), max(found, key=lambda pin: abs(found[pin])).joint)


def _clearances(pieces: Sequence[PiecePair], table: Array) -> Array:
    """Return the clearance of every pair of pieces at one position, poses (parts, 1, 3)."""
    count = len(pieces)
    at = np.zeros(count, dtype=np.intp)
    return PairTable(pieces).clearances(np.arange(count), at, Poses.of(table))


def _least(pieces: Sequence[PiecePair], table: Array) -> float:
    """Return the clearance of two parts at one position, of an overlap that of the wholes."""
    least = _clearances(pieces, table).min(keepdims=True)
    told = whole_clearances(layers_of(pieces), Poses.of(table), least) if least < 0 else least
    return float(told[0])


def _placed(pose: np.ndarray, corner: Point) -> Point:
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    return (
        float(pose[0] + cos * corner[0] - sin * corner[1]),
        float(pose[1] + sin * corner[0] + cos * corner[1]),
    )


def _own(pose: np.ndarray, spot: Point) -> Point:
    cos, sin = math.cos(pose[2]), math.sin(pose[2])
    dx, dy = spot[0] - pose[0], spot[1] - pose[1]
    return (float(cos * dx + sin * dy), float(-sin * dx + cos * dy))


def _spot(pair: PiecePair, cores: list[list[np.ndarray]]) -> Point:
    """Return the middle of the overlap, or of the shortest gap, as seen from the side."""
    if slopes(pair.pieces[1]):
        return _spot_on_slope(pair, cores)
    overlap = _round_outline(cores[0], pair.pieces[0].radius)
    other = _round_outline(cores[1], pair.pieces[1].radius)
    for a, b in zip(other, [*other[1:], other[0]], strict=True):
        normal = (-(b[1] - a[1]), b[0] - a[0])
        if len(overlap) > 2:
            limit = normal[0] * a[0] + normal[1] * a[1]
            overlap = clip_half_plane(overlap, normal, limit)
    if len(overlap) > 2:
        return (
            sum(p[0] for p in overlap) / len(overlap),
            sum(p[1] for p in overlap) / len(overlap),
        )
    return _middle_of_gap(cores, [piece.radius for piece in pair.pieces])


def _middle_of_gap(cores: list[list[np.ndarray]], radii: list[float]) -> Point:
    """Return the middle of the shortest line between two outlines that are apart."""
    best, spot = math.inf, (0.0, 0.0)
    for own, (these, others) in enumerate((cores, cores[::-1])):
        for p in these:
            for i in range(len(others)):
                foot = _foot(p, others[i], others[(i + 1) % len(others)])
                apart = float(np.hypot(*(p - foot)))
                if apart < best:
                    share = 0.5 + 0.5 * (radii[own] - radii[1 - own]) / apart if apart else 0.5
                    best, spot = apart, _between(p, foot, share)
    return spot


def _between(p: np.ndarray, q: np.ndarray, share: float) -> Point:
    return (float(p[0] + share * (q[0] - p[0])), float(p[1] + share * (q[1] - p[1])))


def _foot(p: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    length = float((b - a) @ (b - a))
    along = min(1.0, max(0.0, float((p - a) @ (b - a)) / length)) if length else 0.0
    return np.asarray(a + along * (b - a))


def _spot_on_slope(pair: PiecePair, cores: list[list[np.ndarray]]) -> Point:
    """Return the place on a strip where the clearance is least."""
    (other, sloping) = pair.pieces
    half = np.array([0.5 * (other.thickness + sloping.thickness)])
    strip, core = _strip(sloping, cores[1]), np.array(cores[0])[..., None]
    level, radius = np.array(other.out[:1]), np.array([other.radius])
    flat = PieceAndStrip(core, radius, level, strip, half)

    def curve(t: np.ndarray) -> np.ndarray:
        if not slopes(other):
            return np.maximum(*flat.views(t))
        line, level = strip.across(t), strip.height(t)
        one = _strip(other, cores[0])
        return least_clearance_of(PieceAndStrip(line, np.zeros(1), level, one, half))

    at, _ = least_of_convex(curve, (1,))
    ends = [end[:, 0] for end in strip.across(at)]
    if slopes(other):
        core = _strip(other, cores[0]).outline
    shares = np.linspace(0.0, 1.0, _ACROSS)
    spots = ends[0][:, None] + shares * (ends[1] - ends[0])[:, None]
    gaps = core_gap(np.repeat(core, _ACROSS, axis=2), [spots])
    deepest = np.flatnonzero(gaps <= max(float(gaps.min()) + 1e-9, 0.0))
    return _between(ends[0], ends[1], float(shares[deepest].mean()))


def _strip(piece: Piece, core: list[np.ndarray]) -> Strip:
    ends, out = np.array(core)[..., None], np.array(piece.out)[:, None]
    return Strip(ends, out, np.array([piece.radius]))


def _side_gap(pieces: tuple[Piece, Piece], cores: list[list[np.ndarray]]) -> float:
    """Return the gap of two pieces seen from the side, strips as strips."""
    outlines, radius = [], 0.0
    for piece, core in zip(pieces, cores, strict=True):
        if slopes(piece):
            outlines.append(list(_strip(piece, core).outline[..., 0]))
        else:
            outlines.append(core)
            radius += piece.radius
    return float(core_gap(outlines[0], outlines[1])) - radius


@lru_cache(maxsize=1024)
def outline_of(piece: Piece) -> tuple[Point, ...]:
    """Return a piece's outline as a polygon, counter-clockwise, in the part's own axes.

    Returns
    -------
    tuple of (float, float) [mm]
        Round ends as polygons of 24 corners inside the circle.
    """
    core = [np.array(corner) for corner in piece.corners]
    if slopes(piece):
        return tuple((float(x), float(y)) for x, y in _strip(piece, core).outline[..., 0])
    return tuple(_round_outline(core, piece.radius))


def _round_outline(core: list[np.ndarray], radius: float) -> list[Point]:
    if len(core) > 2 and radius == 0:
        return [(float(p[0]), float(p[1])) for p in core]
    turn = np.arange(_ROUND) * (2 * np.pi / _ROUND)
    ring = np.stack((np.cos(turn), np.sin(turn)), axis=1) * radius
    points = np.concatenate([corner + ring for corner in core])
    return hull(points)
