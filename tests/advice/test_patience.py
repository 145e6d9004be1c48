"""How long an answer may take."""

from __future__ import annotations

import pytest

from linkage.advice.patience import time_left


@pytest.mark.parametrize(
    ("patience", "examined", "over"),
    [
        (8.0, 1.0, 8.0),  # from when the sheet was taken up
        (8.0, 7.0, 9.0),  # a slow examination leaves the cures two seconds
        (2.0, 5.0, 7.0),  # but no more than was allowed
        (0.0, 1.0, 1.0),
    ],
)
def test_trials_are_begun_until_the_time_is_over(patience, examined, over):
    now = 100.0 + examined
    left = time_left(patience, 100.0, lambda: now)
    assert left() is (over > examined)
    for later, still in ((-0.01, True), (0.0, False), (1.0, False)):
        if over + later >= examined:  # time goes one way
            now = 100.0 + over + later
            assert left() is still
