"""Wheelsets over to one side: what rides on them, which states matter, and curves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import (
    find_curves,
    least_clearance,
    pair_parts,
    sharpest_curve,
    shift,
    survey_clearances,
)
from linkage.clearance.outlines import PairTable, Poses
from linkage.clearance.sideways import states_of
from linkage.examine import examine
from linkage.kinematics import follow, solve_at
from linkage.mechanism import Mechanism, Part, Piece, Ride, Wheelset
from linkage.sheet import change, put_on_curve, read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import amount_of

NUT = "ardmoor-0-6-0-nut-on-curves"


def wheelsets(*ahead_and_play):
    return tuple(Wheelset(f"axle {k}", *pair) for k, pair in enumerate(ahead_and_play))


@pytest.fixture(scope="module")
def nut():
    return read_sheet(ready_sheets()[NUT])


def test_shift_of_a_middle_axle():
    """It is a b / (2 R) over with the end axles in their middle (common practice, no source)."""
    mechanism = Mechanism(
        (), (), wheelsets=wheelsets((-30.0, 0.0), (0.0, 5.0), (54.0, 0.0)), curve=914.0
    )
    states = states_of(mechanism)
    assert np.abs(states.corners[:, 1]).max() == pytest.approx(30.0 * 54.0 / (2 * 914.0))
    assert np.abs(states.corners[:, [0, 2]]).max() == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("wheelbase", "radius", "over"), [(84, 914, 0.96), (60, 571, 0.79), (60, 438, 1.03)]
)
def test_equal_spacing(wheelbase, radius, over):
    """wheelbase^2 / (8 R): worked figures of the trade (common practice, no source)."""
    half = wheelbase / 2
    three = wheelsets((-half, 0.0), (0.0, over), (half, 0.0))
    assert sharpest_curve(three) == pytest.approx(radius, rel=0.006)  # half the last digit of over


def test_side_play_of_the_ends_helps():
    """With the ends over the other way by p, the middle needs so much less."""
    three = wheelsets((-30.0, 0.2), (0.0, 0.5), (30.0, 0.2))
    assert sharpest_curve(three) == pytest.approx(60.0**2 / 8 / 0.7)


def test_two_axles_stand_anywhere():
    assert sharpest_curve(wheelsets((0.0, 0.1), (30.0, 0.2))) == 0.0


def test_without_side_play_only_the_straight():
    assert sharpest_curve(wheelsets((-30.0, 0.0), (0.0, 0.0), (30.0, 0.0))) == math.inf


def test_ten_axles():
    many = wheelsets(*((25.0 * k, 0.3) for k in range(10)))
    # the parabola over ten even places, best fitted by a line: half its rise over the chord
    rise = (225.0 / 2) ** 2 / 2 - 12.5**2 / 2
    assert sharpest_curve(many) == pytest.approx(rise / 2 / 0.3)


def test_a_rod_slants_between_its_wheels():
    bar = Piece(((0.0, 0.0), (20.0, 0.0)), 1.0, (2.0, 2.0), 0.8)
    rides = (Ride((0.0, 0.0), (("driving", 1.0),)), Ride((20.0, 0.0), (("leading", 1.0),)))
    shifted = shift(Part("rod", (bar,), rides=rides), (("driving", 0.2), ("leading", -0.3)))
    outs = [piece.out for piece in shifted.pieces]
    assert outs[0] == pytest.approx((2.2, 1.7))
    assert sorted(out for (out,) in outs[1:]) == pytest.approx([1.7, 2.2])  # its round ends


def test_a_knuckle_goes_with_the_rod_that_carries_it(nut):
    """4 behind the driving pin of a rod of 26: beyond its end by 4/26 of the slant."""
    mechanism = build(nut)["right"]
    rear = mechanism.part("rear coupling rod")
    shifted = shift(rear, (("driving", 0.0), ("leading", 0.26), ("trailing", 0.0)))
    line = next(piece for piece in shifted.pieces if len(piece.corners) == 2)
    before = next(piece for piece in rear.pieces if len(piece.corners) == 2)
    assert line.out[0] == pytest.approx(before.out[0])
    assert line.out[1] - before.out[1] == pytest.approx(-4.0 / 26.0 * 0.26)


def test_the_worst_state_against_all_others(nut):
    """No state tried at random brings any pair nearer than what was found."""
    mechanism = build(nut)["right"]
    course = follow(mechanism)
    found = {pair.parts: pair.least for pair in survey_clearances(course, 0.1).pairs}
    crank = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    motion = solve_at(course, crank)
    poses = Poses.of(np.stack([motion.poses[part.name] for part in mechanism.parts]))
    rng = np.random.default_rng(0)
    nearest = dict.fromkeys(found, math.inf)
    for _ in range(12):
        state = tuple(
            (w.axle, float(w.side_play * rng.choice([-1, 1, rng.uniform(-1, 1)])))
            for w in mechanism.wheelsets
        )
        parts = tuple(shift(part, state) for part in mechanism.parts)
        moved = Mechanism(parts, mechanism.joints, apart=mechanism.apart)
        for pair in pair_parts(moved, 0.1, 0.5):
            if pair.parts in found:
                which = np.repeat(np.arange(len(pair.pieces)), len(crank))
                at = np.tile(np.arange(len(crank)), len(pair.pieces))
                least = float(PairTable(pair.pieces).clearances(which, at, poses).min())
                nearest[pair.parts] = min(nearest[pair.parts], least)
    assert all(nearest[parts] >= least - 1e-9 for parts, least in found.items())
    meeting = ("crosshead", "leading wheel")
    assert nearest[meeting] == pytest.approx(found[meeting], abs=0.01)


def test_which_wheelset_must_be_where(nut):
    """The nut's outer face stands 0.6 behind the crosshead; its wheelset goes 0.65."""
    spot = examine(nut).spots[0]
    assert spot.contact.state == (("leading", pytest.approx(0.65)),)
    assert amount_of(spot) == pytest.approx(0.05)
    assert spot.contact.centred == pytest.approx(0.60)


def test_curves_of_the_nut(nut):
    """By hand: the frames skew by (0.08 + 0.05) / 23; of that and the curve comes the shift.

    The leading axle moves 0.08 + 26 skew + 26 (26 + 23) / (2 R) on radius R: 0.50 leaves 0.10 of
    air, 0.65 is all the side play.
    """
    course = follow(build(nut)["right"])
    short = [pair for pair in survey_clearances(course, 0.1).pairs if pair.least < pair.asked]
    curves = find_curves(course, 0.1, short)
    skewed = 0.08 + 26 * 0.13 / 23
    other = 0.65 + skewed  # at the sharpest the frames skew the other way
    assert curves.stands_on == pytest.approx(26 * 49 / 2 / other)
    assert curves.free_on == pytest.approx(26 * 49 / 2 / (0.5 - skewed), rel=0.02)
    # and it is free there: of the two radii that it lies between the wider is told
    on = replace(course, mechanism=replace(course.mechanism, curve=curves.free_on))
    air = [least_clearance(on, 0.1, frozenset(pair.parts), pair.asked) for pair in short]
    assert all(found >= pair.asked for found, pair in zip(air, short, strict=True))


def test_a_curve_on_the_sheet_holds_the_wheelsets(nut):
    wide, sharp = (
        survey_clearances(follow(build(put_on_curve(nut, radius))["right"]), 0.1).pairs[0].least
        for radius in (10_000.0, 1000.0)
    )
    assert sharp == pytest.approx(-0.05)
    assert wide == pytest.approx(0.6 - (0.08 + 26 * 0.13 / 23) - 26 * 49 / 20_000, abs=1e-6)


def test_no_side_play_is_the_middle(nut):
    still = change(
        nut,
        {"wheels.side_play": 0.0, "coupling.side_play": 0.0, "axles.leading.side_play": 0.0},
    )
    mechanism = build(still)["right"]
    assert not states_of(mechanism).corners.any()
    pairs = {pair.parts: pair.least for pair in survey_clearances(follow(mechanism), 0.1).pairs}
    assert ("crosshead", "leading wheel") not in pairs or pairs["crosshead", "leading wheel"] > 0.5
