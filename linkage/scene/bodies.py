"""Parts as bodies: pieces of one layer seen as one, in place, from the side and from above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array, Mask
from linkage.clearance import outline_of
from linkage.clearance.outlines import slopes
from linkage.geometry import clip_half_plane
from linkage.mechanism import Part, Piece, PieceSort, Point, Sort
from linkage.scene import style
from linkage.scene.drawing import Shape
from linkage.scene.moment import Moment, placed

Outline = list[Point]
_SAYS_ALL = (PieceSort.CRANK_PIN, PieceSort.HEAD)  # named without their part
_CLOSE = 1e-6  # what is nearer than this is at one place [mm]


@dataclass(frozen=True)
class Body:
    """Pieces of one part that lie in one layer, drawn as one shape."""

    part: Part  # the part
    pieces: tuple[Piece, ...]  # those pieces of it
    name: str  # what to write on it
    heavy: bool  # whether it is one of the parts the picture is about

    @property
    def out(self) -> float:
        """The lateral middle of all its pieces [mm]."""
        return sum(sum(p.out) / len(p.out) for p in self.pieces) / len(self.pieces)


def bodies_of(moment: Moment) -> list[Body]:
    """Return the bodies of a side as they are painted: nearest the frames first, heavy last."""
    found = []
    for part in moment.parts_seen:
        layers = _layers(part)
        for layer in layers:
            name = _name(moment, part, layer, several=len(layers) > 1)
            found.append(Body(part, layer, name, part.name in moment.parts))
    return sorted(found, key=lambda body: (body.heavy, body.out))


def heavy_bodies(moment: Moment) -> list[Body]:
    """Return the bodies that a picture is about."""
    return [body for body in bodies_of(moment) if body.heavy]


def _layers(part: Part) -> list[tuple[Piece, ...]]:
    """Part the pieces by the layers they lie in; what lies in two binds them together."""
    layers: list[list[Piece]] = []
    top = -math.inf
    for piece in sorted(part.pieces, key=lambda p: min(p.out) - p.thickness / 2):
        if not layers or min(piece.out) - piece.thickness / 2 > top - _CLOSE:
            layers.append([])
        layers[-1].append(piece)
        top = max(top, max(piece.out) + piece.thickness / 2)
    return [tuple(layer) for layer in layers]


def _name(moment: Moment, part: Part, layer: Sequence[Piece], several: bool) -> str:
    if moment.contact is not None and part.name in moment.contact.parts:
        met = moment.contact.pieces[moment.contact.parts.index(part.name)]
        inside = any(piece.label == met.label for piece in layer)
        known = met.sort is PieceSort.RIM and part.sort is Sort.WHEEL
        if met.label and inside and not known:
            return met.label if met.sort in _SAYS_ALL else f"{part.name}, {met.label}"
    label = next((piece.label for piece in layer if len(piece.corners) > 1), "")
    main = part.sort is not Sort.CRANK and len(layer[0].corners) > 2
    return label if several and label and not main else part.name


def ink_of(body: Body, moment: Moment, faint: bool = False) -> style.Ink:
    """Return how a body is drawn.

    Heavy line for what the picture is about, hatching for what is fixed to the frame.
    """
    hatch = style.FIXED_HATCH if body.part.fixed else ""
    if faint or not body.heavy:
        return replace(style.PART_FAINT if faint else style.PART, hatch=hatch)
    second = body.part.fixed or _second(body, moment)
    return replace(
        style.PART_HEAVY, face=style.WHITE if second else style.PART_HEAVY.face, hatch=hatch
    )


def _second(body: Body, moment: Moment) -> bool:
    fixed = any(moment.mechanism.part(name).fixed for name in moment.parts)
    return not fixed and moment.parts.index(body.part.name) == 1


def side_shape(body: Body, moment: Moment, faint: bool = False) -> Shape:
    """Return a body seen from the side."""
    pose = moment.poses[body.part.name]
    return Shape(
        tuple(side_outline(piece, pose) for piece in body.pieces), ink_of(body, moment, faint)
    )


def plan_shape(body: Body, moment: Moment, faint: bool = False) -> Shape:
    """Return a body seen from above, as (x, out)."""
    pose = moment.poses[body.part.name]
    return Shape(
        tuple(plan_outline(piece, pose) for piece in plan_pieces(body.pieces)),
        ink_of(body, moment, faint),
    )


def side_outline(piece: Piece, pose: Array) -> Outline:
    """Return a piece's outline seen from the side, counter-clockwise, in the frame's axes [mm].

    `pose`, shape (3,) [mm, mm, rad]: of its part.
    """
    return [placed(pose, point) for point in outline_of(piece)]


def plan_pieces(pieces: Sequence[Piece]) -> list[Piece]:
    """Return the pieces of a body as seen from above: bars with discs at their free ends."""
    ends = [corner for piece in pieces if len(piece.corners) == 2 for corner in piece.corners]
    found = []
    for piece in pieces:
        found.append(piece)
        if len(piece.corners) == 2 and not slopes(piece):
            found += [
                replace(piece, corners=(corner,), out=(out,))
                for corner, out in zip(piece.corners, piece.out, strict=True)
                if sum(math.dist(end, corner) < _CLOSE for end in ends) == 1
            ]
    return found


def plan_outline(piece: Piece, pose: Array, round_ends: bool = False) -> Outline:
    """Return a piece seen from above, as (x, out), counter-clockwise [mm].

    `pose`, shape (3,) [mm, mm, rad]: of its part. `round_ends`: whether a flat bar's round ends are
    its own, and not discs of `plan_pieces`.
    """
    spots = [placed(pose, corner) for corner in piece.corners]
    half = piece.thickness / 2
    if len(spots) != 2:
        low, high = min(x for x, _ in spots), max(x for x, _ in spots)
        (xa, oa), (xb, ob), reach = (low, piece.out[0]), (high, piece.out[0]), piece.radius
    else:
        (ax, ay), (bx, by) = spots
        length = math.hypot(bx - ax, by - ay)
        square = bool(length) and (slopes(piece) or not round_ends)
        reach = piece.radius * (abs(by - ay) / length if square else 1.0)
        (xa, oa), (xb, ob) = sorted(zip((ax, bx), piece.out, strict=True))
    first = [(xa - reach, oa + half), (xa - reach, oa - half)]
    last = [(xb + reach, ob - half), (xb + reach, ob + half)]
    if ob >= oa:  # what a rectangle covers, moved along the bar
        return [*first, (xa + reach, oa - half), *last, (xb - reach, ob + half)]
    return [*first, (xb - reach, ob - half), *last, (xa + reach, oa + half)]


def common(a: Outline, b: Outline) -> Outline:
    """Return what two convex outlines share; empty where they share nothing [mm]."""
    left = list(a)
    for p, q in zip(b, [*b[1:], b[0]], strict=True):
        normal = (-(q[1] - p[1]), q[0] - p[0])
        if len(left) > 2:
            left = clip_half_plane(left, normal, normal[0] * p[0] + normal[1] * p[1])
    return left if len(left) > 2 else []


def covers(outline: Sequence[Point], spots: Array) -> Mask:
    """Tell which spots lie within a convex outline.

    `spots`, shape (N, 2) [mm]: in the axes of the outline, which goes round counter-clockwise.
    """
    a = np.array(outline)
    along = np.roll(a, -1, axis=0) - a
    off = spots[:, None] - a
    return np.asarray((along[:, 0] * off[..., 1] >= along[:, 1] * off[..., 0]).all(axis=1))


def claimed(moment: Moment, above: bool = False) -> Outline:
    """Return what both pieces that meet cover, seen from the side or from above; empty for none."""
    contact = moment.contact
    if contact is None:
        return []
    seen = [
        plan_outline(piece, moment.poses[name], round_ends=True)
        if above
        else side_outline(piece, moment.poses[name])
        for piece, name in zip(contact.pieces, contact.parts, strict=True)
    ]
    return common(seen[0], seen[1])
