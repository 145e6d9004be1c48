"""Mechanism and crank angles in, motion out. See `joints` for the statements all of it rests on."""

from linkage.kinematics.course import Arc, Course, follow
from linkage.kinematics.turn import Motion, solve_at, solve_turn, solve_variants

__all__ = ["Arc", "Course", "Motion", "follow", "solve_at", "solve_turn", "solve_variants"]
