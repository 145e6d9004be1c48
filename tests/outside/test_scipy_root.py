"""Against `scipy.optimize.root` (MINPACK's hybrid method) on random linkages.

The loops are written here a second time, plainly, as sums of vectors, and followed round by the
library from its own last solution. Both that it closes our positions and that it finds them.
"""

import cmath
import math

import numpy as np
import pytest
from scipy.optimize import root

from linkage.kinematics import solve_turn
from tests.kinematics.linkages import GEAR, four_bar, slider_crank, valve_gear

CLOSED = 1e-10  # promised outside [mm]
CRANK = np.linspace(0, 2 * math.pi, 37)


def gap(value):
    return [value.real, value.imag]


def follow_by_root(loops, start, crank):
    """Return the library's unknowns at every crank angle, each started from the last."""
    found, q = [], np.array(start, dtype=float)
    for angle in crank:
        answer = root(loops, q, args=(angle,), method="hybr", options={"xtol": 1e-14})
        q = answer.x
        found.append(q)
    return np.array(found)


def closure(loops, unknowns, crank):
    return max(np.abs(loops(q, angle)).max() for q, angle in zip(unknowns, crank, strict=True))


def crank_rocker(seed):
    """Return random lengths that turn with a transmission angle never below 15 degrees."""
    rng = np.random.default_rng(seed)
    while True:
        a, b, c, d = rng.uniform((5, 40, 40, 40), (30, 120, 120, 120))
        cosines = [(b**2 + c**2 - (d + s * a) ** 2) / (2 * b * c) for s in (1, -1)]
        if max(map(abs, cosines)) < math.cos(math.radians(15)):
            return float(a), float(b), float(c), float(d)


@pytest.mark.parametrize("crossed", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_random_four_bars(seed, crossed):
    a, b, c, d = crank_rocker(seed)

    def loops(q, crank):
        return gap(cmath.rect(a, -crank) + cmath.rect(b, q[0]) - d - cmath.rect(c, q[1]))

    motion = solve_turn(four_bar((a, b, c, d), crossed), CRANK)
    ours = np.stack([motion.poses[part][:, 2] for part in ("coupler", "rocker")], axis=-1)
    theirs = follow_by_root(loops, ours[0].round(2), CRANK)
    assert closure(loops, ours, CRANK) < CLOSED
    # an angle's error is the gap's by the reach of 40 mm and the sine of 15 degrees
    assert np.abs(ours - theirs).max() < CLOSED / (40 * math.sin(math.radians(15)))


@pytest.mark.parametrize("behind", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_random_offset_slider_cranks(seed, behind):
    rng = np.random.default_rng(100 + seed)
    r, offset = rng.uniform((2, -8), (10, 8))
    rod = (r + abs(offset)) * rng.uniform(1.1, 6)

    def loops(q, crank):
        return gap(cmath.rect(r, -crank) + cmath.rect(rod, q[0]) - complex(q[1], offset))

    motion = solve_turn(slider_crank(r, rod, offset, behind), CRANK)
    ours = np.stack((motion.poses["rod"][:, 2], motion.poses["crosshead"][:, 0]), axis=-1)
    theirs = follow_by_root(loops, ours[0].round(2), CRANK)
    assert closure(loops, ours, CRANK) < CLOSED
    # rod within 65 degrees of the bars: the slider's error is at most 2.4 times the gap's
    assert np.abs(ours - theirs).max() < 2.4 * CLOSED


def gear_loops(g):
    """Return the closure of the whole valve gear: five vector loops, ten unknowns."""
    trunnion = complex(g["trunnion_x"], g["trunnion_y"])
    lift_foot = trunnion + complex(
        g["lifting_pin_x"], g["die_up"] + g["lifting_pin_y"] + g["lifting_link"]
    )

    def loops(q, crank):
        rod, head, eccentric, link, die, radius, lifting, lever, union, spindle = q
        arc = g["radius_rod"]
        slot = complex(arc * (1 - math.cos(die / arc)), arc * math.sin(die / arc))
        block = trunnion + slot * cmath.rect(1, link)
        held = complex(g["lifting_pin_x"], g["lifting_pin_y"]) * cmath.rect(1, radius)
        top = block + cmath.rect(arc, radius)
        down = -1j * cmath.rect(1, lever)
        return [
            *gap(cmath.rect(g["throw"], -crank) + cmath.rect(g["connecting_rod"], rod) - head),
            *gap(
                1j * cmath.rect(g["return_pin"], -crank)
                + cmath.rect(g["eccentric_rod"], eccentric)
                - (trunnion - 1j * cmath.rect(g["foot"], link))
            ),
            *gap(block + held + 1j * cmath.rect(g["lifting_link"], lifting) - lift_foot),
            *gap(top + g["lever_short"] * down - complex(spindle, g["spindle_y"])),
            *gap(top + g["lever_long"] * down + cmath.rect(g["union_link"], union)
                 - complex(head + g["drop_x"], -g["drop_y"])),
        ]  # fmt: skip

    return loops


def gear_unknowns(motion):
    turns = {name: pose[:, 2] for name, pose in motion.poses.items()}
    return np.stack(
        (
            turns["connecting rod"], motion.poses["crosshead"][:, 0], turns["eccentric rod"],
            turns["expansion link"], motion.travel("die"), turns["radius rod"],
            turns["lifting link"], turns["combination lever"], turns["union link"],
            motion.poses["valve spindle"][:, 0],
        ),
        axis=-1,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(5))
def test_random_valve_gears(seed):
    """Every dimension up to 2 % off: the last group is five parts with six unknowns."""
    shift = np.random.default_rng(200 + seed).uniform(0.98, 1.02, len(GEAR))
    g = {key: float(value * by) for (key, value), by in zip(GEAR.items(), shift, strict=True)}
    loops = gear_loops(g)
    motion = solve_turn(valve_gear(**g), CRANK)
    ours = gear_unknowns(motion)
    theirs = follow_by_root(loops, ours[0].round(2), CRANK)
    assert closure(loops, ours, CRANK) < CLOSED
    # the lever's short arm of 1.21 mm turns a gap into an angle, the long one into travel: 20 times
    assert np.abs(ours - theirs).max() < 20 * CLOSED
