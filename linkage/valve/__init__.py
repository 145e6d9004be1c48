"""What a motion does for the engine: stroke, swing of the link, events of the valve."""

from linkage.valve.figures import FIGURES, Figure, Measure, figures_of, figures_told
from linkage.valve.unlike import UNLIKE_VALVES, UnlikeValves

__all__ = [
    "FIGURES",
    "UNLIKE_VALVES",
    "Figure",
    "Measure",
    "UnlikeValves",
    "figures_of",
    "figures_told",
]
