"""A rocker against the equation of the four-bar linkage, and against the same gear without one.

An eccentric, its rod and the rocker's lower arm are a four-bar linkage on the line from axle to
pivot. F. Freudenstein, "Approximate synthesis of four-bar linkages", Trans. ASME 77 (1955) 853 to
861, has between the angles t2 of the crank and t4 of the rocker, from that line, for a crank a, a
coupler b, a rocker c and a ground d (the form of the constants from memory, R. L. Norton, *Design
of Machinery*, chapter 4)::

    K1 cos t4 - K2 cos t2 + K3 = cos(t2 - t4)
    K1 = d/a,  K2 = d/c,  K3 = (a^2 - b^2 + c^2 + d^2) / (2 a c)

That a rocker turns the movement round, so that for slide valves the eccentric goes behind the crank
pin, is common practice, no source.
"""

from __future__ import annotations

import copy

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.events import find_events
from linkage.kinematics import follow, solve_at
from linkage.sheet import sheet_from
from tests.ready import ready

ROCKER, DIRECT = "ardmoor-0-4-2-rocker", "ardmoor-0-4-0-slip-eccentric"


def changed(name, **tables):
    data = copy.deepcopy(dict(ready(name).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held}
    return sheet_from(data, "rocker.toml", ask=False)


def residual(sheet, longer=0.0):
    """Return the most by which the solved positions miss the equation, round the turn [1].

    `longer` [mm]: by how much the equation is told a longer rod than there is.
    """
    mechanism = build(sheet, "right")["right"]
    side = sheet.sides["right"]
    crank = np.radians(np.arange(0.0, 360.0, 5.0))
    motion = solve_at(follow(mechanism), crank)
    ahead, up = side.rocker.pivot.ahead, side.rocker.pivot.up
    line = np.arctan2(up, ahead)
    # the crank turns clockwise, and its axes with it; the rocker's lower arm hangs at its angle 0
    t2 = side.eccentric.stands(None) - crank - line
    t4 = motion.poses["rocker"][..., 2] - np.pi / 2 - line
    a, b, c = side.eccentric.throw, side.eccentric_rod.centres + longer, side.rocker.lower_arm
    d = np.hypot(ahead, up)
    k3 = (a**2 - b**2 + c**2 + d**2) / (2 * a * c)
    return float(np.abs(d / a * np.cos(t4) - d / c * np.cos(t2) + k3 - np.cos(t2 - t4)).max())


def test_the_rocker_stands_where_the_equation_has_it():
    assert residual(ready(ROCKER)) < 1e-9


@pytest.mark.parametrize(
    "tables",
    [
        {"eccentric": {"throw": 4.0}},
        {"rocker": {"lower_arm": 6.5, "pivot": {"ahead": 46.0, "up": 6.5}}},
        {"eccentric_rod": {"centres": 44.5}},
    ],
)
def test_with_other_numbers_too(tables):
    assert residual(changed(ROCKER, **tables)) < 1e-9


def test_a_rod_a_tenth_longer_than_it_is_would_show():
    assert residual(ready(ROCKER), longer=0.1) > 1e-3


def test_it_times_the_valve_as_the_eccentric_that_it_stands_for():
    """Throw 2.2 x 9.6 / 8.8 = 2.4 that leads by -65 + 180 = 115: the slip eccentric's own numbers.

    The rods' slants and the arms' arcs leave 0.5 of a hundred of the stroke and half a degree.
    """
    rocked = find_events(ready(ROCKER)).sides["right"].places
    direct = find_events(ready(DIRECT)).sides["right"].places
    for one, other in zip(rocked, direct, strict=True):
        assert one.ahead == other.ahead
        assert one.travel == pytest.approx(other.travel, abs=0.02)
        assert one.lap_and_lead == pytest.approx(other.lap_and_lead, abs=0.02)
        for end, like in zip(one.ends, other.ends, strict=True):
            assert end.cut_off.stroke == pytest.approx(like.cut_off.stroke, abs=0.005)
            assert end.release.turned == pytest.approx(like.release.turned, abs=0.01)
