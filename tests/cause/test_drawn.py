"""Variants with all numbers moved: against mechanisms made and turned one by one."""

from __future__ import annotations

from functools import reduce

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.cause.drawn import Drawn
from linkage.cause.sampling import SAMPLES, Kind
from linkage.clearance import RoomsOfVariants
from linkage.kinematics import follow, solve_as_far
from linkage.sheet.drawing import drawn
from linkage.sheet.numbers import with_number
from tests.ready import ready

COUNT = 6
CURVED = 0.012
"""What the second order of so small moves may make of air [mm]: a quarter of a measuring error."""


@pytest.fixture(scope="module")
def engines():
    return Drawn(ready("ardmoor-2-6-0"))


@pytest.fixture(scope="module")
def moves(engines):
    return drawn(engines.numbers, COUNT) * engines.errors


def test_the_air_is_that_of_mechanisms_made_one_by_one(engines, moves):
    sheet, stops = engines.sheet, engines.turn(moves)["right"]
    made = [
        build(
            reduce(lambda held, k: with_number(held, engines.numbers[k], move[k]),
                   range(len(move)), sheet),
            "right",
        )["right"]
        for move in moves
    ]  # fmt: skip
    motion = solve_as_far(follow(made[0]), made, SAMPLES)
    rooms = RoomsOfVariants(sheet.wanted_clearance)(made, motion)
    looked_at = 0
    for variant, near in enumerate(rooms):
        for parts, curve in near.items():
            k = next((k for k, thing in enumerate(stops.things)
                      if thing.kind is Kind.FOULS and thing.parts == parts), None)  # fmt: skip
            if curve.min() < sheet.wanted_clearance:
                asked = 0.0 if k is None else stops.asked[k]
                if curve.min() < asked:
                    assert stops.least[variant, k] == pytest.approx(curve.min(), abs=CURVED)
                    looked_at += 1
    assert looked_at > COUNT


def test_a_variant_does_not_hang_on_those_beside_it(engines, moves):
    """The time is linear in the variants because each is turned for itself."""
    together, alone = engines.turn(moves)["left"], engines.turn(moves[3:4])["left"]

    assert together.least[3] == pytest.approx(alone.least[0], abs=1e-9)
    assert np.array_equal(together.stopped[3], alone.stopped[0])


def test_no_move_is_the_sheet_itself(engines):
    still = engines.turn(np.zeros((1, len(engines.numbers))))["right"]
    worst = int(np.argmin(still.least[0]))

    assert set(still.things[worst].parts) == {"radius rod", "motion bracket"}
    assert still.least[0, worst] == pytest.approx(-0.126, abs=0.01)
