"""Each rule on made figures, the order of the findings, and links that push along themselves."""

from __future__ import annotations

import math
from typing import get_args

import numpy as np
import pytest

from linkage.clearance import ArcBelow, Contact, PairClearance, RunOff
from linkage.kinematics import Opening, follow, solve_at, transmission_angles
from linkage.mechanism import Mechanism, Part, Piece, Sort, Travel
from linkage.tightspots import (
    KINDS,
    LEAST_TRANSMISSION,
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    PoorTransmission,
    RunsOff,
    TightSpot,
    amount_of,
    close_ones,
    fouls,
    open_loops,
    poor_transmission,
    rank,
    run_offs,
    undecided_branches,
)
from tests.kinematics.linkages import four_bar
from tests.tightspots.made import made

TURN = 2 * math.pi
ENGINE = Mechanism((Part("rod", plural=True), Part("nut", sort=Sort.WHEEL)), (), "nut")
CRANK = np.linspace(0.0, TURN, 360, endpoint=False)


def contact():
    disc = Piece(((0.0, 0.0),), 1.0, (0.0,), 1.0)
    return Contact(("rod", "nut"), (disc, disc), (0.0, 0.0), ((0.0, 0.0), (0.0, 0.0)), -1.0, 0.1, 0)


def pair(foul_arcs=(), close_arcs=()):
    return PairClearance(
        ("rod", "nut"), -0.2, 1.0, 0.3, "proven", foul_arcs, close_arcs, np.zeros(360)
    )


def test_a_foul_carries_the_overlap_the_arc_and_what_was_asked():
    arc = ArcBelow(0.5, 1.0, 1.5, -0.2)
    (spot,) = fouls(ENGINE, "left", pair((arc,)), {1.0: contact()})

    assert isinstance(spot, Fouls)
    assert (spot.side, spot.parts) == ("left", ("rod", "nut"))
    assert (spot.begin, spot.worst, spot.end) == (0.5, 1.0, 1.5)
    assert (spot.overlap, spot.least, spot.wanted) == (0.2, -0.2, 0.3)
    assert spot.contact == contact()
    assert (spot.several, spot.wheels) == (True, (False, True))


def test_each_arc_of_a_pair_is_a_finding_of_its_own():
    arcs = (ArcBelow(0.5, 1.0, 1.5, -0.2), ArcBelow(3.5, 4.0, 4.5, -0.1))

    found = fouls(ENGINE, "right", pair(arcs), {1.0: contact(), 4.0: contact()})
    assert [spot.worst for spot in found] == [1.0, 4.0]


def test_an_arc_that_fouls_is_not_called_close_as_well():
    arcs = (ArcBelow(0.5, 1.0, 1.5, -0.2), ArcBelow(3.5, 4.0, 4.5, 0.25))

    (spot,) = close_ones(ENGINE, "right", pair(close_arcs=arcs), {1.0: contact(), 4.0: contact()})
    assert isinstance(spot, Close)
    assert (spot.worst, spot.air) == (4.0, 0.25)


def test_touching_without_air_is_close_and_no_foul():
    (spot,) = close_ones(
        ENGINE, "right", pair(close_arcs=(ArcBelow(0, 1, 2, 0.0),)), {1: contact()}
    )

    assert isinstance(spot, Close)
    assert spot.air == 0.0


def test_an_open_loop_is_told_by_its_gap():
    (spot,) = open_loops("right", [Opening(("rod", "link"), "foot pin", 6.0, 6.2, 6.6, 0.42)])

    assert isinstance(spot, CannotClose)
    assert (spot.parts, spot.gap) == (("rod", "link"), 0.42)
    assert spot.end > TURN  # past a turn: each angle after the last


def test_a_run_off_names_what_runs_and_out_of_what():
    travel = Travel("slide", "crosshead", "slide bars", 10.0, 20.0)
    (spot,) = run_offs("only", [RunOff(travel, True, 1.0, 1.5, 2.0, 0.7)])

    assert isinstance(spot, RunsOff)
    assert spot.parts == ("crosshead", "slide bars")
    assert (spot.run_off.beyond, spot.run_off.forward) == (0.7, True)


def test_an_undecided_branch_is_a_place_without_width_or_length():
    (spot,) = undecided_branches("left", [(2.0, ("a", "b"))])

    assert isinstance(spot, BranchUndecided)
    assert (spot.begin, spot.worst, spot.end) == (2.0, 2.0, 2.0)
    assert amount_of(spot) == 0.0


def test_graver_kinds_come_first_then_more_overlap_or_less_air():
    mixed = [
        made(Close, 0.20), made(PoorTransmission), made(Close, 0.05), made(RunsOff, 0.3),
        made(Fouls, 0.01), made(CannotClose, 0.1), made(Fouls, 0.5), made(BranchUndecided),
    ]  # fmt: skip

    assert [(type(s), amount_of(s)) for s in rank(mixed)] == [
        (CannotClose, 0.1), (Fouls, 0.5), (Fouls, 0.01), (RunsOff, 0.3),
        (BranchUndecided, 0.0), (Close, 0.05), (Close, 0.20), (PoorTransmission, 0.0),
    ]  # fmt: skip


def test_ranking_does_not_hang_on_the_order_given():
    spots = [made(kind, amount) for kind in KINDS for amount in (0.3, 0.1)]

    assert rank(spots) == rank(reversed(spots))


def test_each_class_of_finding_stands_once_in_the_table():
    assert set(KINDS) == set(get_args(TightSpot))
    assert len({kind.name for kind in KINDS.values()}) == len(KINDS)


def four_bar_poor(lengths):
    motion = solve_at(follow(four_bar(lengths)), CRANK)
    return poor_transmission("only", CRANK, transmission_angles(motion))


def test_poor_transmission_of_a_four_bar_is_where_the_cosine_rule_says():
    # Folded farthest with the crank in line with the ground, pivot and pin nearest: the angle
    # between coupler b and rocker c then has cos = (b2 + c2 - (d - a)2) / 2bc.
    a, b, c, d = 1.0, 6.0, 4.0, 3.2
    least = math.acos((b**2 + c**2 - (d - a) ** 2) / (2 * b * c))
    assert least < LEAST_TRANSMISSION

    (spot,) = four_bar_poor((a, b, c, d))
    assert spot.parts == ("coupler", "rocker")
    assert spot.angle == pytest.approx(least, abs=1e-9)  # a sample falls on the very place
    assert spot.worst == pytest.approx(TURN, abs=1e-9)  # after `begin`, which is below a turn


def test_poor_transmission_ends_where_the_angle_passes_the_limit():
    a, b, c, d = 1.0, 6.0, 4.0, 3.2
    (spot,) = four_bar_poor((a, b, c, d))

    # |crank pin to pivot| where the angle is at its limit, then the crank's angle by the same rule
    apart2 = b**2 + c**2 - 2 * b * c * math.cos(LEAST_TRANSMISSION)
    at = math.acos((a**2 + d**2 - apart2) / (2 * a * d))
    step = TURN / len(CRANK)
    assert spot.begin == pytest.approx(TURN - at, abs=step)  # said to a sample
    assert spot.end == pytest.approx(TURN + at, abs=step)


def test_a_good_four_bar_has_nothing_poor():
    assert four_bar_poor((1.0, 4.0, 3.0, 4.0)) == []


def made_angles(low, value=0.1):
    angles = np.full(360, 1.0)
    angles[list(low)] = value
    return angles


def test_an_arc_over_the_start_of_the_turn_is_one_arc():
    angles = made_angles([358, 359, 0, 1, 2])
    angles[0] = 0.05
    (spot,) = poor_transmission("left", CRANK, {("a", "b"): angles})

    begin, worst, end = np.degrees([spot.begin, spot.worst, spot.end])
    assert (end - begin, worst - begin) == pytest.approx((4.0, 2.0))
    assert begin % 360 == pytest.approx(358.0)
    assert 0 <= spot.begin < TURN


def test_poor_all_round_is_one_arc_of_less_than_a_turn():
    (spot,) = poor_transmission("left", CRANK, {("a", "b"): np.full(360, 0.1)})

    assert TURN - 2 * TURN / 360 <= spot.end - spot.begin < TURN


def test_larger_groups_and_those_not_solved_all_round_are_not_judged():
    gaps = made_angles([5])
    gaps[100] = np.nan

    assert poor_transmission("left", CRANK, {("a", "b", "c"): made_angles([5])}) == []
    assert poor_transmission("left", CRANK, {("a", "b"): gaps}) == []
