"""The ready sheets of coupled wheels with one fault each, against the trade's signature table.

The table is derived from geometry (no published source); `tests/play/test_signatures.py` holds the
solver to its closed forms. Right-hand crank angles, the right crank leading. Boxes and the rod's
second order take a few hundredths of the play, which is why places are held to two degrees here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.advice import advise
from linkage.arrangements import coupled_wheels
from linkage.play import Turning
from linkage.sheet import change, sheet_from

PLAY, ERROR = 0.06, 0.20  # hole less pin, and what is wrong with a rod or throw [mm]
NEAR = 2.0  # [degrees]


def used_at(examined, name, *degrees):
    """Return the share of play used about some crank angles, the most within `NEAR`."""
    used = examined(name).play.used
    around = np.degrees(used.crank)
    return [
        used.used[np.abs((around - place + 180) % 360 - 180) <= NEAR].max() for place in degrees
    ]


def worst(examined, name):
    return sorted(math.degrees(arc.worst) % 360 for arc in examined(name).play.binding)


def first_cure(examined, name):
    return advise(examined(name))[0].cures[0]


def test_a_sound_engine_needs_next_to_no_play(examined):
    found = examined("ardmoor-0-6-0-good")
    assert found.free
    assert found.play.used.most < 0.05


def test_one_rod_long_is_tight_at_its_own_dead_centres(examined):
    name = "ardmoor-0-6-0-rod-long"
    turned = [(place + NEAR) % 360 - NEAR for place in worst(examined, name)]
    assert sorted(turned) == pytest.approx([0, 180], abs=NEAR)
    assert used_at(examined, name, 90, 270) == pytest.approx([0, 0], abs=0.35)
    # the error over the play of the two holes, less what boxes and a knuckle give way
    assert max(used_at(examined, name, 0, 180)) < ERROR / PLAY
    cure = first_cure(examined, name)
    assert cure.key == "right.coupling_rods.front.centres"
    assert (cure.now, cure.other) == pytest.approx((29.20, 29.00))  # made as the other side


def test_both_rods_long_are_tight_with_one_pin_low_and_one_high(examined):
    """Right through 0 to 90 and 180 to 270; free with the pins level, at 135 and 315."""
    name = "ardmoor-0-6-0-both-long"
    low, high = used_at(examined, name, 135, 315), used_at(examined, name, 20, 45, 70, 200, 225)
    assert max(low) < 0.5
    assert min(high) > 2
    keys = {cure.key for cure in advise(examined(name))[0].cures}
    assert "coupling_rods.front.centres" in keys


def test_one_long_one_short_is_tight_in_the_other_quarters(examined):
    name = "ardmoor-0-6-0-long-and-short"
    assert max(used_at(examined, name, 45, 225)) < 0.5
    assert min(used_at(examined, name, 115, 135, 155, 295, 315, 335)) > 2


def test_a_short_throw_looks_like_a_wrong_rod_but_is_told_apart(examined):
    name = "ardmoor-0-6-0-short-throw"
    turned = [(place + NEAR) % 360 - NEAR for place in worst(examined, name)]
    assert sorted(turned) == pytest.approx([0, 180], abs=NEAR)
    cure = first_cure(examined, name)
    assert cure.key == "right.axles.leading.throw"
    assert cure.way == "more"
    assert cure.amount == pytest.approx(ERROR, abs=0.02)


def test_a_middle_hole_off_its_mark_binds_on_that_side(examined, ready):
    """Over the outer pins the rod fits: with the middle pin left out it needs hardly any play."""
    name = "ardmoor-0-6-0-middle-hole"
    found = examined(name)
    assert {spot.side for spot in found.spots} == {"right"}
    pins = {part for spot in found.spots for part in spot.parts if part.endswith("crank pin")}
    assert "driving crank pin" in pins
    put_right = change(
        ready(name),
        {
            "right.coupling_rods.whole.centres[1]": 25.0,
            "right.coupling_rods.whole.centres[2]": 29.0,
        },
    )
    wheels = coupled_wheels(put_right)
    assert wheels is not None
    assert Turning(wheels).samples[1].used.max() < 0.05


def test_a_worn_hole_hides_long_rods(examined, ready):
    """It turns as it is; with the hole as new, both rods 0.1 long need more than all the play."""
    name = "ardmoor-0-4-0-worn-hole"
    assert examined(name).free
    data = dict(ready(name).data)
    rod = dict(data["coupling_rods"]["front"]) | {"holes": [1.56, 1.56]}
    bushed = sheet_from(data | {"coupling_rods": {"front": rod}}, ask=False)
    wheels = coupled_wheels(bushed)
    assert wheels is not None
    most = float(Turning(wheels).samples[1].used.max())
    # 0.10 too long over 0.06 of play in the two holes together and 0.04 in two boxes
    assert 1 < most < 0.10 / 0.06
