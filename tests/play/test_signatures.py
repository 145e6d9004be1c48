"""Where coupling rods are tight for each fault, as the trade's table of signatures says.

The table is derived (no published source): with each hole larger than its pin by h, misfit = how
far pins miss holes at best; it binds where the misfit exceeds h. Right-hand crank angles, the
right crank leading. Errors are such that the worst misfit is twice the play;
at the corners of the quarter-turns the free axle's swing takes up to a tenth of it, so the corners
are left out.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.errors import AssemblyError
from linkage.play import Turning, arcs_above, find_play, play_used
from tests.play.pairs import DEGREE, PLAY, SPAN, THROW, pair

EVERY = np.arange(0.0, 360.0, 5.0)


def misfit(wheels, degrees):
    """Return the misfit at crank angles [mm]."""
    return Turning(wheels).at(np.asarray(degrees) * DEGREE).used * PLAY


def binding(wheels):
    """Return (begin, end) of every arc that binds [degrees]."""
    return [(arc.begin / DEGREE, arc.end / DEGREE) for arc in find_play(wheels).binding]


def test_nothing_wrong_needs_no_play():
    assert misfit(pair(), EVERY).max() < 1e-4


def test_both_rods_wrong_alike():
    """Tight right through 0 to 90 and 180 to 270, free for 53 degrees about 135 and 315."""
    wheels = pair(rods=(0.2, 0.2))
    assert misfit(wheels, [0, 30, 60, 90, 210, 240]) == pytest.approx(0.2, rel=0.03)
    assert misfit(wheels, [135, 315]).max() < 0.02
    (first, second) = binding(wheels)
    assert second[0] - first[1] == pytest.approx(53, abs=1.5)


def test_one_rod_wrong():
    """That side's dead centres, for 45 degrees to either side."""
    wheels = pair(rods=(0.2, 0.0))
    assert misfit(wheels, [0, 180]) == pytest.approx(0.2, rel=0.03)
    assert misfit(wheels, [45, 135, 225, 315]) == pytest.approx(0.1, rel=0.05)
    assert misfit(wheels, [90, 270]).max() < 0.006
    for begin, end in binding(wheels):
        assert end - begin == pytest.approx(90, abs=3)


def test_one_left_rod_wrong_is_tight_at_the_left_dead_centres():
    wheels = pair(rods=(0.0, 0.2))
    assert misfit(wheels, [90, 270]) == pytest.approx(0.2, rel=0.03)
    assert misfit(wheels, [0, 180]).max() < 0.006


def test_one_long_one_short():
    """The other two quarter-turns, free at 45 and 225."""
    wheels = pair(rods=(0.2, -0.2))
    assert misfit(wheels, [120, 150, 300, 330]) == pytest.approx(0.2, rel=0.03)
    assert misfit(wheels, [45, 225]).max() < 0.02


def test_quartering_differs():
    """Four times, at the eighths: 0.354 times throw times the difference."""
    wheels = pair(quarters=(90.0, 94.0))
    expected = 0.354 * THROW * 4 * DEGREE
    assert misfit(wheels, [45, 135, 225, 315]) == pytest.approx(expected, rel=0.1)
    assert misfit(wheels, [0, 90, 180, 270]).max() < 0.12 * expected


@pytest.mark.parametrize("quarter", [87.0, 93.0, 80.0])
def test_all_axles_out_of_quarter_alike_do_not_bind(quarter):
    found = find_play(pair(quarters=(quarter, quarter)))
    assert found.used.most < 1e-3
    assert found.binding == found.nearly == ()


def test_one_throw_wrong():
    wheels = pair(throws=(0.2, 0.0, 0.0, 0.0))
    assert misfit(wheels, [0, 180]) == pytest.approx(0.2, rel=0.03)
    assert misfit(wheels, [90, 270]).max() < 0.01


def test_both_throws_of_an_axle_wrong():
    """Everywhere, 0.71 to 1.0 of the error, most at every dead centre."""
    values = misfit(pair(throws=(0.0, 0.0, 0.2, 0.2)), EVERY) / 0.2
    assert 0.68 < values.min() < 0.75
    assert values.max() == pytest.approx(1.0, rel=0.05)


@pytest.mark.parametrize(("a", "b"), [(0.1, 0.0), (0.1, 0.1), (0.1, -0.1), (0.06, 0.1)])
def test_closed_form_of_length_errors(a, b):
    """|a c - b s| / (|s| + |c|), of the trailing crank's angle.

    The trade's note calls it good to 3 % of the worst misfit; it is 5.4 % off at the corners of
    the quarter-turns, where the free axle swings and the second order counts.
    """
    trailing = (EVERY - 90) * DEGREE
    s, c = np.sin(trailing), np.cos(trailing)
    formula = np.abs(a * c - b * s) / (np.abs(s) + np.abs(c))
    # a is the trailing (left) side's error, b the leading (right) side's
    found = misfit(pair(rods=(b, a)), EVERY)
    assert np.abs(found - formula).max() < 0.055 * formula.max()  # boxes take 0.0004


def test_only_the_wrong_rod_on_locks_at_one_dead_centre():
    """A long rod: where its turned pin points at the other axle, by the cosine rule."""
    wheels = pair(rods=(0.2, 0.0))
    alone = replace(wheels, rods=wheels.rods[:1])
    turning = Turning(alone)
    found = play_used(turning)
    assert found.one_sided
    ((arc),) = arcs_above(turning, found, 1.0)
    # pin to axle at the nearest: rod, less play of both holes and boxes, less the other throw
    reach = SPAN + 0.2 - PLAY - 4e-4 - THROW
    half = np.arccos((SPAN**2 + THROW**2 - reach**2) / (2 * SPAN * THROW)) / DEGREE
    assert arc.end / DEGREE - 360 == pytest.approx(half, abs=0.02)
    assert 360 - arc.begin / DEGREE == pytest.approx(half, abs=0.02)


def test_only_the_good_rod_on_is_free():
    wheels = pair(rods=(0.2, 0.0))
    assert play_used(Turning(replace(wheels, rods=wheels.rods[1:]))).most < 1e-3


def test_quartering_is_free_with_either_side_alone():
    wheels = pair(quarters=(90.0, 96.0))
    for rod in wheels.rods:
        assert play_used(Turning(replace(wheels, rods=(rod,)))).most < 0.01


def test_holes_that_much_larger_turn():
    """What is said to be missing is enough, and no more than a tenth too much."""
    wheels = pair(rods=(0.2, 0.0))
    missing = max(arc.missing for arc in find_play(wheels).binding)

    def eased(by):
        return pair(rods=(0.2, 0.0), play=PLAY + by)

    assert find_play(eased(missing + 0.001)).binding == ()
    assert find_play(eased(0.9 * missing)).binding


def test_which_holes_are_named():
    (arc, _) = find_play(pair(rods=(0.2, 0.0))).binding
    assert {(hole.kind, hole.side, hole.axle) for hole in arc.holes} == {
        ("hole", "right", "driving"),
        ("hole", "right", "leading"),
    }


def test_rods_that_go_on_nowhere_are_refused():
    """A rod 10 too long for its axles: with throws of 4.33 its pins never stand so far apart."""
    with pytest.raises(AssemblyError, match=r"right coupling rod, crank pins; at the best place"):
        find_play(pair(rods=(10.0, 0.0)))


def test_a_throw_wrong_on_both_wheels_binds_everywhere_and_is_a_finding():
    found = find_play(pair(throws=(0.0, 0.0, 0.2, 0.2)))
    assert found.used.used.min() > 1
    assert len(found.binding) == 1


E, EPS = 0.05, 2.0  # a length or throw wrong by so much [mm], a quarter [degrees]
WHOLE_TABLE = {  # fault: (the wheels, worst misfit, worst places or None where it is a plateau)
    "right rod long": ({"rods": (E, 0.0)}, E, [0, 180]),
    "right rod short": ({"rods": (-E, 0.0)}, E, [0, 180]),
    "left rod long": ({"rods": (0.0, E)}, E, [90, 270]),
    "both rods long": ({"rods": (E, E)}, E, None),
    "one long, one short": ({"rods": (E, -E)}, E, None),
    "one axle out of quarter": (
        {"quarters": (90.0, 90.0 + EPS)},
        THROW * EPS * DEGREE * np.sqrt(2) / 4,
        [45, 135, 225, 315],
    ),
    "a throw long": ({"throws": (0.0, 0.0, E, 0.0)}, E, [0, 180]),
    "a throw short": ({"throws": (0.0, 0.0, -E, 0.0)}, E, [0, 180]),
    "both throws of an axle long": ({"throws": (0.0, 0.0, E, E)}, E, [0, 90, 180, 270]),
}


@pytest.mark.parametrize("fault", WHOLE_TABLE)
def test_the_whole_table(fault):
    """Sizes to 1 percent and places to half a degree, in boxes that all but hold their axles."""
    errors, size, places = WHOLE_TABLE[fault]
    turning = Turning(pair(**errors, box=4e-6, play=0.04))
    crank, found = turning.samples
    misfits = found.used * 0.04
    assert misfits.max() == pytest.approx(size, rel=0.01)
    if places is None:
        return
    degrees = np.degrees(crank)
    for place in places:
        near = np.abs((degrees - place + 180) % 360 - 180) <= 20
        peak = degrees[near][np.argmax(misfits[near])]
        assert abs((peak - place + 180) % 360 - 180) <= 0.5
        assert misfits[near].max() == pytest.approx(size, rel=0.01)


def test_both_throws_of_an_axle_are_tight_everywhere():
    """From 0.71 of the error, half way between the dead centres, to all of it at them."""
    wheels = pair(throws=(0.0, 0.0, E, E), box=4e-6, play=0.04)
    _, found = Turning(wheels).samples
    assert found.used.min() * 0.04 == pytest.approx(E / np.sqrt(2), rel=0.02)
