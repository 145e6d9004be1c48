"""What runs off an end, in closed form."""

import math
from dataclasses import replace

import pytest

from linkage.clearance import find_run_offs
from linkage.kinematics import follow
from linkage.mechanism import Pin, Place, Slot, Travel
from tests.kinematics.linkages import four_bar, mechanism, slider_crank

TURN = 2 * math.pi
HUNDREDTH = math.radians(0.01)
CRANK, ROD = 5.0, 24.0


def apart(a, b):
    return abs(math.remainder(a - b, TURN))


def crosshead(least=-math.inf, most=math.inf):
    travel = Travel("slide bars", "crosshead", "slide bars", least, most)
    return travel, follow(replace(slider_crank(CRANK, ROD), travels=(travel,)))


def crank_for(place):
    """Return the crank angle in 0..half a turn at which the crosshead stands there."""
    return math.acos((place**2 + CRANK**2 - ROD**2) / (2 * CRANK * place))


def check_arc(found, begin, worst, end, beyond):
    assert 0 <= found.begin < TURN
    assert found.begin <= found.worst <= found.end <= found.begin + TURN
    assert apart(found.begin, begin) < HUNDREDTH
    assert apart(found.worst, worst) < HUNDREDTH
    assert apart(found.end, end) < HUNDREDTH
    assert found.beyond == pytest.approx(beyond, abs=1e-6)


def test_crosshead_off_the_front_of_its_bars():
    """Across angle 0, where its stroke ends."""
    travel, course = crosshead(most=28.6)
    (found,) = find_run_offs(course)
    assert (found.travel, found.forward) == (travel, True)
    half = crank_for(28.6)
    check_arc(found, -half, 0.0, half, 0.4)


def test_crosshead_off_the_back_of_its_bars():
    travel, course = crosshead(least=19.3)
    (found,) = find_run_offs(course)
    assert (found.travel, found.forward) == (travel, False)
    begin = crank_for(19.3)
    check_arc(found, begin, math.pi, -begin, 0.3)


def test_both_ends():
    _, course = crosshead(19.3, 28.6)
    assert [found.forward for found in find_run_offs(course)] == [True, False]


def test_within_its_bars():
    _, course = crosshead(19.0 - 1e-6, 29.0 + 1e-6)
    assert find_run_offs(course) == ()


def test_open_ends():
    _, course = crosshead()
    assert find_run_offs(course) == ()


def test_off_its_bars_all_round():
    """Bars that end 0.5 before the hindmost place: worst at the front, 10.5 beyond."""
    _, course = crosshead(most=18.5)
    (found,) = find_run_offs(course)
    assert (found.begin, found.end) == (0.0, TURN)
    assert apart(found.worst, 0.0) < HUNDREDTH
    assert found.beyond == pytest.approx(10.5, abs=1e-6)


def test_off_its_bars_all_round_with_a_dead_centre_between_degrees():
    """Bars 1 mm above the axle: the front dead centre is at -asin(1 / 29), 358.02 degrees."""
    travel = Travel("slide bars", "crosshead", "slide bars", most=10.0)
    course = follow(replace(slider_crank(CRANK, ROD, 1.0), travels=(travel,)))
    (found,) = find_run_offs(course)
    assert apart(found.worst, -math.asin(1 / (CRANK + ROD))) < HUNDREDTH
    assert found.beyond == pytest.approx(math.sqrt((CRANK + ROD) ** 2 - 1) - 10, abs=1e-9)


def slotted_lever(most):
    """Return a lever whose straight slot is driven by the crank pin; its pivot 14 mm below."""
    joints = (
        Pin("lever pivot", Place("lever", 0, 0), Place("frame", 0, -14)),
        Slot("slot", Place("crank", CRANK, 0), Place("lever", 0, 14), direction=math.pi / 2,
             near=(CRANK, 0)),
    )  # fmt: skip
    travel = Travel("slot", "die block", "expansion link", -most, most)
    return follow(mechanism(("crank", "lever"), joints, travels=(travel,)))


def test_die_block_off_its_slot():
    """The pin is sqrt(r^2 + d^2 - 2 r d sin c) from the pivot: 9 to 19, the slot's middle at 14."""
    up, down = find_run_offs(slotted_lever(4.0))
    sine = (CRANK**2 + 14**2 - 18**2) / (2 * CRANK * 14)
    edge = math.asin(sine)
    check_arc(up, math.pi - edge, 1.5 * math.pi, edge, 1.0)
    sine = (CRANK**2 + 14**2 - 10**2) / (2 * CRANK * 14)
    edge = math.asin(sine)
    check_arc(down, edge, math.pi / 2, math.pi - edge, 1.0)


def test_die_block_stays_in_a_longer_slot():
    assert find_run_offs(slotted_lever(5.01)) == ()


def test_slot_of_a_loop_that_opens():
    """A slotted arm on the rocker of a four-bar that does not close all round."""
    plain = four_bar((40, 50, 40, 100))
    joints = (*plain.joints, Slot("slot", Place("rocker", 20, 0), Place("arm", 0, 0),
                                  near=(95, 20)),
              Pin("arm pivot", Place("arm", -30, 0), Place("frame", 60, 10)))  # fmt: skip
    travel = Travel("slot", "die block", "arm", -100, 100)
    made = replace(mechanism(("crank", "coupler", "rocker", "arm"), joints), travels=(travel,))
    course = follow(made)
    assert course.open_arcs
    assert find_run_offs(course) == ()
