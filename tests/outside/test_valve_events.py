"""Events against the harmonic theory of the valve diagrams, and against engines' printed figures.

- G. Zeuner, *Die Schiebersteuerungen* (1858), and F. Reuleaux (cited from memory): with travel T,
  lap L, lead v, ``sin d = (L + v) / (T / 2)`` and ``sin m = L / (T / 2)`` the crank stands at
  ``180 - d - m`` at cut-off, ``d - m`` before the dead centre at admission, ``180 - d`` at release
  and ``d`` before the next dead centre at compression, of line-and-line exhaust. They are the limit
  of an infinite rod: the error falls as one over the rod.
- *American Engineer and Railroad Journal*: three pairs of release and exhaust closure, 30 5/16 and
  1 11/16, 26 11/16 and 5 5/16, 23 9/16 and 8 7/16 in, each adds to the stroke of 32 in: without
  exhaust lap release at one end is closure at the other.
- Full-gear cut-offs quoted for engines: a British Pacific as built and with long travel (RCTS
  class history, part 2A), BR class 7; from memory. The mean of both ends is within a point of the
  harmonic value for rods of 6 throws and more.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.events import find_events
from linkage.sheet import sheet_from
from tests.outside.ideal_gear import IdealGear

FAR = 1e6  # of rods and of the spindle, in mm: as good as infinite


def sine_gear(travel, lap, lead, rod, throw=14.0):
    """Return a sheet whose valve goes as a sine; its connecting rod is so many throws long.

    The return crank's pin drives the spindle through eccentric rod, link and radius rod so long
    that nothing of them slants; the whole travel is its own, without a lever.
    """
    radius = travel / 2
    advance = math.degrees(math.asin((lap + lead) / radius))
    # the foot pin below the trunnion and the die as far above it: the link turns the motion round
    foot = 100.0 * travel
    return sheet_from(
        {
            "arrangement": "walschaerts",
            "sides": ["right"],
            "wheels": {"throw": throw},
            "connecting_rod": {"centres": rod * throw},
            "crosshead": {"drop_arm_pin": {"ahead": 0.0, "below": 20.0}},
            "return_crank": {"pin_circle": radius, "leads": 90.0 + advance},
            "eccentric_rod": {"centres": math.hypot(FAR, 0.0)},
            "expansion_link": {
                "trunnion": {"ahead": FAR, "up": foot},
                "foot_pin": {"below": foot},
                "slot_half_length": 2.0 * foot,
                "slot_radius": FAR,
            },
            "radius_rod": {"centres": FAR, "die_below_trunnion": foot},
            "valve_spindle": {"height": 0.0},
            "valve": {"steam_lap": lap, "exhaust_lap": 0.0, "admission": "outside"},
        },
        ask=False,
    )


def angles(place):
    return [
        [math.degrees(event.turned) for event in (e.admission, e.cut_off, e.release, e.compression)]
        for e in place.ends
    ]


def theory(travel, lap, lead):
    d = math.degrees(math.asin((lap + lead) / (travel / 2)))
    m = math.degrees(math.asin(lap / (travel / 2)))
    return [m - d, 180 - d - m, 180 - d, 360 - d]


@pytest.mark.parametrize(("travel", "lap", "lead"), [(4.0, 0.8, 0.1), (7.75, 1.6875, 0.25)])
def test_diagrams_are_the_limit_of_an_infinite_rod(travel, lap, lead):
    """Residual below 0.01 degree, where the link's own swing, 1 in 100, is what is left."""
    (place,) = find_events(sine_gear(travel, lap, lead, 1e5)).sides["right"].places
    for end in angles(place):
        assert end == pytest.approx(theory(travel, lap, lead), abs=0.01)
        cut_off = (1 - math.cos(math.radians(end[1]))) / 2
    assert [e.cut_off.stroke for e in place.ends] == pytest.approx([cut_off] * 2, abs=1e-4)


def test_the_error_falls_as_one_over_the_rod():
    """Of the share of the stroke at cut-off, front less back: sin^2 / 2 n, to the first order."""
    found = []
    for rod in (10.0, 20.0, 40.0):
        (place,) = find_events(sine_gear(4.0, 0.8, 0.1, rod)).sides["right"].places
        found.append(place.ends[0].cut_off.stroke - place.ends[1].cut_off.stroke)
    angle = math.radians(theory(4.0, 0.8, 0.1)[1])
    rule = [math.sin(angle) ** 2 / (2 * rod) for rod in (10.0, 20.0, 40.0)]
    assert found == pytest.approx(rule, rel=0.01)
    assert found[0] / found[1] == pytest.approx(2.0, rel=0.01)


PRINTED = [("30 5/16", "1 11/16"), ("26 11/16", "5 5/16"), ("23 9/16", "8 7/16")]


@pytest.mark.parametrize(("release", "closure"), PRINTED)
def test_printed_pairs_add_to_the_stroke(release, closure):
    def inches(text):
        whole, part = text.split()
        over, under = part.split("/")
        return int(whole) + int(over) / int(under)

    assert inches(release) + inches(closure) == 32.0


@pytest.mark.parametrize("die", [-12.0, -6.0, 6.0, 12.0])
def test_release_and_closure_add_to_the_stroke_without_exhaust_lap(die):
    """At every place of the die, whatever the rods: the residual is below 1e-9 of the stroke."""
    gear = IdealGear(1.9375 / 14)
    data = gear.sheet_data(die, valve={"steam_lap": 1.6875, "exhaust_lap": 0.0})
    (place,) = find_events(sheet_from(data, ask=False)).sides["right"].places
    front, back = place.ends
    assert front.release.stroke + back.compression.stroke == pytest.approx(1.0, abs=1e-9)
    assert back.release.stroke + front.compression.stroke == pytest.approx(1.0, abs=1e-9)


def test_with_exhaust_lap_they_add_to_more():
    data = IdealGear(1.9375 / 14).sheet_data(9.0, valve={"steam_lap": 1.6, "exhaust_lap": 0.1})
    (place,) = find_events(sheet_from(data, ask=False)).sides["right"].places
    front, back = place.ends
    assert front.release.stroke + back.compression.stroke > 1.01


@pytest.mark.parametrize("admission", ["inside", "outside"])
def test_lead_of_walschaerts_is_the_same_at_every_die(admission):
    """Ideal gear: to 1e-9; lap and lead is the lever's ratio times the half stroke."""
    valve = {"steam_lap": 1.6875, "exhaust_lap": 0.0}
    leads = []
    for die in (-12.0, -5.0, 5.0, 12.0):
        data = IdealGear(1.9375 / 14, admission=admission).sheet_data(die, valve=valve)
        (place,) = find_events(sheet_from(data, ask=False)).sides["right"].places
        leads += [end.lead for end in place.ends]
    assert np.ptp(leads) < 1e-9
    assert leads[0] == pytest.approx(0.25, abs=1e-9)


ENGINES = [
    (4.5625, 1.25, 0.1875, 65.0, 65.21),
    (5.75, 1.625, 0.125, 65.0, 65.52),
    (7.75, 1.6875, 0.25, 78.0, 78.09),
]
"""Travel, lap, lead [in]; quoted full-gear cut-off, and that of the harmonic theory [per cent]."""


@pytest.mark.parametrize(("travel", "lap", "lead", "quoted", "harmonic"), ENGINES)
def test_full_gear_cut_offs_of_engines(travel, lap, lead, quoted, harmonic):
    """An ideal gear with that travel, lap and lead, its die set by ``T^2 = T0^2 + (k y)^2``.

    Its mean cut-off is within a point of the quoted and of the harmonic value.
    """
    gear = IdealGear((lap + lead) / 14)
    valve = {"steam_lap": lap, "exhaust_lap": 0.0}

    def at(die):
        data = gear.sheet_data(die, valve=valve)
        return find_events(sheet_from(data, ask=False)).sides["right"].places[0]

    die, least = 8.0, 2 * (lap + lead)
    for _ in range(2):
        die *= math.sqrt((travel**2 - least**2) / (at(die).travel ** 2 - least**2))
    place = at(die)
    assert place.travel == pytest.approx(travel, abs=0.01)
    mean = 50 * sum(end.cut_off.stroke for end in place.ends)
    assert mean == pytest.approx(harmonic, abs=1.0)
    assert mean == pytest.approx(quoted, abs=1.0)
