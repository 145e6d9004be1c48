"""How much lead a Stephenson gear gains from full gear to mid gear.

Rule of the textbooks (C. H. Peabody, *Valve-Gears for Steam-Engines*; Dalby; cited from
memory): ``r c cos d / l`` with the eccentrics' throw r, half the link c, the rods l and ``sin d =
(lap + lead) / r``; crossed rods lose as much. T. Hwasser, *Handbok for lokomotiv-forare*, p. 81:
the shorter the rods, the more is gained (its fractions cannot be read). The figures for throw 2.5,
half link 6, lap and lead 1.0625 and rods of 18, 36 and 54 in were computed in closed form, as half
the difference of the valve's places at the two dead centres; they are printed nowhere.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import follow, solve_at
from linkage.mechanism import FRAME, Mechanism, Part, Pin, Place, Slide, Slot

THROW, HALF_LINK, LAP_AND_LEAD = 2.5, 6.0, 1.0625
ADVANCE = math.asin(LAP_AND_LEAD / THROW)
GAINS = [(18.0, 0.8082, 0.07), (36.0, 0.3833, 0.017), (54.0, 0.2532, 0.008)]
"""Rods, gain, and within what part of it the rule agrees."""
DEAD_CENTRES = [0.0, math.pi]


def eccentric(fore):
    """Return an eccentric in the crank's axes: a quarter turn and its advance ahead."""
    angle = -(math.pi / 2 + ADVANCE) if fore else math.pi / 2 + ADVANCE
    return THROW * math.cos(angle), THROW * math.sin(angle)


def gear(rods, held, crossed=False):
    """Return the gear, one point of its link held at the height of the valve rod.

    `held` is where, up the link from its middle: 0 is mid gear, HALF_LINK full forward gear. The
    link's pins stand on its slot's curve; the height is held by a level slot, as by a lifting link
    without end. In full gear the die is at the pin.
    """
    pin_back = rods - math.sqrt(rods**2 - HALF_LINK**2)
    pins = {"top": (-pin_back, HALF_LINK), "bottom": (-pin_back, -HALF_LINK)}
    ends = ("bottom", "top") if crossed else ("top", "bottom")
    point = pins["top"] if held else (0.0, 0.0)
    joints = []
    for fore, end in zip((True, False), ends, strict=True):
        rod = "fore rod" if fore else "back rod"
        joints += [
            Pin(f"{rod} strap", Place("crank", *eccentric(fore)), Place(rod, 0, 0)),
            Pin(
                f"{rod} pin",
                Place(rod, rods, 0),
                Place("link", *pins[end]),
                near=(rods - 1.0, pins[end][1] - held),
            ),
        ]
    joints += [
        Slot("lift", Place("link", *point), Place(FRAME, rods, 0), 0.0, near=(rods - 1.0, 0.0)),
        Slot(
            "die",
            Place("valve rod", 0, 0),
            Place("link", 0, 0),
            math.pi / 2,
            1 / rods,
            near=(rods - 1.0, 0.0),
        ),
        Slide("valve rod guide", Place("valve rod", 0, 0), Place(FRAME, rods, 0)),
    ]
    parts = ("crank", "fore rod", "back rod", "link", "valve rod")
    return follow(Mechanism(tuple(Part(name) for name in parts), tuple(joints)))


def lead(rods, held, crossed=False):
    """Return lap and lead together: half the valve's way from dead centre to dead centre."""
    front, back = solve_at(gear(rods, held, crossed), DEAD_CENTRES).travel("valve rod guide")
    return abs(back - front) / 2


def closed_form(rods):
    """Return the gain by the right-angled triangles of either rod at either dead centre."""
    high, low = (HALF_LINK + k * THROW * math.cos(ADVANCE) for k in (1, -1))
    return (math.sqrt(rods**2 - low**2) - math.sqrt(rods**2 - high**2)) / 2


@pytest.mark.parametrize(("rods", "gain", "_"), GAINS)
def test_full_gear_lead_is_the_eccentrics_own(rods, gain, _):
    """The pin at the valve rod's height is driven by its own eccentric alone."""
    assert lead(rods, HALF_LINK) == pytest.approx(LAP_AND_LEAD, abs=1e-9)


@pytest.mark.parametrize(("rods", "gain", "_"), GAINS)
def test_gain_of_open_rods(rods, gain, _):
    gained = lead(rods, 0.0) - lead(rods, HALF_LINK)
    assert gained == pytest.approx(gain, abs=5e-4)
    assert gained == pytest.approx(closed_form(rods), abs=1e-9)


@pytest.mark.parametrize(("rods", "gain", "_"), GAINS)
def test_crossed_rods_lose_as_much(rods, gain, _):
    front, back = solve_at(gear(rods, 0.0, crossed=True), DEAD_CENTRES).travel("valve rod guide")
    assert (back - front) / 2 == pytest.approx(LAP_AND_LEAD - gain, abs=5e-4)


@pytest.mark.parametrize(("rods", "gain", "share"), GAINS)
def test_rule(rods, gain, share):
    rule = THROW * HALF_LINK * math.cos(ADVANCE) / rods
    assert rule == pytest.approx(lead(rods, 0.0) - LAP_AND_LEAD, rel=share)


def test_shorter_rods_gain_more():
    gained = [lead(rods, 0.0) for rods, _, _ in GAINS]
    assert gained == sorted(gained, reverse=True)


def test_the_gear_turns_in_mid_and_full_gear():
    crank = np.radians(np.arange(360.0))
    for held in (0.0, HALF_LINK):
        assert solve_at(gear(36.0, held), crank).reached.all()
