"""What ISO 2768-1:1989 grade m, taken where a sheet says nothing, means beside a running fit.

The table itself is checked in `test_iso_2768_1`. Reader's comment on P4 practice: 0.025 to 0.038 mm
on the diameter is a crank pin's running clearance with accurate quartering (0.001 to 0.0015 in).
"""

import pytest

from linkage.sheet import sheet_from
from linkage.sheet.dimensions import default_error
from linkage.tables.origin import Source
from linkage.units import iso_2768_1

PIN_CLEARANCE = (0.025, 0.038)  # [mm]


def sheet(**head):
    return sheet_from(
        {
            "arrangement": "slider-crank",
            "sides": ["only"],
            "wheels": {"throw": 4.33},
            "connecting_rod": {"centres": 40.0, "width": 1.8, "thickness": 0.8, "out": 2.6},
            "crosshead": {"thickness": 1.2, "out": 2.4},
            **head,
        }
    )


def test_a_rod_of_40_may_be_0_3_out():
    """Eight to twelve times the pin's clearance: grade m is no use for rods that couple wheels."""
    assert sheet().origins["connecting_rod.centres"].error == 0.3
    assert 0.3 / PIN_CLEARANCE[1] > 7.5
    assert 0.3 / PIN_CLEARANCE[0] == pytest.approx(12)


@pytest.mark.parametrize(
    ("length", "grade_m"), [(0.5, 0.1), (3.0, 0.1), (3.01, 0.1), (6.01, 0.2), (30.01, 0.3)]
)
def test_a_sheet_that_says_nothing_takes_grade_m(length, grade_m):
    assert default_error(length) == iso_2768_1(length, "m") == grade_m


def test_a_sheet_that_names_its_tool_does_not():
    """Every dimension of the same sheet, taken with callipers."""
    told = sheet(measured_to="callipers")
    assert {o.error for o in told.origins.values() if o.source is Source.MEASURED} == {0.03}
    assert "ISO" in " ".join(sheet().assumed)
    assert "ISO" not in " ".join(told.assumed)


def test_below_half_a_millimetre_the_standard_gives_nothing():
    """The deviation must stand beside the dimension, so the default is the trade's own."""
    with pytest.raises(ValueError, match="gives no tolerance"):
        iso_2768_1(0.4)
    assert default_error(0.4) == pytest.approx(0.08)  # a fifth of it: common practice, no source
