"""Mechanism and crank angles in, motion out. See `joints` for the statements all of it rests on."""

from linkage.kinematics.course import Arc, Course, follow, follow_whole
from linkage.kinematics.enclosure import Enclosure, enclose, enclose_places
from linkage.kinematics.openings import (
    Opening,
    branch_changes,
    branches_crossed,
    find_openings,
    gap_from,
    transmission_angles,
)
from linkage.kinematics.rates import Rates, accelerations, rates, sensitivities, velocities
from linkage.kinematics.reversing import Swing, set_reverser, solve_places, swing_of
from linkage.kinematics.turn import Motion, solve_at, solve_turn
from linkage.kinematics.variants import (
    solve_as_far,
    solve_beside,
    solve_near,
    solve_round,
    solve_variants,
)

__all__ = [
    "Arc",
    "Course",
    "Enclosure",
    "Motion",
    "Opening",
    "Rates",
    "Swing",
    "accelerations",
    "branch_changes",
    "branches_crossed",
    "enclose",
    "enclose_places",
    "find_openings",
    "follow",
    "follow_whole",
    "gap_from",
    "rates",
    "sensitivities",
    "set_reverser",
    "solve_as_far",
    "solve_at",
    "solve_beside",
    "solve_near",
    "solve_places",
    "solve_round",
    "solve_turn",
    "solve_variants",
    "swing_of",
    "transmission_angles",
    "velocities",
]
