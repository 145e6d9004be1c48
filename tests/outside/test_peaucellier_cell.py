"""Against the inversor of C. N. Peaucellier (1864), the first exact straight-line linkage.

``OP * OQ = L^2 - m^2``; with P led on a circle of radius r through O, Q draws the line
``x = (L^2 - m^2) / (2 r)`` (cited from memory; existence and date as in E. S. Ferguson,
*Kinematics of Mechanisms from the Time of Watt*, 1962).
"""

import math

import numpy as np
import pytest

from linkage.kinematics import follow, solve_at
from linkage.mechanism import Pin, Place
from tests.kinematics.linkages import mechanism

LONG, SIDE, RADIUS = 5.0, 3.0, 1.3
LINE = (LONG**2 - SIDE**2) / (2 * RADIUS)
OPENS = 2 * math.acos((LONG - SIDE) / (2 * RADIUS))  # where the cell folds: OP = L - m


def cell():
    p, q = 2 * RADIUS, LINE
    middle = (p + q) / 2
    high = math.sqrt(LONG**2 - middle**2)
    bars = {"up": (middle, high), "down": (middle, -high)}
    joints = []
    for way, corner in bars.items():
        joints += [
            Pin(f"{way} origin", Place(f"{way} long", 0, 0), Place("frame", 0, 0)),
            Pin(f"{way} corner", Place(f"{way} long", LONG, 0), Place(f"{way} near", SIDE, 0),
                near=corner),
            Pin(f"{way} crank pin", Place(f"{way} near", 0, 0), Place("crank", RADIUS, 0)),
            Pin(f"{way} far corner", Place(f"{way} long", LONG, 0), Place(f"{way} far", 0, 0),
                near=corner),
        ]  # fmt: skip
    joints.append(
        Pin("tracer", Place("up far", SIDE, 0), Place("down far", SIDE, 0), near=(q, 0.0))
    )
    names = ["crank", *(f"{way} {bar}" for way in bars for bar in ("long", "near", "far"))]
    return follow(mechanism(names, joints, axle=(RADIUS, 0.0)))


COURSE = cell()


def test_trace_is_the_line():
    angles = np.linspace(-0.9 * OPENS, 0.9 * OPENS, 401)
    path = solve_at(COURSE, angles).point("up far", SIDE)
    assert pytest.approx(6.153846153846, abs=5e-13) == LINE
    # The cell is exact; loops are closed to 1e-12 mm and not further, so no tracer can be held to
    # less than that.
    assert np.abs(path[:, 0] - LINE).max() < 1e-12
    assert np.ptp(path[:, 1]) > 4.0


def test_inversion():
    angles = np.linspace(-0.9 * OPENS, 0.9 * OPENS, 101)
    motion = solve_at(COURSE, angles)
    p, q = motion.point("crank", RADIUS), motion.point("up far", SIDE)
    product = np.hypot(*p.T) * np.hypot(*q.T)
    assert product == pytest.approx(np.full(101, LONG**2 - SIDE**2), abs=1e-12)


def test_cell_folds_where_op_is_the_difference_of_its_bars():
    ((begin, end),) = COURSE.open_arcs
    assert begin == pytest.approx(OPENS, abs=1e-9)
    assert end == pytest.approx(2 * math.pi - OPENS, abs=1e-9)
