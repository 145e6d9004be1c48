"""A gear that cannot be put together at a place of its reverser has a finding there."""

from __future__ import annotations

import math
import re

import pytest

from linkage.errors import AssemblyError
from linkage.examine import examine
from linkage.report.spots import say_spot
from linkage.scene.moment import moment_of
from linkage.scene.side import side_title
from linkage.sheet import change, set_running, sheet_in
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import CannotClose

LONG_ARM = {  # the lifting link hangs where it did in full forward gear, and goes far too high back
    "ahead": "354.6",
    "up": "134.0",
    "arm": "150.0",
    "gear": "{ full_forward = -18.0, mid = -13.0, full_back = 75.0 }",
}


@pytest.fixture(scope="module")
def shut():
    text = ready_sheets()["ardmoor-pacific-5in"].read_text(encoding="utf-8")
    before, mark, after = text.partition("[weighshaft]")
    for key, value in LONG_ARM.items():
        after = re.sub(rf"^{key} +=.*$", f"{key} = {value}", after, count=1, flags=re.MULTILINE)
    text = f'sides = ["right"]\n{before}{mark}{after}'
    return examine(sheet_in(text, "long-arm.toml"))


def test_it_is_found_and_said_with_where(shut):
    spot = next(spot for spot in shut.spots if spot.place == "full_back")
    assert isinstance(spot, CannotClose)
    assert spot.gap > 10.0
    assert spot.end - spot.begin == 2 * math.pi
    said = say_spot(shut, spot)
    assert "in full back gear: " in said
    assert said.endswith("short; the wheels lock, all round the turn.")


def test_its_picture_shows_the_sides_where_they_have_a_place(shut):
    spot = next(spot for spot in shut.spots if spot.place == "full_back")
    moment = moment_of(shut, spot)
    assert all(math.isfinite(x) for pose in moment.poses.values() for x in pose)
    assert side_title(moment).endswith("in full forward gear, where it can be put together")


def test_a_sheet_set_to_that_place_is_looked_at_from_another(shut):
    """What is found is the same wherever the reverser stands on the sheet."""
    found = examine(set_running(shut.sheet, "full_back"))
    assert found.sheet.running == "full_forward"
    assert [(s.place, s.parts) for s in found.spots] == [(s.place, s.parts) for s in shut.spots]


def test_one_that_can_be_put_together_nowhere_is_refused(shut):
    short = change(shut.sheet, {"eccentric_rod.centres": 40.0})
    with pytest.raises(AssemblyError, match="cannot be put together at any crank angle"):
        examine(set_running(short, "full_back"))
