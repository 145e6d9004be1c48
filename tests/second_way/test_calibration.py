"""A few engines of the calibration (`calibration.py`) in every run; the whole is one command."""

import math

import pytest

from tests.second_way.calibration import BANDS, Drawn, bands, draw_engines

AMONG = (
    "2-6-0", "2-6-0 with coupled wheels", "0-6-0 7 mm", "0-6-0 jointed", "0-6-0 one piece",
    "0-4-0 worn", "0-6-0 rod and crosshead", "Pacific 5 in", "slider-crank",
)  # fmt: skip
"""So that a ready sheet that comes to be makes no other engines of these seeds."""


@pytest.mark.parametrize("seed", [2, pytest.param(13, marks=pytest.mark.long)])
def test_what_is_said_to_be_likely_comes_true_as_often(seed):
    drawn = draw_engines(seed, 16, AMONG)
    assert drawn is not None
    assert BANDS[0][0] <= drawn.chance <= BANDS[-1][1]
    spread = math.sqrt(drawn.chance * (1 - drawn.chance) / drawn.count)
    assert abs(drawn.share - drawn.chance) < 2.6 * spread  # once in a hundred by chance alone


def test_a_band_is_the_mean_of_what_was_said_and_the_share_that_came_true():
    every = [Drawn(1, "a", 0.1, 1, 10), Drawn(2, "b", 0.3, 3, 10), Drawn(3, "c", 0.8, 9, 10)]
    low, middle, high = bands(every)
    assert low == (20, pytest.approx(0.2), pytest.approx(0.2))
    assert middle[0] == 0
    assert high == (10, pytest.approx(0.8), pytest.approx(0.9))
