"""The place of a contact and how the clearance is made up there, by hand."""

import math

import numpy as np
import pytest
from shapely import Polygon

from linkage.clearance import find_contact, outline_of, pair_parts
from linkage.kinematics import follow
from linkage.mechanism import Mechanism
from tests.clearance.bodies import bar, box, disc, dressed, dressed_slider_crank
from tests.kinematics.linkages import four_bar


def contact_of(outlines, crank=0.0, mechanism: Mechanism | None = None):
    course = follow(mechanism or dressed_slider_crank(5.0, 24.0, outlines))
    (pair,) = pair_parts(course.mechanism, 0.15, 100.0)
    return find_contact(course, pair, crank)


def test_two_bars_that_cross():
    """At (3, 0); the shortest way apart is 2 mm off either's end, and the radii."""
    found = contact_of({
        "crank": (bar((0, 0), (5, 0), 0.5, (1, 1), 0.8),),
        "stay": (bar((3, -2), (3, 6), 0.4, (2.5, 2.5), 0.6),),
    })  # fmt: skip
    assert found.parts == ("crank", "stay")
    assert found.spot == pytest.approx((3, 0), abs=1e-9)
    assert found.side_view == pytest.approx(-2 - 0.9)
    assert found.lateral == pytest.approx(1.5 - 0.7)
    assert found.outer == 1
    assert found.on_parts[0] == pytest.approx((3, 0), abs=1e-9)
    assert found.on_parts[1] == pytest.approx((3, 0), abs=1e-9)


@pytest.mark.parametrize("crank_deg", [0, 40, 200, 359])
def test_spot_in_the_axes_of_either_part(crank_deg):
    """The crank is turned clockwise on the drawing; the stay's axes are the frame's."""
    turn = math.radians(crank_deg)
    x, y = 3 * math.cos(turn), -3 * math.sin(turn)
    ends = [(x + s * math.sin(turn), y + s * math.cos(turn)) for s in (-4, 4)]
    found = contact_of({
        "crank": (bar((0, 0), (5, 0), 0.5, (2, 2), 0.8),),
        "stay": (bar(ends[0], ends[1], 0.4, (0.5, 0.5), 0.6),),
    }, turn)  # fmt: skip
    # round ends turned by an odd angle are not cut alike on both sides: 24 corners
    assert found.spot == pytest.approx((x, y), abs=0.5 * (1 - math.cos(math.pi / 24)))
    assert found.on_parts[0] == pytest.approx((3, 0), abs=0.5 * (1 - math.cos(math.pi / 24)))
    assert found.on_parts[1] == pytest.approx(found.spot)
    assert found.outer == 0


def test_nearest_of_several_pieces():
    boss, pin = disc((0, 0), 1.0), disc((5, 0), 0.6, label="nut")
    found = contact_of({"crank": (boss, pin), "stud": (disc((7, 0), 0.7),)})
    assert found.pieces[0].label == "nut"
    assert found.side_view == pytest.approx(2 - 1.3)


@pytest.mark.parametrize(("radius", "fixed"), [(1.0, 1.0), (2.5, 0.5), (0.2, 2.0)])
def test_middle_of_the_air_between_two_discs(radius, fixed):
    """Half way between the two outlines, which is not half way between their centres."""
    found = contact_of({"crank": (disc((5, 0), radius),), "stud": (disc((9, 3), fixed),)})
    middle = 0.5 * (radius + (5 - fixed))  # along the line of centres, 5 mm long
    assert found.spot == pytest.approx((5 + 0.8 * middle, 0.6 * middle), abs=1e-9)
    assert found.side_view == pytest.approx(5 - radius - fixed)


def test_middle_of_the_air_between_a_disc_and_a_box():
    found = contact_of({"crank": (disc((5, 0), 1.0),), "bracket": (box(8, -2, 9, 2),)})
    assert found.spot == pytest.approx((7, 0), abs=1e-9)
    assert found.side_view == pytest.approx(2.0)


def test_a_sloping_bar_over_a_stud():
    """Where the gap in side view, growing past the stud, meets the gap in plan, falling along.

    The strip is level across its width, so that counts along it alone: x - 6.4 = 1.2 - x / 10.
    """
    found = contact_of({
        "crank": (bar((0, 0), (10, 0), 0.5, (2, 1), 0.6),),
        "stud": (disc((6, 0.2), 0.4, 0.0, 1.0),),
    })  # fmt: skip
    x = 7.6 / 1.1
    assert found.spot[0] == pytest.approx(x, abs=1e-6)
    assert found.spot[1] == pytest.approx(0.2, abs=1 / 32)  # the places looked at across 1 mm
    assert found.lateral == pytest.approx(1.2 - x / 10, abs=1e-6)
    assert found.parts[found.outer] == "crank"


def test_two_sloping_bars_that_cross():
    """Level with one another only where they cross; thick enough that the side view decides."""
    found = contact_of({
        "crank": (bar((-10, 0), (10, 0), 0.5, (0, 10), 3.0),),
        "stay": (bar((2, -3), (2, 5), 0.5, (5.9, 6.3), 3.0),),
    })  # fmt: skip
    # the crank's middle is at 6.0 there, the stay's at 5.9 + 3/8 * 0.4 = 6.05
    assert found.spot == pytest.approx((2, 0), abs=1e-6)
    assert found.lateral == pytest.approx(0.05 - 3.0, abs=1e-6)
    assert found.outer == 1


def test_no_position_no_contact():
    outlines = {"coupler": (bar((0, 0), (50, 0), 2),), "stud": (disc((45, -10), 1),)}
    mechanism = dressed(four_bar((40, 50, 40, 100)), outlines)
    with pytest.raises(ValueError, match="no position there"):
        contact_of({}, math.pi, mechanism)


def test_outline_of_pieces():
    """Polygons of 24 corners in a circle: their areas by sides and sine."""
    sector = 12 * math.sin(math.tau / 24)  # area of 24 corners in a unit circle
    assert Polygon(outline_of(disc((1, 2), 3))).area == pytest.approx(9 * sector)
    long = outline_of(bar((0, 0), (7, 0), 0.5))
    assert Polygon(long).area == pytest.approx(7 + sector / 4)
    assert np.ptp(np.array(long), axis=0) == pytest.approx((8, 1))
    assert outline_of(box(0, 0, 2, 1)) == ((0, 0), (2, 0), (2, 1), (0, 1))
    assert Polygon(outline_of(box(0, 0, 2, 1, 0.5))).area == pytest.approx(2 + 3 + sector / 4)
