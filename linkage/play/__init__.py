"""Coupled wheels: how much of the play in their holes and boxes it takes for them to turn."""

from linkage.play.misfit import Constraint
from linkage.play.turning import (
    PlayArc,
    PlayFindings,
    PlayUsed,
    Turning,
    arcs_above,
    find_play,
    play_used,
)

__all__ = [
    "Constraint",
    "PlayArc",
    "PlayFindings",
    "PlayUsed",
    "Turning",
    "arcs_above",
    "find_play",
    "play_used",
]
