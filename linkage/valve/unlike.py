"""By how much the valve of one side goes otherwise than that of the other."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.mechanism import Running
from linkage.valve.figures import Figure

UNLIKE_VALVES = 0.03
"""Of its travel: a valve that goes otherwise than the other side's by more is unlike it (our own
mark: an eccentric with 30 degrees of advance that has slipped by 4 makes this) [1]."""


@dataclass(frozen=True)
class UnlikeValves:
    """A figure of a valve that is not as on the other side.

    Attributes
    ----------
    side : str
        The one that is thought to be wrong, for its fore and its back gear are less alike, or it
        is set to run back at the place for running forward.
    figure : Figure
        The valve's travel, its lap and lead, its middle, or which way it is set to run.
    mine, others : float [mm]
        On that side, and on the other; of the middle by how much it shifts from one place to
        another.
    travel : float [mm]
        Of the other side's valve.
    place, since : str, float or None
        At which place of the reverser, and of the middle since which.
    """

    side: str
    figure: Figure
    mine: float
    others: float
    travel: float
    place: Running = None
    since: Running = None

    @property
    def opposed(self) -> bool:
        """Whether the one valve is set to run forward where the other is set to run back."""
        return self.figure is Figure.RUNS

    @property
    def apart(self) -> float:
        """The difference [mm]."""
        return abs(self.mine - self.others)

    @property
    def excess(self) -> float:
        """The difference, as a multiple of what may be [1]."""
        return self.apart / (UNLIKE_VALVES * self.travel)
