"""The outlines of bent rods against segments of circles, and what a bend means at the bench.

*Machinery's Handbook*, 31st ed. (2020), pp. 79 and 83: ``r = (c^2 + 4 h^2) / (8 h)``, ``l = r
alpha``. Lengths lost are checked in `test_segments_of_circles`; here it is the metal as drawn, and
lengths derived from the same formulas for a rod of 60 (worked out for these tests, not printed).
"""

import math
from itertools import pairwise

import pytest

from linkage.arrangements.rods import BOW_STEPS, eye_to_eye, rod_pieces
from linkage.tables.rods import Rod

UNIT_RADIUS = [  # degrees, arc, height, chord: five decimals
    (10, 0.17453, 0.00381, 0.17431),
    (20, 0.34907, 0.01519, 0.34730),
    (30, 0.52360, 0.03407, 0.51764),
    (45, 0.78540, 0.07612, 0.76537),
    (60, 1.04720, 0.13397, 1.00000),
    (90, 1.57080, 0.29289, 1.41421),
]
PRINTED = [(59.8665, 8.0, 60.0), (16.0, 6.0, 25 / 3), (21.0, 6.0, 12.1875)]  # chord, height, r


def rod(centres, measured="bent", **bend):
    return Rod.model_validate(
        {
            "centres": centres, "centres_measured": measured, "width": 0.02, "thickness": 0.8,
            "out": 2.0, "bend": [{"from": "rear", **bend}],
        }
    )  # fmt: skip


def line_of(made):
    """Return the corners of a rod's centre line in the side view [mm]."""
    bars = [piece for piece in rod_pieces(made, eye_to_eye(made)) if len(piece.corners) == 2]
    return [bars[0].corners[0], *(piece.corners[1] for piece in bars)]


@pytest.mark.parametrize(("chord", "height", "radius"), PRINTED)
def test_pages_79_and_83_radius_of_a_bow(chord, height, radius):
    """Every corner of the drawn bow lies on the circle of the printed radius."""
    for corner in line_of(rod(chord, kind="bow", up=height)):
        from_centre = math.dist(corner, (chord / 2, height - radius))
        assert from_centre == pytest.approx(radius, abs=1e-4)  # 59.8665 has four decimals


@pytest.mark.parametrize(("degrees", "arc", "height", "chord"), UNIT_RADIUS)
def test_unit_radius_table_as_drawn(degrees, arc, height, chord):
    """A bow of that arc, kept in bending, spans that chord and is drawn nearly as long as the arc.

    Scaled up a hundred times. The chords of `BOW_STEPS` pieces fall short of their arc by the
    part (arc / steps)^2 / 24, and pieces are even along the chord, not the arc: twice that at most.
    """
    angle = math.radians(degrees)
    made = rod(100 * angle, "straight", kind="bow", up=100 * (1 - math.cos(angle / 2)))
    assert eye_to_eye(made) == pytest.approx(100 * chord, abs=100 * 6e-6)
    corners = line_of(made)
    drawn = sum(math.dist(a, b) for a, b in pairwise(corners))
    assert drawn == pytest.approx(100 * arc, rel=2 * (angle / BOW_STEPS) ** 2 / 24 + 1e-4)
    assert max(y for _, y in corners) == pytest.approx(100 * height, abs=100 * 6e-6)


@pytest.mark.parametrize(("offset", "degrees"), [(0.5, 1.910), (1.0, 3.820), (2.0, 7.645)])
def test_angle_of_a_kink_at_the_middle_of_a_60_mm_rod(offset, degrees):
    """Between its two limbs, each of which keeps its length of 30."""
    corners = line_of(rod(60.0, "straight", kind="kink", at=30.0, up=offset))
    # the corner is laid off at 30 of the shortened rod: the limbs differ by the loss, 0.13 at most
    (x0, y0), (x1, y1), (x2, y2) = corners
    turn = math.atan2(y1 - y0, x1 - x0) - math.atan2(y2 - y1, x2 - x1)
    assert math.degrees(turn) == pytest.approx(degrees, abs=0.0005 + 0.001)


@pytest.mark.parametrize(
    ("bend", "offset"), [({"kind": "bow"}, 0.82), ({"kind": "kink", "at": 30.0}, 0.95)]
)
def test_how_far_a_60_mm_rod_may_be_bent_before_its_length_tells(bend, offset):
    """With 0.03 mm allowed: bowed by 0.82 or kinked by 0.95 at mid length, to two figures."""
    losses = [
        60 - eye_to_eye(rod(60.0, "straight", towards_frames=offset + k * 0.005, **bend))
        for k in (-1, 1)
    ]
    assert losses[0] < 0.03 < losses[1]


def test_a_bow_of_1_mm_in_60_has_a_radius_of_449_8():
    """So wide that hard brass or half-hard nickel silver 1 mm thick springs back from it."""
    made = rod(60.0, "straight", kind="bow", up=1.0)
    chord = eye_to_eye(made)
    radius = (chord**2 + 4) / 8
    assert radius == pytest.approx(449.8, abs=0.05)
    for corner in line_of(made):
        assert math.dist(corner, (chord / 2, 1 - radius)) == pytest.approx(radius, abs=1e-9)
