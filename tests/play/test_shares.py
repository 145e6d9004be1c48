"""The share of play by a linear programme's corners, against the least found without one."""

from __future__ import annotations

import copy

import numpy as np
import pytest

from linkage.arrangements import coupled_wheels
from linkage.cause.explained import without_rods
from linkage.play import SharesOfVariants, find_play
from linkage.sheet import change, sheet_from
from tests.ready import examined, ready

CRANK = np.asarray(np.arange(120) * (2 * np.pi / 120))
EVERY_SIXTH = slice(None, None, 6)
WHOLE = ("right", "coupling_rods", "whole")


@pytest.mark.parametrize(
    "name",
    [
        "ardmoor-0-6-0-rod-long",
        "ardmoor-0-6-0-short-throw",
        "ardmoor-0-6-0-both-long",
        "ardmoor-0-6-0-coupled",
    ],
)
def test_the_share_is_that_found_exactly(name):
    """To first order: of twice the play and more, a tenth is of the second."""
    wheels = coupled_wheels(ready(name))
    used = SharesOfVariants(wheels, CRANK)([wheels])[0]
    exact = examined(name).play.used.used[EVERY_SIXTH]

    assert used == pytest.approx(exact, abs=0.1 * exact.max())


@pytest.mark.parametrize(
    ("table", "wrong"),
    [
        (WHOLE, {"bend": [{"kind": "bow", "from": "rear", "down": 0.05}]}),
        (WHOLE, {"bend": [{"kind": "bow", "from": "rear", "down": 0.86}]}),
        (("axles", "leading"), {"up": 0.1}),
    ],
)
def test_a_rod_over_three_pins_has_misfits_across_it_too(table, wrong):
    """The middle hole below the line of the others, or an axle above that of the others."""
    data: dict = copy.deepcopy(dict(ready("ardmoor-0-6-0-middle-hole").data))
    data["right"] = {}  # its hole where it belongs
    held = data
    for step in table:
        held = held.setdefault(step, {})
    held |= wrong
    wheels = coupled_wheels(sheet_from(data, "engine.toml", ask=False))
    used = SharesOfVariants(wheels, CRANK)([wheels])[0]
    exact = find_play(wheels).used.used[EVERY_SIXTH]

    assert exact.max() > 0.3
    assert used.max() == pytest.approx(exact.max(), abs=0.01 * exact.max())
    assert used == pytest.approx(exact, abs=0.1 * exact.max())


@pytest.mark.parametrize("name", ["ardmoor-0-6-0-rod-long", "ardmoor-0-6-0-short-throw"])
def test_with_one_sides_rods_on_it_locks_at_the_same_dead_centres(name):
    wheels = coupled_wheels(ready(name), ("right",))
    used = SharesOfVariants(wheels, CRANK)([wheels])[0]
    exact = find_play(wheels).used.used[EVERY_SIXTH]

    assert np.flatnonzero(used > 1).tolist() == np.flatnonzero(exact > 1).tolist()
    assert used.max() == pytest.approx(exact.max(), abs=0.01)


def test_a_length_of_a_jointed_rod_off_leaves_an_axle_to_one_side_alone():
    """A rod too long locks there at the dead centres of the side that is left."""
    sheet = change(ready("ardmoor-0-6-0-good"), {"coupling_rods.rear.centres": 21.15})
    wheels = without_rods(coupled_wheels(sheet), frozenset({("left", "coupling_rods.rear")}))
    used = SharesOfVariants(wheels, CRANK)([wheels])[0]
    exact = find_play(wheels).used.used[EVERY_SIXTH]

    assert np.flatnonzero(used > 1).tolist() == np.flatnonzero(exact > 1).tolist()
    assert used.max() == pytest.approx(exact.max(), abs=0.05 * exact.max())


def test_with_one_sides_rods_off_an_axle_stands_as_the_other_side_has_it():
    """An axle out of quarter binds on both sides' rods, and is free on either alone."""
    data: dict = copy.deepcopy(dict(ready("ardmoor-0-6-0-middle-hole").data))
    data["right"] = {"axles": {"trailing": {"pin_ahead_by": 5.0}}}
    whole = coupled_wheels(sheet_from(data, "engine.toml", ask=False))
    left_off = without_rods(whole, frozenset({("left", "coupling_rods.whole")}))
    used = SharesOfVariants(left_off, CRANK)([left_off])[0]

    assert SharesOfVariants(whole, CRANK)([whole])[0].max() > 1.5
    assert used.max() < 1
    assert find_play(left_off).used.used.max() < 1
