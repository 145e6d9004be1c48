"""Easing, done as it is advised, lets coupled wheels turn; a step less does not."""

from __future__ import annotations

import pytest

from linkage.advice.coupling import eased_holes, least_easing
from linkage.arrangements import coupled_wheels
from linkage.examine import examine
from linkage.play import NEARLY, Turning, play_used
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets
from tests.second_way.broken import read, whole_engines

STEP = 0.05  # [mm]


def much_too_long():
    """Return wheels that far more has to be eased for, where starts can lead astray."""
    sound = whole_engines()["0-6-0 rod and crosshead"]
    lefts = "\n[left]\ncoupling_rods.front.centres = 26.30\n"
    return read(f"{sound}\n[right]\naxles.trailing.throw = 4.5\n{lefts}")


@pytest.mark.parametrize(
    "sheet",
    [
        pytest.param(lambda: read_sheet(ready_sheets()["ardmoor-0-6-0-middle-hole"]), id="middle"),
        pytest.param(lambda: read_sheet(ready_sheets()["ardmoor-0-6-0-coupled"]), id="coupled"),
        pytest.param(much_too_long, id="much too long"),
    ],
)
def test_holes_eased_as_advised_are_enough_and_a_step_less_is_not(sheet):
    found = examine(sheet())
    advised = least_easing(found)

    def most(by):
        eased = change(found.sheet, dict(eased_holes(found, by)))
        return play_used(Turning(coupled_wheels(eased))).most

    assert advised > max(arc.missing for arc in found.play.binding)
    assert most(advised) < NEARLY <= most(advised - STEP)


def test_nothing_is_eased_where_nothing_binds():
    assert least_easing(examine(read_sheet(ready_sheets()["ardmoor-0-6-0-good"]))) is None
