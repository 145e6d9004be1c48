"""Against ISO 2768-1:1989, *General tolerances*, table 1, linear dimensions."""

import math

import pytest

from linkage.units import iso_2768_1

RANGES = [(0.5, 3), (3, 6), (6, 30), (30, 120), (120, 400)]  # over .. up to and including [mm]
TABLE_1 = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2),
    "v": (None, 0.5, 1, 1.5, 2.5),
}
CELLS = [
    (grade, low, high, value)
    for grade, row in TABLE_1.items()
    for (low, high), value in zip(RANGES, row, strict=True)
    if value is not None
]


@pytest.mark.parametrize(("grade", "low", "high", "value"), CELLS)
def test_table_1(grade, low, high, value):
    """Plus or minus, at both ends of each range and within it; exact, being a table."""
    just_over = low if low == 0.5 else math.nextafter(low, math.inf)
    for length in (just_over, (low + high) / 2, high):
        assert iso_2768_1(length, grade) == value


@pytest.mark.parametrize("length", [0.5, 2, 3])
def test_table_1_has_no_very_coarse_up_to_3(length):
    with pytest.raises(ValueError, match=r"grade v gives no tolerance for"):
        iso_2768_1(length, "v")


@pytest.mark.parametrize("length", [0.0, 0.49, 400.1, -3.0, math.nan])
def test_nothing_outside_the_table(length):
    """Below 0.5 mm the deviation has to stand beside the dimension."""
    with pytest.raises(ValueError, match=r"gives no tolerance for"):
        iso_2768_1(length)


def test_there_are_four_classes():
    with pytest.raises(ValueError, match=r"grade 'g' is none of f, m, c, v"):
        iso_2768_1(10, "g")


def test_coarse_is_not_the_withdrawn_din_7168_g():
    """A circulating sheet prints 0.15 and 0.2 for the first two ranges."""
    assert (iso_2768_1(2, "c"), iso_2768_1(5, "c")) == (0.2, 0.3)
