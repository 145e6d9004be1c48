"""What a motion does for the engine: stroke, swing of the link, events of the valve."""

from linkage.valve.figures import FIGURES, Figure, Measure, figures_of, figures_told

__all__ = ["FIGURES", "Figure", "Measure", "figures_of", "figures_told"]
