"""Pieces and small mechanisms with outlines that the tests of clearances are made on."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from linkage.clearance.outlines import PairTable, PiecePair, Poses
from linkage.mechanism import Mechanism, Part, Piece, Point
from tests.kinematics.linkages import four_bar, slider_crank, valve_gear

TURN = 2 * math.pi


def disc(at: Point, radius, out=0.0, thickness=1.0, label=""):
    return Piece((at,), radius, (out,), thickness, label)


def bar(begin: Point, end: Point, radius, out=(0.0, 0.0), thickness=1.0, label=""):  # noqa: PLR0913 - as a piece
    """Return a bar with round ends; `out` at either end."""
    return Piece((begin, end), radius, tuple(out), thickness, label)


def plate(corners, radius=0.0, out=0.0, thickness=1.0, label=""):
    return Piece(tuple(corners), radius, (out,) * len(corners), thickness, label)


def box(left, bottom, right, top, radius=0.0, out=0.0, thickness=1.0, label=""):  # noqa: PLR0913 - as a piece
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return plate(corners, radius, out, thickness, label)


def bow(length, radius, out, thickness, towards_frames, count=12):  # noqa: PLR0913 - the same
    """Return a rod bowed to a parabola, as sloping bars."""
    along = np.linspace(0, length, count + 1)
    level = out - towards_frames * (1 - (2 * along / length - 1) ** 2)
    return tuple(
        bar((float(along[i]), 0.0), (float(along[i + 1]), 0.0), radius,
            (float(level[i]), float(level[i + 1])), thickness)
        for i in range(count)
    )  # fmt: skip


def dressed(mechanism: Mechanism, outlines, **more) -> Mechanism:
    """Return a mechanism with outlines: pieces by part's name; unknown names are fixed parts."""
    moving = tuple(replace(p, pieces=tuple(outlines.get(p.name, ()))) for p in mechanism.parts)
    known = {part.name for part in moving}
    fixed = tuple(
        Part(name, tuple(pieces), fixed=True)
        for name, pieces in outlines.items()
        if name not in known
    )
    return replace(mechanism, parts=moving + fixed, **more)


def dressed_slider_crank(crank, rod, outlines, **more) -> Mechanism:
    return dressed(slider_crank(crank, rod), outlines, **more)


def between(p: Piece, q: Piece, poses=((0, 0, 0), (0, 0, 0))):
    """Return the clearance of two pieces at poses [mm, mm, rad]."""
    pair = PiecePair((0, 1), (p, q))
    table = np.array(poses, dtype=float)[:, None, :]
    zero = np.zeros(1, dtype=np.intp)
    return float(PairTable([pair]).clearances(zero, zero, Poses.of(table))[0])


def faces(piece: Piece, sides: int = 96):
    """Return the outline at each corner, shape (corners, K, 2) [mm]: a circle, or a strip's end."""
    corners = np.array(piece.corners)
    if len(set(piece.out)) > 1:  # a strip: square ends, level across
        run = corners[1] - corners[0]
        side = np.array([-run[1], run[0]]) / np.hypot(*run) * piece.radius
        ring = np.stack((-side, side))
    elif piece.radius > 0:
        turn = np.arange(sides) * TURN / sides
        ring = np.stack((np.cos(turn), np.sin(turn)), axis=1) * piece.radius
    else:
        ring = np.zeros((1, 2))
    return corners[:, None, :] + ring


def solid(piece: Piece, sides: int = 96):
    """Return the corners of a piece as a solid in its part's axes, shape (M, 3) [mm]."""
    return np.concatenate([
        np.column_stack((face, np.full(len(face), out + way * piece.thickness / 2)))
        for face, out in zip(faces(piece, sides), piece.out, strict=True)
        for way in (-1, 1)
    ])  # fmt: skip


def random_corners(rng, count, size=2.0):
    """Return corners of a random core; polygons convex, counter-clockwise, on an ellipse."""
    middle = rng.uniform(-size, size, 2)
    if count == 1:
        return (tuple(map(float, middle)),)
    turn = np.sort(rng.uniform(0, TURN, count))
    spots = np.stack((np.cos(turn), np.sin(turn) * rng.uniform(0.3, 1)), axis=1)
    lean = rng.uniform(0, TURN)
    cos, sin = np.cos(lean), np.sin(lean)
    spots = spots @ np.array([[cos, sin], [-sin, cos]]) * size * rng.uniform(0.3, 1) + middle
    return tuple((float(x), float(y)) for x, y in spots)


def random_piece(rng, count, sloping=False):
    out = rng.uniform(-1, 1, 2) if sloping else np.full(count, rng.uniform(-1, 1))
    return Piece(
        random_corners(rng, count),
        float(rng.uniform(0.1, 0.8)),
        tuple(map(float, out)),
        float(rng.uniform(0.2, 1.0)),
    )


def random_crank_rocker(rng) -> Mechanism:
    """Return a four-bar that turns, with random bars, bows and fixed things about it."""
    while True:
        a, b, c, d = rng.uniform((2, 8, 6, 8), (4, 16, 14, 16))
        cosines = [(b**2 + c**2 - (d + s * a) ** 2) / (2 * b * c) for s in (1, -1)]
        if max(map(abs, cosines)) < math.cos(math.radians(20)):
            break
    outlines = {
        "crank": (bar((0, 0), (float(a), 0), 0.8, (0, 0), 0.8), disc((float(a), 0), 0.5, 0.9)),
        "coupler": bow(float(b), 0.5, 1.0, 0.6, float(rng.uniform(-0.6, 0.6)), 5),
        "rocker": (bar((0, 0), (float(c), 0), 0.6, (1.8, 0.2), 0.6),),
    }
    for number in range(4):
        x, y = rng.uniform((-4, -6), (float(d), 12))
        level = float(rng.uniform(-0.5, 2.5))
        size = rng.uniform(0.05, 1.5, 2)
        outlines[f"bracket {number}"] = (
            box(float(x), float(y), float(x + size[0]), float(y + size[1]), 0.05, level, 0.7),
            disc((float(x), float(y) - 1), 0.05, level, 1.5),
        )
    return dressed(four_bar(tuple(map(float, (a, b, c, d)))), outlines)


def dressed_gear(towards_frames=0.55, **changed) -> Mechanism:
    """Return the whole valve gear in outline, its radius rod bowed, with bracket and slide bars."""
    outlines = {
        "crank": (disc((0, 0), 10, -1, 2), disc((4.33, 0), 0.75, -0.55, 2.9),
                  bar((4.33, 0), (0, 1.55), 0.7, (2.8, 2.8), 0.4)),
        "connecting rod": (bar((0, 0), (38, 0), 0.9, (1.8, 1.8), 0.8),),
        "crosshead": (box(-2, -1.5, 2, 1.5, 0, 1.8, 0.8),
                      bar((0, 0), (2, -3), 0.5, (1.8, 1.8), 0.8)),
        "eccentric rod": (bar((0, 0), (20.6, 0), 0.6, (3.3, 3.3), 0.4),),
        "expansion link": (bar((0, -6.9), (0, 3.5), 0.8, (3.8, 3.8), 0.4),),
        "radius rod": bow(16.4, 0.6, 4.3, 0.4, towards_frames),
        "lifting link": (bar((0, 0), (0, 4), 0.5, (4.8, 4.8), 0.4),),
        "combination lever": (bar((0, 0), (0, -11.6), 0.6, (3.8, 3.8), 0.4),),
        "union link": (bar((0, 0), (4.2, 0), 0.5, (3.3, 3.3), 0.4),),
        "valve spindle": (bar((0, 0), (8, 0), 0.5, (2.9, 2.9), 0.8),),
        "motion bracket": (box(26, 7, 27.5, 11, 0, 3.3, 0.8),),
        "slide bars": (bar((31, 2.2), (52, 2.2), 0.5, (1.8, 1.8), 0.8),
                       bar((31, -2.2), (52, -2.2), 0.5, (1.8, 1.8), 0.8)),
    }  # fmt: skip
    apart = frozenset({frozenset({("crosshead", None), ("slide bars", None)})})
    return dressed(valve_gear(**changed), outlines, apart=apart)
