"""Against *Machinery's Handbook*, 31st ed. (2020), pp. 50, 79 and 83, segments of circles.

With c the chord, h the height, r the radius and l the arc: ``r = (c^2 + 4 h^2) / (8 h)``,
``l = r alpha``. The last group is not printed anywhere: lengths lost by a bent rod, worked out
from the same formulas with the length of the metal kept.
"""

import math

import pytest

from linkage.arrangements.rods import bow_chord, eye_to_eye
from linkage.tables.rods import Rod


def arc_of(radius, height):
    """Return the arc of a segment by its radius and height [mm]."""
    return radius * 2 * math.acos(1 - height / radius)


def test_page_79_radius_60_height_8():
    """Printed 59.86, rounded early from 2 x 29.93; 59.8665 unrounded."""
    assert bow_chord(arc_of(60, 8), 8) == pytest.approx(59.86, abs=0.01)
    assert bow_chord(arc_of(60, 8), 8) == pytest.approx(59.8665, abs=5e-5)


def test_page_79_chord_16_height_6():
    """Printed radius 8 1/3, from which the arc is made here."""
    assert bow_chord(arc_of(8 + 1 / 3, 6), 6) == pytest.approx(16, abs=1e-5)


def test_page_50_radius_12_depth_2():
    assert arc_of(12, 2) == pytest.approx(14.06, abs=0.005)
    assert bow_chord(arc_of(12, 2), 2) == pytest.approx(13.27, abs=0.005)


@pytest.mark.parametrize(
    ("arc", "height", "chord"), [(1.0, 0.096919589, 0.97449536), (25.308373, 6.0, 21.0)]
)
def test_page_83_to_every_digit(arc, height, chord):
    assert bow_chord(arc, height) == pytest.approx(chord, rel=1e-7)  # eight digits are printed


UNIT_RADIUS = [  # degrees, arc, height, chord
    (10, 0.17453, 0.00381, 0.17431),
    (20, 0.34907, 0.01519, 0.34730),
    (30, 0.52360, 0.03407, 0.51764),
    (45, 0.78540, 0.07612, 0.76537),
    (60, 1.04720, 0.13397, 1.00000),
    (90, 1.57080, 0.29289, 1.41421),
    (120, 2.09440, 0.50000, 1.73205),
    (180, 3.14159, 1.00000, 2.00000),
]


@pytest.mark.parametrize(("degrees", "arc", "height", "chord"), UNIT_RADIUS)
def test_unit_radius_table(degrees, arc, height, chord):
    """Handbooks print such a table; the digits were recomputed. Five decimals in, five out."""
    angle = math.radians(degrees)
    exact = bow_chord(angle, 1 - math.cos(angle / 2))
    assert exact == pytest.approx(chord, abs=6e-6)
    # 5e-6 of the height moves the chord by its slope, at most 3.2 of it (half circle: pi)
    assert bow_chord(arc, height) == pytest.approx(chord, abs=3.2 * 5e-6 + 6e-6 + 5e-6)


def straight_rod(centres, **bend):
    """Return a rod that measured `centres` straight, with one bend."""
    return Rod.model_validate(
        {
            "centres": centres, "centres_measured": "straight", "width": 2.0, "thickness": 0.8,
            "out": 2.0, "bend": [{"from": "rear", **bend}],
        }
    )  # fmt: skip


def loss(centres, **bend):
    return centres - eye_to_eye(straight_rod(centres, **bend))


@pytest.mark.parametrize(
    ("sag", "exact", "rule"),
    [(0.5, 0.01111, 0.01111), (1, 0.04447, 0.04444), (2, 0.17815, 0.17778)],
)
def test_length_lost_by_a_bow_of_a_60_mm_rod(sag, exact, rule):
    found = loss(60.0, kind="bow", towards_frames=sag)
    assert found == pytest.approx(exact, abs=1e-5)
    assert found == pytest.approx(8 * sag**2 / (3 * 60), rel=0.003)  # shallow: within 0.3 %
    assert 8 * sag**2 / (3 * 60) == pytest.approx(rule, abs=5e-6)


@pytest.mark.parametrize(("offset", "exact"), [(0.5, 0.00833), (1, 0.03334), (2, 0.13348)])
def test_length_lost_by_a_kink_at_the_middle_of_a_60_mm_rod(offset, exact):
    found = loss(60.0, kind="kink", at=30.0, towards_frames=offset)
    assert found == pytest.approx(exact, abs=1e-5)
    assert found == pytest.approx(2 * offset**2 / 60, rel=0.003)


@pytest.mark.parametrize("offset", [0.5, 1.0, 2.0])
def test_bow_loses_four_thirds_of_a_kink(offset):
    bow = loss(60.0, kind="bow", up=offset)
    kink = loss(60.0, kind="kink", at=30.0, up=offset)
    assert 1.3333 < bow / kink < 1.3347


@pytest.mark.parametrize(
    ("rear", "front", "degrees", "exact"), [(15, 45, 5, 0.04282), (30, 30, 10, 0.22832)]
)
def test_length_lost_by_a_kink_of_so_many_degrees(rear, front, degrees, exact):
    """The offset of the corner from the line of the eyes is ``a b sin d / chord``."""
    turn = math.radians(degrees)
    chord = math.sqrt(rear**2 + front**2 + 2 * rear * front * math.cos(turn))
    offset = rear * front * math.sin(turn) / chord
    found = loss(float(rear + front), kind="kink", at=float(rear), down=offset)
    assert found == pytest.approx(exact, abs=1e-5)
    assert found == pytest.approx(rear * front * turn**2 / (2 * (rear + front)), rel=0.003)
