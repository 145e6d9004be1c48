"""The owner's words: plain, without abbreviations, true to what was found."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from linkage.advice import advise
from linkage.advice.comparison import compare
from linkage.arrangements import build
from linkage.examine import examine
from linkage.handover import compose
from linkage.handover.certain import say_free_now
from linkage.handover.dates import UNDATED, created, in_words
from linkage.handover.done import say_changes, say_outcome
from linkage.handover.owner import owners_page
from linkage.lengths import MILLIMETRES
from linkage.report.blocks import Bullets, Finding, Grid, Heading, Pictures
from linkage.report.cautions import BENDING, CAUTION, STEAM, TURNING
from linkage.report.cures import say_cure
from linkage.report.faults import faults_of, say_fault, say_where
from linkage.report.glossary import entries, look_up
from linkage.report.spots import say_spot
from linkage.report.voice import explained, in_paper
from linkage.sheet import Job, change, read_sheet, sheet_from, sheet_in
from linkage.sheet.blank import blank_sheet
from linkage.sheet.ready import demonstration, ready_sheets
from linkage.tables.origin import Source
from linkage.tightspots import Close
from tests.handover.reports import AFTER, BEFORE, data_of, examined, texts, written
from tests.ready import ready, ready_names
from tests.report.test_spots import plainly
from tests.voices import MM_BENCH, MM_OWNER

ABBREVIATED = re.compile(
    r"\d ?mm\b|\bmm\b|\bdeg\b|°|\bapprox|\be\.g|\bi\.e|\betc\b|\bcf\b|\bmax\b|\bmin\b",
    re.IGNORECASE,
)


def said(blocks) -> str:
    return " ".join(texts(blocks))


def section(blocks, title: str) -> list:
    """Return the blocks under a heading."""
    at = next(i for i, b in enumerate(blocks) if isinstance(b, Heading) and b.text == title)
    after = [i for i, b in enumerate(blocks) if i > at and isinstance(b, Heading)]
    return list(blocks[at + 1 : min((i for i in after if blocks[i].level < 3), default=None)])


# --- numbers --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (0.0, ""),
        (0.004, ""),
        (0.01, "less than the thickness of one sheet of paper"),
        (0.07, "less than the thickness of one sheet of paper"),
        (0.08, "about one sheet of paper thick"),
        (0.1, "about one sheet of paper thick"),
        (0.144, "about one sheet of paper thick"),
        (0.15, "about two sheets of paper thick"),
        (0.249, "about three sheets of paper thick"),  # said as 0.25
        (0.3, "about three sheets of paper thick"),
        (1.24, "about twelve sheets of paper thick"),
        (1.3, "about 15 sheets of paper thick"),
        (5.04, "about 50 sheets of paper thick"),
        (5.05, ""),
        (300.0, ""),
    ],
)
def test_a_gap_in_sheets_of_paper(length, words):
    assert in_paper(length) == words


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (0.126, "0.13 millimetre"),
        (1.0, "1 millimetre"),
        (1.004, "1 millimetre"),
        (1.01, "1.01 millimetres"),
        (23.0, "23 millimetres"),
        (0.0, "0 millimetre"),
    ],
)
def test_a_length_in_words(length, words):
    assert MILLIMETRES.in_words(length) == words


# --- the glossary ---------------------------------------------------------------------------------


def test_each_part_is_explained_once_where_it_first_stands():
    said = MM_OWNER.part
    first, second = explained(
        [
            f"The return crank's pin meets the {said('return crank')}.",
            f"The {said('crank')} and the {said('crank pin')} turn the {said('crank pin')}.",
        ]
    )
    assert first == (
        "The return crank's pin meets the return crank (the small arm on the end of the wheel's "
        "peg)."
    )
    assert second == (
        "The crank (the arm that is turned, from its axle to its peg) and the crank pin (the peg "
        "on the wheel) turn the crank pin."
    )


BRIEFLY = {name: entry.brief for name, entry in entries().items() if entry.brief}


@pytest.mark.parametrize("name", sorted(BRIEFLY))
def test_a_part_has_its_plain_words(name):
    assert look_up(f"leading {name}") == look_up(name)
    assert look_up(name).brief == BRIEFLY[name]
    assert "." not in BRIEFLY[name]


@pytest.mark.parametrize("name", ready_names())
def test_a_part_has_the_same_words_whether_or_not_its_gear_is_said(name):
    sheet = ready(name)
    names = {part.name for side in build(sheet).values() for part in side.parts}
    assert {name: look_up(name) for name in names} == {
        name: look_up(name, sheet.arrangement) for name in names
    }


def test_explanations_stand_once_on_the_owners_page(each):
    page = said(each.report.owners)
    often = Counter(word for word, held in BRIEFLY.items() if f"({held})" in page)
    for word in often:
        assert page.count(f"({BRIEFLY[word]})") == 1


# --- the page -------------------------------------------------------------------------------------


def test_the_owner_reads_no_abbreviation(each):
    own = each.report.title  # as the repairer wrote it
    for text in texts(each.report.owners):
        assert text == own or not ABBREVIATED.search(text), text


def test_every_tight_spot_told_has_its_side_and_its_hour(each):
    page = said(each.report.owners)
    if "Nothing was found that binds" in page:
        return
    assert re.search(r"at about (half past \d+|\d+ o'clock)", page)
    assert "by hand" in page


def test_what_was_wrong_is_what_was_found():
    fault = faults_of(examined(BEFORE))[0]
    assert plainly(say_fault(examined(BEFORE), fault, past=True)) == (
        "On the right-hand side the radius rod touched the motion bracket: at the worst place they "
        "were in one another's way by 0.13 millimetre, about one sheet of paper thick. It showed "
        "from above, not from the side."
    )
    assert say_where(fault, past=True) == (
        "It came in every turn from about half past 10 to half past 1, worst at about 12 o'clock."
    )


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (BEFORE, "the radius rod touches the motion bracket"),
        ("slider-crank-rod-too-long", "The piston comes against the front cover"),
        ("four-bar-cannot-close", "3 millimetres short of one another"),
        (
            "ardmoor-pacific-5in-die-off-slot",
            "On both sides, with the reverser set to run forwards, the die block",
        ),
        ("ardmoor-0-6-0-coupled", "On both sides the wheels bind on the front coupling rod"),
        ("ardmoor-0-6-0-nut-on-curves", "with the wheels pushed over to one side"),
        ("worn", "but with all the wear of the joints taken up they meet"),
        ("in line", "come exactly into line, and there nothing decides which way they go on"),
        ("poor angle", "push almost along themselves, not across, and are apt to jam"),
    ],
)
def test_every_kind_of_tight_spot_has_its_words(name, words):
    assert words in plainly(
        " ".join(say_fault(examined(name), one, past=False) for one in faults_of(examined(name)))
    )


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("slider-crank-rod-too-long", "The piston came against the front cover"),
        ("four-bar-cannot-close", "could not be joined all the way round"),
        ("ardmoor-pacific-5in-die-off-slot", "the die block ran past the end"),
        ("ardmoor-0-6-0-coupled", "the wheels bound on the front coupling rod"),
        ("worn", "were 0.2 millimetre apart"),
        ("in line", "came exactly into line"),
        ("poor angle", "pushed almost along themselves, not across, and were apt to jam"),
    ],
)
def test_what_has_been_put_right_is_told_as_past(name, words):
    found = examined(name)
    said = plainly(" ".join(say_fault(found, fault, past=True) for fault in faults_of(found)))
    assert words in said
    assert not re.search(r"\b(is|are|touches|passes|runs|comes|locks)\b", said)


def test_close_ones_say_what_was_asked_for():
    close = [
        f for f in faults_of(examined("slider-crank-rod-too-long")) if isinstance(f.worst, Close)
    ]
    spot = close[0].worst
    text = say_fault(examined("slider-crank-rod-too-long"), close[0], past=False)
    assert f"with a gap of only {MM_OWNER.measured(spot.air)}" in text
    assert f"{MILLIMETRES.in_words(spot.wanted)} is asked for" in text


def test_alike_spots_are_told_together():
    (fault,) = faults_of(examined("ardmoor-0-6-0-nut-on-curves"))
    assert fault.sides == ("right", "left")
    assert "twice in every turn, at about 3 o'clock and 9 o'clock on the right-hand side" in (
        say_where(fault, past=False)
    )


def test_a_free_sheet_says_so():
    page = said(written(AFTER).report.owners)
    assert "Nothing was found that binds" in page
    assert "Nothing needs to be done to the motion." in page


def test_nothing_is_said_to_be_free_by_guesses():
    guessed = examine(sheet_in(blank_sheet("slider-crank"), "new"))
    page = said(owners_page(guessed, (), None, None, Job()))
    assert "too little of it was measured to be sure that it is free" in page
    assert "It is to be measured before anything is done" in page
    assert "Nothing needs to be done" not in page


def test_what_was_only_planned_is_not_said_to_be_measured():
    text = demonstration().read_text(encoding="utf-8")
    bend, planned = "towards_frames = 0.70", 'towards_frames = "to be 0.1"'
    planned = examine(sheet_in(text.replace(bend, planned), "after"))
    assert planned.free
    assert "it has not all been measured again" in say_free_now(planned)


def test_without_after_nothing_is_said_as_done():
    page = written(BEFORE).report.owners
    assert said(section(page, "What is advised")).startswith("Bend the radius rod")
    assert "This is advice: none of it has been done yet." in said(page)
    assert "What was done" not in texts(page)


def test_what_was_done_is_what_differs(demo):
    done = said(section(demo.report.owners, "What was done"))
    assert "the radius rod was straightened: its bend of 0.7 millimetre" in done
    assert "the motion is free all round the turn" in done
    assert "there is now a gap of 0.3 millimetre, about three sheets of paper thick" in done
    assert "advised" not in said(demo.report.owners)


def test_a_change_within_the_measuring_error_is_not_told():
    sheet = examined(AFTER).sheet
    error = 2 * sheet.origins["union_link.centres"].error
    for by, told in ((0.9 * error, False), (1.1 * error, True)):
        other = examine(change(sheet, {"union_link.centres": 4.5 + by}))
        lines = say_changes(examined(AFTER), other, compare(examined(AFTER), other))
        assert any("union link" in line for line in lines) is told


def test_what_is_not_free_after_the_work_is_said():
    found = compare(examined(AFTER), examined(BEFORE))
    lines = say_outcome(examined(BEFORE), found)
    assert lines[0] == "By the measurements taken afterwards it is not free yet."
    assert "the radius rod touches the motion bracket" in plainly(lines[1])


def test_the_cautions_stand_on_the_page_and_in_the_appendix(each):
    assert f"{TURNING} {CAUTION}" in texts(each.report.owners)
    assert isinstance(each.report.bench[-2], Bullets)
    assert each.report.bench[-2].items == (CAUTION, TURNING, BENDING, STEAM)


def test_pictures_have_captions(each):
    pictures = [p for b in each.report.owners if isinstance(b, Pictures) for p in b.items]
    assert pictures
    assert all(picture.caption for picture in pictures)


# --- the job --------------------------------------------------------------------------------------


def test_the_repairers_own_words_stand_as_they_are():
    words = {
        "letterhead": "Marsh Lane Works\n2 Marsh Lane",
        "owner": "the club",
        "came_in": "2026-03-14",
        "date": "2026-03-28",
        "complaint": "It jams, approx. once a turn.",
        "other_work": ["New brushes."],
        "parts_replaced": ["one crank pin"],
        "not_original": ["the chimney"],
        "advice": ["Oil it."],
    }
    report = compose(examine(sheet_from(data_of("four-bar") | {"job": words})))
    page = texts(report.owners)
    for text in (
        "Marsh Lane Works\n2 Marsh Lane",
        "the club",
        "14 March 2026",
        "28 March 2026",
        "It jams, approx. once a turn.",
        "New brushes.",
        "New: one crank pin",
        "Not original: the chimney",
        "Oil it.",
    ):
        assert text in page
    assert report.created.isoformat() == "2026-03-28T00:00:00+00:00"


def test_dates_may_be_words():
    assert in_words("before Easter") == "before Easter"
    assert created(Job(date="before Easter")) == UNDATED == created(Job())


# --- the appendix ---------------------------------------------------------------------------------


def test_every_number_stands_with_its_error(each):
    grids = [b for b in section(each.report.bench, "Numbers") if isinstance(b, Grid)]
    assert len(grids) == 1
    assert all(len(row) == len(grids[0].columns) for row in grids[0].rows)


def test_numbers_are_measured_or_assumed():
    sheet = examined(BEFORE).sheet
    (grid,) = [b for b in section(written(BEFORE).report.bench, "Numbers") if isinstance(b, Grid)]
    rows = {row[0]: row[1:] for row in grid.rows}
    assert set(rows) == {key for held in sheet.dimensions.values() for key in held}
    lever = "combination_lever.radius_rod_pin_to_union_pin"
    assert rows[lever] == ("9.00", "mm", "measured", "0.03")
    assert rows["return_crank.leads"] == ("90.00", "degrees", "measured", "1.00")
    assumed = {key for key, row in rows.items() if row[2] == "assumed"}
    assert assumed == {key for key, o in sheet.origins.items() if o.source is Source.ASSUMED}
    assert assumed


def test_every_clearance_stands_with_its_place(each):
    for block in each.report.bench:
        if isinstance(block, Grid) and block.columns[0].heading == "air, mm":
            held = {row[-1] for row in block.rows}
            assert held <= {"proven", "bounded", "sampled"}
    rows = [
        row
        for b in section(written(BEFORE).report.bench, "Clearances")
        if isinstance(b, Grid)
        for row in b.rows
    ]
    pairs = [pair for side in examined(BEFORE).sides.values() for pair in side.survey.pairs]
    assert len(rows) == len(pairs)
    assert rows[0][0] == "overlap 0.13"


def test_every_finding_stands_with_its_cures():
    from linkage.advice import advise

    for name in (BEFORE, "slider-crank-rod-too-long"):
        found = texts(section(written(name).report.bench, "Findings"))
        advice = advise(examined(name))
        for item in advice:
            if f"1. {say_spot(examined(name), item.spot)}" in found[0]:
                assert any(say_cure(item.cures[0], MM_BENCH) in text for text in found)
        blocks = section(written(name).report.bench, "Findings")
        numbered = [b for b in blocks if isinstance(b, Finding) and re.match(r"\d+\. ", b.text)]
        assert len(numbered) == len(advice)


def test_what_changed_stands_from_before_to_after(demo):
    changed = texts(section(demo.report.bench, "What changed"))
    assert "radius_rod.bend[1].towards_frames" in changed
    at = changed.index("radius_rod.centres")
    assert changed[at - 2 : at + 2] == ["23.00", "23.21", "radius_rod.centres", "right"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("ardmoor-0-6-0-rod-long", "It takes another front coupling rod."),
        ("ardmoor-0-6-0-coupled", "the crank pin of the leading axle is turned ahead of its place"),
    ],
)
def test_advice_names_no_place_on_the_sheet(name, said):
    cure = advise(examine(read_sheet(ready_sheets()[name])))[0].cures[0]
    text = plainly(say_cure(cure, MM_OWNER))
    assert said in text
    assert "axles, " not in text
    assert "coupling rods, " not in text
