"""What may only be the fault of a guess: measure it first, and what would fit."""

from __future__ import annotations

import math

import pytest

from linkage.advice import advise, cures, search_cures
from linkage.advice.cure import MeasureAgain, MeasureFirst, Replace, SetBack, changes_of
from linkage.advice.guessed import wrong_as_measured
from linkage.advice.patience import TimeLeft
from linkage.certainty import Word, how_sure
from linkage.examine import examine
from linkage.report.cures import say_cure
from linkage.sheet import change, sheet_from, sheet_in
from linkage.sheet.blank import blank_sheet
from linkage.tables.origin import Source
from tests.ready import examined_once
from tests.voices import MM_BENCH


@pytest.fixture(scope="module")
def guessed(straight):
    """Return the free demonstration with a motion bracket that was only guessed, and fouls."""
    bracket = {**straight.data["motion_bracket"], "out": "about 2.95"}
    return examine(sheet_from({**straight.data, "motion_bracket": bracket}, ask=False))


def test_a_guess_at_odds_is_to_be_measured_first(guessed):
    advice = advise(guessed)
    assert advice
    for item in advice:
        first, *rest = (tried.cure for tried in item.cures)
        assert isinstance(first, MeasureFirst)
        assert (first.key, first.source, first.now) == ("motion_bracket.out", Source.GUESSED, 2.95)
        assert not changes_of(first)
        assert not any(isinstance(cure, MeasureFirst | MeasureAgain) for cure in rest)
    said = say_cure(advice[0].cures[0], MM_BENCH)
    assert said.startswith("Measure how far out the motion bracket sits before anything is bent")
    assert said.endswith("it is a guess, 2.95 mm, and 2.75 mm or less would fit.")


def test_what_is_said_to_fit_does_and_a_step_less_does_not(guessed):
    first = advise(guessed)[0].cures[0].cure
    assert isinstance(first, MeasureFirst)
    assert first.low == -math.inf
    assert examine(change(guessed.sheet, {first.key: first.high})).free
    assert not examine(change(guessed.sheet, {first.key: first.high + 0.05})).free


def test_what_was_measured_is_cured_as_ever(demo):
    assert isinstance(advise(examined_once(demo))[0].cures[0].cure, SetBack)


def kinked(kind="kink", amount="1.0"):
    """Return an engine as issued, all guesses, with a radius rod bent into the valve spindle."""
    text = blank_sheet("walschaerts", "4 mm")
    spread = "length = 2.0\n" if kind == "joggle" else ""
    bend = f'kind = "{kind}"\nfrom = "rear"\nat = 4.0\n{spread}towards_frames = {amount}\n'
    return sheet_in(f"{text}\n[[right.radius_rod.bend]]\n{bend}", "engine.toml")


def test_a_bend_that_was_measured_is_put_right_before_anything_is_measured():
    found = examine(kinked())
    (spot,) = advise(found)
    first = spot.cures[0].cure

    assert how_sure(found).spots[0].word is Word.CANNOT_TELL
    assert isinstance(first, SetBack)
    assert not any(isinstance(tried.cure, MeasureFirst) for tried in spot.cures)
    assert examine(change(found.sheet, dict(changes_of(first)))).free


def test_a_bend_that_was_only_guessed_is_measured_as_any_number():
    assert isinstance(advise(examine(kinked(amount='"about 1.0"')))[0].cures[0].cure, MeasureFirst)


def test_a_joggle_is_made_on_purpose_and_is_no_damage():
    key = "right.radius_rod.bend[1].towards_frames"

    assert wrong_as_measured(examine(kinked()), "right").damage == {key}
    assert not wrong_as_measured(examine(kinked("joggle")), "right").damage


def test_the_question_takes_no_time_from_the_cures(guessed, monkeypatch):
    """It took all there was on ten coupled wheels, and no cure was found."""
    over = []

    def takes_all_the_time(*_):
        over.append(True)
        return ()

    monkeypatch.setattr(cures, "wrong_as_measured", lambda *_: None)
    monkeypatch.setattr(cures, "measured_first", takes_all_the_time)
    first, *_ = search_cures(guessed, TimeLeft(1.0, lambda: len(over)))

    assert over
    assert first.cures


def test_of_a_guess_that_holds_the_wheels_the_range_that_lets_them_turn_is_said():
    """Rods of one side, a measured rod, a guessed axle: the range is narrow, and far from it."""
    text = (
        'arrangement = "coupled-wheels"\nscale = "2 mm"\nmeasured_to = 0.03\nunits = "mm"\n'
        "[wheels]\nthrow = 2.19\n"
        "[coupling]\nhole = 0.77\npin = 0.72\nbox_play = {fore_aft = 0.03, vertical = 0.015}\n"
        '[axles.trailing]\nback = "about 14.5"\n'
        '[coupling_rods.side]\nfrom = "trailing"\nto = "driving"\ncentres = 14.34\n'
    )
    found = examine(sheet_in(text, "engine.toml"), rods_on="right")
    first, *rest = (tried.cure for tried in advise(found)[0].cures)

    assert isinstance(first, MeasureFirst)
    assert first.key == "axles.trailing.back"
    steps = {
        value: examine(change(found.sheet, {first.key: value}), rods_on="right").free
        for value in (first.low - 0.05, first.low, first.high, first.high + 0.05)
    }
    assert list(steps.values()) == [False, True, True, False]
    # the rod may be what is wrong as well: at its dead centre no turn of the axle makes up for it
    replaced = next(cure for cure in rest if isinstance(cure, Replace))
    (change_of_rod,) = changes_of(replaced)
    assert examine(change(found.sheet, dict([change_of_rod])), rods_on="right").free


def test_no_guess_is_asked_about_where_rods_of_both_sides_were_measured_unlike():
    """The pins are a guess, and thinner ones would let the wheels turn; the rods differ surely."""
    text = (
        'arrangement = "coupled-wheels"\nscale = "4 mm"\nmeasured_to = 0.03\nunits = "mm"\n'
        "[wheels]\nthrow = 4.33\n"
        '[coupling]\nhole = 1.54\npin = "about 1.5"\nbox_play = {fore_aft = 0.05, vertical = 0.05}'
        "\n[axles.leading]\nahead = 29.0\n"
        '[coupling_rods.front]\nfrom = "driving"\nto = "leading"\ncentres = 29.0\n'
        "[right]\ncoupling_rods.front.centres = 29.28\n"
    )
    found = examine(sheet_in(text, "engine.toml"))
    first = advise(found)[0].cures[0].cure

    assert how_sure(found).spots[0].word is Word.CANNOT_TELL
    assert changes_of(first) == (("right.coupling_rods.front.centres", 29.0),)
    assert examine(change(found.sheet, dict(changes_of(first)))).free
