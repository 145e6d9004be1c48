"""The checked sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from linkage.lengths import Lengths
from linkage.tables.felt import Felt, Seen
from linkage.tables.job import Job
from linkage.tables.origin import Origin
from linkage.tables.shapes import Side
from linkage.tables.sides import CoupledSide


@dataclass(frozen=True)
class Sheet:
    """A measurement sheet, read and checked.

    Attributes
    ----------
    source : str
        The file, as the user named it.
    title : str
        What the sheet is about.
    arrangement : str
        Which mechanism the dimensions belong to: a name of `linkage.arrangements`.
    unit : {"mm", "in"}
        Unit of bare numbers in the file. Everything in here is mm.
    lengths : Lengths
        How its lengths are said: as most of them were typed.
    scale : str or None
        Name of the scale, a key of `linkage.units.SCALES`.
    wanted_clearance : float [mm]
        Air asked for between parts that could meet.
    right_leads_by : float [rad]
        How far the right-hand crank leads the left-hand one in forward running.
    running : str or float or None
        "full_forward", "mid", "full_back", an angle of the weighshaft arm [rad], or None.
    sides : mapping of str to Side
        The tables of each side: "right", "left", or the single side "only".
    dimensions : mapping of str to mapping of str to float
        For each side, every dimension by its key in the file [mm, or degrees for angles].
    origins : mapping of str to Origin
        For each dimension, where it comes from and how far out it may be.
    handed_on : mapping of str to str
        The keys of dimensions that have another one's number, and none of their own, to its key.
    angles : frozenset of str
        The keys whose dimensions are angles.
    assumed : tuple of str
        Everything that the file did not give and that was filled in, in plain words.
    data : mapping
        The file as typed; of a sheet read from a file with what was assumed filled in, so that a
        changed sheet is the same engine.
    job : Job
        What the report to the owner says beside the findings.
    felt : tuple of Felt
        What was felt in turning the wheels.
    seen : tuple of Seen
        Gaps that were seen.
    """

    source: str
    title: str
    arrangement: str
    unit: str
    lengths: Lengths
    scale: str | None
    wanted_clearance: float
    right_leads_by: float = math.pi / 2
    running: str | float | None = None
    sides: Mapping[str, Side] = field(default_factory=dict)
    dimensions: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    origins: Mapping[str, Origin] = field(default_factory=dict)
    handed_on: Mapping[str, str] = field(default_factory=dict)
    angles: frozenset[str] = frozenset()
    assumed: tuple[str, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)
    job: Job = field(default_factory=Job)
    felt: tuple[Felt, ...] = ()
    seen: tuple[Seen, ...] = ()

    @property
    def engine(self) -> bool:
        """Whether it is of an engine with wheels, not of a mechanism of the user's own."""
        return any(isinstance(side, CoupledSide) for side in self.sides.values())

    def right_hand(self, side: str, angle: float) -> float:
        """Turn a side's own crank angle into the right-hand crank's.

        Parameters
        ----------
        angle : float [rad]
            That side's crank angle.

        Returns
        -------
        float [rad]
            The right-hand crank's, not brought into one turn.
        """
        return angle + (self.right_leads_by if side == "left" else 0.0)
