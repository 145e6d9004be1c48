"""Full-size lengths at model scales and back."""

from __future__ import annotations

import pytest

from linkage.standards.scales import (
    nearest_fraction,
    parse_full_size,
    ratio_of,
    say_feet,
    scaled,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5 ft 8 in", 1727.2),
        ("5ft", 1524.0),
        ("4' 8 1/2\"", 1435.1),
        ("4 feet 8.5", 1435.1),
        ("2 ft 4 1/2 in", 723.9),
        ("38 thou", 0.9652),
        ("12", 12.0),
    ],
)
def test_feet_and_inches_are_read(text, mm):
    assert parse_full_size(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("text", ["5 ft long", "", "ft", "1/0 in"])
def test_what_is_no_length_is_refused(text):
    with pytest.raises(ValueError, match="should"):
        parse_full_size(text)


@pytest.mark.parametrize(
    ("mm", "under", "said"),
    [
        (1435.1, 16, "4 ft 8 1/2 in"),
        (304.8, 16, "1 ft"),
        (0.0, 16, "0 in"),
        (25.4, 64, "1 in"),
        (25.4 * 1.75, 64, "1 3/4 in"),
        (-12.7, 16, "-1/2 in"),
        (2.0, 64, "5/64 in"),
        (304.79, 16, "1 ft"),
    ],
)
def test_feet_and_inches_are_said(mm, under, said):
    assert say_feet(mm, under) == said


@pytest.mark.parametrize(
    ("scale", "ratio"),
    [
        ("full size", 1.0),
        ("Full Size", 1.0),
        ("4 mm", 76.2),
        ("NEM 0", 45.0),
        ("1:32", 32.0),
        ("1/11", 11.0),
        ("7 mm to the foot", 304.8 / 7),
        ("3/16 in to the foot", 64.0),
    ],
)
def test_scales_are_read(scale, ratio):
    assert ratio_of(scale) == pytest.approx(ratio, rel=1e-12)


@pytest.mark.parametrize("scale", ["", "1:0", "0 mm to the foot", "NEM Q", "big"])
def test_what_is_no_scale_is_refused(scale):
    with pytest.raises(ValueError, match="should be a"):
        ratio_of(scale)


def test_there_and_back():
    """A wheel of 5 ft 8 in at 7 mm to the foot is 39.67 mm: 5 2/3 times 7."""
    there = scaled(1727.2, "full size", "7 mm")
    assert there == pytest.approx(7 * (5 + 8 / 12), abs=1e-9)
    assert scaled(there, "7 mm", "full size") == pytest.approx(1727.2, abs=1e-9)


def test_the_nearest_fraction():
    assert nearest_fraction(2.0) == pytest.approx(5 / 64 * 25.4)
