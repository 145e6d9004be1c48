"""Findings and cures in plain words: each kind's sentence, two decimals, no signs."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console

from linkage.advice import Advice, advise
from linkage.advice.slack import Stop
from linkage.advice.window import Window, Windows
from linkage.arrangements import ARRANGEMENTS
from linkage.examine import examine
from linkage.report.advising import say_windows
from linkage.report.blocks import Finding, Paragraph
from linkage.report.cautions import BENDING, CAUTION
from linkage.report.cures import say_cure
from linkage.report.document import check_blocks, finding_blocks
from linkage.report.gear import NAMES
from linkage.report.naming import name_number
from linkage.report.spots import say_spot
from linkage.report.terminal import set_blocks
from linkage.report.words import count_spots, say_curves, say_free
from linkage.sheet import change, put_on_curve, read_sheet, sheet_from
from linkage.sheet.head import PLACES
from linkage.sheet.numbers import numbers_of
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Uneven
from tests.ready import examined, ready
from tests.report.test_spots import plainly
from tests.voices import MM_BENCH, MM_OWNER


@pytest.fixture(scope="module")
def free(straight):
    return examine(straight)


@pytest.fixture(scope="module")
def found(demo):
    found = examine(change(demo, {"left.valve_spindle.guide.front": 47.0}))
    return found, advise(found)


def test_free_says_how_near_it_is(free):
    said = say_free(free)

    start = r"Free by the figures as they stand\. The least air is 0\.\d\d mm, between "
    assert re.fullmatch(start + r".+ and .+ on the (right|left)-hand side\.", said)


def test_how_near_it_is_does_not_hang_on_where_the_sheet_has_its_reverser():
    """It is nearest in full forward gear, and the sheet stands in full back gear."""
    name = "ardmoor-0-4-0-hackworth"
    data = {**ready(name).data, "running": "full_back"}
    back, fore = examine(sheet_from(data, "back.toml", ask=False)), examined(name)
    assert back.sides["right"].survey.pairs[0].least > fore.sides["right"].survey.pairs[0].least
    assert say_free(back) == say_free(fore)


def page(examination, advice, everything=False, width=80):
    console = Console(file=io.StringIO(), width=width, highlight=False, emoji=False)
    for line in set_blocks(check_blocks(examination, advice, everything)):
        console.print(line)
    return console.file.getvalue()


def test_nowhere_a_third_decimal_or_a_minus(found, free):
    for text in (page(*found, everything=False), page(free, ())):
        assert not re.search(r"\d\.\d{3}", text)
        assert not re.search(r"(?<![\w)])-\d", text)
        assert "nan" not in text
        assert "inf " not in text


def test_numbers_that_show_a_third_decimal_would_be_caught():
    assert re.search(r"\d\.\d{3}", "by 0.141 mm")
    assert re.search(r"(?<![\w)])-\d", "leaves -0.02 mm")


def test_the_page_carries_the_caution_and_the_word_on_bending(found, free):
    with_bend = " ".join(page(*found).split())

    assert CAUTION in with_bend
    assert BENDING in with_bend
    without = " ".join(page(free, ()).split())
    assert CAUTION in without
    assert BENDING not in without


def test_lines_keep_to_the_width(found):
    assert max(len(line) for line in page(*found, width=80).splitlines()) <= 80


def test_cures_said_once_are_not_said_again(found):
    examination, (first, *_) = found
    other = replace(first.spot, overlap=first.spot.overlap + 0.1)

    blocks = finding_blocks(examination, (first, Advice(other, first.cures)))
    assert [block.cures for block in blocks][1] == ("The cure is the same as above.",)


def test_a_spot_like_one_before_is_told_by_its_place_alone(found):
    examination, (first, *_) = found
    _, again = finding_blocks(examination, (first, Advice(first.spot, first.cures)))
    start = "2. Right-hand side: the same as 1, from about half past 10 to half past 1"
    assert again.text.startswith(start)
    assert again.cures == ()


def test_what_was_found_is_said_before_the_first_cure_is_sought(found):
    examination, advice = found
    sought = []

    def search():
        for item in advice:
            sought.append(item)
            yield item

    blocks = check_blocks(examination, search(), everything=False)
    said = []
    while not sought:
        said.append(next(blocks))
    assert sum(isinstance(block, Finding) for block in said) == len(examination.spots)
    assert len(sought) == 1


def test_a_search_that_was_broken_off_says_so_of_each_spot_left(found):
    said = " ".join(page(found[0], ()).split())
    assert said.count("The search for cures was broken off before") == len(found[0].spots)
    assert "No cure is known" not in said


def test_all_that_was_assumed_is_listed_on_demand(found):
    examination, advice = found
    short, long = page(*found), page(examination, advice, everything=True)

    assert f"{len(examination.sheet.assumed)} numbers were assumed" in short
    for line in examination.sheet.assumed:
        assert line in " ".join(long.split())


@pytest.fixture(scope="module")
def nut():
    return read_sheet(ready_sheets()["ardmoor-0-6-0-nut-on-curves"])


def test_it_is_said_which_wheelset_must_be_where(nut):
    examination = examine(nut)
    right, left = (
        next(say_spot(examination, spot) for spot in examination.spots if spot.side == side)
        for side in ("right", "left")
    )
    assert "the crosshead fouls the leading wheel's head by 0.05 mm" in right
    assert "That is with the leading wheelset 0.65 mm over to the right;" in right
    assert "with all wheelsets in the middle 0.60 mm of air is left." in right
    assert "the leading wheelset 0.65 mm over to the left;" in left


def test_side_play_taken_out_is_the_cure(nut):
    examination = examine(nut)
    (cure, *_) = advise(examination)[0].cures
    said = say_cure(cure, MM_BENCH)
    assert said.startswith("Take 0.20 mm of side play, to either side, out of the leading wheelset")
    # by hand: 26 * 49 / 2 over what is left of the leading axle's and the skewed frames' shift
    wide = 26 * 49 / 2 / (0.65 - 0.20 + 0.08 + 26 * 0.13 / 23)
    assert f"it then stands on curves of {wide:.0f} mm and wider" in said


@pytest.mark.parametrize(
    ("radius", "words"),
    [
        (None, "; it stays free down to "),
        (3000.0, "; looked at on one of 3000 mm."),
        (600.0, "; 600 mm is too sharp for it, and no more was looked at."),
    ],
)
def test_curves(nut, radius, words):
    sheet = nut if radius is None else put_on_curve(nut, radius)
    said = say_curves(examine(sheet))
    assert said.startswith("Its wheelsets can stand on a curve of 727 mm radius, counting no play")
    assert words in said


def test_two_axles_have_no_curve(free):
    assert say_curves(free) == ""


def test_what_is_worn_is_said(demo, straight):
    worn = {"joint_play": {"everywhere": 0.05}}
    fouls = examine(sheet_from(dict(demo.data) | worn, ask=False))
    assert "With all the play of the joints taken up the worst way: an overlap of 0." in say_spot(
        fouls, fouls.spots[0]
    )
    loose = examine(
        sheet_from(dict(straight.data) | {"joint_play": {"everywhere": 0.6}}, ask=False)
    )
    said = say_spot(loose, loose.spots[0])
    assert re.search(r"0\.\d\d mm apart as measured, overlap by 0\.\d\d mm once all the play", said)
    assert "its play takes the most" in say_cure(advise(loose)[0].cures[0], MM_BENCH)
    assert "worn" in page(loose, ())


BARE = "out|ahead|back|below|above|up|rear|front|at|over|everywhere"


@pytest.mark.parametrize("name", sorted(ready_sheets()))
def test_every_number_of_a_ready_sheet_is_said_in_words(name):
    """In both registers: no key, no index, and no bare word of place for a quantity."""
    for number in numbers_of(read_sheet(ready_sheets()[name])):
        for voice in (MM_BENCH, MM_OWNER):
            said = plainly(name_number(number.key, voice))
            assert not re.search(r"[_\[\]0-9]", said), said
            assert not re.search(rf"^the ({BARE}) of |'s ({BARE})$", said), said


def test_every_place_of_a_reverser_has_its_words():
    places = {place for held in ARRANGEMENTS.values() for place in held.tables.PLACES}
    assert places == set(NAMES) == set(PLACES)


def test_a_window_is_said_in_hundredths_that_lie_within_it(demo):
    stop = Stop(0.0, None, "only", ())
    window = Window(66.1201, 66.4799, None, None)
    narrow = Window(67.001, 67.004, None, None)
    found = Windows("k", 66.3, False, 60.0, 70.0, (window, narrow), 66.3, stop)
    said = [block.text for block in say_windows(demo, found) if isinstance(block, Paragraph)]
    assert said == [
        "k is 66.30 mm now; looked at from 60.00 to 70.00.",
        "Free from 66.13 to 66.47 mm (today's value is in it).",
        "Free from 67.00 to 67.00 mm.",
    ]


@pytest.mark.parametrize(
    ("tight", "others", "said"),
    [
        (1, 0, "1 tight spot."),
        (2, 0, "2 tight spots, worst first."),
        (0, 1, "1 fault that hinders no turn."),
        (1, 2, "1 tight spot and 2 faults that hinder no turn, worst first."),
    ],
)
def test_what_hinders_no_turn_is_no_tight_spot(tight, others, said):
    (fouls,) = examined("ardmoor-2-6-0").spots
    beside = Uneven("right", ("expansion link",), 0.0, 0.0, 0.0, 1.0, 2.0, (1.0, 1.0))

    assert count_spots([fouls] * tight + [beside] * others) == said
