"""Outlines in place, in side view and in plan, and a way to fill many pieces as one part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection

from linkage.arrays import Array
from linkage.clearance import outline_of
from linkage.clearance.outlines import slopes
from linkage.draw.scene import Scene, placed
from linkage.draw.style import BLACK, FIXED_HATCH, GREY, HEAVY, LIGHT, PLAIN, THIN
from linkage.geometry import clip_half_plane
from linkage.mechanism import Part, Piece, PieceSort, Point, Sort

_SAYS_ALL = (PieceSort.CRANK_PIN, PieceSort.HEAD)  # named without their part

Polygon = list[Point]


@dataclass(frozen=True)
class Body:
    """Pieces of one part that lie in one layer, drawn as one shape.

    Attributes
    ----------
    part : Part
        The part.
    pieces : tuple of Piece
        Those pieces of it.
    name : str
        What to write on it.
    heavy : bool
        Whether it is one of the parts the picture is about.
    """

    part: Part
    pieces: tuple[Piece, ...]
    name: str
    heavy: bool

    @property
    def out(self) -> float:
        """The lateral middle of all its pieces [mm]."""
        return sum(sum(p.out) / len(p.out) for p in self.pieces) / len(self.pieces)


@dataclass(frozen=True)
class Look:
    """How a body is drawn: grey of its line, line width [points], grey inside, hatch."""

    edge: str
    width: float
    face: str
    hatch: str | None


def bodies_of(scene: Scene) -> list[Body]:
    """Return the bodies of a side, nearest the frames first, the heavy ones last.

    In the order in which they are to be painted.
    """
    found = [
        Body(
            part,
            layer,
            _name(scene, part, layer, several=len(layers) > 1),
            part.name in scene.parts,
        )
        for part in scene.parts_seen
        for layers in (_layers(part),)
        for layer in layers
    ]
    return sorted(found, key=lambda body: (body.heavy, body.out))


def _layers(part: Part) -> list[tuple[Piece, ...]]:
    """Part the pieces by the layers they lie in; what lies in two binds them together."""
    layers: list[list[Piece]] = []
    top = -math.inf
    for piece in sorted(part.pieces, key=lambda p: min(p.out) - p.thickness / 2):
        if not layers or min(piece.out) - piece.thickness / 2 > top - 1e-6:
            layers.append([])
        layers[-1].append(piece)
        top = max(top, max(piece.out) + piece.thickness / 2)
    return [tuple(layer) for layer in layers]


def _name(scene: Scene, part: Part, layer: Sequence[Piece], several: bool) -> str:
    if scene.contact is not None and part.name in scene.contact.parts:
        met = scene.contact.pieces[scene.contact.parts.index(part.name)]
        inside = any(piece.label == met.label for piece in layer)
        known = met.sort is PieceSort.RIM and part.sort is Sort.WHEEL
        if met.label and inside and not known:
            return met.label if met.sort in _SAYS_ALL else f"{part.name}, {met.label}"
    label = next((piece.label for piece in layer if len(piece.corners) > 1), "")
    main = part.sort is not Sort.CRANK and len(layer[0].corners) > 2
    return label if several and label and not main else part.name


def look_of(body: Body, scene: Scene) -> Look:
    """Return how a body is drawn.

    Heavy line for what the picture is about, hatching for what is fixed to the frame.
    """
    hatch = FIXED_HATCH if body.part.fixed else None
    if not body.heavy:
        return Look(GREY, PLAIN, "1.0", hatch)
    return Look(BLACK, HEAVY, "1.0" if body.part.fixed or _second(body, scene) else "0.86", hatch)


def faint(look: Look) -> Look:
    """Return the look of what is only there to find one's way."""
    return Look(LIGHT, THIN, "1.0", look.hatch)


def _second(body: Body, scene: Scene) -> bool:
    fixed = any(scene.findings.mechanism.part(name).fixed for name in scene.parts)
    return not fixed and scene.parts.index(body.part.name) == 1


def side_shape(piece: Piece, pose: Array) -> Polygon:
    """Return a piece's outline seen from the side.

    Parameters
    ----------
    pose : array, shape (3,) [mm, mm, rad]
        Of its part.

    Returns
    -------
    list of (float, float) [mm]
        Counter-clockwise, in the frame's axes.
    """
    return [placed(pose, point) for point in outline_of(piece)]


def side_shapes(body: Body, scene: Scene) -> list[Polygon]:
    """Return the outlines of a body seen from the side, one a piece [mm]."""
    return [side_shape(piece, scene.poses[body.part.name]) for piece in body.pieces]


def plan_shapes(body: Body, scene: Scene) -> list[Polygon]:
    """Return the metal of a body seen from above, as (x, out) [mm]; several to a piece."""
    pose = scene.poses[body.part.name]
    ends = [corner for piece in body.pieces if len(piece.corners) == 2 for corner in piece.corners]
    found: list[Polygon] = []
    for piece in body.pieces:
        if len(piece.corners) != 2:
            found.append(_box(piece, pose))
            continue
        found.append(_swept(piece, pose, _across(piece, pose)))
        if not slopes(piece):
            found += [
                _swept(_end(piece, k), pose, piece.radius)
                for k in (0, 1)
                if _count(ends, piece.corners[k]) == 1
            ]
    return found


def plan_shape(piece: Piece, pose: Array) -> Polygon:
    """Return one piece seen from above.

    Parameters
    ----------
    pose : array, shape (3,) [mm, mm, rad]
        Of its part.

    Returns
    -------
    list of (float, float) [mm]
        (x, out), counter-clockwise; a flat bar with its round ends, a strip with its square ones.
    """
    if len(piece.corners) != 2:
        return _box(piece, pose)
    return _swept(piece, pose, _across(piece, pose) if slopes(piece) else piece.radius)


def _across(piece: Piece, pose: Array) -> float:
    """Return how far a bar's long sides stand off its centre line along x [mm]."""
    (ax, ay), (bx, by) = (placed(pose, corner) for corner in piece.corners)
    length = math.hypot(bx - ax, by - ay)
    return piece.radius * abs(by - ay) / length if length else piece.radius


def _count(ends: Sequence[Point], corner: Point) -> int:
    return sum(math.dist(end, corner) < 1e-6 for end in ends)


def _end(piece: Piece, k: int) -> Piece:
    corner, out = piece.corners[k], piece.out[k]
    return Piece((corner, corner), piece.radius, (out, out), piece.thickness)


def _box(piece: Piece, pose: Array) -> Polygon:
    xs = [placed(pose, corner)[0] for corner in piece.corners]
    low, high = min(xs) - piece.radius, max(xs) + piece.radius
    inner, outer = piece.out[0] - piece.thickness / 2, piece.out[0] + piece.thickness / 2
    return [(low, inner), (high, inner), (high, outer), (low, outer)]


def _swept(piece: Piece, pose: Array, reach: float) -> Polygon:
    """Return what a rectangle covers, moved along a bar: reach to either side, its thickness."""
    spots = [(placed(pose, c)[0], out) for c, out in zip(piece.corners, piece.out, strict=True)]
    (xa, oa), (xb, ob) = sorted(spots)
    half = piece.thickness / 2
    first, last = (
        [(xa - reach, oa + half), (xa - reach, oa - half)],
        [
            (xb + reach, ob - half),
            (xb + reach, ob + half),
        ],
    )
    if ob >= oa:
        return [*first, (xa + reach, oa - half), *last, (xb - reach, ob + half)]
    return [*first, (xb - reach, ob - half), *last, (xa + reach, oa + half)]


def common(a: Polygon, b: Polygon) -> Polygon:
    """Return what two convex outlines share.

    Parameters
    ----------
    a, b : list of (float, float) [mm]
        Counter-clockwise.

    Returns
    -------
    list of (float, float) [mm]
        Empty where they share nothing.
    """
    left = list(a)
    for p, q in zip(b, [*b[1:], b[0]], strict=True):
        normal = (-(q[1] - p[1]), q[0] - p[0])
        if len(left) > 2:
            left = clip_half_plane(left, normal, normal[0] * p[0] + normal[1] * p[1])
    return left if len(left) > 2 else []


def fill(axis: Axes, shapes: Sequence[Polygon], look: Look, layer: float) -> Axes:
    """Paint overlapping outlines as one: first all their lines, then all their insides.

    Parameters
    ----------
    shapes : sequence of list of (float, float) [mm]
        The outlines.
    layer : float [1]
        What is higher is painted later; two layers of pictures are at least 0.02 apart.
    """
    axis.add_collection(
        PolyCollection(
            shapes, facecolors="none", edgecolors=look.edge, linewidths=2 * look.width,
            joinstyle="round", zorder=layer,
        ),
        autolim=False,
    )  # fmt: skip
    inside = PolyCollection(
        shapes, facecolors=look.face, edgecolors="none", linewidths=0.0, zorder=layer + 0.01
    )
    axis.add_collection(inside, autolim=False)
    if look.hatch:
        axis.add_collection(
            PolyCollection(
                shapes, facecolors="none", edgecolors="none", linewidths=0.0, hatch=look.hatch,
                hatchcolor=GREY if look.edge != LIGHT else LIGHT, zorder=layer + 0.015,
            ),
            autolim=False,
        )  # fmt: skip
    return axis
