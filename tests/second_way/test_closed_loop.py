"""A few engines of the closed loop in every run; all of them by `closed_loop.py` itself."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from linkage.examine import examine
from linkage.sheet.numbers import numbers_of
from tests.ready import FREE
from tests.second_way.broken import broken_engine, issued_engine, read, whole_engines
from tests.second_way.closed_loop import follow_advice, table


@pytest.mark.parametrize("name", [name for name in whole_engines() if name not in FREE])
def test_the_engines_are_free_before_they_are_broken(name):
    assert examine(read(whole_engines()[name])).free


AMONG = ("2-6-0", "0-6-0 jointed")
"""So that a ready sheet that comes to be makes no other engines of these seeds."""


@cache
def broken_on(seed):
    return broken_engine(seed, AMONG)


@cache
def followed_on(seed):
    return follow_advice(broken_on(seed))


@pytest.mark.parametrize("seed", [3, 10])  # of the second one valve goes otherwise than the other
def test_the_advice_followed_frees_the_engine(seed):
    followed = followed_on(seed)

    assert followed.outcome == "freed", followed.left
    assert followed.rounds <= len(followed.broken.faults)
    assert not followed.misled
    assert not followed.irreversible


def test_the_sheet_is_measured_within_its_errors():
    broken = broken_on(3)
    truth, sheet = numbers_of(read(broken.truth)), numbers_of(read(broken.text))
    measured = {number.key: number.value for number in sheet}
    off = {number.key: abs(number.value - measured[number.key]) for number in truth}

    assert any(off.values())
    assert all(off[number.key] <= number.origin.error + 0.005 for number in truth)


def test_one_said_to_be_free_for_sure_that_is_not_is_counted():
    followed = followed_on(3)
    wrong = replace(followed, doubt=0.01, wrong=("Fouls right crank, coupling rod",))

    assert not followed.wrongly_sure
    assert wrong.wrongly_sure
    assert not replace(wrong, doubt=0.5).wrongly_sure


def test_a_seed_breaks_alike_every_time():
    assert broken_engine(3, AMONG) == broken_on(3)


def test_the_table_counts_what_came_of_them():
    followed = followed_on(3)
    lines = table([followed, followed]).splitlines()

    assert lines[1].split() == ["engines", "0", "0", "2", "2"]
    assert "100.0 %" in lines[-2]


@pytest.mark.parametrize("seed", range(3))
def test_engines_as_issued_are_free_before_they_are_broken(seed):
    name, text = issued_engine(np.random.default_rng(seed))

    assert examine(read(text)).free, name
