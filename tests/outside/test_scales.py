"""Against MOROP NEM 010 (2011), *Scales, gauges, letters*, and the mm-per-foot scales."""

import pytest

from linkage.units import SCALES

NEM_010 = [  # our name, its name, ratio, gauge [mm]
    ("Z", "Z", 220, 6.5),
    ("N", "N", 160, 9),
    ("TT", "TT", 120, 12),
    ("HO", "H0", 87, 16.5),
    ("S", "S", 64, 22.5),
    ("O", "0", 45, 32),
    ("gauge 1", "I", 32, 45),
    ("gauge 3", "II", 22.5, 64),
]


@pytest.mark.parametrize(("ours", "theirs", "ratio", "gauge"), NEM_010)
def test_nem_010_table(ours, theirs, ratio, gauge):
    assert (SCALES[ours].ratio, SCALES[ours].gauge) == (ratio, gauge)


@pytest.mark.parametrize(("ours", "theirs", "ratio", "gauge"), NEM_010)
def test_nem_010_implied_gauge_of_the_prototype(ours, theirs, ratio, gauge):
    """Gauge times ratio is 1435 mm within 0.4 %, by the standard's own rounding."""
    assert SCALES[ours].gauge * SCALES[ours].ratio == pytest.approx(1435, rel=0.004)


def test_nem_010_drawing_from_1_45_to_1_87():
    """Page 2 prints the factor 0.517."""
    assert SCALES["O"].ratio / SCALES["HO"].ratio == pytest.approx(0.517, abs=5e-4)


PER_FOOT = [  # name, printed or exact ratio
    ("2 mm", 152.4),
    ("3 mm", 101.6),
    ("3.5 mm", 87.0857),
    ("4 mm", 76.2),
    ("7 mm", 43.5429),
    ("10 mm", 30.48),
    ("16 mm", 19.05),
    ("O 1:48", 48.0),
]


@pytest.mark.parametrize(("name", "ratio"), PER_FOOT)
def test_mm_to_the_foot(name, ratio):
    """304.8 over the mm to the foot; 1/4 in to the foot is 1:48."""
    assert SCALES[name].ratio == pytest.approx(ratio, abs=5e-4)


def test_ho_and_3_5_mm_are_kept_apart():
    """1:87 exactly by NEM, 1:87.0857 by 3.5 mm to the foot."""
    assert SCALES["HO"].ratio != SCALES["3.5 mm"].ratio
    assert SCALES["3.5 mm"].ratio / SCALES["HO"].ratio == pytest.approx(1.001, abs=5e-5)


def test_us_o_gauge_is_wide_for_its_scale():
    """1.25 in at 1:48 is 60 in, 6.2 % over 56.5: historical, and so to be left."""
    scale = SCALES["O 1:48"]
    assert scale.gauge * scale.ratio / 25.4 == pytest.approx(60.0, abs=5e-2)
