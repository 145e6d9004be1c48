"""What is wrong, for the owner: tight spots that are alike taken together, in plain words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.examine import Examination
from linkage.report.gear import say_gear
from linkage.report.over import CENTRED, takes_wheelsets
from linkage.report.spots import all_round, from_to, in_one_hour, say_what
from linkage.report.voice import OWNER, Voice, capital, listed, times, to_owner
from linkage.tightspots import Close, Fouls, PlayUsedUp, TightSpot, kind_of
from linkage.units import clock, hour


@dataclass(frozen=True)
class Fault:
    """Tight spots of one kind between the same parts, wherever in the turn and on either side."""

    spots: tuple[TightSpot, ...]  # worst first

    @property
    def worst(self) -> TightSpot:
        """The worst of them."""
        return self.spots[0]

    @property
    def sides(self) -> tuple[str, ...]:
        """The sides it is on, that of the worst first; right and left where it is on both."""
        named = tuple(dict.fromkeys(spot.side for spot in self.spots))
        return ("right", "left") if "both" in named else named

    @property
    def felt(self) -> bool:
        """Whether the wheels stop at it, and do not only pass it close by."""
        return kind_of(self.worst).stops or _binds(self.worst)


def _binds(spot: TightSpot) -> bool:
    return isinstance(spot, PlayUsedUp) and spot.binds


def faults_of(examination: Examination) -> tuple[Fault, ...]:
    """Take tight spots that are alike together."""
    found: dict[object, list[TightSpot]] = {}
    for spot in examination.spots:
        found.setdefault((spot.fault, _binds(spot), spot.place), []).append(spot)
    return tuple(Fault(tuple(spots)) for spots in found.values())


def say_fault(examination: Examination, fault: Fault, past: bool) -> str:
    """Say what is wrong, by how much, and in which view it shows.

    A few sentences without an abbreviation.

    `past`: true where it has been put right since.
    """
    side = OWNER.side("both" if len(fault.sides) > 1 else fault.sides[0])
    gear = say_gear(examination, fault.worst, OWNER)
    start = f"{side}, {gear}," if side and gear else f"{side}{gear},"
    start = start if gear else side
    said = capital(f"{start} {say_what(fault.worst, to_owner(examination.sheet), past)}".lstrip())
    return f"{said}{_say_wheels(fault.worst, past, to_owner(examination.sheet))}"


def _say_wheels(spot: TightSpot, past: bool, voice: Voice) -> str:
    """Say whether wheels must be over to one side for it, or bars along their pins."""
    if not isinstance(spot, Fouls | Close) or not takes_wheelsets(spot):
        return ""
    centred, tense = spot.contact.centred, "was" if past else "is"
    left = f"it {tense} {voice.measured(-centred)}"
    if centred > 0:
        left = f"there {tense} a gap of {voice.measured(centred)}"
    ways = []
    if any(isinstance(over, str) and abs(mm) >= CENTRED for over, mm in spot.contact.state):
        ways.append("the wheels pushed over to one side, as they are on a curve")
    if any(abs(along.over) >= CENTRED for along in spot.contact.along):
        ways.append("the moving bars slid along their pins, as far as they go")
    if not ways:
        return ""
    return f" That is with {' and '.join(ways)}; with all of them in the middle {left}."


def say_where(fault: Fault, past: bool) -> str:
    """Say where in the turn it is, by the clock.

    `past`: true where it has been put right since.
    """
    sides = list(dict.fromkeys(spot.side for spot in fault.spots))
    places = []
    for side in sides:
        spots = [spot for spot in fault.spots if spot.side == side]
        where = f" {OWNER.side(side)}" if len(sides) > 1 and side != "both" else ""
        places.append(f"{_places(spots)}{where}")
    return f"It {'came' if past else 'comes'} {', and '.join(places)}."


def _places(spots: list[TightSpot]) -> str:
    """Say where in the turn some spots of one side are."""
    if len(spots) > 1:
        ordered = sorted(spots, key=lambda spot: spot.worst % (2 * math.pi))
        hours = list(dict.fromkeys(hour(spot.side, spot.worst) for spot in ordered))
        if len(hours) > 1:
            first = clock(ordered[0].side, ordered[0].worst)
            return f"{times(len(spots))} in every turn, at {listed([first, *hours[1:]])}"
    spot = spots[0]
    worst = clock(spot.side, spot.worst)
    if all_round(spot):
        return f"everywhere in the turn, worst at {worst}"
    if in_one_hour(spot):
        return f"in every turn at {worst}"
    return f"in every turn {from_to(spot)}, worst at {worst}"


def say_reading(examination: Examination, faults: tuple[Fault, ...], past: bool) -> str:
    """Say how the clock is read, and whether it is felt under the hand.

    `past`: true where they have been put right since.
    """
    wheels = examination.sheet.engine
    sides = {spot.side for fault in faults for spot in fault.spots}
    outside = "" if sides == {"only"} else " that side"
    if "both" in sides:
        outside = " the right-hand side"
    face = f"Read that as a clock, seen from outside{outside}"
    if wheels:
        pin = OWNER.part("crank pin")
        read = f"{face}, on the face of the wheel: the {pin} is the hand of the clock."
    else:
        read = f"{face}: the {OWNER.part('crank')} is the hand of the clock."
    return f"{read} {_say_felt(wheels, faults, past)}"


def _say_felt(wheels: bool, faults: tuple[Fault, ...], past: bool) -> str:
    """Say whether it is felt under the hand."""
    felt = [fault.felt for fault in faults]
    what = "it" if all(felt) or not any(felt) else "the worst of it"
    if past:
        turned = f"When the {'wheels were' if wheels else 'crank was'} turned slowly by hand"
        if not any(felt):
            return f"{turned} it could hardly be felt."
        there = f"{'they' if wheels else 'it'} stopped there, or went stiffly"
        return f"{turned} {what} could be felt: {there}."
    turned = f"When the {'wheels are' if wheels else 'crank is'} turned slowly by hand"
    if not any(felt):
        return f"{turned} it can hardly be felt as yet."
    there = "they stop there, or go stiffly" if wheels else "it stops there, or goes stiffly"
    return f"{turned} {what} can be felt: {there}."
