"""Against F. Grashof's condition (1883) and the textbook extremes of the transmission angle.

Both cited from memory, as in R. L. Norton, *Design of Machinery*, ch. 4: the shortest link turns
fully if shortest + longest <= the sum of the other two; the transmission angle is extreme with the
crank and the ground in line, ``cos mu = (b^2 + c^2 - (d -+ a)^2) / (2 b c)``.
"""

import math

import numpy as np
import pytest

from linkage.kinematics import follow, solve_turn, transmission_angles
from tests.kinematics.linkages import DEGREE, four_bar

HOECKEN = (1.0, 2.5, 2.5, 2.0)
GROUP = ("coupler", "rocker")


def random_links(rng):
    """Return four lengths that close at crank angle 0, not near the limit of Grashof's condition.

    Within 0.1 of the limit the arcs can be shorter than a step of any search: not asked here.
    """
    while True:
        links = rng.uniform(10, 100, 4)
        crank, coupler, rocker, ground = links
        closes = abs(coupler - rocker) < abs(ground - crank) < coupler + rocker
        if closes and abs(links.max() + links.min() - links.sum() / 2) > 0.1:
            return tuple(float(link) for link in links)


def crank_turns(links):
    """Tell whether the crank turns fully: Grashof, the crank or the ground shortest."""
    turns = max(links) + min(links) <= sum(links) / 2
    return turns and min(links) in (links[0], links[3])


@pytest.mark.parametrize("seed", range(40))
def test_crank_turns_where_grashof_says_so(seed):
    links = random_links(np.random.default_rng(seed))
    assert (follow(four_bar(links)).open_arcs == ()) == crank_turns(links)


def test_both_outcomes_are_among_the_random_links():
    outcomes = {crank_turns(random_links(np.random.default_rng(seed))) for seed in range(40)}
    assert outcomes == {True, False}


def test_museum_straight_line_model():
    """A measured double straight-line model after Hoecken: 80, 175, 175, 227 mm turns fully."""
    assert 80 + 227 <= 175 + 175
    assert follow(four_bar((80.0, 175.0, 175.0, 227.0))).open_arcs == ()


def test_museum_model_with_its_ground_too_long():
    assert follow(four_bar((80.0, 175.0, 175.0, 271.0))).open_arcs != ()


@pytest.mark.parametrize(("crank", "printed"), [(0, 23.074), (180, 73.740)])
def test_transmission_angle_extremes_of_hoecken_proportions(crank, printed):
    motion = solve_turn(four_bar(HOECKEN), [crank * DEGREE])
    angle = transmission_angles(motion)[GROUP][0] / DEGREE
    assert angle == pytest.approx(printed, abs=5e-4)


def test_transmission_angle_extremes_are_those_of_the_turn():
    motion = solve_turn(four_bar(HOECKEN), np.linspace(0, 2 * math.pi, 721))
    angle = transmission_angles(motion)[GROUP] / DEGREE
    assert (angle.min(), angle.max()) == pytest.approx((23.074, 73.740), abs=5e-4)


@pytest.mark.parametrize("links", [HOECKEN, (40, 120, 80, 100), (30, 70, 90, 80)])
def test_transmission_angle_formula_all_round(links):
    a, b, c, d = links
    motion = solve_turn(four_bar(links), np.linspace(0.1, 6.2, 100))
    pin = motion.point("crank", a)
    apart = np.hypot(pin[:, 0] - d, pin[:, 1])
    mu = np.arccos((b**2 + c**2 - apart**2) / (2 * b * c))
    folded = np.minimum(mu, math.pi - mu)
    # arcsine near its top loses half the digits: 1e-8 covers the square root of 1e-16
    assert transmission_angles(motion)[GROUP] == pytest.approx(folded, abs=3e-8)
