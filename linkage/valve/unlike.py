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
        The one that is thought to be wrong, for its fore and its back gear are less alike.
    figure : Figure
        The valve's travel, its lap and lead, or its middle.
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
    def excess(self) -> float:
        """The difference, as a multiple of what may be [1]."""
        return abs(self.mine - self.others) / (UNLIKE_VALVES * self.travel)
