"""Inch sheets are answered in inches: every sentence, table and picture, in either register."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from linkage.advice import advise
from linkage.advice.applying import apply_advice
from linkage.advice.comparison import compare_sides
from linkage.advice.window import find_windows
from linkage.examine import examine
from linkage.handover.content import compose
from linkage.lengths import MILLIMETRES, THOU, Inches, inward
from linkage.report.cures import say_deed
from linkage.report.data import check_data
from linkage.report.document import (
    check_blocks,
    comparison_blocks,
    windows_blocks,
)
from linkage.report.hypertext import set_hypertext
from linkage.report.spots import say_here, say_what
from linkage.sheet import sheet_in
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Close
from tests.ready import ready
from tests.report import test_cures, test_spots
from tests.tightspots.made import made
from tests.voices import INCH_BENCH, INCH_OWNER, MM_BENCH, MM_OWNER

MM = re.compile(r"\bmm\b|millimetre")
INCH = re.compile(r"\bthou\b|\d in\b|\binch|thousandth")
TANK = "ardmoor-0-6-0-7mm"
BOW = """
[right.radius_rod]
bend = [{ kind = "bow", from = "die block", at = 0.4, over = 0.7, towards_frames = "79 thou" }]
"""


def said_in(blocks):
    return re.sub(r"<[^>]*>", " ", str(set_hypertext(blocks)))


@pytest.fixture(scope="module")
def bent():
    return examine(sheet_in(ready_sheets()[TANK].read_text(encoding="utf-8") + BOW, "t"))


@pytest.fixture(scope="module")
def cures(bent):
    return advise(bent)


def test_a_sheet_is_answered_as_most_of_it_was_typed():
    assert ready("ardmoor-2-6-0").lengths == MILLIMETRES
    assert isinstance(ready(TANK).lengths, Inches)


def test_a_sheet_without_units_whose_lengths_are_typed_in_inches_is_one_of_inches():
    lines = ready_sheets()["four-bar"].read_text(encoding="utf-8")
    assert sheet_in(lines, "t").lengths == MILLIMETRES
    typed = re.sub(r"(centres|width|thickness|out) += ([\d.]+)", r'\1 = "\2 in"', lines)
    typed = re.sub(r"\[([\d.]+), ([\d.]+)\]", r'["\1 in", "\2 in"]', typed)
    assert isinstance(sheet_in(typed, "t").lengths, Inches)


@pytest.mark.parametrize(("voice", "mm"), [(INCH_BENCH, MM_BENCH), (INCH_OWNER, MM_OWNER)])
@pytest.mark.parametrize("past", [False, True])
def test_every_finding(voice, mm, past):
    for spot, *_ in test_spots.SAID:
        _is_in_inches(say_what(spot, voice, past), say_what(spot, mm, past))


def test_every_finding_on_a_moving_picture():
    for spot, *_ in test_spots.SAID:
        _is_in_inches(say_here(spot, INCH_BENCH), say_here(spot, MM_BENCH))


@pytest.mark.parametrize(("voice", "mm"), [(INCH_BENCH, MM_BENCH), (INCH_OWNER, MM_OWNER)])
def test_every_cure(voice, mm):
    for cure, *_ in test_cures.SAID:
        _is_in_inches(say_deed(cure, voice), say_deed(cure, mm))


def _is_in_inches(said, in_mm):
    """Assert that what has a length in mm has it in inches, and nothing in mm."""
    assert not MM.search(said), said
    assert bool(INCH.search(said)) == bool(MM.search(in_mm)), said


def test_air_that_is_too_little_never_reads_as_enough():
    close = made(Close)
    for share in (0.9, 0.97, 0.99):
        spot = replace(close, air=share * close.wanted)
        air, asked = re.search(r"with (\S+) thou of air, (\S+) thou wanted",
                               say_what(spot, INCH_BENCH)).groups()  # fmt: skip
        assert float(air) < float(asked)


def test_a_whole_answer(bent, cures):
    said = said_in(check_blocks(bent, cures, everything=True))
    assert "thou" in said
    assert not MM.search(said.replace("7 mm scale", ""))


def test_with_mm_beside_on_wish(bent):
    lengths = replace(bent.sheet.lengths, beside=True)
    both = replace(bent, sheet=replace(bent.sheet, lengths=lengths))
    said = said_in(check_blocks(both, (), everything=True))
    assert re.search(r"by [\d.]+ thou \(0\.\d\d mm\)", said)
    assert re.search(r"[\d.]+ \(\d\.\d\d\)", said)


def test_cures_are_in_whole_thou(cures):
    said = [say_deed(tried.cure, INCH_BENCH) for item in cures for tried in item.cures]
    amounts = [x for text in said for x in re.findall(r"by (?:at least )?([\d.]+) thou", text)]
    assert amounts
    assert all(float(amount) % 2 == 0 for amount in amounts), said


def test_what_is_put_on_the_sheet_is_in_inches(bent, cures):
    text = ready_sheets()[TANK].read_text(encoding="utf-8") + BOW
    new = apply_advice(bent, cures, text).text
    added = [line for line in new.splitlines() if "to be" in line]
    assert added
    assert not any("mm" in line for line in added), added
    assert isinstance(sheet_in(new, "t").lengths, Inches)


def test_other_programs_are_told_mm(bent, cures):
    spot = check_data(bent, cures)["tight_spots"][0]
    assert spot["amount_mm"] == pytest.approx(bent.spots[0].overlap, abs=1e-3)


def test_windows_and_sides(bent):
    slider = replace(ready("slider-crank"), lengths=Inches())
    window = find_windows(slider, "connecting_rod.centres", 60.0, 70.0)
    sides = comparison_blocks(bent, bent, compare_sides(bent))
    blocks = [*windows_blocks(slider, window), *sides]
    said = said_in(blocks)
    assert ("connecting_rod.centres is 2.559 in now; looked at from 2.362 in to") in said
    assert not MM.search(said)


def test_the_report_to_the_owner(bent):
    report = compose(bent)
    said = said_in((*report.owners, *report.bench))
    assert "thousandths of an inch" in said
    assert not MM.search(said.replace("7 mm scale", ""))


def test_the_ends_of_a_window_are_within_it():
    lengths = Inches()
    for low, high in ((1.0, 1.1), (2.51, 2.54), (0.3, 0.42)):
        first, last = (float(lengths.figure(x)) * 25.4 for x in inward(low, high, THOU))
        assert low - 1e-9 <= first <= last <= high + 1e-9


def test_table_and_finding_name_one_place_of_a_level_floor(bent):
    (spot,) = bent.spots
    pair = next(p for p in bent.sides["right"].survey.pairs if p.parts == spot.parts)
    assert pair.at == pytest.approx(spot.worst % (2 * math.pi), abs=1e-9)
    assert pair.least == pytest.approx(-spot.overlap, abs=1e-9)
