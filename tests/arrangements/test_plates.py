"""Outlines cut into convex pieces."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, union_all

from linkage.arrangements.plates import convex_corners, shape_pieces
from linkage.tables.fields import check_outline
from linkage.tables.shapes import Fixed

ELL = ((0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0))


def is_convex(corners):
    polygon = Polygon(corners)
    return polygon.convex_hull.area == pytest.approx(polygon.area, rel=1e-12)


def test_a_convex_plate_stays_whole():
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    assert convex_corners(square) == (square,)


def test_an_ell_is_two_plates():
    plates = convex_corners(ELL)
    assert len(plates) == 2
    assert all(is_convex(plate) for plate in plates)
    assert sum(Polygon(plate).area for plate in plates) == pytest.approx(6.0)
    assert union_all([Polygon(plate) for plate in plates]).equals(Polygon(ELL))


@pytest.mark.parametrize(
    "corners",
    [
        ((0.0, 0.0), (2.0, 0.0), (1.0, 1.0), (2.0, 2.0), (0.0, 2.0), (1.0, 1.0)),
        ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 0.0), (0.0, 2.0)),
    ],
)
def test_an_outline_that_touches_itself_is_refused(corners):
    with pytest.raises(ValueError, match="crosses itself"):
        check_outline(corners)


@given(st.lists(st.floats(0.2, 5.0), min_size=3, max_size=14))
def test_stars_are_covered_once_by_convex_plates(radii):
    count = len(radii)
    corners = tuple(
        (r * math.cos(math.tau * k / count), r * math.sin(math.tau * k / count))
        for k, r in enumerate(radii)
    )
    whole = Polygon(corners)
    plates = convex_corners(corners)
    assert all(is_convex(plate) and Polygon(plate).exterior.is_ccw for plate in plates)
    # Equal areas and no area outside: nothing twice, nothing missed. Rounding only.
    assert sum(Polygon(plate).area for plate in plates) == pytest.approx(whole.area, rel=1e-9)
    joined = union_all([Polygon(plate) for plate in plates])
    assert joined.symmetric_difference(whole).area < 1e-9 * whole.area


def test_an_outline_comes_back_counter_clockwise_and_closed_once():
    clockwise = ((0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0))
    tidy = check_outline(clockwise)
    assert len(tidy) == 4
    assert Polygon(tidy).exterior.is_ccw


def test_a_plate_of_the_sheet_lies_about_the_middle_of_its_thickness():
    shape = Fixed.model_validate(
        {"name": "bracket", "side_view": [list(p) for p in ELL], "out": 2.0, "thickness": 0.5}
    )
    pieces = shape_pieces(shape)
    assert len(pieces) == 2
    assert all(piece.out == (2.25,) * len(piece.corners) for piece in pieces)
    assert all(piece.radius == 0.0 for piece in pieces)


@pytest.mark.parametrize(
    ("form", "corners", "radius"),
    [
        ({"disc": {"x": 1, "y": 2, "diameter": 3}}, ((1.0, 2.0),), 1.5),
        ({"bar": {"from": [0, 0], "to": [4, 0], "width": 2}}, ((0.0, 0.0), (4.0, 0.0)), 1.0),
    ],
)
def test_discs_and_bars(form, corners, radius):
    shape = Fixed.model_validate({"name": "step", "out": 2.0, "thickness": 0.5} | form)
    (piece,) = shape_pieces(shape, "step")
    assert (piece.corners, piece.radius, piece.label) == (corners, radius, "step")
    assert set(piece.out) == {2.25}
