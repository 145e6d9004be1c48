"""Coupled wheels against pins in holes tried one by one: no method, no derivatives, no misfits.

Two axles in boxes, a rod on either side, round holes. A pin of either wheel is a point, a hole the
circle in which that point may be, as wide as the play; so a rod goes on where the pins are as far
apart as its holes are, to within what both holes give. How far the second axle is turned against
the first, and how far the boxes let it stand off, is tried on a grid, ever finer about the least.
The geometry is that of two circles and a length, in any book: F. Reuleaux, *The Kinematics of
Machinery* (1876), sec. 66 (coupled parallel cranks; cited from memory).
"""

import math

import numpy as np
import pytest

from linkage.play.turning import Turning
from tests.play.pairs import DEGREE, PLAY, SPAN, THROW, pair

BOX = 4e-4
SWING, ROUNDS, CUT = 0.06, 5, 41
AGREE = 2e-3  # the last grid is 1e-4 of a share apart; near the dead centres the valley is steep


def share(crank, errors, throws, quarters):
    """Return the least share of all play by which both rods go on, at a crank angle [rad]."""

    def used(swing, off):
        most = np.abs(off) / BOX
        for side, error in enumerate(errors):
            first = crank - (side * quarters[0]) * DEGREE
            second = crank + swing - (side * quarters[1]) * DEGREE
            ahead = SPAN + off + (THROW + throws[2 + side]) * np.cos(second)
            ahead = ahead - (THROW + throws[side]) * math.cos(first)
            up = -(THROW + throws[2 + side]) * np.sin(second)
            up = up + (THROW + throws[side]) * math.sin(first)
            apart = np.hypot(ahead, up)
            most = np.maximum(most, np.abs(apart - SPAN - error) / PLAY)
        return most

    swing, off, best = 0.0, 0.0, np.inf
    wide, far = SWING, 4 * BOX
    for _ in range(ROUNDS):
        swings = swing + np.linspace(-wide, wide, 20 * CUT if wide == SWING else CUT)
        offs = off + np.linspace(-far, far, CUT)
        tried = used(swings[:, None], offs[None])
        row, column = np.unravel_index(np.argmin(tried), tried.shape)
        swing, off, best = float(swings[row]), float(offs[column]), float(tried[row, column])
        wide, far = wide / 8, far / 4
    return best


CASES = {
    "a rod too long": ((0.08, 0.0), (0, 0, 0, 0), (90, 90)),
    "both rods too long": ((0.12, 0.12), (0, 0, 0, 0), (90, 90)),
    "one long, one short": ((0.06, -0.06), (0, 0, 0, 0), (90, 90)),
    "a throw too short": ((0, 0), (0, 0, 0.15, 0), (90, 90)),
    "out of quarter": ((0, 0), (0, 0, 0, 0), (90, 93)),
    "all at once": ((0.04, -0.02), (0.03, 0, -0.05, 0.02), (89.5, 90.4)),
}


@pytest.mark.parametrize("name", CASES)
def test_the_share_used_round_the_turn(name):
    errors, throws, quarters = CASES[name]
    turning = Turning(pair(errors, throws, quarters, box=BOX))
    crank = np.radians(np.arange(7.0, 360.0, 24.0))
    theirs = [share(angle, errors, throws, quarters) for angle in crank.tolist()]
    assert turning.used(crank) == pytest.approx(theirs, rel=AGREE, abs=AGREE)
    assert max(theirs) > 0.5
