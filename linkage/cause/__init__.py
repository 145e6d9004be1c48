"""From what was felt to its cause: what the findings explain of it, and what else would."""

from linkage.cause.explained import Explained, explain
from linkage.cause.faults import BOTH, Case, Fault
from linkage.cause.sampling import Kind, Thing
from linkage.cause.testing import LookAlong, Measure, Proposal, TakeOff, Test, proposals
from linkage.cause.weighing import Cause, Weighing

__all__ = [
    "BOTH",
    "Case",
    "Cause",
    "Explained",
    "Fault",
    "Kind",
    "LookAlong",
    "Measure",
    "Proposal",
    "TakeOff",
    "Test",
    "Thing",
    "Weighing",
    "explain",
    "proposals",
]
