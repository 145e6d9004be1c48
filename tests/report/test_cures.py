"""Every cure's sentence: each class, to the bench and to the owner, and what comes of it."""

from __future__ import annotations

import math
from typing import get_args

import pytest

from linkage.advice.cure import (
    DRASTIC,
    Bush,
    Cure,
    Ease,
    Exchange,
    File,
    Loss,
    MakeTrue,
    MeasureAgain,
    MeasureFirst,
    Number,
    OtherPins,
    Outcome,
    PutRight,
    Replace,
    Requarter,
    ResetReturnCrank,
    ScrewHome,
    SetBack,
    Shift,
    Straighten,
    TakeOutSidePlay,
    TakeUpAlong,
    ThinNut,
    Together,
    Tried,
    TurnEccentric,
    TurnRound,
    Washer,
)
from linkage.advice.resetting import EqualDistance, SafeRange
from linkage.advice.setting import SheetBend
from linkage.report.cures import say_cure, say_deed
from linkage.sheet.refitting import Turn
from linkage.tables.origin import Source
from linkage.tightspots import Fouls
from tests.report.test_spots import plainly
from tests.tightspots.made import made
from tests.voices import MM_BENCH, MM_OWNER

BOW = SheetBend("radius_rod", 1, "towards_frames", 0.55, None, "rear")
KINK = SheetBend("radius_rod", 1, "up", 0.55, 10.9, "rear")
AHEAD = Number("left.axles.leading.pin_ahead_by", 0.9, -0.9, degrees=True)
LEAN = Number("return_crank.lean", 55.98, -27.0, 27.98, degrees=True)
TO_40 = SafeRange(-30.0, 40.5, False, True)
EQUAL = EqualDistance(28.1, 24.1, 25.0, 23.0)

SAID = [
    (
        SetBack("radius rod", BOW, "away from the frames", 0.33, 0.55, changes=()),
        "Set the radius rod away from the frames by at least 0.33 mm, at its middle (0.55 takes "
        "the bend right out)",
        "Bend the radius rod back away from the frames by at least 0.33 millimetre, at its middle; "
        "0.55 millimetre makes it straight",
    ),
    (
        SetBack("radius rod", BOW, "away from the frames", 0.55, 0.55, changes=()),
        "Set the radius rod away from the frames by at least 0.55 mm, at its middle",
        "Bend the radius rod back away from the frames by at least 0.55 millimetre, at its middle",
    ),
    (
        Straighten("radius rod", KINK, changes=()),
        "Straighten the radius rod, 10.9 mm from the rear: 0.55 mm of bend comes out",
        "Straighten the radius rod, 10.9 millimetres from the rear: 0.55 millimetre, about six "
        "sheets of paper thick, of bend comes out",
    ),
    (
        TakeOutSidePlay(("leading",), 0.16, 900.4, changes=()),
        "Take 0.16 mm of side play, to either side, out of the leading wheelset with washers on "
        "its axle (it then stands on curves of 901 mm and wider)",
        "Take 0.16 millimetre of side play, to either side, out of the leading wheelset with "
        "washers on its axle (it then stands on curves of 901 millimetres and wider)",
    ),
    (
        TakeOutSidePlay(("leading",), 0.16, math.inf, changes=()),
        "Take 0.16 mm of side play, to either side, out of the leading wheelset with washers on "
        "its axle",
        "Take 0.16 millimetre of side play, to either side, out of the leading wheelset with "
        "washers on its axle",
    ),
    (
        TakeUpAlong((), 0.15, changes=()),
        "Take up the play along the gear's pins with thin washers: 0.15 mm may be left, from end "
        "to end",
        "Take up the play along the gear's pins with thin washers: 0.15 millimetre may be left, "
        "from end to end",
    ),
    (
        TakeUpAlong(("trunnion", "union pin"), 0.0, changes=()),
        "Take up the play along the trunnion and the union pin with thin washers: none may be "
        "left, from end to end",
        "Take up the play along the trunnion and the union pin with thin washers: none may be "
        "left, from end to end",
    ),
    (
        Washer("radius rod", "towards the frames", 0.2, changes=()),
        "Move the radius rod towards the frames by 0.20 mm with a washer",
        "Move the radius rod towards the frames by 0.2 millimetre with a washer",
    ),
    (
        ThinNut("leading wheel", "nut", 0.2, changes=()),
        "Thin the leading wheel's nut by 0.20 mm, or fit a thinner one",
        "Thin the leading wheel's nut by 0.2 millimetre, or fit a thinner one",
    ),
    (
        Bush("crank pin", 0.05, changes=()),
        "Bush the crank pin, or fit a new pin, for its play takes the most: 0.05 mm may be left",
        "Bush the crank pin, or fit a new pin, for its play takes the most: 0.05 millimetre may be "
        "left",
    ),
    (
        Requarter(AHEAD, "leading", SafeRange(-0.4, 0.4, True, True), changes=()),
        "Requarter the leading wheelset (how far the left leading axle's crank pin is ahead of its "
        "place): 0.90 degrees now, set it to 0.00; anything from -0.4 to 0.4 turns "
        "freely. Measure it again first",
        "On the left-hand side how far the crank pin of the leading axle is turned ahead of its "
        "place: 0.9 degrees as measured; 0.9 degrees less would do. It is to be measured again "
        "first",
    ),
    (
        ResetReturnCrank(LEAN, TO_40, EQUAL, changes=()),
        "Reset the return crank: it leans 55.98 degrees, set it to 27.98 as on the other side. It "
        "goes round up to 40.5 degrees and locks beyond. To see that it is right, hold the link as "
        "in mid-gear: from its foot pin to the return crank's pin is now 25.00 mm at the front "
        "dead centre and 23.00 at the back; at 28.1 degrees both are 24.10",
        "Reset the return crank: it leans 55.98 degrees, set it to 27.98 as on the other side. It "
        "goes round up to 40.5 degrees and locks beyond. To see that it is right, hold the link as "
        "in mid-gear: from its foot pin to the return crank's pin is now 25 millimetres at the "
        "front dead centre and 23 millimetres at the back; at 28.1 degrees both are 24.1 "
        "millimetres",
    ),
    (
        TurnEccentric(Number("fore_eccentric.leads", 121.0, -6.0, 115.0, True), changes=()),
        "Loosen the fore eccentric, turn it on its axle and make it fast: how far the fore "
        "eccentric is ahead of the crank pin is 121.00 degrees, and is to be 115.00 degrees as on "
        "the other side",
        "Loosen the fore eccentric, turn it on its axle and make it fast: how far the fore "
        "eccentric is turned ahead of the crank pin is 121 degrees, and is to be 115 degrees as on "
        "the other side",
    ),
    (
        Shift(("cylinder", "slide_bars"), -1.2, True, changes=()),
        "Set the cylinder, with the slide bars, back along the cylinder's line by 1.20 mm, to "
        "stand as on the other side. It can be undone; measure the place again first",
        "Set the cylinder, with the slide bars, back along the cylinder's line by 1.2 millimetres, "
        "to stand as on the other side. It can be undone; measure the place again first",
    ),
    (
        Shift(("slide_bars",), 0.5, False, changes=()),
        "Set the slide bars ahead along the cylinder's line by 0.50 mm. It can be undone; measure "
        "the place again first",
        "Set the slide bars ahead along the cylinder's line by 0.5 millimetre. It can be undone; "
        "measure the place again first",
    ),
    (
        PutRight(Number("radius_rod.out", 4.5, -0.42), changes=()),
        "How far out the radius rod sits: the sheet has 4.50 mm; 0.42 less would do. Measure it "
        "again first",
        "How far out the radius rod stands from the wheel: 4.5 millimetres as measured; 0.42 "
        "millimetre less would do. It is to be measured again first",
    ),
    (
        PutRight(Number("return_crank.leads", 90, 2, degrees=True), changes=()),
        "How far the return crank is ahead of the crank pin: the sheet has 90.00 degrees; 2.00 "
        "more would do. Measure it again first",
        "How far the return crank is turned ahead of the crank pin: 90 degrees as measured; 2 "
        "degrees more would do. It is to be measured again first",
    ),
    (
        Replace(Number("union_link.centres", 3.0, 0.4, 4.5), "union link", changes=()),
        "The union link's centres: the sheet has 3.00 mm, the other side 4.50; made alike, that "
        "cures it (0.40 more is enough). It takes another union link",
        "The length of the union link between the centres of its holes: 3 millimetres; on the "
        "other side 4.5 millimetres. Make it like that. It takes another union link",
    ),
    (
        Together(
            (
                Replace(
                    Number("right.coupling_rods.front.centres", 29.13, -0.13), "rod", changes=()
                ),
                Requarter(AHEAD, "leading", SafeRange(-0.4, 0.4, True, True), changes=()),
                Straighten("radius rod", KINK, changes=()),
            ),
            changes=(),
        ),
        "Put right together, for none is enough by itself: the right front coupling rod's centres, "
        "29.13 mm now, to be 29.00 mm; how far the left leading axle's crank pin is ahead of its "
        "place, 0.90 degrees now, to be 0.00 degrees; the radius rod, to be straightened by "
        "0.55 mm. Measure them again first",
        "Put right together, for none is enough by itself: the length of the front coupling rod "
        "between the centres of its holes (on the right-hand side), 29.13 millimetres now, to be "
        "29 millimetres; how far the crank pin of the leading axle is turned ahead of its place "
        "(on the left-hand side), 0.9 degrees now, to be 0 degrees; the radius rod, to be "
        "straightened by 0.55 millimetre. Measure them again first",
    ),
    (
        File("motion bracket", "outer face", 0.2, changes=()),
        "File 0.20 mm off the outer face of the motion bracket, which cannot be undone",
        "File 0.2 millimetre off the outer face of the motion bracket, which cannot be undone",
    ),
    (
        File("motion bracket", "outline", 0.2, changes=()),
        "File 0.20 mm off the outline of the motion bracket, which cannot be undone",
        "File 0.2 millimetre off the outline of the motion bracket, which cannot be undone",
    ),
    (
        File("motion bracket", "edge", 0.2, changes=()),
        "File 0.20 mm off the edge of the motion bracket, where they meet, which cannot be undone",
        "File 0.2 millimetre off the edge of the motion bracket, where they meet, which cannot be "
        "undone",
    ),
    (
        Ease(0.12, "coupling_rods.front.centres", changes=()),
        "Ease the holes concerned by 0.12 mm on diameter, which cannot be undone and hides what is "
        "wrong (the front coupling rod's centres): last of all",
        "Ease the holes concerned by 0.12 millimetre on diameter, which cannot be undone and hides "
        "what is wrong (the length of the front coupling rod between the centres of its holes): "
        "last of all",
    ),
    (
        Ease(0.12, "", changes=()),
        "Ease the holes concerned by 0.12 mm on diameter, which cannot be undone and hides the "
        "fault: last of all",
        "Ease the holes concerned by 0.12 millimetre on diameter, which cannot be undone and hides "
        "the fault: last of all",
    ),
    (
        TurnRound("radius rod", "right", Turn.END_FOR_END, refits=()),
        "The right radius rod is on the wrong way round: turn it end for end, with the same face "
        "to the wheel",
        "The right radius rod is on the wrong way round: turn it end for end, with the same face "
        "to the wheel",
    ),
    (
        TurnRound("radius rod", "only", Turn.ABOUT_ITS_LENGTH, refits=()),
        "The radius rod is on with the wrong face to the wheel: turn its other face to the wheel",
        "The radius rod is on with the wrong face to the wheel: turn its other face to the wheel",
    ),
    (
        Exchange(("front coupling rod",) * 2, ("right", "left"), Turn.NONE, refits=()),
        "The left and right front coupling rods are exchanged: put each on its own side",
        "The left and right front coupling rods are exchanged: put each on its own side",
    ),
    (
        Exchange(
            ("front coupling rod", "rear coupling rod"), ("left", "left"), Turn.NONE, refits=()
        ),
        "The left front coupling rod and the rear coupling rod are exchanged: put each in the "
        "other's place",
        "The left front coupling rod and the rear coupling rod are exchanged: put each in the "
        "other's place",
    ),
    (
        OtherPins(("fore rod", "back rod"), "expansion link", "left", refits=()),
        "The left fore rod and the back rod are on one another's pins of the expansion link: put "
        "each on the other's",
        "The left fore rod and the back rod are on one another's pins of the expansion link: put "
        "each on the other's",
    ),
    (
        ScrewHome("crank", "nut", 0.4, changes=()),
        "Screw home the crank's nut and lock it: it stands 0.40 mm farther out than the other "
        "side's",
        "Screw home the crank's nut and lock it: it stands 0.4 millimetre farther out than the "
        "other side's",
    ),
    (
        ScrewHome("crank", "nut", 0.4, "its rod", changes=()),
        "Screw home the crank's nut by 0.40 mm and lock it: it stands well clear of its rod",
        "Screw home the crank's nut by 0.4 millimetre and lock it: it stands well clear of its rod",
    ),
    (
        MakeTrue(Number("right.axles.leading.lean.ahead", 0.3, -0.3, 0.0), changes=()),
        "Set the right crank pin of the leading axle upright again, or fit another (how far the "
        "crank pin of the leading axle leans ahead, in forward running: 0.30 mm)",
        "Set the right crank pin of the leading axle upright again, or fit another (how far the "
        "crank pin of the leading axle leans ahead, in forward running: 0.3 millimetre)",
    ),
    (
        MakeTrue(Number("right.pins.heads.union_pin.behind", 0.8, -0.8, 0.0), changes=()),
        "File the hidden end of the right union pin flush (how far the hidden end of the union pin "
        "is proud: 0.80 mm)",
        "File the hidden end of the right union pin flush (how far the hidden end of the union pin "
        "stands out: 0.8 millimetre)",
    ),
    (
        PutRight(Number("right.expansion_link.foot_pin.back", -0.8, 1.6, 0.8), changes=()),
        "How far the right foot pin of the expansion link is behind the trunnion: the sheet has "
        "-0.80 mm, the other side 0.80; made alike, that cures it. It is as much the other way: "
        "look first whether the expansion link is in back to front, and turn it round",
        "On the right-hand side how far the foot pin of the expansion link is behind its pivot: "
        "0.8 millimetre the other way than on the other side. Perhaps the expansion link is in "
        "back to front, and is to be turned round",
    ),
    (
        MakeTrue(Number("connecting_rod.twist", 12.0, -12.0, 0.0, True), changes=()),
        "Untwist the connecting rod, held square at one eye (the twist in the connecting rod: "
        "12.00 degrees)",
        "Untwist the connecting rod, held square at one eye (how far the connecting rod is "
        "twisted: 12 degrees)",
    ),
    (
        MeasureFirst("radius_rod.out", Source.GUESSED, 4.4, 4.6, math.inf, degrees=False),
        "Measure how far out the radius rod sits before anything is bent, cut or bought: it is a "
        "guess, 4.40 mm, and 4.60 mm or more would fit",
        "Measure how far out the radius rod stands from the wheel before anything is bent, cut or "
        "bought: it is a guess, 4.4 millimetres, and 4.6 millimetres or more would fit",
    ),
    (
        MeasureFirst("right.radius_rod.width", Source.ASSUMED, 1.2, -math.inf, 1.0, degrees=False),
        "Measure the right radius rod's width before anything is bent, cut or bought: it is "
        "assumed, 1.20 mm, and 1.00 mm or less would fit",
        "Measure the depth of the radius rod (on the right-hand side) before anything is bent, cut "
        "or bought: it is assumed, 1.2 millimetres, and 1 millimetre or less would fit",
    ),
    (
        MeasureFirst("return_crank.leads", Source.GUESSED, 90.0, 86.5, 86.5, degrees=True),
        "Measure how far the return crank is ahead of the crank pin before anything is bent, cut "
        "or bought: it is a guess, 90.00 degrees, and 86.50 degrees would fit",
        "Measure how far the return crank is turned ahead of the crank pin before anything is "
        "bent, cut or bought: it is a guess, 90 degrees, and 86.5 degrees would fit",
    ),
    (
        MeasureAgain(("rod", "nut")),
        "Measure the rod and the nut again: no small cure was found for what the sheet says",
        "Measure the rod and the nut again: no small cure was found for what the sheet says",
    ),
]


def test_every_class_is_in_the_tables():
    assert {type(cure) for cure, *_ in SAID} == set(get_args(Cure)) == set(DRASTIC)


@pytest.mark.parametrize(
    ("cure", "bench", "owner"),
    SAID,
    ids=[f"{type(c).__name__} {k}" for k, (c, *_) in enumerate(SAID)],
)
def test_each_cure_in_each_register(cure, bench, owner):
    assert say_deed(cure, MM_BENCH) == bench
    assert plainly(say_deed(cure, MM_OWNER)) == owner


WASHER = SAID[5][0]
FOUL = made(Fouls)


@pytest.mark.parametrize(
    ("cure", "outcome", "bench", "owner"),
    [
        (
            SAID[1][0],
            Outcome(leaves=0.3),
            "; straight, it leaves 0.30 mm of air, and nothing else comes closer than asked.",
            ". That leaves a gap of 0.3 millimetre, about three sheets of paper thick.",
        ),
        (
            WASHER,
            Outcome(leaves=0.1, spoils=(FOUL,)),
            "; that leaves 0.10 mm of air. But then the rod fouls the nut by 0.12 mm (seen in "
            "plan).",
            ". That leaves a gap of 0.1 millimetre, about one sheet of paper thick. It makes "
            "something else too near; that stands in the appendix.",
        ),
        (
            WASHER,
            Outcome(leaves=0.1, loses=(Loss(("rod", "nut"), 0.5, 0.3), Loss(("a", "b"), 0.6, 0.5))),
            "; that leaves 0.10 mm of air, and nothing else comes closer than asked; the rod and "
            "the nut lose 0.20 mm of air (0.30 left), 1 other pair some.",
            ". That leaves a gap of 0.1 millimetre, about one sheet of paper thick.",
        ),
        (
            ScrewHome("crank", "nut", 0.4, changes=()),
            Outcome(leaves=0.3, also=2),
            "; one cause, for it also makes 2 other tight spots of that side; that leaves 0.30 mm "
            "of air, and nothing else comes closer than asked.",
            ". That one cause also makes 2 other tight spots of that side. That leaves a gap of "
            "0.3 millimetre, about three sheets of paper thick.",
        ),
        (SAID[2][0], Outcome(), ".", "."),
    ],
)
def test_what_comes_of_it_follows(cure, outcome, bench, owner):
    tried = Tried(cure, outcome)
    assert say_cure(tried, MM_BENCH) == f"{say_deed(cure, MM_BENCH)}{bench}"
    assert plainly(say_cure(tried, MM_OWNER)) == f"{plainly(say_deed(cure, MM_OWNER))}{owner}"
