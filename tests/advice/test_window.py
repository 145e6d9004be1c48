"""Windows of one number: their ends against whole examinations, and several in one range."""

from __future__ import annotations

import pytest

from linkage.advice.window import find_windows
from linkage.errors import AssemblyError, SheetError
from linkage.examine import examine
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets

ENDS = {  # sheet: number, and a range with one end or more in it
    "ardmoor-2-6-0": ("right.radius_rod.bend[1].towards_frames", 0.0, 1.0),
    "ardmoor-2-6-0-straightened": ("eccentric_rod.out", 4.0, 7.0),
    "ardmoor-0-6-0-7mm": ("radius_rod.out", 6.0, 7.0),
    "ardmoor-0-6-0-rod-long": ("right.coupling_rods.front.centres", 28.8, 29.2),
    "ardmoor-0-6-0-coupled": ("left.axles.leading.pin_ahead_by", -4.0, 6.0),
    "ardmoor-0-6-0-nut-on-curves": ("axles.leading.side_play", 0.2, 0.8),
    "ardmoor-0-4-0-worn-hole": ("coupling_rods.front.centres", 28.9, 29.3),
    "ardmoor-pacific-5in": ("weighshaft.up", 97.0, 103.0),
    "slider-crank": ("connecting_rod.centres", 63.0, 69.0),
    "slider-crank-rod-too-long": ("connecting_rod.centres", 64.0, 68.0),
}
STEP = 0.002  # twice what an end is closed in on to


@pytest.mark.parametrize("name", ENDS)
def test_the_ends_are_where_a_whole_examination_has_them(name):
    """Just inside every end `check` finds it free, just outside it does not."""
    sheet = read_sheet(ready_sheets()[name])
    key, low, high = ENDS[name]
    found = find_windows(sheet, key, low, high)
    assert found.windows
    ends = 0
    for window in found.windows:
        for end, stop, way in ((window.low, window.below, -1), (window.high, window.above, 1)):
            if stop is None:
                continue
            ends += 1
            assert examine(change(sheet, {key: end - way * STEP})).free
            if stop.kind is not None:
                assert not is_free(sheet, key, end + way * STEP)
    assert ends


def is_free(sheet, key, value):
    try:
        return examine(change(sheet, {key: value})).free
    except AssemblyError:
        return False


def test_values_between_are_free_too():
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-7mm"])
    found = find_windows(sheet, "radius_rod.out", 6.0, 7.0)
    (window,) = found.windows
    for part in (0.1, 0.4, 0.7, 0.9):
        value = window.low + part * (window.high - window.low)
        assert examine(change(sheet, {"radius_rod.out": value})).free


def test_two_windows_in_one_range():
    """A lever that hangs between two plates clears them beyond either: three ways to sit."""
    sheet = read_sheet(ready_sheets()["ardmoor-2-6-0-straightened"])
    found = find_windows(sheet, "motion_bracket.out", 2.0, 8.0)
    assert len(found.windows) >= 2
    for one, other in zip(found.windows, found.windows[1:], strict=False):
        middle = 0.5 * (one.high + other.low)
        assert not examine(change(sheet, {"motion_bracket.out": middle})).free


def test_todays_value_and_its_window(straight):
    found = find_windows(straight, "eccentric_rod.out")
    assert found.here is not None
    assert found.here.low <= found.now <= found.here.high


def test_no_window_says_what_comes_closest(demo):
    found = find_windows(demo, "eccentric_rod.centres", 24.05, 24.15)
    assert found.windows == ()
    assert found.stop.parts == ("radius rod", "motion bracket")
    assert found.stop.slack < 0


def test_bad_calls(demo):
    with pytest.raises(SheetError, match=r'did you mean "radius_rod\.centres"'):
        find_windows(demo, "radius_rod.centre")
    with pytest.raises(ValueError, match="is empty"):
        find_windows(demo, "radius_rod.centres", 24.0, 23.0)
