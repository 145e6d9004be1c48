"""What pictures need of the motion and the clearances: asked here and nowhere else."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from linkage.arrays import Array
from linkage.clearance import Contact, RunOff, find_contact
from linkage.clearance.near import PairCurves
from linkage.examine import Examination, SideFindings
from linkage.kinematics import Motion, solve_at, transmission_angles

TURN = 2 * math.pi
STEPS = 1440
"""Positions round the turn that a path is drawn through."""

_ASIDE = (0.0, 1e-6, 1e-4, 1e-2)  # tried from the edge of an open arc, to stand outside it [rad]
_EDGE = tuple(10.0**-k for k in range(2, 10))  # before and after an open arc: paths end steeply


def motion_at(findings: SideFindings, crank: ArrayLike) -> Motion:
    """Return a side's motion at its own crank angles, shape (N,) [rad], of any turn."""
    return solve_at(findings.course, np.mod(crank, TURN))


def poses_at(findings: SideFindings, crank: float) -> dict[str, Array]:
    """Return every part's pose [mm, mm, rad] at a side's angle [rad]; nan where nothing closes."""
    return {name: pose[0] for name, pose in motion_at(findings, [crank]).poses.items()}


def standing_by(findings: SideFindings, edge: float, way: float) -> tuple[float, dict[str, Array]]:
    """Return the crank angle [rad] and the poses at the edge of an open arc, or just outside it.

    `edge` [rad]: that side's crank angle. `way` [1]: which way out of the arc: 1 on in the turn, -1
    back.
    """
    for aside in _ASIDE:
        poses = poses_at(findings, edge + way * aside)
        if stands(poses):
            break
    return edge + way * aside, poses


def stands(poses: Mapping[str, Array]) -> bool:
    """Tell whether every part has a position."""
    return all(np.isfinite(pose).all() for pose in poses.values())


def first_reached(findings: SideFindings) -> float:
    """Return the first crank angle from straight ahead at which the loops close [rad]."""
    crank, reached = findings.motion.crank, findings.motion.reached
    return float(crank[int(np.argmax(reached))])


def turn_of(findings: SideFindings) -> Motion:
    """Return a side's motion round one turn, close enough together to draw a path.

    At rising crank angles from 0 to a whole turn, both ends in; where a loop cannot close, up
    to where it opens.
    """
    edges = [
        angle
        for begin, end in findings.course.open_arcs
        for angle in ((begin + end) / 2, *(begin - d for d in _EDGE), *(end + d for d in _EDGE))
    ]
    evenly = np.linspace(0.0, TURN, STEPS + 1)
    return solve_at(findings.course, np.sort(np.concatenate((evenly, np.mod(edges, TURN)))))


def arc_motion(findings: SideFindings, begin: float, end: float) -> Motion:
    """Return a side's motion from one angle to another [rad], close enough to draw a path."""
    steps = max(2, math.ceil((end - begin) / TURN * STEPS) + 1)
    return motion_at(findings, np.linspace(begin, end, steps))


def contact_at(findings: SideFindings, parts: tuple[str, str], crank: float) -> Contact:
    """Return where two parts are nearest to one another at a side's own crank angle [rad]."""
    return find_contact(findings.course, findings.pairs[parts], crank % TURN)


def transmission_of(findings: SideFindings) -> Mapping[tuple[str, ...], Array]:
    """Return the transmission angles of each group of links at the survey's crank angles [rad]."""
    return transmission_angles(findings.motion)


def right_hand_degrees(examination: Examination, side: str, angle: float) -> float:
    """Return a side's own crank angle [rad] as the right-hand crank's, of any turn [degrees]."""
    return math.degrees(examination.right_hand(side, angle))


def air_at(findings: SideFindings, parts: tuple[str, str], crank: Array) -> Array:
    """Return the clearance of two parts at a side's own crank angles, shape (N,) [mm].

    `crank`, shape (N,) [rad]: of any turn.
    """
    curves = PairCurves(findings.course, [findings.pairs[parts]], findings.survey.reach)
    return curves.values(np.zeros(len(crank), dtype=np.intp), crank % TURN)


def beyond_at(findings: SideFindings, run_off: RunOff, motion: Motion) -> Array:
    """Return how far past its end something is at each position of a motion, shape (N,) [mm].

    `findings`: of the side whose motion it is.
    """
    travel = run_off.travel
    at = motion.travel(travel.joint)
    return at - travel.most if run_off.forward else travel.least - at
