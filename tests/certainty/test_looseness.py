"""How the play left goes with the numbers: by the multipliers, against wheels really changed."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.arrangements import coupled_wheels
from linkage.certainty import Word, how_sure
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


def test_a_pin_that_is_guessed_is_what_to_measure(tmp_path):
    # rods that both were measured, in holes that were: with the pin known too it is sure
    said = {}
    for pin in ('"about 1.5"', "1.5"):
        path = tmp_path / "rods.toml"
        path.write_text(
            'arrangement = "coupled-wheels"\nscale = "4 mm"\nmeasured_to = 0.03\nunits = "mm"\n'
            "[wheels]\nthrow = 4.33\n"
            f"[coupling]\nhole = 1.54\npin = {pin}\nbox_play = {{fore_aft = 0.05, vertical = 0.05}}"
            "\n[axles.leading]\nahead = 29.0\n"
            '[coupling_rods.front]\nfrom = "driving"\nto = "leading"\ncentres = 29.0\n'
            "[right]\ncoupling_rods.front.centres = 29.28\n",
            encoding="utf-8",
        )
        said[pin] = how_sure(examine(read_sheet(path))).spots[0]
    guessed, measured = said.values()
    assert guessed.word is Word.CANNOT_TELL
    assert [one.key for one in guessed.next] == ["coupling.pin"]
    assert measured.word is Word.SURE
    assert not measured.next
