"""Which parts are compared with which, and what of them lies beyond the joint they share."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from linkage.clearance.outlines import PiecePair, out_at, slopes
from linkage.clearance.sideways import Sideways, shifted_pairs, states_of
from linkage.geometry import Point, clip_half_plane
from linkage.mechanism import Joint, Mechanism, Part, Piece, Place, Slide


@dataclass(frozen=True)
class PartPair:
    """Two parts to compare.

    Attributes
    ----------
    parts : (str, str)
        Their names, in the order of the mechanism.
    asked : float [mm]
        The clearance asked for: what the sheet wants, but of two parts on one pin no more than
        their faces have at the pin itself.
    pieces : tuple of PiecePair
        The pieces that could come near, each with the wheelsets wherever that is worst.
    centred : tuple of PiecePair
        The pieces with all wheelsets in their middle.
    """

    parts: tuple[str, str]
    asked: float
    pieces: tuple[PiecePair, ...]
    centred: tuple[PiecePair, ...] = ()


def pair_parts(
    mechanism: Mechanism,
    wanted: float,
    reach: float,
    only: frozenset[str] | None = None,
    moved: frozenset[str] | None = None,
) -> tuple[PartPair, ...]:
    """List the pairs of parts that could meet.

    Every pair with pieces to compare, in the order of the parts.

    Parameters
    ----------
    mechanism : Mechanism
        Parts, joints, and pairs that run in one another.
    wanted : float [mm]
        Clearance wanted.
    reach : float [mm]
        Pieces always farther apart than this laterally are left out.
    only : frozenset of str, optional
        Two parts: list no other pair.
    moved : frozenset of str, optional
        Parts of which one or both must be in a pair.

    Notes
    -----
    Parts that slide on one another are not compared: their travel is looked at instead. Parts
    joined by a pin or slot are compared beyond the joint: what lies within both their eyes is
    taken out of either. They lie face to face there on purpose. A plate that takes the other part
    in its own layer at the joint (a crosshead about the little end) is not compared with it at all.
    """
    sideways = states_of(mechanism)
    found = []
    for a, b in combinations(range(len(mechanism.parts)), 2):
        names = frozenset((mechanism.parts[a].name, mechanism.parts[b].name))
        if only in (None, names) and (moved is None or moved & names):
            found.append(pair_of(mechanism, (a, b), wanted, reach, sideways))
    return tuple(pair for pair in found if pair is not None)


def pair_of(
    mechanism: Mechanism, rows: tuple[int, int], wanted: float, reach: float, sideways: Sideways
) -> PartPair | None:
    """Return what of two parts could meet.

    None where nothing of them could.

    Parameters
    ----------
    mechanism : Mechanism
        Parts, joints, and pairs that run in one another.
    wanted, reach : float [mm]
        As for `pair_parts`.
    """
    pieces, centred = pieces_of(mechanism, rows, reach, sideways)
    if not pieces:
        return None
    a, b = (mechanism.parts[row].name for row in rows)
    asked = min(wanted, air_at_joints(mechanism, (a, b)))
    return PartPair((a, b), asked, pieces, centred)


def pieces_of(
    mechanism: Mechanism, rows: tuple[int, int], reach: float, sideways: Sideways
) -> tuple[tuple[PiecePair, ...], tuple[PiecePair, ...]]:
    """Return the pieces of two parts that could come near, and all with wheelsets in the middle.

    As `PartPair` has them; none of either where nothing of the parts could meet.
    """
    a, b = (mechanism.parts[row] for row in rows)
    joints = [j for j in mechanism.joints if {j.a.part, j.b.part} == {a.name, b.name}]
    if (a.fixed and b.fixed) or any(isinstance(joint, Slide) for joint in joints):
        return (), ()
    spans = span_of(a, sideways), span_of(b, sideways)
    if apart(*spans, reach):
        return (), ()
    far = reach + spans[0].over + spans[1].over
    left_a, left_b = list(a.pieces), list(b.pieces)
    for joint in joints:
        around = _eye(a, _on(joint, a.name)) + _eye(b, _on(joint, b.name))
        forks = _forks(joint, a, b)
        left_a = _beyond([p for p in left_a if p not in forks], _on(joint, a.name), around)
        left_b = _beyond([p for p in left_b if p not in forks], _on(joint, b.name), around)
    runs = any({a.name, b.name} == {name for name, _ in two} for two in mechanism.apart)
    centred = [
        pair
        for pair in _piece_pairs(rows, left_a, left_b)
        if not (runs and _run_together(mechanism, pair))
    ]
    near = [pair for pair in centred if pair.lateral < far]
    if joints:  # their own faces, on the pin that joins them, keep them from one another
        sideways = sideways.of_wheelsets
    shifted = [s for pair in near for s in shifted_pairs((a, b), pair, sideways)]
    return tuple(pair for pair in shifted if pair.lateral < reach), tuple(centred)


@dataclass(frozen=True)
class Span:
    """How far out the pieces of a part are, and how far over wheelsets can take it [mm]."""

    low: float
    high: float
    over: float


def span_of(part: Part, sideways: Sideways) -> Span:
    """Return how far out a part reaches; of one without pieces, nowhere."""
    low = (min(piece.out) - 0.5 * piece.thickness for piece in part.pieces)
    high = (max(piece.out) + 0.5 * piece.thickness for piece in part.pieces)
    return Span(min(low, default=math.inf), max(high, default=-math.inf), sideways.farthest(part))


def apart(one: Span, other: Span, reach: float) -> bool:
    """Tell whether two parts are farther apart laterally than is looked at, wherever they are."""
    return max(one.low - other.high, other.low - one.high) >= reach + one.over + other.over


def air_at_joints(mechanism: Mechanism, names: tuple[str, str]) -> float:
    """Return the least lateral gap of two parts' faces at the joints they share [mm].

    Infinite where they share none.
    """
    a, b = (mechanism.part(name) for name in names)
    shared = (j for j in mechanism.joints if {j.a.part, j.b.part} == {a.name, b.name})
    return min((_air_at_joint(joint, a, b) for joint in shared), default=math.inf)


def _run_together(mechanism: Mechanism, pair: PiecePair) -> bool:
    """Tell whether two pieces are said to run in one another."""
    names = [
        ((mechanism.parts[row].name, None), (mechanism.parts[row].name, piece.sort))
        for row, piece in zip(pair.parts, pair.pieces, strict=True)
    ]
    return any(frozenset((p, q)) in mechanism.apart for p in names[0] for q in names[1])


def _on(joint: Joint, part: str) -> Place:
    return joint.a if joint.a.part == part else joint.b


def _piece_pairs(rows: tuple[int, int], a: list[Piece], b: list[Piece]) -> Iterator[PiecePair]:
    for p in a:
        for q in b:
            # plates first, sloping bars last, so that few forms of pair remain
            swap = (slopes(p), -len(p.corners)) > (slopes(q), -len(q.corners))
            if swap:
                yield PiecePair((rows[1], rows[0]), (q, p))
            else:
                yield PiecePair(rows, (p, q))


def _covers(piece: Piece, place: Place) -> bool:
    """Tell whether a place lies within a piece, as seen from the side."""
    return _core_distance(piece, (place.x, place.y)) <= piece.radius + 1e-9


def _core_distance(piece: Piece, spot: Point) -> float:
    corners = piece.corners
    if len(corners) == 2:
        return _segment_distance(spot, *corners)
    if len(corners) > 2 and clip_signs(corners, spot):
        return 0.0
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    return min(_segment_distance(spot, a, b) for a, b in sides)


def clip_signs(corners: tuple[Point, ...], spot: Point) -> bool:
    """Tell whether a spot lies inside a counter-clockwise convex polygon."""
    return all(
        (b[0] - a[0]) * (spot[1] - a[1]) - (b[1] - a[1]) * (spot[0] - a[0]) >= 0
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    )


def _segment_distance(p: Point, a: Point, b: Point) -> float:
    ux, uy = b[0] - a[0], b[1] - a[1]
    length = ux * ux + uy * uy
    along = ((p[0] - a[0]) * ux + (p[1] - a[1]) * uy) / length if length else 0.0
    along = min(1.0, max(0.0, along))
    return math.hypot(p[0] - a[0] - along * ux, p[1] - a[1] - along * uy)


def _eye(part: Part, place: Place) -> float:
    """Return the radius of what surrounds a joint's place on a part [mm]."""
    around = [piece.radius for piece in part.pieces if _covers(piece, place)]
    return max(around, default=0.0)


def _air_at_joint(joint: Joint, a: Part, b: Part) -> float:
    """Return the lateral gap between the faces that lie on one another at a joint [mm]."""
    on_a = [piece for piece in a.pieces if _covers(piece, _on(joint, a.name))]
    on_b = [piece for piece in b.pieces if _covers(piece, _on(joint, b.name))]
    at_a, at_b = _on(joint, a.name), _on(joint, b.name)
    gaps = [
        abs(out_at(p, (at_a.x, at_a.y)) - out_at(q, (at_b.x, at_b.y)))
        - 0.5 * (p.thickness + q.thickness)
        for p in on_a
        for q in on_b
    ]
    return min((gap for gap in gaps if gap >= 0), default=0.0)


def _forks(joint: Joint, a: Part, b: Part) -> list[Piece]:
    """Return the plates that take the other part in their own layer at a joint."""
    on_a = [piece for piece in a.pieces if _covers(piece, _on(joint, a.name))]
    on_b = [piece for piece in b.pieces if _covers(piece, _on(joint, b.name))]
    return [
        piece
        for these, others in ((on_a, on_b), (on_b, on_a))
        for piece in these
        if len(piece.corners) > 2
        and any(PiecePair((0, 0), (piece, other)).lateral < 0 for other in others)
    ]


def _beyond(pieces: list[Piece], place: Place, around: float) -> list[Piece]:
    """Take out of pieces what lies within a radius of a place."""
    left: list[Piece] = []
    for piece in pieces:
        if _core_distance(piece, (place.x, place.y)) >= around:
            left.append(piece)
        elif len(piece.corners) == 2:
            left += _bar_beyond(piece, place, around)
        elif len(piece.corners) > 2:
            left += _plate_beyond(piece, place, around)
    return left


def _bar_beyond(piece: Piece, place: Place, around: float) -> list[Piece]:
    (ax, ay), (bx, by) = piece.corners
    ux, uy, wx, wy = bx - ax, by - ay, ax - place.x, ay - place.y
    uu, uw, ww = ux * ux + uy * uy, ux * wx + uy * wy, wx * wx + wy * wy
    if uu == 0:
        return []
    root = math.sqrt(max(uw * uw - uu * (ww - around * around), 0.0))
    enter, leave = (-uw - root) / uu, (-uw + root) / uu
    return [
        _stretch(piece, start, end) for start, end in ((0.0, enter), (leave, 1.0)) if start < end
    ]


def _stretch(piece: Piece, start: float, end: float) -> Piece:
    (ax, ay), (bx, by) = piece.corners
    low, high = piece.out
    spots = tuple((ax + t * (bx - ax), ay + t * (by - ay)) for t in (start, end))
    return replace(piece, corners=spots, out=tuple(low + t * (high - low) for t in (start, end)))


def _plate_beyond(piece: Piece, place: Place, around: float) -> list[Piece]:
    """Cut a square about the place out of a plate; what is left is up to four plates."""
    left_of, right_of = ((-1.0, 0.0), around - place.x), ((1.0, 0.0), around + place.x)
    between = [((1.0, 0.0), place.x - around), ((-1.0, 0.0), -place.x - around)]
    below, above = ((0.0, -1.0), around - place.y), ((0.0, 1.0), around + place.y)
    cuts = [[left_of], [right_of], [*between, below], [*between, above]]
    left = []
    for cut in cuts:
        corners = list(piece.corners)
        for normal, limit in cut:
            corners = clip_half_plane(corners, normal, limit) if len(corners) > 2 else []
        if len(corners) > 2:
            out = (piece.out[0],) * len(corners)
            left.append(replace(piece, corners=tuple(corners), out=out))
    return left
