"""Easing, done as it is advised, lets coupled wheels turn; a step less does not."""

from __future__ import annotations

import pytest

from linkage.advice.coupling import eased, least_easing
from linkage.arrangements import coupled_wheels
from linkage.play import find_play
from linkage.sheet import read_sheet
from linkage.sheet.ready import ready_sheets

STEP = 0.02  # [mm]


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-middle-hole", "ardmoor-0-6-0-coupled"])
def test_holes_eased_as_advised_are_enough_and_a_step_less_is_not(name):
    wheels = coupled_wheels(read_sheet(ready_sheets()[name]))
    play = find_play(wheels)
    advised = least_easing(play)

    def spots(by):
        found = find_play(eased(play, by))
        return [*found.binding, *found.nearly]

    assert advised > max(arc.missing for arc in play.binding)
    assert not spots(advised)
    assert spots(advised - STEP)


def test_nothing_is_eased_where_nothing_binds():
    wheels = coupled_wheels(read_sheet(ready_sheets()["ardmoor-0-6-0-good"]))

    assert least_easing(find_play(wheels)) is None
