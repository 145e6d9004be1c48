"""A whole locomotive, both sides and coupled, in MuJoCo: the crank angle of first contact.

Source: E. Todorov, T. Erez, Y. Tassa, *MuJoCo: a physics engine for model-based control*,
IEEE/RSJ International Conference on Intelligent Robots and Systems (2012) 5026-5033.

Every part of either side is a body of convex solids in one space, the left side beyond the frames
and a quarter of a turn behind. They are put in place as the motion has them, which others check
(`test_scipy_root`, `test_mpmath_loops`), and turned until the library finds two that meet;
that angle is closed in on by halving. Left out, as by ourselves, are parts on one pin, and those
that run in one another. Side play is taken out: the library knows no worst way of standing.
"""

from __future__ import annotations

import math

import mujoco
import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import survey_clearances
from linkage.kinematics import follow, solve_at
from linkage.sheet import change
from tests.clearance.bodies import solid
from tests.ready import ready

TURN = 2 * math.pi
SIDES = 192
AGREE = math.radians(0.02)
"""Round ends have flats, of larger parts than those of `test_mujoco_contact` by as much."""
FRAMES = 40.0  # half the width between the wheels' faces [mm]


def together(mechanism) -> set[frozenset[str]]:
    """Return the pairs of parts that touch by rights."""
    joined = {frozenset((joint.a.part, joint.b.part)) for joint in mechanism.joints}
    return joined | {frozenset(part for part, _ in pair) for pair in mechanism.apart}


class Locomotive:
    """Asks the library what meets at a right-hand crank angle."""

    def __init__(self, sheet) -> None:
        self.sheet, self.sides = sheet, build(sheet)
        self.courses = {side: follow(made) for side, made in self.sides.items()}
        spec = mujoco.MjSpec()
        spec.option.ccd_tolerance = 1e-10
        spec.option.ccd_iterations = 500
        self.moving: list[tuple[str, str]] = []
        for side, mechanism in self.sides.items():
            for part in mechanism.parts:
                self._add(spec, side, part)
        self.model = spec.compile()
        self.data = mujoco.MjData(self.model)
        self.parts = [self.model.geom(k).name.split("/")[:2] for k in range(self.model.ngeom)]

    def _add(self, spec, side, part) -> None:
        if not part.pieces:
            return
        body = spec.worldbody
        if not part.fixed:
            body = spec.worldbody.add_body(name=f"{side}/{part.name}")
            body.add_freejoint()
            self.moving.append((side, part.name))
        way = -1.0 if side == "left" else 1.0
        for number, piece in enumerate(part.pieces):
            mesh = spec.add_mesh(name=f"{side}/{part.name}/{number}")
            corners = solid(piece, SIDES) + np.array([0.0, 0.0, FRAMES])
            mesh.uservert = (corners * np.array([1.0, 1.0, way])).ravel()
            mesh.inertia = mujoco.mjtMeshInertia.mjMESH_INERTIA_CONVEX
            geom = mujoco.mjtGeom.mjGEOM_MESH
            body.add_geom(type=geom, meshname=mesh.name, name=mesh.name, margin=0)

    def met(self, crank: float) -> set[tuple[str, frozenset[str]]]:
        """Return the sides and pairs of parts that meet."""
        poses = {}
        for side, course in self.courses.items():
            own = crank - self.sheet.right_hand(side, 0.0)
            poses[side] = solve_at(course, np.array([own % TURN])).poses
        for number, (side, name) in enumerate(self.moving):
            x, y, turn = poses[side][name][0]
            self.data.qpos[7 * number : 7 * number + 7] = (
                x, y, 0, math.cos(turn / 2), 0, 0, math.sin(turn / 2),
            )  # fmt: skip
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_collision(self.model, self.data)
        found = set()
        for contact in self.data.contact:
            (side, one), (other, two) = (self.parts[k] for k in contact.geom)
            pair = frozenset((one, two))
            if contact.dist < 0 and side == other and pair not in together(self.sides[side]):
                found.add((side, pair))
        return found

    def first(self) -> tuple[float, float, set[tuple[str, frozenset[str]]]]:
        """Return a crank angle at which it is free, that of the next contact, and what meets."""
        degree = math.radians(1)
        free = next(k for k in range(360) if not self.met(k * degree))
        after = next(k for k in range(free, free + 360) if self.met(k * degree))
        low, high = (after - 1) * degree, after * degree
        while high - low > 1e-6:
            middle = (low + high) / 2
            low, high = (low, middle) if self.met(middle) else (middle, high)
        return free * degree, high, self.met(high)


@pytest.mark.parametrize("name", ["ardmoor-pacific-5in-two-faults", "ardmoor-2-6-0"])
def test_the_angle_of_first_contact(name):
    sheet = change(ready(name), {"wheels.side_play": 0.0})
    engine = Locomotive(sheet)
    free, angle, (met,) = engine.first()
    begins = {}
    for side, course in engine.courses.items():
        for pair in survey_clearances(course, sheet.wanted_clearance).pairs:
            if frozenset(pair.parts) in together(engine.sides[side]):
                continue
            for arc in pair.fouls:
                on = (sheet.right_hand(side, arc.begin) - free) % TURN
                begins[on] = (side, frozenset(pair.parts))
    first = min(begins)
    assert begins[first] == met
    assert abs(free + first - angle) < AGREE
