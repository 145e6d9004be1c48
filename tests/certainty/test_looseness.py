"""How the play left goes with the numbers: by the multipliers, against wheels really changed."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.arrangements import coupled_wheels
from linkage.certainty.looseness import play_left
from linkage.examine import examine
from linkage.play import Turning
from linkage.sheet import read_sheet
from linkage.sheet.numbers import numbers_of, with_number
from linkage.sheet.ready import ready_sheets

BY = 1e-3  # each number is moved so far either way [mm, degrees]


@pytest.fixture(scope="module")
def binding():
    """Return the play of a sheet whose wheels bind, and how it goes with its numbers."""
    examination = examine(read_sheet(ready_sheets()["ardmoor-0-4-0-worn-hole"]))
    numbers = numbers_of(examination.sheet)
    return examination.sheet, numbers, play_left(examination.sheet, examination.play, numbers)


@pytest.mark.parametrize("key", ["coupling.hole", "axles.leading.ahead", "coupling_rods.front"])
def test_the_play_left_goes_as_its_slopes_say(binding, key):
    sheet, numbers, every = binding
    place, number = next((k, one) for k, one in enumerate(numbers) if key in one.key)
    for left in every:
        used = [
            Turning(coupled_wheels(with_number(sheet, number, by))).apart(np.array([left.at])).used
            for by in (BY, -BY)
        ]
        found = float((used[0] - used[1])[0]) / (2 * BY)
        # of what makes the misfit the slope is of what is left; play widens all there is
        said = -left.slopes[place] - left.widens[place] * (1.0 - left.room)
        assert said == pytest.approx(found, abs=0.01 * max(1.0, abs(found)) + 2e-5 / BY)
