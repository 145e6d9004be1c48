"""How sure it is that something is pinched, limps or swings unevenly: slopes against found anew."""

import pytest

from linkage.certainty import Word, how_sure
from linkage.certainty.besides import every_figure
from linkage.examine import examine
from linkage.sheet import change, read_sheet
from linkage.sheet.numbers import numbers_of, with_number
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Mistimed
from tests.faults.engines import sheet_with
from tests.faults.made import MADE

BY = 0.02
pytestmark = pytest.mark.slow  # every one is examined twice, whole

# the fault, the number that tells most, and how sure it is with what its sheet was measured to
TOLD = [
    (24, "crank_pin.bush", Word.SURE),  # 0.1 mm pinched, of two numbers known to 0.03
    (10, "coupling.thickness", Word.TOUCH_AND_GO),  # as much, of two known to less
    (9, "coupling.pin", Word.TOUCH_AND_GO),  # lags 0.7 degree more than it may
    (23, "return_crank.pin_circle", Word.SURE),
]


@pytest.mark.parametrize(("fault", "key", "word"), TOLD)
def test_its_room_goes_as_its_slope_says(fault, key, word):
    made = next(one for one in MADE if one.fault == fault)
    found = examine(sheet_with(made.engine, made.puts))
    numbers = numbers_of(found.sheet)
    column = next(k for k, number in enumerate(numbers) if number.key == key)
    before = figures_of(found, made.finding)
    after = figures_of(examine(with_number(found.sheet, numbers[column], BY)), made.finding)
    assert len(before) == len(after) > 0
    for figure, again in zip(before, after, strict=True):
        expected = figure.room.now + BY * figure.room.slopes[column]
        assert again.room.now == pytest.approx(expected, abs=5e-4)
    assert max(abs(figure.room.slopes[column]) for figure in before) > 0.1
    judged = [
        one
        for spot, one in zip(found.spots, how_sure(found).spots, strict=True)
        if type(spot) is made.finding
    ]
    assert {one.word for one in judged} == {word}
    assert all(one.chance > 0.5 for one in judged)


def figures_of(found, kind):
    return [one for one in every_figure(found, numbers_of(found.sheet)) if one.kind is kind]


def test_valves_that_are_all_but_unlike_are_in_doubt_before_they_are_told():
    """A return crank more and more off the other side's: the doubt comes before the finding."""
    sheet = read_sheet(ready_sheets()["ardmoor-0-6-0-7mm"])
    key = "left.return_crank.pin_circle"
    now = sheet.dimensions["left"]["return_crank.pin_circle"]
    found = {by: examine(change(sheet, {key: now + by})) for by in (0.03, 0.11, 0.12, 0.15)}
    chances = [how_sure(one).whole.chance for one in found.values()]
    assert [one.free for one in found.values()] == [True, True, True, False]
    assert chances == sorted(chances)
    assert chances[0] == 0.0
    assert 0.1 < chances[1] < chances[2] < 0.6 < chances[3]
    assert how_sure(found[0.11]).whole.doubt.kind is Mistimed

    (before,), (after,) = (figures_of(found[by], Mistimed) for by in (0.11, 0.12))
    column = next(k for k, one in enumerate(numbers_of(found[0.11].sheet)) if one.key == key)
    expected = before.room.now + 0.01 * before.room.slopes[column]
    assert after.room.now == pytest.approx(expected, abs=5e-4)
    # the marks of the finding itself: what may be, or what errors explain
    (near,) = found[0.12].nearly_unlike
    assert after.room.now == pytest.approx(near.room, abs=1e-9)
    assert found[0.15].nearly_unlike == ()
