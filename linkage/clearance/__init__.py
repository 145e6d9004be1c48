"""How much air there is between every two parts, round the whole turn, and what runs off an end."""

from linkage.clearance.contact import Contact, find_contact, outline_of
from linkage.clearance.pairs import PartPair, pair_parts
from linkage.clearance.survey import (
    ArcBelow,
    PairClearance,
    Survey,
    least_clearance,
    survey_clearances,
)
from linkage.clearance.travel import RunOff, find_run_offs

__all__ = [
    "ArcBelow",
    "Contact",
    "PairClearance",
    "PartPair",
    "RunOff",
    "Survey",
    "find_contact",
    "find_run_offs",
    "least_clearance",
    "outline_of",
    "pair_parts",
    "survey_clearances",
]
