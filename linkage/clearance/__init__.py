"""How much air there is between every two parts, round the whole turn, and what runs off an end."""

from linkage.clearance.contact import Along, Contact, find_contact, outline_of
from linkage.clearance.curves import Curves, find_curves
from linkage.clearance.looks import NO_LOSSES
from linkage.clearance.outlines import out_at
from linkage.clearance.pairs import PartPair, pair_parts
from linkage.clearance.places import Least, PlacesSurvey, survey_places
from linkage.clearance.rooms import RoomsOfVariants
from linkage.clearance.sampled import clearance_beside, least_clearance
from linkage.clearance.sideways import State, hold_over, sharpest_curve, shift
from linkage.clearance.survey import (
    ArcBelow,
    PairClearance,
    Survey,
    survey_clearances,
    survey_crank,
)
from linkage.clearance.travel import RunOff, find_run_offs, least_room
from linkage.clearance.variants import AirOfVariants, Slack
from linkage.clearance.wear import Worn, find_wear

__all__ = [
    "NO_LOSSES",
    "AirOfVariants",
    "Along",
    "ArcBelow",
    "Contact",
    "Curves",
    "Least",
    "PairClearance",
    "PartPair",
    "PlacesSurvey",
    "RoomsOfVariants",
    "RunOff",
    "Slack",
    "State",
    "Survey",
    "Worn",
    "clearance_beside",
    "find_contact",
    "find_curves",
    "find_run_offs",
    "find_wear",
    "hold_over",
    "least_clearance",
    "least_room",
    "out_at",
    "outline_of",
    "pair_parts",
    "sharpest_curve",
    "shift",
    "survey_clearances",
    "survey_crank",
    "survey_places",
]
