"""Small linkages that the tests of several rooms are made on. Textbook angles are `-crank`."""

from __future__ import annotations

import math

import numpy as np

from linkage.kinematics import Motion, rates
from linkage.mechanism import Mechanism, Part, Pin, Place, Point, Slide, Slot

DEGREE = math.pi / 180


def mechanism(names, joints, **more):
    """Return a mechanism of parts without outlines."""
    return Mechanism(tuple(Part(name) for name in names), tuple(joints), **more)


def four_bar(lengths, crossed=False, ground_at=0.0, near: Point | None = None):
    """Return crank, coupler, rocker on a ground line at an angle [mm, rad].

    `lengths` are crank, coupler, rocker, ground. Not crossed: the pin between coupler and rocker
    is to the left of the line from the crank pin to the rocker's pivot. Its place at crank angle 0
    is worked out here; where the loop does not close there, give `near`.
    """
    crank, coupler, rocker, ground = lengths
    pivot = (ground * math.cos(ground_at), ground * math.sin(ground_at))
    if near is None:
        near = _crossing((crank, 0.0), coupler, pivot, rocker, -1.0 if crossed else 1.0)
    joints = (
        Pin("crank pin", Place("crank", crank, 0), Place("coupler", 0, 0)),
        Pin("rocker pin", Place("coupler", coupler, 0), Place("rocker", rocker, 0), near=near),
        Pin("pivot", Place("rocker", 0, 0), Place("frame", *pivot)),
    )
    return mechanism(("crank", "coupler", "rocker"), joints)


def _crossing(a: Point, r_a: float, b: Point, r_b: float, left: float) -> Point:
    apart = math.dist(a, b)
    along = (apart**2 + r_a**2 - r_b**2) / (2 * apart)
    across = left * math.sqrt(r_a**2 - along**2)
    ux, uy = (b[0] - a[0]) / apart, (b[1] - a[1]) / apart
    return (a[0] + along * ux - across * uy, a[1] + along * uy + across * ux)


def slider_crank(crank, rod, offset=0.0, behind=False):
    """Return a slider-crank whose slide bars lie along x at a height `offset` [mm]."""
    reach = math.sqrt(rod**2 - offset**2) * (-1 if behind else 1)
    joints = (
        Pin("big end", Place("crank", crank, 0), Place("rod", 0, 0)),
        Pin("little end", Place("rod", rod, 0), Place("crosshead", 0, 0),
            near=(crank + reach, offset)),
        Slide("slide bars", Place("crosshead", 0, 0), Place("frame", 0, offset)),
    )  # fmt: skip
    return mechanism(("crank", "rod", "crosshead"), joints)


GEAR = {
    "throw": 4.33,
    "connecting_rod": 38.0,
    "return_pin": 1.55,
    "eccentric_rod": 20.6,
    "foot": 6.9,
    "trunnion_x": 20.2,
    "trunnion_y": 7.0,
    "radius_rod": 16.4,
    "die_up": 2.0,
    "lifting_pin_x": 5.0,
    "lifting_pin_y": 0.5,
    "lifting_link": 4.0,
    "lever_short": 1.21,
    "lever_long": 11.6,
    "union_link": 4.2,
    "drop_x": 2.0,
    "drop_y": 3.0,
    "spindle_y": 7.8,
}
"""Dimensions of the invented valve gear [mm]."""


def valve_gear(**changed):
    """Return a full valve gear; its last group is five parts with six unknowns."""
    g = {**GEAR, **changed}
    names = ("crank", "connecting rod", "crosshead", "eccentric rod", "expansion link",
             "radius rod", "lifting link", "combination lever", "union link",
             "valve spindle")  # fmt: skip
    return mechanism(names, (*_driving_joints(g), *_lever_joints(g)))


def _driving_joints(g):
    front = g["throw"] + g["connecting_rod"]
    trunnion = (g["trunnion_x"], g["trunnion_y"])
    return (
        Pin("big end", Place("crank", g["throw"], 0), Place("connecting rod", 0, 0)),
        Pin("little end", Place("connecting rod", g["connecting_rod"], 0),
            Place("crosshead", 0, 0), near=(front, 0)),
        Slide("slide bars", Place("crosshead", 0, 0), Place("frame", 0, 0)),
        Pin("return crank pin", Place("crank", 0, g["return_pin"]), Place("eccentric rod", 0, 0)),
        Pin("foot pin", Place("eccentric rod", g["eccentric_rod"], 0),
            Place("expansion link", 0, -g["foot"]),
            near=(trunnion[0], trunnion[1] - g["foot"])),
        Pin("trunnion", Place("expansion link", 0, 0), Place("frame", *trunnion)),
    )  # fmt: skip


def _lever_joints(g):
    x, y = g["trunnion_x"], g["trunnion_y"]
    rod, height = g["radius_rod"], g["spindle_y"]
    lift = (x + g["lifting_pin_x"], y + g["die_up"] + g["lifting_pin_y"])
    top = (x + rod, y + g["die_up"])
    drop = (g["throw"] + g["connecting_rod"] + g["drop_x"], -g["drop_y"])
    return (
        Slot("die", Place("radius rod", 0, 0), Place("expansion link", 0, 0),
             direction=math.pi / 2, curvature=-1 / rod, near=(x, y + g["die_up"])),
        Pin("lifting pin", Place("radius rod", g["lifting_pin_x"], g["lifting_pin_y"]),
            Place("lifting link", 0, 0), near=lift),
        Pin("weighshaft", Place("lifting link", 0, g["lifting_link"]),
            Place("frame", lift[0], lift[1] + g["lifting_link"])),
        Pin("lever top", Place("radius rod", rod, 0), Place("combination lever", 0, 0), near=top),
        Pin("valve pin", Place("combination lever", 0, -g["lever_short"]),
            Place("valve spindle", 0, 0), near=(top[0], height)),
        Slide("valve guide", Place("valve spindle", 0, 0), Place("frame", x + rod, height)),
        Pin("union pin", Place("combination lever", 0, -g["lever_long"]),
            Place("union link", 0, 0), near=(top[0], top[1] - g["lever_long"])),
        Pin("drop arm pin", Place("union link", g["union_link"], 0),
            Place("crosshead", g["drop_x"], -g["drop_y"]), near=drop),
    )  # fmt: skip


def point_rates(motion: Motion, part: str, x: float, y: float):
    """Return velocity and acceleration of a point of a part by the crank angle, (N, 2) each.

    By the rigid-body formulas v = v0 + w k x r and a = a0 + alpha k x r - w^2 r.
    """
    found = rates(motion)
    first, second = found.first[part], found.second[part]
    turn = motion.poses[part][..., 2]
    arm = np.stack((np.cos(turn) * x - np.sin(turn) * y, np.sin(turn) * x + np.cos(turn) * y), -1)
    square = np.stack((-arm[..., 1], arm[..., 0]), -1)
    speed, gain = first[..., 2:], second[..., 2:]
    return first[..., :2] + speed * square, second[..., :2] + gain * square - speed**2 * arm
