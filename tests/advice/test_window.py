"""Windows of one number: their ends against whole examinations, and several in one range."""

from __future__ import annotations

from functools import cache

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
from linkage.sheet import change, sheet_from
from linkage.tables.origin import Source
from linkage.tightspots import Fouls, PlayUsedUp, TouchesWithPlay
from tests.ready import examined, examined_once, ready

ENDS = {  # sheet: number, and a range with one end or more in it
    "ardmoor-0-4-0-worn-hole": ("coupling_rods.front.centres", 28.9, 29.3),
    "ardmoor-2-6-0": ("right.radius_rod.bend[1].towards_frames", 0.0, 1.0),
    "ardmoor-0-6-0-7mm": ("radius_rod.out", 6.0, 7.0),
    "ardmoor-0-6-0-nut-on-curves": ("axles.leading.side_play", 0.2, 0.8),
    "ardmoor-pacific-5in": ("weighshaft.up", 97.0, 103.0),
    "slider-crank": ("connecting_rod.centres", 63.0, 69.0),
    "slider-crank-rod-too-long": ("connecting_rod.centres", 64.0, 68.0),
}
MORE = {
    "ardmoor-2-6-0-straightened": ("eccentric_rod.out", 4.0, 7.0),
    "ardmoor-0-6-0-rod-long": ("right.coupling_rods.front.centres", 28.8, 29.2),
    "ardmoor-0-6-0-coupled": ("left.axles.leading.pin_ahead_by", -4.0, 6.0),
}
EVERY = [*ENDS.items(), *(pytest.param(*item, marks=pytest.mark.long) for item in MORE.items())]
STEP = 0.002  # twice what an end is closed in on to


@cache
def windows_of(name, looked_at):
    """Return a ready sheet, and the windows of one of its numbers."""
    return ready(name), find_windows(ready(name), *looked_at)


@pytest.mark.parametrize(("name", "looked_at"), EVERY)
def test_the_ends_are_where_a_whole_examination_has_them(name, looked_at):
    """Just inside every end `check` finds it free, just outside it does not."""
    sheet, found = windows_of(name, looked_at)
    key = looked_at[0]
    assert found.windows
    ends = 0
    for window in found.windows:
        for end, stop, way in ((window.low, window.below, -1), (window.high, window.above, 1)):
            if stop is None:
                continue
            ends += 1
            assert is_free(sheet, key, end - way * STEP)
            if stop.kind is not None:
                assert not is_free(sheet, key, end + way * STEP)
    assert ends


def test_a_window_is_as_sure_as_what_it_rests_on():
    """Guessed to a tenth, where the bracket stands says nothing of the window of a bend."""
    demo = ready("ardmoor-2-6-0")
    key, low, high = ENDS["ardmoor-2-6-0"]
    bracket = demo.data["motion_bracket"]
    vague = sheet_from(
        {**demo.data, "motion_bracket": {**bracket, "out": f"about {bracket['out']}"}}, "vague"
    )
    _, known = windows_of("ardmoor-2-6-0", ENDS["ardmoor-2-6-0"])
    guessed = find_windows(vague, key, low, high)
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
        return examine(change(sheet, {key: value}), known=examined_once(sheet)).free
    except AssemblyError:
        return False


def test_values_between_are_free_too():
    sheet, found = windows_of("ardmoor-0-6-0-7mm", ENDS["ardmoor-0-6-0-7mm"])
    (window,) = found.windows
    for part in (0.1, 0.4, 0.7, 0.9):
        value = window.low + part * (window.high - window.low)
        made = change(sheet, {"radius_rod.out": value})
        assert examine(made, known=examined("ardmoor-0-6-0-7mm")).free


def test_two_windows_in_one_range():
    """A lever that hangs between two plates clears them beyond either: three ways to sit."""
    sheet = ready("ardmoor-2-6-0-straightened")
    found = find_windows(sheet, "motion_bracket.out", 2.0, 8.0)
    assert len(found.windows) >= 2
    for one, other in zip(found.windows, found.windows[1:], strict=False):
        middle = 0.5 * (one.high + other.low)
        assert not examine(change(sheet, {"motion_bracket.out": middle})).free


def test_todays_value_and_its_window():
    found = find_windows(ready("slider-crank"), "connecting_rod.out")
    assert found.here is not None
    assert found.here.low <= found.now <= found.here.high


def test_no_window_says_what_comes_closest(demo):
    found = find_windows(demo, "radius_rod.centres", 22.95, 23.05)
    assert found.windows == ()
    assert found.left is None
    assert found.stop.parts == ("radius rod", "motion bracket")
    assert found.stop.slack < 0


def test_a_number_answers_for_its_own_fault(two_faults):
    """A coupling rod 0.13 too long, and a radius rod bowed against the bracket: each by itself.

    The bow for its part: `test_bending`.
    """
    rod = find_windows(two_faults, "right.coupling_rods.rear.centres", 24.8, 25.3)
    (window,) = rod.windows
    assert rod.here is None
    assert rod.left is not None
    assert {type(spot) for spot in rod.left.others} == {Fouls}
    assert rod.left.own == ()
    for value, binds in ((window.high - STEP, False), (window.high + STEP, True)):
        made = change(two_faults, {"right.coupling_rods.rear.centres": value})
        found = examine(made, known=examined_once(two_faults)).spots
        assert (PlayUsedUp in {type(spot) for spot in found}) == binds


@pytest.mark.long
def test_a_good_number_may_stay_whatever_else_is_wrong(two_faults):
    """Neither fault is the eccentric rod's."""
    now = value_of(two_faults, "eccentric_rod.out")
    found = find_windows(two_faults, "eccentric_rod.out", now - 0.1, now + 0.1)
    assert found.here is not None
    assert found.left is not None
    assert {type(spot) for spot in found.left.others} == {PlayUsedUp, Fouls}


def test_a_number_that_makes_another_fault_is_stopped_by_it(two_faults):
    """What was there does not count, for neither is the left rod's; what the number adds does."""
    found = find_windows(two_faults, "left.coupling_rods.rear.centres", 24.8, 25.2)
    assert found.here is not None
    assert found.left is not None
    assert {type(spot) for spot in found.left.others} == {PlayUsedUp, Fouls}
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
    concern = concern_of(ready(name), [key])
    assert (None if concern is None else set(concern.keys)) == tables


def test_bad_calls(demo):
    with pytest.raises(SheetError, match=r'did you mean "radius_rod\.centres"'):
        find_windows(demo, "radius_rod.centre")
    with pytest.raises(ValueError, match="is empty"):
        find_windows(demo, "radius_rod.centres", 24.0, 23.0)


def test_a_window_is_no_wider_than_worn_holes_let_it_be():
    """With 0.3 mm of play the bars must be farther apart: to the hundredth what `check` says."""
    data = ready("ardmoor-2-6-0-straightened").data | {"joint_play": {"everywhere": 0.3}}
    sheet = sheet_from(data, ask=False)
    (window,) = find_windows(sheet, "slide_bars.gap").windows
    assert window.below is not None
    assert window.below.kind is TouchesWithPlay
    assert examine(change(sheet, {"slide_bars.gap": window.low + 0.005})).free
    spots = examine(change(sheet, {"slide_bars.gap": window.low - 0.005})).spots
    assert {type(spot) for spot in spots} == {TouchesWithPlay}
