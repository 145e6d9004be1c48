"""A tight spot as it is at each crank angle that it lasts, not as it is at its worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import assert_never

from linkage.arrays import Array
from linkage.examine import SideFindings
from linkage.kinematics import Motion
from linkage.scene.motion import air_at, beyond_at
from linkage.tightspots import (
    BranchUndecided,
    CannotClose,
    Close,
    Fouls,
    Limps,
    Mistimed,
    Pinched,
    PlayUsedUp,
    PoorTransmission,
    RunsOff,
    TightSpot,
    TouchesWithPlay,
    Uneven,
    UnlikeWheels,
)

HARDLY = 0.005
"""Below this no amount is said, for it would be said as nought [mm]."""


def amounts_at(findings: SideFindings, spot: TightSpot, motion: Motion) -> Sequence[float]:
    """Return by how much a spot is one at each position of a motion: overlap, air, too far [mm].

    Empty for what has an amount at its worst only. `findings`: of its side, where it is worst.
    """
    match spot:
        case Fouls() | Close():
            air: Array = air_at(findings, spot.clearance.parts, motion.crank)
            return (air if isinstance(spot, Close) else -air).tolist()  # type: ignore[no-any-return]
        case RunsOff():
            return beyond_at(findings, spot.run_off, motion).tolist()  # type: ignore[no-any-return]
        case Pinched():
            return [spot.pinch] * len(motion.crank)
        case (
            CannotClose() | PlayUsedUp() | BranchUndecided() | TouchesWithPlay()
            | PoorTransmission() | Limps() | UnlikeWheels() | Uneven() | Mistimed()
        ):  # fmt: skip
            return ()
        case _:
            assert_never(spot)


def as_it_is(spot: TightSpot, amount: float) -> TightSpot | None:
    """Return a spot with its amount at one place [mm]; None where that would be said as nought."""
    match spot:
        case Fouls():
            return replace(spot, overlap=amount) if amount >= HARDLY else None
        case Close():
            return replace(spot, air=max(amount, 0.0))
        case RunsOff():
            if amount < HARDLY:
                return None
            return replace(spot, run_off=replace(spot.run_off, beyond=amount))
        case (
            CannotClose() | PlayUsedUp() | BranchUndecided() | TouchesWithPlay()
            | PoorTransmission() | Pinched() | Limps() | UnlikeWheels() | Uneven() | Mistimed()
        ):  # fmt: skip
            return spot
        case _:
            assert_never(spot)
