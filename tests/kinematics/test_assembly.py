"""Putting a mechanism together: the branch asked for, and what is said where it cannot be."""

import math

import numpy as np
import pytest

from linkage.errors import AssemblyError
from linkage.kinematics import follow, solve_turn
from linkage.mechanism import Pin, Place
from tests.kinematics.linkages import four_bar, mechanism, slider_crank


def test_four_bar_too_short_by_hand():
    """Crank pin to pivot is 90 mm at least; links of 20 and 20 leave 50."""
    with pytest.raises(AssemblyError) as caught:
        follow(four_bar((10, 20, 20, 100), near=(55.0, 0.0)))
    assert caught.value.parts == ("coupler", "rocker")
    assert caught.value.gap == pytest.approx(50.0, abs=1e-6)
    assert str(caught.value) == (
        "cannot be put together at any crank angle: coupler, rocker; at the best place they are "
        "50.00 mm apart. Check their centres and where their pivots stand."
    )


def test_four_bar_too_long_by_hand():
    """Links of 150 and 20 cannot come nearer than 130; the pivot is 110 away at most: 20 short."""
    with pytest.raises(AssemblyError) as caught:
        follow(four_bar((10, 150, 20, 100), near=(120.0, 0.0)))
    assert caught.value.gap == pytest.approx(20.0, abs=1e-6)


@pytest.mark.parametrize("turned_by", [0.2, 1.0, 2.5, 4.4])
def test_gap_does_not_depend_on_where_the_best_place_is(turned_by):
    """The same loop with its ground laid at any angle: the best place is at another crank angle."""
    near = (55 * math.cos(turned_by), 55 * math.sin(turned_by))
    with pytest.raises(AssemblyError) as caught:
        follow(four_bar((10, 20, 20, 100), ground_at=turned_by, near=near))
    assert caught.value.gap == pytest.approx(50.0, abs=1e-6)


def test_slide_bars_out_of_reach_by_hand():
    """Bars 60 above the axle, the crank pin 10 above it at best, the rod 20: 30 short."""
    base = slider_crank(10, 20)
    slide = base.joints[2]
    joints = (
        base.joints[0],
        Pin("little end", Place("rod", 20, 0), Place("crosshead", 0, 0), near=(20, 60)),
        type(slide)("slide bars", slide.a, Place("frame", 0, 60)),
    )
    with pytest.raises(AssemblyError) as caught:
        follow(mechanism(("crank", "rod", "crosshead"), joints))
    assert caught.value.parts == ("rod", "crosshead")
    assert caught.value.gap == pytest.approx(30.0, abs=1e-6)


def test_the_loop_that_fails_is_named_and_not_the_one_before():
    first = four_bar((40, 120, 80, 100))
    joints = (
        *first.joints,
        Pin("second crank pin", Place("rocker", 30, 0), Place("link", 0, 0)),
        Pin("link end", Place("link", 10, 0), Place("arm", 10, 0), near=(400, 0)),
        Pin("arm pivot", Place("arm", 0, 0), Place("frame", 500, 0)),
    )
    with pytest.raises(AssemblyError) as caught:
        follow(mechanism(("crank", "coupler", "rocker", "link", "arm"), joints))
    assert caught.value.parts == ("link", "arm")
    # the rocker's pin comes to 400 - 30 cos t4 of the pivot, t4 least at its forward extreme:
    # there crank and coupler are in line, cos t4 = (d^2 + c^2 - (a + b)^2) / -(2 d c) ... by hand
    crank = np.linspace(0, 2 * math.pi, 20001)
    pin = solve_turn(first, crank).point("rocker", 30.0)
    nearest = np.hypot(pin[:, 0] - 500, pin[:, 1]).min()
    assert caught.value.gap == pytest.approx(nearest - 20, abs=1e-4)


@pytest.mark.parametrize("ground_at", [0.0, 0.7, -2.0])
@pytest.mark.parametrize("crossed", [False, True])
def test_near_chooses_the_branch(crossed, ground_at):
    mechanism = four_bar((40, 120, 80, 100), crossed, ground_at)
    motion = solve_turn(mechanism, np.linspace(0, 2 * math.pi, 91))
    pin, rocker = motion.point("crank", 40.0), motion.point("rocker", 80.0)
    pivot = motion.point("rocker")
    u, v = pivot - pin, rocker - pin
    side = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    assert (side < 0).all() if crossed else (side > 0).all()


def test_a_loop_that_does_not_close_at_0_starts_elsewhere():
    """The rocker is out of reach with the crank behind and in reach with it ahead."""
    motion = solve_turn(
        four_bar((40, 50, 40, 100), ground_at=math.pi, near=(-75.0, 30.0)), [0.0, math.pi]
    )
    assert motion.reached.tolist() == [False, True]


def test_near_need_only_be_about_right():
    links = (40, 120, 80, 100)
    exact = solve_turn(four_bar(links), [1.0]).poses["rocker"]
    for dx, dy in ((5, 0), (-8, 6), (0, -10)):
        x, y = 134.0, 72.0
        rough = solve_turn(four_bar(links, near=(x + dx, y + dy)), [1.0]).poses["rocker"]
        assert rough == pytest.approx(exact, abs=1e-10)
