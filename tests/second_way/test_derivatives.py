"""Velocities, accelerations and sensitivities against central differences of solved positions."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.kinematics import (
    accelerations,
    follow,
    rates,
    sensitivities,
    solve_at,
    solve_turn,
    solve_variants,
    velocities,
)
from linkage.mechanism import Slide
from tests.kinematics.linkages import GEAR, four_bar, mechanism, slider_crank, valve_gear

CRANK = np.linspace(0.05, 6.2, 41)
STEP = 1e-4  # [rad]
# Central differences leave step^2 / 6 of the third derivative, of the size of the motion (under
# 100 mm, some third powers of it near dead points): 1e-6 mm/rad covers it.
TRUNCATION = 1e-6
SAMPLES = {
    "four-bar": four_bar((40, 120, 80, 100)),
    "slider-crank": slider_crank(4.33, 12.0, 1.5),
    "valve gear": valve_gear(),
}


@pytest.mark.parametrize("name", SAMPLES)
def test_velocities(name):
    course = follow(SAMPLES[name])
    found = velocities(solve_at(course, CRANK))
    ahead, behind = solve_at(course, CRANK + STEP), solve_at(course, CRANK - STEP)
    for part, speed in found.items():
        difference = (ahead.poses[part] - behind.poses[part]) / (2 * STEP)
        assert np.abs(speed - difference).max() < TRUNCATION, part


@pytest.mark.parametrize("name", SAMPLES)
def test_accelerations(name):
    course = follow(SAMPLES[name])
    found = accelerations(solve_at(course, CRANK))
    ahead, behind = (velocities(solve_at(course, CRANK + by)) for by in (STEP, -STEP))
    for part, gain in found.items():
        difference = (ahead[part] - behind[part]) / (2 * STEP)
        assert np.abs(gain - difference).max() < TRUNCATION, part


@settings(max_examples=25, deadline=None)
@given(
    crank=st.floats(5, 30),
    longer=st.floats(1.2, 4.0),
    lean=st.floats(-0.6, 0.6),
    angle=st.floats(0, 2 * math.pi),
)
def test_slider_crank_rates_in_closed_form(crank, longer, lean, angle):
    """From ``x = r cos t + sqrt(l^2 - (r sin t + c)^2)`` by hand, the slide at height c."""
    offset = lean * crank * (longer - 1)
    rod = crank * longer
    found = rates(solve_turn(slider_crank(crank, rod, offset), [angle]))
    s = crank * math.sin(angle) + offset
    s1, s2 = crank * math.cos(angle), -crank * math.sin(angle)
    root = math.sqrt(rod**2 - s**2)
    v = -crank * math.sin(angle) - s * s1 / root
    a = -crank * math.cos(angle) - (s1**2 + s * s2) / root - (s * s1) ** 2 / root**3
    assert found.first["crosshead"][0, 0] == pytest.approx(v, abs=1e-9 * rod)
    assert found.second["crosshead"][0, 0] == pytest.approx(a, abs=1e-8 * rod)


def test_rates_agree_with_velocities_and_accelerations():
    motion = solve_turn(SAMPLES["valve gear"], CRANK)
    found, speeds, gains = rates(motion), velocities(motion), accelerations(motion)
    for part in speeds:
        assert np.array_equal(found.first[part], speeds[part])
        assert np.array_equal(found.second[part], gains[part])


@pytest.mark.parametrize("key", [key for key in GEAR if GEAR[key] != 0])
def test_sensitivity_to_every_dimension_of_the_valve_gear(key):
    motion = solve_turn(valve_gear(), CRANK)
    h = 1e-4  # [mm]
    lower, upper = valve_gear(**{key: GEAR[key] - h}), valve_gear(**{key: GEAR[key] + h})
    found = sensitivities(motion, [lower], [upper], 2 * h).first
    both = solve_variants(motion.course, [lower, upper], CRANK)
    changed = 0.0
    for part, rate in found.items():
        difference = (both.poses[part][1] - both.poses[part][0]) / (2 * h)
        # truncation h^2 / 6 of the third derivative by a length of about 1 mm: 1e-7, and some
        assert np.abs(rate - difference).max() < 1e-5, part
        changed = max(changed, float(np.abs(rate).max()))
    assert changed > 1e-3  # every dimension moves something


def test_sensitivity_to_several_dimensions_at_once():
    """Each dimension has the same sensitivities as when it is asked for by itself."""
    motion, h = solve_turn(valve_gear(), CRANK), 1e-4
    keys = [key for key in GEAR if GEAR[key] != 0]
    lower, upper = ([valve_gear(**{k: GEAR[k] + by}) for k in keys] for by in (-h, h))
    every = sensitivities(motion, lower, upper, 2 * h).first
    for row, (low, high) in enumerate(zip(lower, upper, strict=True)):
        for part, alone in sensitivities(motion, [low], [high], 2 * h).first.items():
            assert every[part][row] == pytest.approx(alone, abs=1e-12), part


def test_sensitivity_of_variants():
    """Arrays of variants have the same sensitivities as each variant by itself."""
    links = [(4.33, 38.0), (4.5, 30.0)]
    motions = [solve_turn(slider_crank(*pair), CRANK) for pair in links]
    both = solve_variants(motions[0].course, [slider_crank(*pair) for pair in links], CRANK)
    lower, upper = slider_crank(4.33, 37.9), slider_crank(4.33, 38.1)
    stacked = sensitivities(both, [lower], [upper], 0.2).first["crosshead"]
    for row, motion in enumerate(motions):
        alone = sensitivities(motion, [lower], [upper], 0.2).first["crosshead"]
        assert stacked[row] == pytest.approx(alone, abs=1e-12)


def test_sensitivity_to_a_number_that_is_0_in_the_equations_is_refused():
    motion = solve_turn(slider_crank(4.33, 38.0), CRANK)

    def tilted(by):
        base = slider_crank(4.33, 38.0)
        joints = [
            replace(joint, direction=by) if isinstance(joint, Slide) else joint
            for joint in base.joints
        ]
        return mechanism(("crank", "rod", "crosshead"), joints)

    with pytest.raises(ValueError, match=r"slide bars: a number that is 0 in the equations"):
        sensitivities(motion, [tilted(-0.01)], [tilted(0.01)], 0.02)
    # the way the message points to: with such variants among them the equations hold the number
    both = solve_variants(motion.course, [slider_crank(4.33, 38.0), tilted(0.01)], CRANK)
    found = sensitivities(both, [tilted(-1e-5)], [tilted(1e-5)], 2e-5).first["crosshead"][0, :, 1]
    assert found == pytest.approx(both.poses["crosshead"][0, :, 0], abs=1e-8)
