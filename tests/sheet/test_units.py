"""Lengths, angles, clock faces and tolerances at the border."""

import math

import pytest

from linkage.units import SCALES, clock, iso_2768_1, parse_angle, parse_length


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (4.33, 4.33),
        (4, 4.0),
        ("4.33", 4.33),
        ("4,33", 4.33),
        (",5", 0.5),
        ("3/32 in", 2.38125),
        ('3/32"', 2.38125),
        ("1 3/16 in", 30.1625),
        ("1-3/16 inches", 30.1625),
        ("38 thou", 0.9652),
        ("4.3 mm", 4.3),
        ("0,5 in.", 12.7),
        ("2 cm", 20.0),
        ("-1.5", -1.5),
        ("1e-05 mm", 1e-5),
    ],
)
def test_lengths_as_they_are_written(written, mm):
    assert parse_length(written) == pytest.approx(mm, rel=1e-15)


def test_bare_numbers_are_in_the_sheets_unit():
    assert parse_length(0.5, "in") == pytest.approx(12.7, rel=1e-15)
    assert parse_length("1/2", "in") == pytest.approx(12.7, rel=1e-15)
    assert parse_length("3 mm", "in") == 3.0


@pytest.mark.parametrize(
    "written", ["", "x", "4.33 feet", "1.2.3", "1/2/3", True, None, [4], "--1"]
)
def test_what_is_no_length_is_refused(written):
    with pytest.raises(ValueError, match="should be a length, such as"):
        parse_length(written)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "1e999"])
def test_a_length_is_finite(value):
    with pytest.raises(ValueError, match="should be a finite number"):
        parse_length(value)


def test_a_fraction_of_nought_is_refused():
    with pytest.raises(ValueError, match="divided by nought"):
        parse_length("3/0 in")


@pytest.mark.parametrize("written", [90, 90.0, "90", "90 deg", "90°", "90,0 degrees"])
def test_angles_are_degrees(written):
    assert parse_angle(written) == pytest.approx(math.pi / 2, rel=1e-15)


@pytest.mark.parametrize("written", ["right", "90 rad", False, None])
def test_what_is_no_angle_is_refused(written):
    with pytest.raises(ValueError, match="should be an angle in degrees"):
        parse_angle(written)


def test_an_angle_is_finite():
    with pytest.raises(ValueError, match="should be a finite number"):
        parse_angle(math.nan)


@pytest.mark.parametrize(
    ("side", "degrees", "face"),
    [
        ("right", 0, "about 3 o'clock"),
        ("right", 90, "about 6 o'clock"),
        ("right", 180, "about 9 o'clock"),
        ("right", 270, "about 12 o'clock"),
        ("left", 0, "about 9 o'clock"),
        ("left", 90, "about 6 o'clock"),
        ("left", 270, "about 12 o'clock"),
        ("right", 44, "about half past 4"),
        ("right", 286, "about half past 12"),
        ("left", 460, "about half past 5"),
        ("only", 30, "about 4 o'clock"),
    ],
)
def test_the_clock_is_seen_from_outside(side, degrees, face):
    assert clock(side, math.radians(degrees)) == face


@pytest.mark.parametrize(
    ("grade", "lengths"),
    [
        # ISO 2768-1:1989: just up to each limit, and just over it.
        ("f", {0.5: 0.05, 3: 0.05, 6: 0.05, 30: 0.1, 120: 0.15, 400: 0.2}),
        ("m", {0.5: 0.1, 3.01: 0.1, 6.01: 0.2, 30.01: 0.3, 120.01: 0.5}),
        ("c", {3: 0.2, 3.01: 0.3, 6.01: 0.5, 30.01: 0.8, 120.01: 1.2}),
        ("v", {3.01: 0.5, 6.01: 1.0, 30.01: 1.5, 120.01: 2.5}),
    ],
)
def test_iso_2768_1_table(grade, lengths):
    assert {length: iso_2768_1(length, grade) for length in lengths} == lengths


@pytest.mark.parametrize(
    ("length", "grade", "message"),
    [
        (0.49, "m", "gives no tolerance for 0.49 mm"),
        (401, "m", "gives no tolerance for 401 mm"),
        (2, "v", "grade v gives no tolerance for 2 mm"),
        (2, "x", "grade 'x' is none of"),
        (math.nan, "m", "gives no tolerance for nan mm"),
    ],
)
def test_iso_2768_1_ends_where_its_table_ends(length, grade, message):
    with pytest.raises(ValueError, match=message):
        iso_2768_1(length, grade)


# Gauge times ratio against 1435 mm: within 0.4 % by NEM 010 from Z to gauge 3.
@pytest.mark.parametrize("name", ["Z", "N", "TT", "HO", "S", "O", "gauge 1", "gauge 3"])
def test_gauges_are_of_standard_track(name):
    scale = SCALES[name]
    assert scale.ratio * scale.gauge == pytest.approx(1435, rel=4e-3)


def test_scales_in_mm_to_the_foot():
    assert SCALES["4 mm"].ratio == pytest.approx(76.2, rel=1e-12)
    assert SCALES["7 mm"].ratio == pytest.approx(43.5429, abs=5e-5)
    assert SCALES["10 mm"].ratio == pytest.approx(30.48, rel=1e-12)


@pytest.mark.parametrize("text", ["3/64", "1 3/16", "-5/32"])
def test_a_fraction_that_no_millimetre_has_is_asked_about(text):
    with pytest.raises(ValueError, match=rf'unit, such as "{text} in"'):
        parse_length(text, "mm")
    assert parse_length(f"{text} in", "mm") == parse_length(text, "in")
    assert parse_length("1/2", "mm") == 0.5
