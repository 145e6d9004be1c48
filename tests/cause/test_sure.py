"""How sure each finding is by turning many engines: beside the first order, and what was felt."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from rich.console import Console

from linkage.cause.sure import APART, Why, sure_of
from linkage.examine import examine
from linkage.report.sure import sure_blocks, sure_data
from linkage.report.terminal import set_blocks
from linkage.sheet import sheet_from
from linkage.sheet.drawing import drawn
from linkage.sheet.numbers import numbers_of
from linkage.sheet.saying import felt_in
from tests.ready import examined, ready

DEMO = "ardmoor-2-6-0"


@pytest.fixture(scope="module")
def sure():
    return sure_of(examined(DEMO), 300)


def test_it_agrees_with_the_first_order_where_the_numbers_are_measured(sure):
    both = [c for c in sure.chances if c.chance >= 0 and c.first >= 0]

    assert len(both) >= 3
    assert all(abs(c.unfelt - c.first) < APART and c.why is None for c in both)


def test_what_the_sheet_does_not_have_is_told_with_what_to_measure(sure):
    more = [c for c in sure.chances if c.spot is None]

    assert {frozenset(c.thing.parts) for c in more} == {frozenset(("radius rod", "valve spindle"))}
    assert all(c.guessed > 0.5 for c in more)  # the spindle's diameter is assumed
    assert sure.next[0].number.key == "valve_spindle.diameter"
    assert sum(one.share for one in sure.next) <= 1


def test_a_doubt_of_nothing_is_no_finding():
    """Without a single doubtful number nothing is drawn apart."""
    sure = sure_of(examined("ardmoor-0-6-0-rod-long"), 100)

    # binding at either dead centre are two findings, each where it is
    places = sorted(math.degrees(c.at) for c in sure.chances)
    assert places == pytest.approx([0.0, 180.0], abs=15.0)
    assert sure.free < 0.01
    assert all(c.chance > 0.99 for c in sure.chances)
    assert sure.next == ()


def test_what_was_felt_weighs_the_engines_or_says_why_not():
    """The radius rod is hard on the bracket at 12: where it was felt alters no chance of that."""
    data = dict(ready(DEMO).data)
    there = sure_of(_felt(data, "locks at about 12 o'clock on the right"), 200)
    nowhere = sure_of(_felt(data, "locks at about 6 o'clock on the right"), 200)

    assert there.weighed
    assert there.counting > 100
    assert nowhere.chances[0].chance == pytest.approx(there.chances[0].chance, abs=0.1)
    words = _words(_felt(data, "locks at about 12 o'clock on the right"), there)
    assert "weighed by how well they would make that felt" in words


def test_where_it_was_turned_from_stop_to_stop_no_engine_counts_that_sticks_between():
    """The lock at 12, told by both its ends; and told as if it were turned through."""
    data = dict(ready(DEMO).data)
    words = "locks at {} on the right turning {}, locks at {} on the right turning {}"
    ends = ("half past 10", "forward", "half past 1", "backward")
    through = ("half past 1", "forward", "half past 10", "backward")
    told, other = (sure_of(_felt(data, words.format(*said)), 100) for said in (ends, through))

    assert told.counting > 30
    assert told.weighed
    assert not other.weighed or other.counting < told.counting


def test_draws_of_a_number_hang_on_its_key_alone():
    numbers = numbers_of(ready(DEMO))
    every, some = drawn(numbers, 50), drawn(numbers[10:20], 50)

    assert np.array_equal(every[:, 10:20], some)
    assert np.abs(np.corrcoef(every.T) - np.eye(len(numbers))).max() < 0.7


def test_words_and_data_say_the_same(sure):
    found = examined(DEMO)
    words, data = _words(found, sure), sure_data(found, sure)

    assert data["findings"][0]["kind"] == "fouls"
    assert data["findings"][0]["agrees"]
    assert "The radius rod fouls the motion bracket" in words
    assert "(on either side)" in words
    assert {w.value for w in Why} >= {f["why"] for f in data["findings"] if f["why"]}


def _felt(data, words):
    return examine(sheet_from({**data, "felt": felt_in(words)}, "engine.toml", ask=False))


def _words(found, sure):
    paper = Console(file=io.StringIO(), width=200)
    for one in set_blocks(sure_blocks(found, sure)):
        paper.print(one)
    return paper.file.getvalue()
