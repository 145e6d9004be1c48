"""From what was felt to its cause: what the findings explain of it, and what else would."""

from linkage.cause.explained import Explained, explain
from linkage.cause.fault import BOTH, Case, Fault, How
from linkage.cause.sampling import Kind, Thing
from linkage.cause.testing import (
    LookAlong,
    LookBetween,
    LookHow,
    Measure,
    MeasureFellow,
    Proposal,
    TakeOff,
    Test,
    how_felt,
    proposals,
)
from linkage.cause.weighing import Cause, Weighing

__all__ = [
    "BOTH",
    "Case",
    "Cause",
    "Explained",
    "Fault",
    "How",
    "Kind",
    "LookAlong",
    "LookBetween",
    "LookHow",
    "Measure",
    "MeasureFellow",
    "Proposal",
    "TakeOff",
    "Test",
    "Thing",
    "Weighing",
    "explain",
    "how_felt",
    "proposals",
]
