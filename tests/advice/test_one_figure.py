"""For the same cure every command says the same figure, in steps that can be done at a bench."""

from __future__ import annotations

import pytest

from linkage.advice import advise
from linkage.advice.bench import bench_step, down, nearest, step_of, up
from linkage.advice.bending import bend_advice
from linkage.advice.cure import SetBack, Straighten, Together, changes_of
from linkage.advice.keys import value_of
from linkage.advice.window import find_windows
from linkage.sheet import sheet_from
from tests.ready import examined, examined_once

FAULTY = [  # a bent rod: below
    "ardmoor-2-6-0-return-crank-slipped",
    "ardmoor-0-6-0-middle-hole",
    "ardmoor-0-6-0-rod-long",
    "slider-crank-rod-too-long",
    "four-bar-cannot-close",
]
MORE = [
    "ardmoor-2-6-0",
    "ardmoor-0-6-0-both-long",
    "ardmoor-0-6-0-coupled",
    "ardmoor-0-6-0-nut-on-curves",
    "ardmoor-0-6-0-short-throw",
    "ardmoor-pacific-5in-die-off-slot",
]
EVERY = [*FAULTY, *(pytest.param(name, marks=pytest.mark.long) for name in MORE)]


@pytest.mark.parametrize("name", EVERY)
def test_check_window_and_bend_say_the_same(name):
    """The first cure of each spot that is one number, and the least set of a bend."""
    found = examined(name)
    firsts = {item.cures[0] for item in advise(found) if item.cures}
    assert firsts
    for tried in firsts:
        cure, changes = tried.cure, changes_of(tried.cure)
        if isinstance(cure, Straighten | Together) or len(changes) != 1 or tried.outcome.spoils:
            continue
        if isinstance(cure, SetBack):
            (bend,) = bend_advice(found.sheet, cure.bend.key)
            assert bend.setting is not None
            assert bend.setting[0] == pytest.approx(cure.least)
        ((key, value),) = changes
        window = find_windows(found.sheet, key)
        assert window.would_do == pytest.approx(value, abs=1e-6)


def test_a_bent_rod_is_set_back_by_one_figure(demo):
    """As `check`, `bend` and `window` have it; the rod measured as it is bent."""
    cure = advise(examined_once(demo))[0].cures[0].cure
    (bend,) = bend_advice(demo, "radius_rod")
    window = find_windows(demo, "right.radius_rod.bend[1].towards_frames", 0.0, 0.7)
    assert isinstance(cure, SetBack)
    assert cure.least == pytest.approx(0.45)
    assert bend.setting == pytest.approx((0.45, 1.4))
    assert window.would_do == pytest.approx(0.7 - 0.45)


def test_no_step_is_finer_than_the_measuring_error(demo):
    key = "right.radius_rod.bend[1].towards_frames"
    assert step_of(demo, key) == bench_step(demo) == 0.05
    rough = sheet_from({**demo.data, "measured_to": 0.12}, ask=False)
    assert step_of(rough, key) == pytest.approx(0.15)
    assert step_of(rough, "right.radius_rod.thickness") == pytest.approx(0.15)
    guessed = sheet_from(
        {**demo.data, "measured_to": 0.12, "eccentric_rod": {**demo.data["eccentric_rod"],
         "out": "about 5.6"}}, ask=False,
    )  # fmt: skip
    assert step_of(guessed, "eccentric_rod.out") == 0.05
    assert value_of(guessed, "eccentric_rod.out") == 5.6


def test_whole_steps():
    assert (up(0.31, 0.05), up(0.30, 0.05), up(0.0, 0.05)) == (0.35, 0.3, 0.0)
    assert (down(0.34, 0.05), down(0.35, 0.05)) == (0.3, 0.35)
    assert (nearest(-0.13, 0.05), nearest(0.12, 0.05)) == (-0.15, 0.1)
