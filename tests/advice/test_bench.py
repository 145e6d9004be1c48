"""How many steps are enough: the least, and none where the most is too few."""

from __future__ import annotations

import pytest

from linkage.advice.bench import least_count, steps_up


@pytest.mark.parametrize("needed", range(1, 21))
@pytest.mark.parametrize("first", [1, 3, 8, 50])
def test_the_least_count_that_is_enough_is_found(needed, first):
    tried = []

    def enough(count):
        tried.append(count)
        return count >= needed

    assert least_count(enough, first, 20) == needed
    assert max(tried) <= 20
    assert len(tried) == len(set(tried)) <= 10


def test_where_the_most_is_too_few_there_is_none():
    assert least_count(lambda count: count >= 21, 2, 20) is None
    assert least_count(lambda _: True, 1, 0) is None


@pytest.mark.parametrize(
    ("amount", "steps"), [(0.0, 0), (0.01, 1), (0.05, 1), (0.051, 2), (0.1, 2), (0.149, 3)]
)
def test_so_many_whole_steps_are_enough(amount, steps):
    """0.1 in steps of 0.05 is two, whatever the division rounds to."""
    assert steps_up(amount, 0.05) == steps
