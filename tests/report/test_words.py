"""Findings and cures in plain words: each kind's sentence, two decimals, no signs."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace

import pytest
from rich.console import Console

from linkage.advice import Advice, Cure, advise
from linkage.clearance import Contact
from linkage.examine import examine
from linkage.mechanism import Piece
from linkage.report.deeds import say_cure
from linkage.report.text import check_text
from linkage.report.words import BENDING, CAUTION, degrees, say_curves, say_free, say_spot
from linkage.sheet import change, put_on_curve, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import TightSpot

PIECE = Piece(((0.0, 0.0),), 1.0, (0.0,), 1.0)
SIDEWAYS = Contact(("a", "b"), (PIECE, PIECE), (0, 0), ((0, 0), (0, 0)), -1.0, -0.14, 0)
FROM_THE_SIDE = replace(SIDEWAYS, side_view=-0.14, lateral=-1.0)
QUARTER = math.pi / 2


def made(kind, amount=0.1234, side="right", **more):
    angles = {"begin": QUARTER, "worst": math.pi, "end": 1.5 * math.pi, **more}
    return TightSpot(kind, side, ("rod", "nut"), amount=amount, **angles)


WHERE = (
    "from about 6 o'clock to 12 o'clock, worst at about 9 o'clock "
    "(right-hand crank 90 to 270 degrees, worst 180)."
)
SPOTS = [
    (made("fouls", contact=SIDEWAYS), "the rod fouls the nut by 0.12 mm (seen in plan)"),
    (made("fouls", contact=FROM_THE_SIDE), "the rod fouls the nut by 0.12 mm (seen from the side)"),
    (
        made("close", contact=SIDEWAYS, wanted=0.2),
        "the rod passes the nut with 0.12 mm of air, 0.20 wanted (seen in plan)",
    ),
    (
        made("cannot close"),
        "the rod and the nut cannot be joined: 0.12 mm short; the wheels lock",
    ),
    (
        replace(made("fouls", contact=SIDEWAYS), parts=("slide bars", "nut")),
        "the slide bars foul the nut by 0.12 mm (seen in plan)",
    ),
    (made("runs off"), "the rod runs past the end of the nut by 0.12 mm"),
    (
        made("branch undecided", 0.0),
        "the rod and the nut lie in line: the crank does not decide which way they go on",
    ),
    (
        made("poor transmission angle", 0.0, transmission=math.radians(7.4)),
        "the rod and the nut push almost along themselves (transmission angle 7 degrees)",
    ),
]


@pytest.fixture(scope="module")
def free(straight):
    return examine(straight)


@pytest.fixture(scope="module")
def found(demo):
    found = examine(change(demo, {"left.valve_spindle.guide.front": 47.0}))
    return found, advise(found)


@pytest.mark.parametrize(
    ("spot", "words"), SPOTS, ids=[f"{s.kind} {i}" for i, (s, _) in enumerate(SPOTS)]
)
def test_each_kind_has_its_sentence(free, spot, words):
    assert say_spot(free, spot) == f"Right-hand side: {words}, {WHERE}"


def test_the_left_side_has_its_own_clock_and_the_right_hand_cranks_degrees(free):
    said = say_spot(free, made("runs off", side="left"))

    assert said.startswith("Left-hand side: ")
    # 90 on the left is 6 o'clock there, and 180 of a right-hand crank that leads by 90
    assert "from about 6 o'clock to 12 o'clock, worst at about 3 o'clock" in said
    assert "(right-hand crank 180 to 0 degrees, worst 270)" in said


def test_a_single_side_is_not_named_and_begins_with_a_capital(free):
    said = say_spot(free, made("runs off", side="only"))

    assert said.startswith("The rod runs past the end of the nut")
    assert "(crank 90 to 270 degrees, worst 180)" in said


def test_all_round_the_turn_is_said_so(free):
    said = say_spot(free, made("runs off", begin=0.0, end=2 * math.pi))

    assert "all round the turn, worst with the crank pin at about 9 o'clock" in said


def test_a_single_place_has_no_from_and_to(free):
    said = say_spot(free, made("branch undecided", 0.0, begin=math.pi, end=math.pi))

    assert said.endswith("with the crank pin at about 9 o'clock (right-hand crank 180 degrees).")


@pytest.mark.parametrize(
    ("angle", "said"),
    [(0.0, "0"), (-0.001, "0"), (2 * math.pi, "0"), (-QUARTER, "270"), (9.5, "184")],
)
def test_degrees_stay_within_the_turn(angle, said):
    assert degrees(angle) == said


CURES = [
    (
        Cure("set", "radius rod", "away from the frames", 0.33, 0.55, "at its middle", 0.3),
        "Set the radius rod away from the frames by at least 0.33 mm, at its middle (0.55 takes "
        "the bend right out); straight, it leaves 0.30 mm of air, and nothing else comes closer "
        "than asked.",
    ),
    (
        Cure("set", "radius rod", "straight", 0.55, 0.55, "at its middle"),
        "Straighten the radius rod, at its middle: 0.55 mm of bend comes out.",
    ),
    (
        Cure("washer", "rod", "towards the frames", 0.2, 0.2, leaves=0.1, spoils=(SPOTS[0][0],)),
        "Move the rod towards the frames by 0.20 mm with a washer; that leaves 0.10 mm of air. But "
        "then the rod fouls the nut by 0.12 mm (seen in plan).",
    ),
    (
        Cure("file", "bracket", "the outer face", 0.2, 0.2, leaves=0.1),
        "File 0.20 mm off the outer face of the bracket, which cannot be undone; that leaves 0.10 "
        "mm of air, and nothing else comes closer than asked.",
    ),
    (
        Cure("file", "bracket", "in the side view", 0.2, 0.2),
        "File 0.20 mm off the outline of the bracket, which cannot be undone.",
    ),
    (
        Cure("dimension", "rod", "less", 0.42, 0.42, key="radius_rod.centres", now=23.0),
        "Radius rod, centres: the sheet has 23.00 mm; 0.42 less would do. Measure it again first.",
    ),
    (
        Cure("dimension", "rod", "more", 0.4, 1.5, key="union_link.centres", now=3.0, other=4.5),
        "Union link, centres: the sheet has 3.00 mm, the other side 4.50; made alike, that cures "
        "it (0.40 more is enough).",
    ),
    (
        Cure("dimension", "crank", "more", 2, 2, key="return_crank.leads", now=90.0, degrees=True),
        "Return crank, leads: the sheet has 90.00 degrees; 2.00 more would do. Measure it again "
        "first.",
    ),
    (
        Cure("measure", "rod and the nut", "", 0.0),
        "Measure the rod and the nut again: no small cure was found for what the sheet says.",
    ),
]


@pytest.mark.parametrize(
    ("cure", "words"), CURES, ids=[cure.kind + str(i) for i, (cure, _) in enumerate(CURES)]
)
def test_each_cure_has_its_sentence(cure, words):
    assert say_cure(cure) == words


def test_free_says_how_near_it_is(free):
    said = say_free(free)

    start = r"Free all round the turn\. The least air is 0\.\d\d mm, between "
    assert re.fullmatch(start + r".+ and .+ on the (right|left)-hand side\.", said)


def page(examination, advice, everything=False, width=80):
    console = Console(file=io.StringIO(), width=width, highlight=False, emoji=False)
    for block in check_text(examination, advice, everything):
        console.print(block)
    return console.file.getvalue()


def test_nowhere_a_third_decimal_or_a_minus(found, free):
    said = [
        page(*found, everything=False), page(free, ()),
        *(say_spot(free, spot) for spot, _ in SPOTS), *(say_cure(cure) for cure, _ in CURES),
    ]  # fmt: skip
    for text in said:
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
    other = replace(first.spot, amount=first.spot.amount + 0.1)

    said = page(examination, (first, Advice(other, first.cures)))
    assert said.count("The cure is the same as above.") == 1


def test_a_spot_like_one_before_is_told_by_its_place_alone(found):
    examination, (first, *_) = found
    said = " ".join(page(examination, (first, Advice(first.spot, first.cures))).split())
    assert "2. Right-hand side: the same as 1, from about half past 10 to half past 1" in said
    assert said.count("Cure: ") == 1


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
    said = say_cure(cure)
    assert said.startswith("Take 0.16 mm of side play, to either side, out of the leading wheelset")
    # by hand: 26 * 49 / 2 over what is left of the leading axle's and the skewed frames' shift
    wide = 26 * 49 / 2 / (0.65 - 0.16 + 0.08 + 26 * 0.13 / 23)
    assert f"it then stands on curves of {wide:.0f} mm and wider" in said


@pytest.mark.parametrize(
    ("radius", "words"),
    [
        (None, "; it stays free down to "),
        (3000.0, "; looked at on one of 3000 mm."),
        (600.0, "; 600 is too sharp for it, and no more was looked at."),
    ],
)
def test_curves(nut, radius, words):
    sheet = nut if radius is None else put_on_curve(nut, radius)
    said = say_curves(examine(sheet))
    assert said.startswith("Its wheelsets can stand on a curve of 726 mm radius, counting no play")
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
    assert "its play takes the most" in say_cure(advise(loose)[0].cures[0])
    assert "worn" in page(loose, ())
