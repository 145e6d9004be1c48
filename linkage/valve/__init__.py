"""What a motion does for the engine: stroke, swing of the link, events of the valve."""

from linkage.valve.figures import FIGURES, Figure, figures_of

__all__ = ["FIGURES", "Figure", "figures_of"]
