"""One motion solved twice: mirrored, backwards, ten times as large, joints turned round."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.kinematics import solve_turn, velocities
from linkage.mechanism import Pin, Place, Slide, Slot
from tests.kinematics.linkages import four_bar, slider_crank, valve_gear

CRANK = np.linspace(0, 2 * math.pi, 61)
SAMPLES = {
    "four-bar": four_bar((40, 120, 80, 100)),
    "crossed four-bar": four_bar((40, 120, 80, 100), crossed=True, ground_at=0.3),
    "slider-crank": slider_crank(4.33, 12.0, 1.5),
    "valve gear": valve_gear(),
}


def mirror_place(place):
    return Place(place.part, place.x, -place.y)


def mirror_joint(joint):
    """Return a joint as in a mirror lying along x."""
    near = joint.near and (joint.near[0], -joint.near[1])
    joint = replace(joint, a=mirror_place(joint.a), b=mirror_place(joint.b), near=near)
    if isinstance(joint, Slide):
        return replace(joint, direction=-joint.direction, turned=-joint.turned)
    if isinstance(joint, Slot):
        return replace(joint, direction=-joint.direction, curvature=-joint.curvature)
    return joint


def mirrored(mechanism):
    return replace(mechanism, joints=tuple(map(mirror_joint, mechanism.joints)))


def scale_joint(joint, by):
    def grow(place):
        return Place(place.part, place.x * by, place.y * by)

    near = joint.near and (joint.near[0] * by, joint.near[1] * by)
    joint = replace(joint, a=grow(joint.a), b=grow(joint.b), near=near)
    if isinstance(joint, Slot):
        return replace(joint, curvature=joint.curvature / by)
    return joint


def scaled(mechanism, by):
    joints = tuple(scale_joint(joint, by) for joint in mechanism.joints)
    axle = (mechanism.axle[0] * by, mechanism.axle[1] * by)
    return replace(mechanism, joints=joints, axle=axle)


def same(first, second, mm):
    """Hold poses of two motions together; an angle stands at an arm of at least a millimetre."""
    for part, pose in first.items():
        assert np.abs(pose - second[part]).max() < mm, part


@pytest.mark.parametrize("name", SAMPLES)
def test_mirror(name):
    """Seen in a mirror, the crank turns the other way and everything stands upside down."""
    motion = solve_turn(SAMPLES[name], CRANK)
    image = solve_turn(mirrored(SAMPLES[name]), -CRANK)
    flip = np.array([1.0, -1.0, -1.0])
    whole = {part: pose * flip for part, pose in image.poses.items()}
    # the crank's own angle is -(-crank), others stay within a turn of it
    for part in whole:
        turns = np.round((motion.poses[part][:, 2] - whole[part][:, 2]) / (2 * math.pi))
        whole[part][:, 2] += turns * 2 * math.pi
    same(motion.poses, whole, 1e-10)


@pytest.mark.parametrize("name", SAMPLES)
def test_reversal_takes_the_same_positions(name):
    """Which way the angles are asked for does not matter: one branch, one position an angle."""
    there = solve_turn(SAMPLES[name], CRANK).poses
    back = solve_turn(SAMPLES[name], CRANK[::-1]).poses
    same(there, {part: pose[::-1] for part, pose in back.items()}, 1e-10)


@pytest.mark.parametrize("name", SAMPLES)
def test_scale_of_ten(name):
    motion = solve_turn(SAMPLES[name], CRANK)
    large = solve_turn(scaled(SAMPLES[name], 10.0), CRANK)
    small = {part: pose / np.array([10, 10, 1]) for part, pose in large.poses.items()}
    same(motion.poses, small, 1e-10)
    fast, slow = velocities(large), velocities(motion)
    for part in slow:
        assert np.abs(fast[part] / np.array([10, 10, 1]) - slow[part]).max() < 1e-9


@settings(max_examples=15, deadline=None)
@given(by=st.floats(0.05, 40), crossed=st.booleans())
def test_scale_of_any_size(by, crossed):
    links = (40, 120, 80, 100)
    motion = solve_turn(four_bar(links, crossed), CRANK)
    other = solve_turn(four_bar([by * link for link in links], crossed), CRANK)
    grown = {part: pose * np.array([by, by, 1]) for part, pose in motion.poses.items()}
    # closed to 1e-11 mm, so an angle is good to that over the shortest link of 2 mm
    same(other.poses, grown, 1e-10)


@pytest.mark.parametrize("name", SAMPLES)
def test_pins_named_from_the_other_part(name):
    """A pin joins a to b as it joins b to a."""
    mechanism = SAMPLES[name]
    joints = tuple(
        replace(joint, a=joint.b, b=joint.a) if isinstance(joint, Pin) else joint
        for joint in mechanism.joints
    )
    swapped = solve_turn(replace(mechanism, joints=joints), CRANK)
    same(solve_turn(mechanism, CRANK).poses, swapped.poses, 1e-10)


@pytest.mark.parametrize("seed", range(4))
def test_order_of_parts_and_joints_is_free(seed):
    mechanism = valve_gear()
    rng = np.random.default_rng(seed)
    parts = tuple(mechanism.parts[i] for i in rng.permutation(len(mechanism.parts)))
    joints = tuple(mechanism.joints[i] for i in rng.permutation(len(mechanism.joints)))
    shuffled = solve_turn(replace(mechanism, parts=parts, joints=joints), CRANK)
    same(solve_turn(mechanism, CRANK).poses, shuffled.poses, 1e-9)


@settings(max_examples=15, deadline=None)
@given(turn=st.floats(-3.0, 3.0), x=st.floats(-50, 50), y=st.floats(-50, 50))
def test_whole_linkage_laid_elsewhere(turn, x, y):
    """Turned and moved bodily: the crank angle is counted from ahead, so it shifts by the turn."""
    links = (40, 120, 80, 100)
    cos, sin = math.cos(turn), math.sin(turn)
    plain, crank = four_bar(links), CRANK[1:-1]
    there = solve_turn(plain, crank)

    def laid(place):
        if place.part != "frame":
            return place
        return Place("frame", x + cos * place.x - sin * place.y, y + sin * place.x + cos * place.y)

    start = solve_turn(plain, [turn]).point("coupler", 120.0)[0]
    near = (x + cos * start[0] - sin * start[1], y + sin * start[0] + cos * start[1])
    joints = tuple(
        replace(joint, a=laid(joint.a), b=laid(joint.b), near=joint.near and near)
        for joint in plain.joints
    )
    moved = solve_turn(replace(plain, joints=joints, axle=(x, y)), crank - turn)
    b = there.point("coupler", 120.0)
    expected = np.stack((x + cos * b[:, 0] - sin * b[:, 1], y + sin * b[:, 0] + cos * b[:, 1]), -1)
    assert np.abs(moved.point("coupler", 120.0) - expected).max() < 1e-9
