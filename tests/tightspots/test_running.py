"""What is nowhere in the turn: parts pinched, wheels that limp, links that swing unevenly."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.examine import examine
from linkage.play import find_lost_motion
from linkage.tightspots import LIMPING, Limps, Pinched, RunsOff, Uneven, amount_of
from tests.faults.engines import sheet_with

WORN = {"right/coupling_rods/main/holes": [{"along": 1.8, "across": 1.6}, 1.9]}


def test_how_far_a_worn_hole_lets_an_axle_lag():
    """Right: half of 0.3, of 0.4 and of two boxes; left: half of 0.06 twice and the boxes."""
    (lost,) = find_lost_motion(coupled_wheels(sheet_with("coupled", WORN)))
    right, left = 0.15 + 0.2 + 0.02, 0.03 + 0.03 + 0.02
    assert (lost.side, lost.axles) == ("right", ("driving", "leading"))
    assert lost.swing == pytest.approx(math.hypot(right, left) / 4.33)
    assert lost.at == pytest.approx(math.atan2(right, left))


def test_pins_put_that_far_apart_are_just_held_by_their_rods():
    """By the distance of the pins themselves, over the whole turn."""
    (lost,) = find_lost_motion(coupled_wheels(sheet_with("coupled", WORN)))
    throw, apart, plays = 4.33, 29.0, {0.0: 0.37, -math.pi / 2: 0.08}
    crank = np.linspace(0, 2 * math.pi, 1441)
    swing = np.linspace(0, 0.2, 801)[:, None]

    def stretched(turn, by):
        run = apart + throw * (np.cos(turn + by) - np.cos(turn))
        return np.hypot(run, throw * (np.sin(turn + by) - np.sin(turn))) - apart

    free = np.logical_and.reduce(
        [np.abs(stretched(crank + off, swing)) <= play for off, play in plays.items()]
    )
    most = swing[np.where(free.any(axis=1))[0].max(), 0]
    assert lost.swing == pytest.approx(most, rel=0.05)


@pytest.mark.parametrize(("bush", "pinch"), [(0.7, 0.1), (0.79, 0.01), (0.8, None), (0.9, None)])
def test_a_rod_on_too_short_a_bush_is_pinched(bush, pinch):
    found = examine(sheet_with("coupled", {"coupling/bush": bush})).spots
    assert all(isinstance(spot, Pinched) for spot in found)
    assert [round(amount_of(spot), 6) for spot in found] == ([] if pinch is None else [pinch] * 4)


def test_a_hole_a_little_worn_does_not_limp():
    (lost,) = find_lost_motion(coupled_wheels(sheet_with("coupled", {})))
    assert lost.swing < LIMPING
    assert not any(isinstance(s, Limps) for s in examine(sheet_with("coupled", {})).spots)


def test_slide_bars_that_close_stop_the_crosshead_where_their_gap_is_its_depth():
    """Gap 5.0 at 21.0 and 5.2 at 37.0: 5.1 at 29.0, where the slipper's rear end stops."""
    sheet = sheet_with("engine", {"slide_bars/gap_rear": 5.0})
    (made,) = build(sheet).values()
    narrow = next(t for t in made.travels if t.narrows)
    assert (narrow.least, narrow.most) == pytest.approx((29.0 + 2.5, math.inf))
    assert narrow.narrows == pytest.approx(0.2 / 16.0)
    (spot,) = (s for s in examine(sheet).spots if isinstance(s, RunsOff) and s.wedges)
    back = 28.5 - 4.33
    assert amount_of(spot) == pytest.approx((31.5 - back) * 0.2 / 16.0, abs=1e-4)


def test_bars_that_close_at_the_cover_stop_it_ahead():
    sheet = sheet_with("engine", {"slide_bars/gap": 5.0, "slide_bars/gap_rear": 5.2})
    (made,) = build(sheet).values()
    narrow = next(t for t in made.travels if t.narrows)
    assert (narrow.least, narrow.most) == pytest.approx((-math.inf, 29.0 - 2.5))


def test_the_trades_figures_of_a_rod_a_millimetre_short():
    """A link that swings 29 back and 31 forward swings 45 and 18 on an eccentric rod 1.0 short."""
    (spot,) = examine(sheet_with("gear", {"eccentric_rod/centres": 23.1})).spots
    assert isinstance(spot, Uneven)
    assert (math.degrees(spot.back), math.degrees(spot.forward)) == pytest.approx((45, 18), abs=0.5)
    assert math.isnan(spot.others[0])
