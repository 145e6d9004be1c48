"""A wheel out of quarter, broken, felt by a whole examination, and told: one engine of the trial.

The trial itself is `tests.second_way.felt_trial`.
"""

from __future__ import annotations

import pytest

from tests.second_way.felt_trial import table, tell

OUT_OF_QUARTER = 7  # a seed whose engine has coupled wheels alone, soon examined


@pytest.fixture(scope="module")
def told():
    return tell(OUT_OF_QUARTER, rough=True, said=False)


def test_the_true_fault_is_told_first_with_ten_numbers_after_the_tests(told):
    assert told.fault.startswith("quarter")
    assert told.place <= 3
    assert told.after == 1


def test_the_table_counts_it(told):
    lines = [line.split() for line in table([told])]

    assert ["in", "the", "first", "three", "1", "of", "1", "100", "%"] in lines
    assert ["first", "after", "the", "tests", "1", "of", "1", "100", "%"] in lines
