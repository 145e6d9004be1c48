"""Parts that are offered: as they are, turned end for end, altered, or not at all."""

from __future__ import annotations

import pytest

from linkage.advice.cure import Washer
from linkage.advice.offers import Fits, FitsAltered, WillNotDo, judge_offer
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.report.advising import say_offer
from linkage.report.blocks import Grid
from linkage.report.document import offers_blocks
from linkage.sheet import change, read_sheet
from linkage.sheet.offers import can_turn, fit_offer, read_offer
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import CannotClose

HOLE = "ardmoor-0-6-0-middle-hole"


@pytest.fixture
def offered(tmp_path):
    """Return a reader of offers from text."""

    def made(sheet, text, name="offer.toml"):
        path = tmp_path / name
        path.write_text(text)
        return read_offer(path, sheet)

    return made


@pytest.fixture(scope="module")
def one_piece():
    return read_sheet(ready_sheets()[HOLE])


def test_a_straight_rod_fits_where_the_bent_one_fouls(demo, offered):
    offer = offered(demo, 'title = "spare"\n[radius_rod]\ncentres = 23.2\n')
    verdict = judge_offer(demo, offer, ["right"])
    assert isinstance(verdict, Fits)
    assert not isinstance(verdict, FitsAltered)
    assert not verdict.turned
    assert examine(fit_offer(demo, offer, ["right"])).free
    assert offer.title == "spare"


def test_what_the_offer_does_not_give_is_as_on_the_fitted_part_but_for_its_bends(demo, offered):
    put = fit_offer(demo, offered(demo, "[radius_rod]\ncentres = 23.2\n"), ["right"])
    new, old = put.sides["right"].radius_rod, demo.sides["right"].radius_rod
    assert (new.centres, new.bend) == (23.2, ())
    assert (new.width, new.thickness, new.out) == (old.width, old.thickness, old.out)
    assert put.sides["left"] == demo.sides["left"]


def test_a_rod_of_another_engine_will_not_do(demo, offered):
    verdict = judge_offer(demo, offered(demo, "[radius_rod]\ncentres = 26.4\n"), ["right"])
    assert isinstance(verdict, WillNotDo)
    assert isinstance(verdict.against, CannotClose)


def test_a_thick_one_fits_with_a_washer(demo, offered):
    offer = offered(demo, "[radius_rod]\ncentres = 23.1\nthickness = 0.75\n")
    verdict = judge_offer(demo, offer, ["right"])
    assert isinstance(verdict, FitsAltered)
    assert isinstance(verdict.alteration, Washer)
    assert verdict.after.free


def test_turned_end_for_end_it_fits(one_piece, offered):
    """Holes 29.0 and 25.0 apart from the rear: right, if its front goes to the rear."""
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [29.0, 25.0]\n")
    assert can_turn(one_piece, offer, ["right"])
    verdict = judge_offer(one_piece, offer, ["right"])
    assert isinstance(verdict, Fits)
    assert verdict.turned
    said = [block for block in offers_blocks([verdict]) if isinstance(block, Grid)]
    assert said[0].rows[0][1] == "whole coupling rod"


def test_one_that_is_the_same_both_ways_is_not_tried_twice(one_piece, offered):
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [27.0, 27.0]\n")
    assert not can_turn(one_piece, offer, ["right"])


def test_touch_and_go_is_what_its_measuring_error_can_undo(demo, offered):
    """Free up to a thickness of 0.60: 0.05 less is sure by micrometer and not by rule."""
    text = "[radius_rod]\nthickness = 0.55\n"
    well = judge_offer(demo, offered(demo, 'measured_to = "micrometer"\n' + text), ["right"])
    badly = judge_offer(demo, offered(demo, 'measured_to = "rule"\n' + text), ["right"])
    assert isinstance(well, Fits)
    assert isinstance(badly, Fits)
    assert well.unsettled is None
    assert badly.unsettled is badly.doubt
    assert badly.doubt.number == "thickness"
    said = say_offer(badly)
    assert "Measure the radius rod's thickness first: it is known to 0.25 either way" in said


def test_a_wide_error_far_from_any_limit_leaves_no_doubt(demo, offered):
    text = 'measured_to = "rule"\n[radius_rod]\ncentres = 23.2\n'
    verdict = judge_offer(demo, offered(demo, text), ["right"])
    assert verdict.doubt is not None
    assert verdict.unsettled is None


@pytest.mark.parametrize(("thickness", "error"), [(0.55, 0.04), (0.55, 0.06), (0.5, 0.11)])
def test_the_doubt_is_what_whole_examinations_find(demo, offered, thickness, error):
    """One number only: at either end of its error, as `check` has it."""
    text = f"measured_to = {error}\n[radius_rod]\nthickness = {thickness}\n"
    verdict = judge_offer(demo, offered(demo, text), ["right"])
    put = verdict.after.sheet
    ends = [
        examine(change(put, {"right.radius_rod.thickness": thickness + way * error})).free
        for way in (-1, 1)
    ]
    assert (verdict.doubt.worst.slack >= 0) == all(ends)
    assert (verdict.doubt.best.slack >= 0) == any(ends)


@pytest.mark.parametrize(("error", "sure"), [(0.02, True), (0.1, False)])
def test_one_that_will_not_do_may_within_its_error(demo, offered, error, sure):
    """Sitting 4.25 out it is 0.05 too near the slide bars: free from 4.30 on."""
    text = f"measured_to = {error}\n[radius_rod]\ncentres = 23.0\nout = 4.25\n"
    verdict = judge_offer(demo, offered(demo, text), ["right"])
    assert isinstance(verdict, WillNotDo)
    assert (verdict.unsettled is None) == sure
    assert ("Touch and go" in say_offer(verdict)) == (not sure)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[radius_rood]\ncentres = 23.1\n", 'did you mean "radius_rod"'),
        ("title = 1\n", "should hold the table of one part"),
        ("[radius_rod]\ncentres = 1\n[union_link]\ncentres = 2\n", "the table of one part"),
        ("[lifting_link]\ncentres = 8.0\n", "is no part of"),
        ('units = "in"\n[radius_rod]\ncentres = 1.0\n', "should be those of the sheet"),
        ('measured_to = "eye"\n[radius_rod]\ncentres = 23.0\n', "should be a length"),
    ],
)
def test_files_that_are_no_offer(demo, offered, text, words):
    with pytest.raises(SheetError, match=words):
        offered(demo, text)


def test_numbers_that_cannot_be(demo, offered):
    offer = offered(demo, "[radius_rod]\ncenters = 23.1\n")
    with pytest.raises(SheetError, match='did you mean "centres"'):
        judge_offer(demo, offer, ["right"])
