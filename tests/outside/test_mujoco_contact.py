"""The crank angle of first contact against MuJoCo's collision detector.

Source: E. Todorov, T. Erez, Y. Tassa, *MuJoCo: a physics engine for model-based control*,
IEEE/RSJ International Conference on Intelligent Robots and Systems (2012) 5026-5033.

The rod is put in place by the closed form of the slider-crank, written here and not asked of our
solver, and the angle at which a contact with dist < 0 first appears is found by halving. Nothing
is simulated: places are set and collisions asked for.

Angles agree to 0.005 degree: ours are good to 0.001, and the library's round ends have 256 sides
inside the circle. The greatest difference of the cases below falls with the square of the number of
sides, as it should: 0.02 degree with 64, 0.0012 with 256, 0.0001 with 1024.
"""

import math

import mujoco
import numpy as np
import pytest

from linkage.clearance import survey_clearances
from linkage.kinematics import follow
from tests.clearance.bodies import bar, bow, box, disc, dressed_slider_crank, plate, solid

SIDES = 256
AGREE = math.radians(0.005)
CRANK, ROD = 5.0, 24.0
TURN = 2 * math.pi


def scene(rod, fixed):
    """Return the library's model: the rod a free body of convex meshes, the rest fixed."""
    spec = mujoco.MjSpec()
    spec.option.ccd_tolerance = 1e-10
    spec.option.ccd_iterations = 500
    body = spec.worldbody.add_body(name="rod")
    body.add_freejoint()
    for holder, pieces, name in ((body, rod, "rod"), (spec.worldbody, fixed, "fixed")):
        for number, piece in enumerate(pieces):
            mesh = spec.add_mesh(name=f"{name} {number}")
            mesh.uservert = solid(piece, SIDES).ravel()
            mesh.inertia = mujoco.mjtMeshInertia.mjMESH_INERTIA_CONVEX
            holder.add_geom(type=mujoco.mjtGeom.mjGEOM_MESH, meshname=mesh.name, margin=0)
    return spec.compile()


class Contacts:
    """Asks the library whether the rod meets anything at a crank angle."""

    def __init__(self, rod, fixed):
        self.model = scene(rod, fixed)
        self.data = mujoco.MjData(self.model)

    def __call__(self, crank):
        """Put the rod in place by closed form, and ask."""
        lean = math.asin(CRANK * math.sin(crank) / ROD)  # the big end is low when this is positive
        self.data.qpos[:] = (
            CRANK * math.cos(crank), -CRANK * math.sin(crank), 0,
            math.cos(lean / 2), 0, 0, math.sin(lean / 2),
        )  # fmt: skip
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_collision(self.model, self.data)
        return any(contact.dist < 0 for contact in self.data.contact)

    def arcs(self):
        """Return (entry, exit) of every arc in contact, by a look at each degree, then halving."""
        look = np.arange(0, 361) * (TURN / 360) + 1e-3
        meets = [self(angle) for angle in look]
        edges = [
            (meets[i + 1], self.edge(look[i], look[i + 1]))
            for i in range(360) if meets[i] != meets[i + 1]
        ]  # fmt: skip
        entries = [angle for entry, angle in edges if entry]
        exits = [angle for entry, angle in edges if not entry]
        return [(a, min((b - a) % TURN for b in exits) + a) for a in entries]

    def edge(self, low, high):
        """Return the crank angle between two at which contact begins or ends."""
        at_low = self(low)
        while high - low > 1e-7:
            middle = (low + high) / 2
            low, high = (middle, high) if self(middle) == at_low else (low, middle)
        return (low + high) / 2


BOWED = bow(ROD, 0.6, 2.0, 0.8, 0.7)  # towards the frames, 0.7 mm at the middle
CASES = {
    "bowed rod down on a bracket's edge": (BOWED, (box(11, -6, 13, -2.2, 0, 1.1, 0.6),)),
    "bowed rod along over a wide bracket": (BOWED, (box(13.2, -9, 14.6, 9, 0, 0.75, 0.6),)),
    "bowed rod along over a round stud": (BOWED, (disc((15.3, 0.4), 0.5, 0.75, 0.6),)),
    "bowed rod down on a sloping stay": (
        BOWED, (bar((9, -3.2), (17, -2.4), 0.3, (0.4, 1.6), 0.5),)),
    "kinked rod and a bracket of three corners": (
        (bar((0, 0), (9, 0), 0.7, (2.0, 1.2), 0.8), bar((9, 0), (24, 0), 0.7, (1.2, 2.0), 0.8)),
        (plate(((8, 1.9), (12, 3.1), (9, 5)), 0.2, 0.6, 0.5),)),
    "straight rod up against a bracket": (
        (bar((0, 0), (24, 0), 0.6, (2.0, 2.0), 0.8),), (box(8, 2.6, 10, 5, 0, 2.0, 1.0),)),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_entry_and_exit(name):
    rod, fixed = CASES[name]
    theirs = Contacts(rod, fixed).arcs()
    mechanism = dressed_slider_crank(CRANK, ROD, {"rod": rod, "bracket": fixed})
    (pair,) = survey_clearances(follow(mechanism), 0.1).pairs
    assert pair.parts == ("rod", "bracket")
    assert len(theirs) == len(pair.fouls) > 0
    for arc in pair.fouls:
        begin, end = min(theirs, key=lambda edges: abs(math.remainder(edges[0] - arc.begin, TURN)))
        assert abs(math.remainder(arc.begin - begin, TURN)) < AGREE
        assert abs(math.remainder(arc.end - end, TURN)) < AGREE


def test_clear_where_the_library_finds_no_contact():
    """The same rod straightened to a quarter of its bow passes over the wide bracket."""
    rod = bow(ROD, 0.6, 2.0, 0.8, 0.175)
    _, fixed = CASES["bowed rod along over a wide bracket"]
    assert Contacts(rod, fixed).arcs() == []
    mechanism = dressed_slider_crank(CRANK, ROD, {"rod": rod, "bracket": fixed})
    (pair,) = survey_clearances(follow(mechanism), 0.2).pairs
    assert pair.fouls == ()
    assert pair.least > 0
