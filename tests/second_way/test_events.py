"""Valve events by equations of one gear written out by hand: to 0.01 degree and 0.01 per cent.

Of the Stephenson gear with the crank pin at the angle t, clockwise from straight ahead, either
eccentric stands at e(t) = r (cos (t + a), -sin (t + a)), with a the angle it leads by. The link's
middle m and its lean f follow from three lengths::

    |m + R(f) top - e1| = l1,    |m + R(f) bottom - e2| = l2,    |m + R(f) held - w| = l3

solved by scipy from its place a little before, w being the end of the weighshaft's arm. The slot is
an arc of radius R about m + R(f) (-R, 0), in which the die stands at the spindle's height, and the
piston is at r cos t + sqrt (l^2 - r^2 sin^2 t). Nothing of tightspot's solver is used; edges are
crossed by bisection.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq, fsolve

from linkage.events import find_events
from tests.ready import ready

LAP = 3.0
NAMES = ("admission", "cut_off", "release", "compression")


class Gear:
    """The ready gear, with its numbers typed anew: open rods, launch link, slide valve."""

    def __init__(self, arm: float) -> None:
        turned = math.radians(arm)  # the arm points back, raised by so much
        self.end = np.array([172.0 - 42.0 * math.cos(turned), 60.0 + 42.0 * math.sin(turned)])
        self.last = 0.0, np.array([130.0, self.end[1] - 60.0, 0.0])

    def eccentric(self, turn: float, leads: float) -> np.ndarray:
        """Return the centre of an eccentric [mm]; `leads` [degrees]: the crank pin."""
        at = turn + math.radians(leads)
        return 9.0 * np.array([math.cos(at), -math.sin(at)])

    def valve(self, turn: float) -> float:
        """Return how far ahead of the axle the die stands [mm], from the last place in steps."""
        turn %= 2 * math.pi
        since, pose = self.last
        for at in np.linspace(since, turn, 2 + int(abs(turn - since) / 0.1))[1:]:
            pose = fsolve(self._open, pose, args=(at,), xtol=1e-13)
        self.last = turn, pose
        x, y, lean = pose
        centre_x, centre_y = x - 130.0 * math.cos(lean), y - 130.0 * math.sin(lean)
        return centre_x + math.sqrt(130.0**2 - centre_y**2)

    def _open(self, pose: np.ndarray, turn: float) -> list[float]:
        cos, sin = math.cos(pose[2]), math.sin(pose[2])
        ends = (
            ((-2.2, 24.0), self.eccentric(turn, 115.0), 130.0),
            ((-2.2, -24.0), self.eccentric(turn, -115.0), 130.0),
            ((0.0, 0.0), self.end, 60.0),
        )
        return [
            math.hypot(pose[0] + cos * u - sin * v - e[0], pose[1] + sin * u + cos * v - e[1])
            - length
            for (u, v), e, length in ends
        ]


def stroke(turn: float) -> float:
    """Return the share of the stroke that the piston has gone from the front [1]."""
    at = 29.0 * math.cos(turn) + math.sqrt(270.0**2 - (29.0 * math.sin(turn)) ** 2)
    return (29.0 + 270.0 - at) / 58.0


@pytest.mark.parametrize(("place", "arm"), [("full_forward", -22.0), ("mid", 0.0)])
def test_events_of_a_stephenson_gear(place, arm):
    gear, full = Gear(arm), Gear(-22.0)
    middle = (full.valve(0.0) + full.valve(math.pi)) / 2  # equal leads in full forward gear
    told = find_events(ready("ardmoor-0-6-0-stephenson"), 3).sides["right"].at(place)
    for name, way, dead in (("front", -1.0, 0.0), ("back", 1.0, math.pi)):
        end = told.end(name)
        lead = way * (gear.valve(dead) - middle) - LAP
        assert end.lead == pytest.approx(lead, abs=1e-6)
        # steam edge, then exhaust edge without lap: each opens and closes once in the turn
        for event, edge in zip(NAMES, (LAP, LAP, 0.0, 0.0), strict=True):
            found = getattr(end, event)
            sign = 1.0 if event in NAMES[:2] else -1.0

            def over(turn, edge=edge, sign=sign, way=way, dead=dead):
                return sign * way * (gear.valve(dead + turn) - middle) - edge

            near = found.turned
            turned = brentq(over, near - 0.05, near + 0.05, xtol=1e-9)
            gone = stroke(dead + turned) if name == "front" else 1.0 - stroke(dead + turned)
            assert math.degrees(near) == pytest.approx(math.degrees(turned), abs=0.01)
            assert 100 * found.stroke == pytest.approx(100 * gone, abs=0.01)
