"""Where the reverser stands, in words: to the bench and to the owner."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from linkage.mechanism import Reverser, Running
from linkage.report.voice import BENCH, Hearer, listed
from linkage.tables.sides import SliderCrankSide

if TYPE_CHECKING:  # valve events are told without ever examining anything
    from linkage.examine import Examination
    from linkage.tightspots import TightSpot

NAMES = {
    "full_forward": ("full forward gear", "set to run forwards"),
    "mid": ("mid-gear", "set in the middle"),
    "full_back": ("full back gear", "set to run backwards"),
}
_SHARES = ("a quarter", "half", "three quarters")


def say_place(reverser: Reverser, place: Running) -> str:
    """Say to the bench where the reverser stands: "in full back gear"."""
    called = reverser.called(reverser.angle(place))
    if isinstance(called, str):
        return f"in {NAMES[called][0]}"
    arm = f"with the reverser's arm at {math.degrees(called):.1f} degrees"
    for (one, first), (other, last) in pairwise(reverser.named):
        share = (called - first) / (last - first) if last != first else -1.0
        if 0 < share < 1:
            part = _SHARES[min(max(round(4 * share), 1), 3) - 1]
            way = f"about {part} of the way" if part != "half" else "about half way"
            return f"{way} from {NAMES[one][0]} to {NAMES[other][0]} ({arm.removeprefix('with ')})"
    return arm


def brief_place(place: str | float) -> str:
    """Say it in a table: "full back"."""
    if isinstance(place, str):
        return NAMES[place][0].removesuffix(" gear").removesuffix("-gear")
    return f"{math.degrees(place):.1f} deg"


def _owner(reverser: Reverser, place: Running) -> str:
    called = reverser.called(reverser.angle(place))
    if isinstance(called, str):
        return NAMES[called][1]
    return "set part of the way between"


def say_gear(examination: Examination, spot: TightSpot, voice: Hearer = BENCH) -> str:
    """Say with the reverser where a tight spot is worst; empty where that makes no difference."""
    held = examination.everywhere.get(spot.side)
    if held is None or spot.place is None:
        return ""
    reverser = examination.sides[spot.side].mechanism.reverser
    if reverser is None:
        return ""
    if voice.owner:
        return f"with the reverser {_owner(reverser, spot.place)}"
    return say_place(reverser, spot.place)


def say_also(examination: Examination, spot: TightSpot) -> str:
    """Say in which other gears a tight spot is found too, as a sentence after a space."""
    held = examination.everywhere.get(spot.side)
    if held is None or spot.place is None:
        return ""
    also = held.also(spot)
    if not also:
        return ""
    return f" That is where it is worst; it is so in {listed([NAMES[one][0] for one in also])} too."


def say_unseen(examination: Examination) -> str:
    """Say of a connecting rod behind the wheel that its webs are not on the sheet; else nothing."""
    for side in examination.sheet.sides.values():
        if not isinstance(side, SliderCrankSide) or side.crank_axle is not None:
            continue
        if side.connecting_rod.out + side.connecting_rod.thickness <= 0.0:
            return (
                "The connecting rod lies behind the wheel's face, and the webs of its crank axle "
                "are not on the sheet: nothing is said of what they meet ([crank_axle] inner_web, "
                "outer_web)."
            )
    return ""


def say_looked(examination: Examination) -> str:
    """Say at which places of the reverser an engine was looked at; empty where it has none."""
    sides = examination.everywhere
    reversers = [side.mechanism.reverser for side in examination.sides.values()]
    if not any(reversers):
        return ""
    if sides and all(reverser and reverser.pin for reverser in reversers):
        return "Looked at with the eccentric against either stop, for running forward and backward."
    if not sides:
        return (
            "Looked at with the reverser where the sheet has it alone: [weighshaft] has no gear, "
            "which says how far it goes."
        )
    if all(held.survey.between == "proven" for held in sides.values()):
        return (
            "Looked at in every place of the reverser, from full forward to full back gear; proven "
            "between the places too."
        )
    count = min(sum(isinstance(place, str) for place in held.at) for held in sides.values())
    return (
        f"Looked at in {count} places of the reverser, from full forward to full back gear, and "
        "sampled between them: nothing is proven there."
    )
