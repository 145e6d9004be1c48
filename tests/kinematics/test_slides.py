"""Slides and slots, straight and curved, on the frame and on moving parts, in closed form."""

import math

import numpy as np
import pytest

from linkage.kinematics import follow, solve_at, solve_turn, velocities
from linkage.mechanism import Pin, Place, Slide, Slot
from linkage.search import find_crossings
from tests.kinematics.linkages import DEGREE, mechanism, slider_crank

CRANK = np.linspace(0, 2 * math.pi, 73)
CLOSED = 1e-10  # promised outside [mm]; angles by the reach of some mm
THROW = 6.0


def yoke(curvature=0.0, tilt=math.pi / 2):
    """Return a crosshead-like yoke driven by the crank pin in its slot."""
    joints = (
        Slide("guide", Place("yoke", 0, 0), Place("frame", 0, 0)),
        Slot("slot", Place("crank", THROW, 0), Place("yoke", 0, 0), direction=tilt,
             curvature=curvature, near=(THROW, 0)),
    )  # fmt: skip
    return mechanism(("crank", "yoke"), joints)


def test_straight_upright_slot_makes_pure_harmonic_travel():
    motion = solve_turn(yoke(), CRANK)
    assert motion.poses["yoke"][:, 0] == pytest.approx(THROW * np.cos(CRANK), abs=CLOSED)
    assert motion.poses["yoke"][:, 1:] == pytest.approx(np.zeros((73, 2)), abs=CLOSED)
    assert motion.travel("slot") == pytest.approx(-THROW * np.sin(CRANK), abs=CLOSED)
    assert motion.travel("guide") == pytest.approx(THROW * np.cos(CRANK), abs=CLOSED)


@pytest.mark.parametrize("tilt", [60, 75, 110])
def test_inclined_straight_slot(tilt):
    """The pin's height h stands h / tan(tilt) along the slot's foot, travel h / sin(tilt)."""
    motion = solve_turn(yoke(tilt=tilt * DEGREE), CRANK)
    height = -THROW * np.sin(CRANK)
    x = THROW * np.cos(CRANK) - height / math.tan(tilt * DEGREE)
    assert motion.poses["yoke"][:, 0] == pytest.approx(x, abs=CLOSED)
    along = height / math.sin(tilt * DEGREE)
    assert motion.travel("slot") == pytest.approx(along, abs=CLOSED)


@pytest.mark.parametrize("radius", [12.0, 40.0, -15.0])
def test_curved_slot(radius):
    """An upward slot that turns left has its centre at -radius: x = pin + R - sqrt(R^2 - h^2).

    Travel is counted along the arc, R asin(h / R).
    """
    motion = solve_turn(yoke(curvature=1 / radius), CRANK)
    height = -THROW * np.sin(CRANK)
    sag = radius - math.copysign(1, radius) * np.sqrt(radius**2 - height**2)
    x = THROW * np.cos(CRANK) + sag
    assert motion.poses["yoke"][:, 0] == pytest.approx(x, abs=CLOSED)
    arc = radius * np.arcsin(height / radius)
    assert motion.travel("slot") == pytest.approx(arc, abs=CLOSED)


def test_nearly_straight_slot_is_nearly_a_straight_one():
    curved = solve_turn(yoke(curvature=1e-9), CRANK).poses["yoke"]
    assert curved == pytest.approx(solve_turn(yoke(), CRANK).poses["yoke"], abs=1e-7)


def test_curved_slot_struck_from_a_fixed_pin_of_the_same_radius():
    """A slot struck from the pin of a link that carries the die holds the die's part still."""
    radius = 16.4
    joints = (
        Pin("trunnion", Place("plate", 0, 0), Place("frame", 20, 0)),
        Slot("drive", Place("crank", THROW, 0), Place("plate", -20, 0), near=(THROW, 0)),
        Slot("die", Place("rod", 0, 0), Place("frame", 20, 10), direction=math.pi / 2,
             curvature=-1 / radius, near=(20, 10)),
        Pin("centre", Place("rod", radius, 0), Place("slider", 0, 0), near=(20 + radius, 10)),
        Slide("guide", Place("slider", 0, 0), Place("frame", 20 + radius, 10)),
        Slot("lift", Place("plate", 10, 0), Place("rod", 8, 0), near=(30, 10)),
    )  # fmt: skip
    motion = solve_turn(mechanism(("crank", "plate", "rod", "slider"), joints), CRANK)
    assert motion.poses["slider"][:, 0] == pytest.approx(np.full(73, 36.4), abs=1e-9)
    assert np.ptp(motion.travel("die")) > 1.0


def swinging_lever(crank, ground):
    """Return a crank whose pin drives a lever by a die block that slides on it and pivots.

    The lever's pivot stands straight below the axle.
    """
    joints = (
        Pin("crank pin", Place("crank", crank, 0), Place("block", 0, 0)),
        Slide("lever face", Place("block", 0, 0), Place("lever", 0, 0),
              near=(crank, 0)),
        Pin("lever pivot", Place("lever", 0, 0), Place("frame", 0, -ground)),
    )  # fmt: skip
    return mechanism(("crank", "block", "lever"), joints)


@pytest.mark.parametrize(("crank", "ground"), [(5.0, 14.0), (14.0, 5.0)])
def test_slide_on_a_moving_part(crank, ground):
    """Slotted lever (swings) and Whitworth's (turns): it points from its pivot at the crank pin."""
    motion = solve_turn(swinging_lever(crank, ground), CRANK)
    x, y = crank * np.cos(CRANK), ground - crank * np.sin(CRANK)
    lever = motion.poses["lever"][:, 2]
    assert np.hypot(np.cos(lever) * y - np.sin(lever) * x, 0).max() < CLOSED
    assert motion.travel("lever face") == pytest.approx(np.hypot(x, y), abs=CLOSED)
    assert motion.poses["block"][:, 2] == pytest.approx(lever, abs=1e-12)
    turned = np.unwrap(lever)[-1] - lever[0]  # the turn's last angle is its first again
    assert turned == pytest.approx(0.0 if crank < ground else -2 * math.pi, abs=1e-10)


def stops(course, part):
    """Return the crank angles at which a part turns about [rad]."""

    def speed(angles):
        return velocities(solve_at(course, angles.ravel()))[part][:, 2].reshape(angles.shape)

    angles = np.linspace(0.01, 0.01 + 2 * math.pi, 200)
    values = speed(angles)
    at = np.flatnonzero(values[:-1] * values[1:] < 0)
    return find_crossings(speed, angles[at], angles[at + 1], 1e-9)


@pytest.mark.parametrize(("crank", "ground"), [(5.0, 14.0), (8.0, 10.0)])
def test_crank_and_slotted_lever_time_ratio(crank, ground):
    """Turns about with the lever square to the crank: (pi + 2a) : (pi - 2a), sin a = r / d."""
    first, second = sorted(stops(follow(swinging_lever(crank, ground)), "lever"))
    there, back = second - first, 2 * math.pi - (second - first)
    swing = 2 * math.asin(crank / ground)
    expected = (math.pi + swing) / (math.pi - swing)
    assert max(there, back) / min(there, back) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize(("crank", "ground"), [(14.0, 5.0), (10.0, 8.0)])
def test_whitworth_quick_return_time_ratio(crank, ground):
    """The lever lies square to the ground line when the pin is level with its pivot.

    So its two half turns take pi + 2a and pi - 2a of the crank's, sin a = d / r.
    """
    course = follow(swinging_lever(crank, ground))

    def level(angles):
        turn = solve_at(course, angles.ravel()).poses["lever"][:, 2]
        return np.sin(turn).reshape(angles.shape)

    angles = np.linspace(0.01, 0.01 + 2 * math.pi, 200)
    values = level(angles)
    at = np.flatnonzero(values[:-1] * values[1:] < 0)
    first, second = find_crossings(level, angles[at], angles[at + 1], 1e-9)
    there, back = second - first, 2 * math.pi - (second - first)
    lead = 2 * math.asin(ground / crank)
    expected = (math.pi + lead) / (math.pi - lead)
    assert max(there, back) / min(there, back) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("turned", [0.0, math.pi, 0.5, -2.0])
def test_oscillating_cylinder(turned):
    """The piston rod slides in a cylinder on trunnions: it points at the crank pin at all times.

    `turned` is between the rod's own axes and the cylinder's; the rod's big end is laid off so that
    it stays on the line of stroke.
    """
    trunnion, rod = 22.0, 15.0
    joints = (
        Pin("big end", Place("crank", THROW, 0), Place("rod", 0, 0)),
        Slide("bore", Place("rod", rod * math.cos(-turned), rod * math.sin(-turned)),
              Place("cylinder", 0, 0), turned=turned, near=(THROW + rod, 0)),
        Pin("trunnion", Place("cylinder", 0, 0), Place("frame", trunnion, 0)),
    )  # fmt: skip
    motion = solve_turn(mechanism(("crank", "rod", "cylinder"), joints), CRANK)
    x, y = trunnion - THROW * np.cos(CRANK), THROW * np.sin(CRANK)
    lean = np.arctan2(y, x)
    assert motion.poses["cylinder"][:, 2] == pytest.approx(lean, abs=1e-11)
    assert motion.poses["rod"][:, 2] - lean == pytest.approx(np.full(73, turned), abs=1e-11)
    assert motion.travel("bore") == pytest.approx(rod - np.hypot(x, y), abs=CLOSED)


def test_inclined_cylinder_shifts_the_dead_centres():
    """Bars inclined by 10 degrees: the dead centres stand at -10 and 170, worked out, not at 0."""
    lean = 10 * DEGREE
    far = 4.33 + 38.0
    joints = (
        Pin("big end", Place("crank", 4.33, 0), Place("rod", 0, 0)),
        Pin("little end", Place("rod", 38.0, 0), Place("crosshead", 0, 0),
            near=(far * math.cos(lean), far * math.sin(lean))),
        Slide("slide bars", Place("crosshead", 0, 0), Place("frame", 0, 0), direction=lean,
              turned=lean),
    )  # fmt: skip
    motion = solve_turn(mechanism(("crank", "rod", "crosshead"), joints), CRANK)
    level = solve_turn(slider_crank(4.33, 38.0), CRANK + lean)
    assert motion.travel("slide bars") == pytest.approx(level.travel("slide bars"), abs=CLOSED)
    assert motion.poses["crosshead"][:, 2] == pytest.approx(np.full(73, lean), abs=1e-12)


def test_unknown_travel():
    with pytest.raises(KeyError, match="big end"):
        solve_turn(slider_crank(4.33, 38.0), CRANK).travel("big end")


def test_joint_paths_are_the_same_from_either_part():
    motion = solve_turn(slider_crank(4.33, 38.0), CRANK)
    assert motion.joint("little end") == pytest.approx(motion.point("crosshead"), abs=CLOSED)
    circle = np.stack((4.33 * np.cos(CRANK), -4.33 * np.sin(CRANK)), -1)
    assert motion.joint("big end") == pytest.approx(circle, abs=1e-12)
