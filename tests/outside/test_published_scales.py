"""Scales, gauges and drills as they are published.

- MOROP, *NEM 010* (2011): ratios and gauges; times one another they come to within 0.4 % of 1435 mm
  for Z to II, and by the standard itself not for III (1424), V (1397) and VII (1472): that is not
  put right. Page 2: from 1:45 to 1:87 a drawing is 0.517 as large.
- NMRA *S-1.2* (from memory): gauges; times the ratio within 1 % of 56.5 in, but for O (60 in).
- Wire and letter gauges (from memory): each finer than the one before, from 0.228 to 0.0135 in and
  from 0.234 to 0.413; letter E is a quarter of an inch.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from linkage.standards.scales import NEM_010, NMRA_S_1_2, scaled
from linkage.standards.stock import (
    DRILLS,
    LETTER_DRILLS,
    METRIC_DRILLS,
    NUMBER_DRILLS,
    REAMERS,
    nearest,
    next_above,
)
from linkage.units import SCALES

IMPLIED = {"Z": 1430, "N": 1440, "TT": 1440, "H0": 1435.5, "S": 1440, "0": 1440, "I": 1440,
           "II": 1440, "III": 1424, "V": 1397, "VII": 1472, "X": 1430}  # fmt: skip


@pytest.mark.parametrize("line", NEM_010, ids=lambda one: one.name)
def test_nem_010_as_printed_exceptions_and_all(line):
    assert line.ratio * line.gauge == pytest.approx(IMPLIED[line.name], abs=1e-9)
    off = abs(line.ratio * line.gauge / 1435 - 1)
    assert (off < 0.004) == (line.name not in {"III", "V", "VII"})


def test_nem_010_page_2():
    assert scaled(1.0, "NEM 0", "NEM H0") == pytest.approx(0.517, abs=0.0005)


@pytest.mark.parametrize("line", NMRA_S_1_2, ids=lambda one: one.name)
def test_nmra_gauges(line):
    inches = line.ratio * line.gauge / 25.4
    assert inches == pytest.approx(60.0 if line.name == "O" else 56.5, rel=0.01)


def test_a_sheets_scales_are_those_of_the_standard():
    for name, nem in (("Z", "Z"), ("N", "N"), ("TT", "TT"), ("HO", "H0"), ("S", "S"), ("O", "0"),
                      ("gauge 1", "I"), ("gauge 3", "II")):  # fmt: skip
        line = next(one for one in NEM_010 if one.name == nem)
        assert (SCALES[name].ratio, SCALES[name].gauge) == (line.ratio, line.gauge)


def test_number_and_letter_drills():
    assert len(NUMBER_DRILLS) == 80
    assert all(a.size > b.size for a, b in pairwise(NUMBER_DRILLS))
    assert all(a.size < b.size for a, b in pairwise(LETTER_DRILLS))
    inches = {one.name: one.size / 25.4 for one in DRILLS}
    for name, size in (("no. 1", 0.228), ("no. 30", 0.1285), ("no. 60", 0.04), ("no. 80", 0.0135),
                       ("letter A", 0.234), ("letter E", 0.25), ("letter Z", 0.413),
                       ("1/4 in", 0.25)):  # fmt: skip
        assert inches[name] == pytest.approx(size, abs=1e-12)


def test_metric_drills_go_up_without_gaps():
    sizes = [one.size for one in METRIC_DRILLS]
    assert sizes == sorted(sizes)
    assert sizes[0] == 0.3
    assert sizes[-1] == 13.0
    assert max(b - a for a, b in pairwise(sizes)) == pytest.approx(0.5)


def test_the_nearest_and_the_next():
    assert nearest(1.6, DRILLS).name == "1.6 mm"
    assert nearest(1.613, DRILLS).name == "no. 52"
    assert next_above(1.51, REAMERS).name == "1/16 in"
    assert next_above(99.0, REAMERS) is None
