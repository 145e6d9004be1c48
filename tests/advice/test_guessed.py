"""What may only be the fault of a guess: measure it first, and what would fit."""

from __future__ import annotations

import math

import pytest

from linkage.advice import advise
from linkage.advice.cure import MeasureAgain, MeasureFirst, SetBack, changes_of
from linkage.examine import examine
from linkage.report.cures import say_cure
from linkage.sheet import change, sheet_from
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
