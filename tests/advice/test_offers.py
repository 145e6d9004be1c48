"""Parts that are offered: as they are, turned end for end, altered, or not at all."""

from __future__ import annotations

import pytest

from linkage.advice.offers import judge_offer
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.sheet import read_sheet
from linkage.sheet.offers import can_turn, fit_offer, read_offer
from linkage.sheet.ready import ready_sheets

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
    assert verdict.fits
    assert not verdict.turned
    assert verdict.alteration is None
    assert verdict.after is not None
    assert examine(fit_offer(demo, offer, ["right"])).free
    assert (offer.title, offer.part) == ("spare", "radius rod")


def test_what_the_offer_does_not_give_is_as_on_the_fitted_part_but_for_its_bends(demo, offered):
    put = fit_offer(demo, offered(demo, "[radius_rod]\ncentres = 23.2\n"), ["right"])
    new, old = put.sides["right"].radius_rod, demo.sides["right"].radius_rod
    assert (new.centres, new.bend) == (23.2, ())
    assert (new.width, new.thickness, new.out) == (old.width, old.thickness, old.out)
    assert put.sides["left"] == demo.sides["left"]


def test_a_rod_of_another_engine_will_not_do(demo, offered):
    verdict = judge_offer(demo, offered(demo, "[radius_rod]\ncentres = 26.4\n"), ["right"])
    assert not verdict.fits
    assert verdict.against.kind == "cannot close"


def test_a_thick_one_fits_with_a_washer(demo, offered):
    offer = offered(demo, "[radius_rod]\ncentres = 23.1\nthickness = 0.75\n")
    verdict = judge_offer(demo, offer, ["right"])
    assert verdict.fits
    assert verdict.alteration.kind == "washer"
    assert verdict.after.free


def test_turned_end_for_end_it_fits(one_piece, offered):
    """Holes 29.0 and 25.0 apart from the rear: right, if its front goes to the rear."""
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [29.0, 25.0]\n")
    assert can_turn(one_piece, offer, ["right"])
    verdict = judge_offer(one_piece, offer, ["right"])
    assert verdict.fits
    assert verdict.turned
    assert offer.part == "whole coupling rod"


def test_one_that_is_the_same_both_ways_is_not_tried_twice(one_piece, offered):
    offer = offered(one_piece, "[coupling_rods.whole]\ncentres = [27.0, 27.0]\n")
    assert not can_turn(one_piece, offer, ["right"])


def test_less_to_spare_than_it_was_measured_to_is_touch_and_go(demo, offered):
    text = "[radius_rod]\ncentres = 23.2\n"
    well = judge_offer(demo, offered(demo, 'measured_to = "micrometer"\n' + text), ["right"])
    badly = judge_offer(demo, offered(demo, 'measured_to = "rule"\n' + text), ["right"])
    assert well.sure
    assert not badly.sure
    assert well.spare == badly.spare > 0


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
