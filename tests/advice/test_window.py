"""Windows of one number: their ends against whole examinations, and several in one range."""

from __future__ import annotations

import pytest

from linkage.advice.concern import Concern
from linkage.advice.keys import value_of
from linkage.advice.standing import Engine, Standing, concern_of
from linkage.advice.window import find_windows, search_windows
from linkage.certainty import Word
from linkage.errors import AssemblyError, SheetError
from linkage.examine import examine
from linkage.report.blocks import Paragraph
from linkage.report.document import windows_blocks
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tables.origin import Source
from linkage.tightspots import Fouls, PlayUsedUp

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


def test_a_window_is_as_sure_as_what_it_rests_on():
    """Guessed to a tenth, where the bracket stands says nothing of the window of a bend."""
    demo = read_sheet(ready_sheets()["ardmoor-2-6-0"])
    key, low, high = ENDS["ardmoor-2-6-0"]
    bracket = demo.data["motion_bracket"]
    vague = sheet_from(
        {**demo.data, "motion_bracket": {**bracket, "out": f"about {bracket['out']}"}}, "vague"
    )
    known, guessed = (find_windows(sheet, key, low, high) for sheet in (demo, vague))
    assert known.windows == guessed.windows
    (window,) = known.windows
    assert window.low < known.middle < window.high
    assert known.sure.rests_on[Source.GUESSED] == 0
    assert guessed.sure.rests_on[Source.GUESSED] == 1
    assert guessed.sure.chance > known.sure.chance
    assert guessed.sure.word is Word.CANNOT_TELL
    said = [block.text for block in windows_blocks(vague, guessed) if isinstance(block, Paragraph)]
    assert any("in the middle: Cannot be told from what was measured" in text for text in said)


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
    found = find_windows(demo, "radius_rod.centres", 22.95, 23.05)
    assert found.windows == ()
    assert found.left is None
    assert found.stop.parts == ("radius rod", "motion bracket")
    assert found.stop.slack < 0


def test_a_number_answers_for_its_own_fault(two_faults):
    """A coupling rod 0.13 too long, and a radius rod bowed against the bracket: each by itself."""
    rod = find_windows(two_faults, "right.coupling_rods.rear.centres", 24.8, 25.3)
    (window,) = rod.windows
    assert rod.here is None
    assert rod.left is not None
    assert {type(spot) for spot in rod.left.others} == {Fouls}
    assert rod.left.own == ()
    for value, binds in ((window.high - STEP, False), (window.high + STEP, True)):
        found = examine(change(two_faults, {"right.coupling_rods.rear.centres": value})).spots
        assert (PlayUsedUp in {type(spot) for spot in found}) == binds
    bow = find_windows(two_faults, "right.radius_rod.bend[1].towards_frames", 0.0, 0.7)
    assert bow.windows
    assert bow.left is not None
    assert {type(spot) for spot in bow.left.others} == {PlayUsedUp}


def test_a_good_number_may_stay_whatever_else_is_wrong(two_faults):
    """Neither fault is the left coupling rod's, nor the eccentric rod's."""
    for key in ("left.coupling_rods.rear.centres", "eccentric_rod.out"):
        now = value_of(two_faults, key)
        found = find_windows(two_faults, key, now - 0.1, now + 0.1)
        assert found.here is not None
        assert found.left is not None
        assert {type(spot) for spot in found.left.others} == {PlayUsedUp, Fouls}


def test_a_number_that_makes_another_fault_is_stopped_by_it(two_faults):
    """What was there does not count; what the number adds does."""
    found = find_windows(two_faults, "left.coupling_rods.rear.centres", 24.8, 25.2)
    (window,) = found.windows
    assert window.low > 24.8
    assert window.high < 25.2
    assert window.above is not None
    assert window.above.kind is PlayUsedUp


def test_where_one_number_frees_all_nothing_is_left_out(demo):
    """Though it is about another part than the fault: here the bracket, put down as another's."""
    stands = Standing(Engine(demo), Concern(frozenset({"eccentric_rod"}), ("right",)))
    assert stands.divided

    def made(out):
        return change(demo, {"motion_bracket.out": out})

    found = search_windows(made, "motion_bracket.out", 2.6, (2.0, 2.6), stands)
    assert found.left is None
    assert any(window.high < 2.6 for window in found.windows)


@pytest.mark.parametrize(
    ("name", "key", "tables"),
    [
        ("ardmoor-2-6-0", "radius_rod.centres", {"radius_rod", "expansion_link"}),
        ("ardmoor-2-6-0", "motion_bracket.out", {"motion_bracket"}),
        ("ardmoor-2-6-0", "expansion_link.trunnion.ahead", {"expansion_link"}),
        ("slider-crank", "cylinder.front_cover", {"crosshead"}),  # it carries the piston
        ("ardmoor-0-6-0-coupled", "left.axles.leading.pin_ahead_by", {"axles.leading"}),
        ("ardmoor-0-6-0-rod-long", "right.coupling_rods.front.centres", {"coupling_rods.front"}),
    ],
)
def test_what_a_number_is_about(name, key, tables):
    concern = concern_of(read_sheet(ready_sheets()[name]), [key])
    assert (None if concern is None else set(concern.keys)) == tables


def test_bad_calls(demo):
    with pytest.raises(SheetError, match=r'did you mean "radius_rod\.centres"'):
        find_windows(demo, "radius_rod.centre")
    with pytest.raises(ValueError, match="is empty"):
        find_windows(demo, "radius_rod.centres", 24.0, 23.0)
