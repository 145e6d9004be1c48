"""A few engines of the closed loop in every run; all of them by `closed_loop.py` itself."""

from __future__ import annotations

import pytest

from linkage.examine import examine
from tests.second_way.broken import broken_engine, read, whole_engines
from tests.second_way.closed_loop import follow_advice, table


@pytest.mark.parametrize("name", whole_engines())
def test_the_engines_are_free_before_they_are_broken(name):
    assert examine(read(whole_engines()[name])).free


@pytest.mark.parametrize("seed", [10, 20])
def test_the_advice_followed_frees_the_engine(seed):
    followed = follow_advice(broken_engine(seed))

    assert followed.outcome == "freed", followed.left
    assert followed.rounds <= len(followed.broken.faults)
    assert not followed.misled
    assert not followed.irreversible


def test_a_seed_breaks_alike_every_time():
    assert broken_engine(20) == broken_engine(20)


def test_the_table_counts_what_came_of_them():
    followed = follow_advice(broken_engine(20))
    lines = table([followed, followed]).splitlines()

    assert lines[1].split() == ["engines", "0", "0", "2", "2"]
    assert "100.0 %" in lines[-1]
