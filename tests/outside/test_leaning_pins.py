"""Eyes of a twisted rod on square pins, against shapely: whether a leaning strip goes through.

Source: S. Gillies and others, *Shapely: manipulation and analysis of geometric objects in the
Cartesian plane*, shapely.readthedocs.io, on the GEOS library.

Seen along the rod an eye is its hole, a rectangle as wide as the hole and as high as the eye is
thick, and the pin a strip that leans in it. Every way of sharing a twist between two eyes is tried.
"""

import math

import numpy as np
import pytest
from shapely import LineString, box

from linkage.arrangements import build
from tests.faults.engines import sheet_with

PIN, THICK = 1.5, 0.8  # of the sheet [mm]
HOLE = 1.56


def goes_in(lean, hole, pin, thick):
    """Tell whether a pin that leans by an angle [rad] goes through a hole, in its middle."""
    reach = thick / math.cos(lean)
    axis = LineString([(-reach * math.sin(lean), -reach * math.cos(lean)),
                       (reach * math.sin(lean), reach * math.cos(lean))])  # fmt: skip
    slab = box(-10 * hole, -thick / 2, 10 * hole, thick / 2)
    inside = axis.buffer(pin / 2, cap_style="flat").intersection(slab)
    return box(-hole / 2, -thick / 2, hole / 2, thick / 2).buffer(1e-9).covers(inside)


def goes_on(twist, holes, pin=PIN):
    return any(
        all(
            goes_in(lean, hole, pin, THICK)
            for lean, hole in zip((a, twist - a), holes, strict=True)
        )
        for a in np.linspace(0, twist, 400)
    )


def grip_of(twist_deg, holes):
    sheet = sheet_with("coupled", {
        "coupling_rods/main/twist": twist_deg,
        "coupling_rods/main/holes": [{"along": 1.56, "across": hole} for hole in holes],
    })  # fmt: skip
    (grip,) = build(sheet)["right"].grips
    return grip


@pytest.mark.parametrize("holes", [(1.56, 1.56), (1.70, 1.52)])
def test_what_binds_goes_on_with_no_way_of_sharing_the_twist(holes):
    leans = [math.atan((hole - PIN) / THICK) for hole in holes]
    limit = math.degrees(sum(leans))
    for twist, binds in ((0.99 * limit, False), (1.01 * limit, True), (2 * limit, True)):
        grip = grip_of(twist, holes)
        assert (grip.stack > grip.room) == binds
        assert not (binds and goes_on(math.radians(twist), holes))
    # a thin pin takes next to nothing by its own width: then it goes on up to the very limit
    thin = tuple(hole - PIN + 0.01 for hole in holes)
    assert goes_on(math.radians(0.99 * limit), thin, 0.01)


def test_how_much_more_play_it_needs():
    """With so much more in the second hole, and a thin pin, it goes on; with less it does not."""
    grip = grip_of(20.0, (1.56, 1.56))
    short = grip.stack - grip.room
    assert short == pytest.approx(0.8 * math.tan(math.radians(20) - math.atan(0.06 / 0.8)) - 0.06)
    twist = math.radians(20.0)
    assert goes_on(twist, (0.0601, 0.0601 + short + 0.002), 1e-4)
    assert not goes_on(twist, (0.0601, 0.0601 + short - 0.01), 1e-4)
