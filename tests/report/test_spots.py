"""Every finding's sentence: each class, to the bench and to the owner, as it is and as it was."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import product
from typing import get_args

import pytest

from linkage.examine import Examination, examine
from linkage.mechanism import Grip, Piece, PieceSort
from linkage.report.faults import Fault, say_fault, say_where
from linkage.report.spots import SENTENCES, from_to, say_here, say_spot, say_what
from linkage.report.voice import degrees
from linkage.tightspots import (
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
)
from linkage.valve import Figure
from tests.ready import ready
from tests.tightspots.made import FROM_THE_SIDE, QUARTER, made
from tests.voices import MM_BENCH, MM_OWNER

PAPER = ", about one sheet of paper thick"
# of each: bench is, bench was, owner is, owner was, on a moving picture; None as the one above
SAID = [
    (
        made(CannotClose),
        "the rod and the nut cannot be joined: 0.12 mm short; the wheels lock",
        "the rod and the nut could not be joined: 0.12 mm short; the wheels locked",
        "the rod and the nut cannot be joined all the way round: at the worst place they are 0.12 "
        f"millimetre short of one another{PAPER}, and there all of it locks.",
        "the rod and the nut could not be joined all the way round: at the worst place they were "
        f"0.12 millimetre short of one another{PAPER}, and there all of it locked.",
        "LOCKED: 0.12 mm short",
    ),
    (
        made(PlayUsedUp),
        "the front coupling rod needs 1.2 times the play there is, at the leading crank pin and "
        "the driving crank pin: 0.12 mm short of turning freely",
        "the front coupling rod needed 1.2 times the play there was, at the leading crank pin and "
        "the driving crank pin: 0.12 mm short of turning freely",
        "the wheels bind on the front coupling rod: the holes for the leading crank pin and the "
        f"driving crank pin are 0.12 millimetre too small{PAPER}, for the wheels to turn freely.",
        "the wheels bound on the front coupling rod: the holes for the leading crank pin and the "
        f"driving crank pin were 0.12 millimetre too small{PAPER}, for the wheels to turn freely.",
        "BINDS HERE: 0.12 mm short",
    ),
    (
        made(PlayUsedUp, 0.0, most=0.93),
        "the front coupling rod needs 93 of every 100 parts of the play there is, at the leading "
        "crank pin and the driving crank pin",
        "the front coupling rod needed 93 of every 100 parts of the play there was, at the leading "
        "crank pin and the driving crank pin",
        "the wheels turn, but the front coupling rod uses 93 of every 100 parts of the looseness "
        "in the holes for the leading crank pin and the driving crank pin.",
        "the wheels turned, but the front coupling rod used 93 of every 100 parts of the looseness "
        "in the holes for the leading crank pin and the driving crank pin.",
        "ALMOST BINDS HERE",
    ),
    (
        made(Fouls),
        "the rod fouls the nut by 0.12 mm (seen in plan)",
        "the rod fouled the nut by 0.12 mm (seen in plan)",
        "the rod touches the nut: at the worst place they are in one another's way by 0.12 "
        f"millimetre{PAPER}. It shows from above, not from the side.",
        "the rod touched the nut: at the worst place they were in one another's way by 0.12 "
        f"millimetre{PAPER}. It showed from above, not from the side.",
        "FOULS HERE 0.12 mm",
    ),
    (
        made(Fouls, contact=FROM_THE_SIDE, parts=("slide bars", "nut"), several=True),
        "the slide bars foul the nut by 0.12 mm (seen from the side)",
        "the slide bars fouled the nut by 0.12 mm (seen from the side)",
        "the slide bars touch the nut: at the worst place they are in one another's way by 0.12 "
        f"millimetre{PAPER}. It shows from the side.",
        "the slide bars touched the nut: at the worst place they were in one another's way by 0.12 "
        f"millimetre{PAPER}. It showed from the side.",
        "FOULS HERE 0.12 mm",
    ),
    (
        made(RunsOff),
        "the rod runs past the end of the nut by 0.12 mm",
        "the rod ran past the end of the nut by 0.12 mm",
        f"the rod runs past the end of the nut: 0.12 millimetre too far{PAPER}.",
        f"the rod ran past the end of the nut: 0.12 millimetre too far{PAPER}.",
        "RUNS OFF HERE\n0.12 mm too far",
    ),
    (
        made(RunsOff, parts=("piston", "front cover"), stop=True),
        "the piston meets the front cover: 0.12 mm too far",
        "the piston met the front cover: 0.12 mm too far",
        f"the piston comes against the front cover: 0.12 millimetre too far{PAPER}.",
        f"the piston came against the front cover: 0.12 millimetre too far{PAPER}.",
        "MEETS FRONT COVER HERE\n0.12 mm too far",
    ),
    (
        made(RunsOff, 1.234, parts=("crosshead", "narrow end of the slide bars"), narrows=0.1),
        "the crosshead jams in the narrow end of the slide bars: 0.12 mm too deep for the gap "
        "there",
        "the crosshead jammed in the narrow end of the slide bars: 0.12 mm too deep for the gap "
        "there",
        "the crosshead jams in the narrow end of the slide bars: the gap there is 0.12 millimetre "
        f"too small for it{PAPER}.",
        "the crosshead jammed in the narrow end of the slide bars: the gap there was 0.12 "
        f"millimetre too small for it{PAPER}.",
        "JAMS HERE 0.12 mm",
    ),
    (
        made(Pinched),
        "the rod and the nut are pinched at the crank pin: 0.12 mm more metal than there is room "
        "for",
        "the rod and the nut were pinched at the crank pin: 0.12 mm more metal than there was room "
        "for",
        "the rod and the nut are pinched where they are joined, at the crank pin: there is 0.12 "
        f"millimetre more metal than room for it{PAPER}.",
        "the rod and the nut were pinched where they are joined, at the crank pin: there was 0.12 "
        f"millimetre more metal than room for it{PAPER}.",
        "PINCHED 0.12 mm",
    ),
    (
        replace(
            made(Pinched),
            grip=Grip(("rod", "nut"), "crank pin", 0.2, 0.0766, "rod.twist", askew=True),
        ),
        "the rod binds at the crank pin: its eyes are out of square by its twist, which needs 0.12 "
        "mm more play there than there is",
        "the rod bound at the crank pin: its eyes were out of square by its twist, which needed "
        "0.12 mm more play there than there was",
        "the rod is twisted, so that it binds where it is joined, at the crank pin: that would "
        f"need 0.12 millimetre more looseness than there is{PAPER}.",
        "the rod was twisted, so that it bound where it is joined, at the crank pin: that would "
        f"have needed 0.12 millimetre more looseness than there was{PAPER}.",
        "BINDS 0.12 mm",
    ),
    (
        made(Limps, parts=("front coupling rod", "driving crank pin", "leading crank pin")),
        "the front coupling rod lets the axles lag by 6 degrees either way, with the play at the "
        "driving crank pin and the leading crank pin: they limp, and a wheel may pass its dead "
        "centre the wrong way",
        "the front coupling rod let the axles lag by 6 degrees either way, with the play at the "
        "driving crank pin and the leading crank pin: they limped, and a wheel might pass its dead "
        "centre the wrong way",
        "the front coupling rod lets the wheels lag by 6 degrees, with the looseness at the "
        "driving crank pin and the leading crank pin: the engine limps, and a wheel may go back "
        "instead of round.",
        "the front coupling rod let the wheels lag by 6 degrees, with the looseness at the driving "
        "crank pin and the leading crank pin: the engine limped, and a wheel might go back instead "
        "of round.",
        "LIMPS HERE",
    ),
    (
        made(UnlikeWheels, parts=("leading wheel",)),
        "the leading wheels are 22.00 mm over the tread, the others 23.00: coupled to them, they "
        "slip by 3.14 mm in each turn, or do not stand on the rail",
        "the leading wheels were 22.00 mm over the tread, the others 23.00: coupled to them, they "
        "slipped by 3.14 mm in each turn, or did not stand on the rail",
        "the leading wheels are 22 millimetres across, the others 23 millimetres: joined to them, "
        "they slide on the rail by 3.14 millimetres in each turn, or do not stand on it.",
        "the leading wheels were 22 millimetres across, the others 23 millimetres: joined to them, "
        "they slid on the rail by 3.14 millimetres in each turn, or did not stand on it.",
        "WHEELS OF OTHER SIZES",
    ),
    (
        made(Uneven, parts=("expansion link",), others=(math.radians(29), math.radians(31))),
        "the expansion link swings 20 degrees back and 40 forward, on the other side 29 "
        "back and 31 forward: the timing is uneven",
        "the expansion link swung 20 degrees back and 40 forward, on the other side 29 "
        "back and 31 forward: the timing was uneven",
        "the expansion link swings 20 degrees back and 40 forward, on the other side 29 "
        "back and 31 forward: the steam is let in unevenly, or would be.",
        "the expansion link swung 20 degrees back and 40 forward, on the other side 29 "
        "back and 31 forward: the steam was let in unevenly, or would be.",
        "TIMING UNEVEN",
    ),
    (
        made(Uneven, parts=("expansion link",)),
        "the expansion link swings 20 degrees back and 40 forward: the timing is uneven",
        "the expansion link swung 20 degrees back and 40 forward: the timing was uneven",
        "the expansion link swings 20 degrees back and 40 forward: the steam is let in unevenly, "
        "or would be.",
        "the expansion link swung 20 degrees back and 40 forward: the steam was let in unevenly, "
        "or would be.",
        "TIMING UNEVEN",
    ),
    (
        made(Mistimed, parts=("valve spindle",), figure=Figure.TRAVEL),
        "the valve spindle travels 1.30 mm, on the other side 1.00: the sides are not timed alike",
        "the valve spindle travelled 1.30 mm, on the other side 1.00: the sides were not timed "
        "alike",
        "the valve spindle goes 1.3 millimetres to and fro, on the other side 1 millimetre: the "
        "two sides let the steam in unlike one another, or would.",
        "the valve spindle went 1.3 millimetres to and fro, on the other side 1 millimetre: the "
        "two sides let the steam in unlike one another, or would have.",
        "SIDES TIMED UNLIKE",
    ),
    (
        made(Mistimed, parts=("valve spindle",)),
        "the valve spindle is 1.30 mm from its middle at the dead centres (lap and lead), on the "
        "other side 1.00: the sides are not timed alike",
        "the valve spindle was 1.30 mm from its middle at the dead centres (lap and lead), on the "
        "other side 1.00: the sides were not timed alike",
        "the valve spindle is 1.3 millimetres from its middle when the piston is at an end, on the "
        "other side 1 millimetre: the two sides let the steam in unlike one another, or would.",
        "the valve spindle was 1.3 millimetres from its middle when the piston was at an end, on "
        "the other side 1 millimetre: the two sides let the steam in unlike one another, or would "
        "have.",
        "SIDES TIMED UNLIKE",
    ),
    (
        made(Mistimed, parts=("valve spindle",), figure=Figure.SETTING),
        "the middle of the valve spindle's travel is 1.30 mm ahead of where the valve is in its "
        "middle, on the other side 1.00 mm ahead: the sides are not set alike",
        "the middle of the valve spindle's travel was 1.30 mm ahead of where the valve was in its "
        "middle, on the other side 1.00 mm ahead: the sides were not set alike",
        "the valve spindle goes to and fro about a place 1.3 millimetres ahead of its middle, on "
        "the other side 1 millimetre ahead: the two sides let the steam in unlike one another, or "
        "would.",
        "the valve spindle went to and fro about a place 1.3 millimetres ahead of its middle, on "
        "the other side 1 millimetre ahead: the two sides let the steam in unlike one another, or "
        "would have.",
        "SIDES SET UNLIKE",
    ),
    (
        made(Mistimed, parts=("valve spindle",), figure=Figure.RUNS),
        "the valve spindle is set to run the other way than the other side's: the two work "
        "against one another",
        "the valve spindle was set to run the other way than the other side's: the two worked "
        "against one another",
        "the valve spindle is set for running the other way than the other side's: the two would "
        "work against one another.",
        "the valve spindle was set for running the other way than the other side's: the two would "
        "have worked against one another.",
        "SIDES SET AGAINST ONE ANOTHER",
    ),
    (
        made(Mistimed, parts=("valve spindle",), figure=Figure.MIDDLE),
        "the middle of the valve spindle's travel shifts by 1.30 mm from back to forward gear, on "
        "the other side by 1.00: the sides are not timed alike",
        "the middle of the valve spindle's travel shifted by 1.30 mm from back to forward gear, on "
        "the other side by 1.00: the sides were not timed alike",
        "the middle of the valve spindle's way shifts by 1.3 millimetres as the engine is "
        "reversed, on the other side by 1 millimetre: the two sides let the steam in unlike one "
        "another, or would.",
        "the middle of the valve spindle's way shifted by 1.3 millimetres as the engine was "
        "reversed, on the other side by 1 millimetre: the two sides let the steam in unlike one "
        "another, or would have.",
        "SIDES TIMED UNLIKE",
    ),
    (
        made(BranchUndecided),
        "the rod and the nut lie in line: the crank does not decide which way they go on",
        "the rod and the nut lay in line: the crank did not decide which way they went on",
        "the rod and the nut come exactly into line, and there nothing decides which way they go "
        "on.",
        "the rod and the nut came exactly into line, and there nothing decided which way they went "
        "on.",
        "IN LINE HERE: MAY GO ON EITHER WAY",
    ),
    (
        made(Close, wanted=0.2),
        "the rod passes the nut with 0.12 mm of air, 0.20 wanted (seen in plan)",
        "the rod passed the nut with 0.12 mm of air, 0.20 wanted (seen in plan)",
        f"the rod passes the nut with a gap of only 0.12 millimetre{PAPER}; 0.2 millimetre is "
        "asked for. It shows from above, not from the side.",
        f"the rod passed the nut with a gap of only 0.12 millimetre{PAPER}; 0.2 millimetre was "
        "asked for. It showed from above, not from the side.",
        "CLOSE HERE: 0.12 mm of air",
    ),
    (
        made(TouchesWithPlay),
        "the rod and the nut, 0.20 mm apart as measured, overlap by 0.12 mm once all the play of "
        "the joints is taken up",
        "the rod and the nut, 0.20 mm apart as measured, overlapped by 0.12 mm once all the play "
        "of the joints was taken up",
        "the rod and the nut are 0.2 millimetre apart, about two sheets of paper thick; but with "
        f"all the wear of the joints taken up they meet, by 0.12 millimetre{PAPER}.",
        "the rod and the nut were 0.2 millimetre apart, about two sheets of paper thick; but with "
        f"all the wear of the joints taken up they met, by 0.12 millimetre{PAPER}.",
        "TOUCHES HERE WHEN WORN 0.12 mm",
    ),
    (
        made(PoorTransmission),
        "the rod and the nut push almost along themselves (transmission angle 7 degrees)",
        "the rod and the nut pushed almost along themselves (transmission angle 7 degrees)",
        "the rod and the nut push almost along themselves, not across, and are apt to jam: only 7 "
        "degrees are left between them.",
        "the rod and the nut pushed almost along themselves, not across, and were apt to jam: only "
        "7 degrees were left between them.",
        "PUSHES ALMOST ALONG ITSELF HERE",
    ),
]
FORMS = list(product((MM_BENCH, MM_OWNER), (False, True)))
WHERE = (
    "from about 6 o'clock to 12 o'clock, worst at about 9 o'clock "
    "(right-hand crank 90 to 270 degrees, worst 180)."
)


def plainly(text):
    """Return a text without the marks of the parts that are yet to be explained."""
    return text.translate({0xE000: None, 0xE001: None})


@pytest.fixture(scope="module")
def free(straight):
    return examine(straight)


def test_every_class_and_each_of_its_kinds_is_in_the_table():
    assert {kind for kind, _ in SENTENCES} == set(get_args(TightSpot))
    assert {type(spot) for spot, *_ in SAID} == set(get_args(TightSpot))


@pytest.mark.parametrize(
    ("spot", "voice", "past", "words"),
    [
        pytest.param(spot, *form, words, id=f"{type(spot).__name__} {words[:40]}")
        for spot, *said, _ in SAID
        for form, words in zip(FORMS, said, strict=True)
    ],
)
def test_each_finding_in_each_register_and_time(spot, voice, past, words):
    assert plainly(say_what(spot, voice, past)) == words


@pytest.mark.parametrize(("spot", "words"), [(spot, said[-1]) for spot, *said in SAID])
def test_each_finding_on_a_moving_picture(spot, words):
    assert say_here(spot, MM_BENCH) == words


@pytest.mark.parametrize(("spot", "words"), [(spot, bench) for spot, bench, *_ in SAID])
def test_the_bench_is_told_side_and_place(free, spot, words):
    assert say_spot(free, spot) == f"Right-hand side: {words}, {WHERE}"


@pytest.mark.parametrize(
    ("piece", "said"),
    [
        (Piece(((0, 0),), 1, (1,), 1, "return crank", key="return_crank"), "the return crank"),
        (Piece(((0, 0),), 1, (1,), 1, "nut", PieceSort.NUT, key="crank_pin"), "the crank's nut"),
        (Piece(((0, 0),), 1, (1,), 1, "wheel", PieceSort.RIM), "the crank"),
        (Piece(((0, 0),), 1, (1,), 1, "pin", PieceSort.CRANK_PIN), "the crank's pin"),
    ],
)
def test_of_what_turns_with_an_axle_the_piece_is_named(piece, said):
    contact = replace(FROM_THE_SIDE, parts=("crank", "slide bars"), pieces=(piece, piece))
    foul = replace(
        made(Fouls, contact=contact, parts=("crank", "slide bars")), wheels=(True, False)
    )
    for voice in (MM_BENCH, MM_OWNER):
        assert said in plainly(say_what(foul, voice))


# of an engine without a reverser
PLAIN = Examination(sheet=ready("ardmoor-2-6-0"), sides={}, spots=())


@pytest.mark.parametrize(("spot", "words"), [(spot, said[2]) for spot, *said in SAID])
def test_the_owner_is_told_the_side_first(spot, words):
    assert (
        plainly(say_fault(PLAIN, Fault((spot,)), past=False)) == f"On the right-hand side {words}"
    )


def test_the_left_side_has_its_own_clock_and_the_right_hand_cranks_degrees(free):
    said = say_spot(free, made(RunsOff, side="left"))

    assert said.startswith("Left-hand side: ")
    # 90 on the left is 6 o'clock there, and 180 of a right-hand crank that leads by 90
    assert "from about 6 o'clock back to 12 o'clock, worst at about 3 o'clock" in said
    assert "(right-hand crank 180 to 0 degrees, worst 270)" in said


@pytest.mark.parametrize(
    ("side", "begin", "end", "words"),
    [("right", 100, 280, "from about half past 6 to half past 12"),
     ("right", 100, 320, "from about half past 6 round to half past 1"),
     ("left", 105, 420, "from about half past 5 back round to 7 o'clock"),
     ("left", 330, 390, "from about 10 o'clock back to 8 o'clock")],
)  # fmt: skip
def test_a_range_is_read_the_way_the_pin_goes(side, begin, end, words):
    spot = made(RunsOff, side=side, begin=math.radians(begin), end=math.radians(end))
    assert from_to(spot) == words


def test_an_hour_is_said_once(free):
    spot = made(RunsOff, begin=math.radians(1), worst=math.radians(3), end=math.radians(5))
    said = say_spot(free, spot)
    assert said.endswith("with the crank pin at about 3 o'clock (right-hand crank 1 to 5 degrees, "
                         "worst 3).")  # fmt: skip


def test_a_single_side_is_not_named_and_begins_with_a_capital(free):
    said = say_spot(free, made(RunsOff, side="only"))

    assert said.startswith("The rod runs past the end of the nut")
    assert "(crank 90 to 270 degrees, worst 180)" in said


def test_all_round_the_turn_is_said_so(free):
    spot = made(RunsOff, begin=0.0, end=2 * math.pi)

    said = say_spot(free, spot)
    assert "all round the turn, worst with the crank pin at about 9 o'clock" in said
    assert say_where(Fault((spot,)), past=True) == (
        "It came everywhere in the turn, worst at about 9 o'clock."
    )


def test_a_single_place_has_no_from_and_to(free):
    said = say_spot(free, made(BranchUndecided, begin=math.pi, end=math.pi))

    assert said.endswith("with the crank pin at about 9 o'clock (right-hand crank 180 degrees).")


@pytest.mark.parametrize(
    ("angle", "said"),
    [(0.0, "0"), (-0.001, "0"), (2 * math.pi, "0"), (-QUARTER, "270"), (9.5, "184")],
)
def test_degrees_stay_within_the_turn(angle, said):
    assert degrees(angle) == said


def test_nowhere_a_third_decimal_or_a_minus(free):
    for spot, *_ in SAID:
        text = say_spot(free, spot)
        assert not re.search(r"\d\.\d{3}", text)
        assert not re.search(r"(?<![\w)])-\d", text)
        assert "nan" not in text


@pytest.mark.parametrize(
    ("back", "forward", "said"),
    [
        (-10, 39, "swings from 10 to 39 degrees forward"),
        (41, -8, "swings from 8 to 41 degrees back"),
        (0, 39, "swings 0 degrees back and 39 forward"),
    ],
)
def test_a_link_that_never_comes_back_to_upright_is_said_to_swing_on_one_side(back, forward, said):
    """Ten degrees short of upright were 350 degrees back."""
    ends = {"back": math.radians(back), "forward": math.radians(forward)}
    spot = replace(made(Uneven, parts=("expansion link",)), **ends)
    assert f"the expansion link {said}: " in say_what(spot, MM_BENCH)
