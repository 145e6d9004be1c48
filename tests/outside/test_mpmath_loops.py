"""Against mpmath's `findroot` at 40 digits, the loops written again as plain sums of vectors.

With so many digits the reference has no rounding of its own to speak of: what is left is ours.
"""

import math

import mpmath as mp
import numpy as np
import pytest

from linkage.kinematics import enclose, follow, solve_turn
from tests.kinematics.linkages import GEAR, four_bar, slider_crank, valve_gear

CLOSED = 1e-10  # promised outside [mm]
DIGITS = 40
CRANK = np.array([0.0, 0.4, 1.7, 2.9, math.pi, 4.2, 5.9])


def vector(length, angle):
    return mp.mpf(length) * mp.expj(angle)


def parts_of(*values):
    return [part for value in values for part in (mp.re(value), mp.im(value))]


def differences(loops, ours, crank):
    """Return the greatest |ours - reference| over all crank angles; the start has two decimals."""
    worst = 0.0
    with mp.workdps(DIGITS):
        for q, angle in zip(ours, crank, strict=True):
            turn = -mp.mpf(float(angle))
            start = [mp.mpf(round(float(x), 2)) for x in q]
            exact = mp.findroot(lambda *u, turn=turn: loops(turn, *u), start)
            worst = max(
                worst, *(float(abs(mp.mpf(float(x)) - e)) for x, e in zip(q, exact, strict=True))
            )
    return worst


@pytest.mark.parametrize("crossed", [False, True])
@pytest.mark.parametrize("links", [(40, 120, 80, 100), (12.5, 61, 48, 55), (100, 73, 81, 30)])
def test_four_bars(links, crossed):
    a, b, c, d = links

    def loops(turn, coupler, rocker):
        return parts_of(vector(a, turn) + vector(b, coupler) - d - vector(c, rocker))

    motion = solve_turn(four_bar(links, crossed), CRANK)
    ours = np.stack([motion.poses[part][:, 2] for part in ("coupler", "rocker")], axis=-1)
    assert differences(loops, ours, CRANK) * max(b, c) < CLOSED


@pytest.mark.parametrize(("rod", "offset"), [(38.0, 0.0), (12.0, 2.5), (9.0, -4.0)])
def test_offset_slider_cranks(rod, offset):
    def loops(turn, slope, head):
        return parts_of(vector(4.33, turn) + vector(rod, slope) - mp.mpc(head, offset))

    motion = solve_turn(slider_crank(4.33, rod, offset), CRANK)
    ours = np.stack((motion.poses["rod"][:, 2], motion.poses["crosshead"][:, 0]), axis=-1)
    assert differences(loops, ours, CRANK) < CLOSED


def test_valve_gear_group_of_six_unknowns():
    """The last group alone: crosshead and link are given, spindle, die and four angles found."""
    g = {key: mp.mpf(value) for key, value in GEAR.items()}
    motion = solve_turn(valve_gear(), CRANK)
    arc = g["radius_rod"]
    trunnion = mp.mpc(g["trunnion_x"], g["trunnion_y"])
    foot = trunnion + mp.mpc(
        g["lifting_pin_x"], g["die_up"] + g["lifting_pin_y"] + g["lifting_link"]
    )
    given = {}

    def loops(turn, *unknowns):
        die, radius, lifting, lever, union, spindle = unknowns
        link, head = given[turn]
        slot = arc - arc * mp.expj(-die / arc)
        block = trunnion + slot * mp.expj(link)
        top = block + vector(arc, radius)
        down = -1j * mp.expj(lever)
        held = mp.mpc(g["lifting_pin_x"], g["lifting_pin_y"]) * mp.expj(radius)
        return parts_of(
            block + held + 1j * vector(g["lifting_link"], lifting) - foot,
            top + g["lever_short"] * down - mp.mpc(spindle, g["spindle_y"]),
            top + g["lever_long"] * down + vector(g["union_link"], union)
            - mp.mpc(head + g["drop_x"], -g["drop_y"]),
        )  # fmt: skip

    turns = {name: pose[:, 2] for name, pose in motion.poses.items()}
    for row, angle in enumerate(CRANK):
        link, head = turns["expansion link"][row], motion.poses["crosshead"][row, 0]
        given[-mp.mpf(float(angle))] = (mp.mpf(float(link)), mp.mpf(float(head)))
    ours = np.stack(
        (motion.travel("die"), turns["radius rod"], turns["lifting link"],
         turns["combination lever"], turns["union link"], motion.poses["valve spindle"][:, 0]),
        axis=-1,
    )  # fmt: skip
    assert differences(loops, ours, CRANK) < CLOSED


@pytest.mark.parametrize("half", [0.0, 1e-12, 1e-4])
@pytest.mark.parametrize(("rod", "offset"), [(38.0, 0.0), (12.0, 2.5), (9.0, -4.0)])
def test_what_is_called_proven_holds_the_exact_position(rod, offset, half):
    """Enclosures are of real numbers, not of ours: no rounding may be left outside, be it 1e-16.

    Crosshead and rod of an offset slider-crank, by Pythagoras in 40 digits, at the very ends.
    """
    found = enclose(follow(slider_crank(4.33, rod, offset)), CRANK, half)
    assert found.proven.all()
    with mp.workdps(DIGITS):
        for row, middle in enumerate(CRANK):
            for way in (-1, 0, 1):
                angle = mp.mpf(float(middle)) + way * mp.mpf(half)
                up = offset + mp.mpf(4.33) * mp.sin(angle)  # the crank turns clockwise
                head = mp.mpf(4.33) * mp.cos(angle) + mp.sqrt(mp.mpf(rod) ** 2 - up**2)
                place, slope = found.poses["crosshead"][0], found.poses["rod"][2]
                assert place.low[row] <= head <= place.high[row]
                assert slope.low[row] <= mp.asin(up / mp.mpf(rod)) <= slope.high[row]
