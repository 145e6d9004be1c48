"""Coupled wheels: how much of the play in their holes and boxes it takes for them to turn."""

from linkage.play.lost_motion import LostMotion, find_lost_motion
from linkage.play.misfit import Constraint
from linkage.play.shares import SharesOfVariants
from linkage.play.treads import UNLIKE_TREADS, UnlikeTread, find_unlike_treads
from linkage.play.turning import (
    NEARLY,
    PlayArc,
    PlayFindings,
    PlayUsed,
    Turning,
    arcs_above,
    find_play,
    play_used,
)
from linkage.play.variants import PlayOfVariants, stay_below

__all__ = [
    "NEARLY",
    "UNLIKE_TREADS",
    "Constraint",
    "LostMotion",
    "PlayArc",
    "PlayFindings",
    "PlayOfVariants",
    "PlayUsed",
    "SharesOfVariants",
    "Turning",
    "UnlikeTread",
    "arcs_above",
    "find_lost_motion",
    "find_play",
    "find_unlike_treads",
    "play_used",
    "stay_below",
]
