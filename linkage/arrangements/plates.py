"""Outlines of the sheet to convex pieces."""

from __future__ import annotations

import mapbox_earcut as earcut
import numpy as np

from linkage.mechanism import Piece, Point
from linkage.tables.shapes import Shape

_Polygon = list[int]


def _turns_left(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) >= 0


def _is_convex(polygon: _Polygon, corners: tuple[Point, ...]) -> bool:
    count = len(polygon)
    return all(
        _turns_left(*(corners[polygon[(i + k) % count]] for k in range(3))) for i in range(count)
    )


def _joined(one: _Polygon, other: _Polygon) -> _Polygon | None:
    """Return two polygons joined along the edge they share, or None where they share none."""
    for i, start in enumerate(one):
        stop = one[(i + 1) % len(one)]
        for j, here in enumerate(other):
            if here == stop and other[(j + 1) % len(other)] == start:
                return _splice(one, i, other, j)
    return None


def _splice(one: _Polygon, i: int, other: _Polygon, j: int) -> _Polygon:
    """Return the round of `one` with the round of `other` in place of its edge i."""
    round_one = one[i + 1 :] + one[: i + 1]
    round_other = other[j + 1 :] + other[: j + 1]
    return round_one + round_other[1:-1]


def convex_corners(corners: tuple[Point, ...]) -> tuple[tuple[Point, ...], ...]:
    """Return a plate cut into convex plates.

    Parameters
    ----------
    corners : tuple of (float, float) [mm]
        Counter-clockwise, not crossing itself.

    Returns
    -------
    tuple of tuple of (float, float) [mm]
        Convex, counter-clockwise, together the plate. One where the plate is convex already.

    Notes
    -----
    Cut into triangles, which are then joined again along shared edges as long as the result stays
    convex.
    """
    whole = list(range(len(corners)))
    if _is_convex(whole, corners):
        return (corners,)
    vertices = np.asarray(corners, dtype=np.float64)
    cut = earcut.triangulate_float64(vertices, np.array([len(corners)], dtype=np.uint32))
    polygons = [_left_handed(list(map(int, three)), corners) for three in cut.reshape(-1, 3)]
    return tuple(tuple(corners[k] for k in polygon) for polygon in _merged(polygons, corners))


def _left_handed(triangle: _Polygon, corners: tuple[Point, ...]) -> _Polygon:
    return triangle if _turns_left(*(corners[k] for k in triangle)) else triangle[::-1]


def _merged(polygons: list[_Polygon], corners: tuple[Point, ...]) -> list[_Polygon]:
    done: list[_Polygon] = []
    while polygons:
        polygon = polygons.pop()
        for k, other in enumerate(polygons):
            both = _joined(polygon, other)
            if both is not None and _is_convex(both, corners):
                polygons[k] = both
                break
        else:
            done.append(polygon)
    return done


def shape_pieces(shape: Shape, label: str = "") -> tuple[Piece, ...]:
    """Return the pieces of an outline of the sheet.

    All of one thickness, parallel to the wheel.

    Parameters
    ----------
    shape : Shape
        A plate, a disc or a bar.
    """
    if shape.side_view is not None:
        plates = [(corners, 0.0) for corners in convex_corners(shape.side_view)]
    elif shape.disc is not None:
        plates = [(((shape.disc.x, shape.disc.y),), shape.disc.diameter / 2)]
    elif shape.bar is not None:
        plates = [((shape.bar.start, shape.bar.to), shape.bar.width / 2)]
    else:
        raise AssertionError("the sheet's check lets no shape pass without its form")
    middle = shape.out + shape.thickness / 2
    return tuple(
        Piece(corners, radius, (middle,) * len(corners), shape.thickness, label)
        for corners, radius in plates
    )
