"""One pair of parts tried over and over with a rod set differently."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.clearance import least_clearance
from linkage.kinematics import Course, follow
from linkage.mechanism import Mechanism


@dataclass(frozen=True)
class Trial:
    """What stays the same from trial to trial.

    Attributes
    ----------
    course : Course
        The motion as found.
    parts : frozenset of str
        The two parts.
    wanted : float [mm]
        Clearance the sheet asks for.
    """

    course: Course
    parts: frozenset[str]
    wanted: float

    def least(self, mechanism: Mechanism) -> float:
        """Return the pair's least clearance in another mechanism.

        Parameters
        ----------
        mechanism : Mechanism
            The same with other dimensions.

        Returns
        -------
        float [mm]
            As far as it is looked at, where they stay farther apart.
        """
        return least_clearance(follow(mechanism), self.wanted, self.parts)
