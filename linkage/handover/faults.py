"""What is wrong, for the owner: tight spots that are alike taken together, in plain words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.examine import Examination
from linkage.handover.plain import in_paper, measured, millimetres, times
from linkage.report.words import CENTRED, degrees, listed, named
from linkage.tightspots import TightSpot
from linkage.units import clock

ON_SIDE = {"right": "on the right-hand side", "left": "on the left-hand side", "only": ""}
_HARD = ("fouls", "cannot close", "runs off")  # what stops the wheels under the hand


@dataclass(frozen=True)
class Fault:
    """Tight spots of one kind between the same parts, wherever in the turn and on either side.

    Attributes
    ----------
    spots : tuple of TightSpot
        Worst first.
    """

    spots: tuple[TightSpot, ...]

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
        worst = self.worst
        return worst.kind in _HARD or (worst.play is not None and worst.amount > 0)


def faults_of(examination: Examination) -> tuple[Fault, ...]:
    """Take tight spots that are alike together."""
    found: dict[tuple[str, frozenset[str], bool], list[TightSpot]] = {}
    for spot in examination.spots:
        binds = spot.play is not None and spot.amount > 0
        found.setdefault((spot.kind, frozenset(spot.parts), binds), []).append(spot)
    return tuple(Fault(tuple(spots)) for spots in found.values())


def say_fault(fault: Fault, past: bool) -> str:
    """Say what is wrong, by how much, and in which view it shows.

    A few sentences without an abbreviation.

    Parameters
    ----------
    past : bool
        True where it has been put right since.
    """
    sides = [ON_SIDE[side] for side in fault.sides]
    start = "on both sides" if len(sides) > 1 else sides[0]
    what = _what(fault.worst, past)
    said = f"{start} {what}" if start else what
    return f"{said[:1].upper()}{said[1:]}{_beside(fault.worst, past)}"


def _what(spot: TightSpot, past: bool) -> str:
    names = [named(spot, name) for name in spot.parts]
    by = measured(spot.amount)
    if spot.kind == "fouls":
        return (
            f"{names[0]} {_verb(spot, past, 'touch')} {names[1]}: at the worst place they "
            f"{'were' if past else 'are'} in one another's way by {by}."
        )
    if spot.kind == "close":
        return (
            f"{names[0]} {_verb(spot, past, 'pass')} {names[1]} with a gap of only {by}; "
            f"{millimetres(spot.wanted)} {'was' if past else 'is'} asked for."
        )
    if spot.kind == "cannot close":
        return (
            f"{listed(names)} {'could not' if past else 'cannot'} be joined all the way round: at "
            f"the worst place they {'were' if past else 'are'} {millimetres(spot.amount)} short "
            f"of one another{_aside(spot.amount)}, and there all of it "
            f"{'locked' if past else 'locks'}."
        )
    if spot.play is not None:
        return _play(spot, spot.play.most, past)
    if spot.clearance is not None:  # touches with play
        return (
            f"{listed(names)} {'were' if past else 'are'} {millimetres(spot.clearance.least)} "
            f"apart{_aside(spot.clearance.least)}; but with all the wear of the joints taken up "
            f"they {'met' if past else 'meet'}, by {by}."
        )
    return _going(spot, names, past)


def _going(spot: TightSpot, names: list[str], past: bool) -> str:
    """Say what is wrong with where parts go, rather than with how near they pass."""
    if spot.kind == "runs off":
        runs = f"{'ran' if past else 'runs'} past the end of"
        if "cover" in spot.parts[1]:
            runs = f"{'came' if past else 'comes'} against"
        far = f"{millimetres(spot.amount)} too far{_aside(spot.amount)}"
        return f"{names[0]} {runs} {names[1]}: {far}."
    if spot.kind == "branch undecided":
        return (
            f"{listed(names)} {'came' if past else 'come'} exactly into line, and there nothing "
            "decides which way they go on."
        )
    pushed, were = ("pushed", "were") if past else ("push", "are")
    return (
        f"{listed(names)} {pushed} almost along themselves, not across, and {were} apt to jam: "
        f"only {degrees(spot.transmission)} degrees {were} left between them."
    )


def _aside(length: float) -> str:
    paper = in_paper(length)
    return f", {paper}" if paper else ""


def _verb(spot: TightSpot, past: bool, word: str) -> str:
    if past:
        return f"{word}ed"
    return word if spot.parts[0].endswith("s") else f"{word}es"


def _play(spot: TightSpot, most: float, past: bool) -> str:
    """Say how coupled wheels bind, or all but bind."""
    rods = [f"the {part}" for part in spot.parts if not part.endswith("crank pin")]
    pins = [f"the {part}" for part in spot.parts if part.endswith("crank pin")]
    if spot.amount > 0:
        bound, holes = ("bound", "were") if past else ("bind", "are")
        return (
            f"the wheels {bound} on {listed(rods)}: the holes for {listed(pins)} {holes} "
            f"{millimetres(spot.amount)} too small{_aside(spot.amount)}, for the wheels to turn "
            "freely."
        )
    turned = "turned" if past else "turn"
    return (
        f"the wheels {turned}, but {listed(rods)} {'used' if past else 'use'} "
        f"{100 * most:.0f} of every 100 parts of the looseness in the holes for {listed(pins)}."
    )


def _beside(spot: TightSpot, past: bool) -> str:
    """Say in which view it shows, and whether wheels must be over to one side for it."""
    contact = spot.contact
    if contact is None:
        return ""
    view = "from above, not from the side"
    if contact.lateral < contact.side_view:
        view = "from the side"
    said = f" It {'showed' if past else 'shows'} {view}."
    over = any(abs(mm) >= CENTRED for _, mm in contact.state)
    if over and contact.centred - spot.least >= CENTRED:
        if contact.centred > 0:
            left = f"there {'was' if past else 'is'} a gap of {measured(contact.centred)}"
        else:
            left = f"it {'was' if past else 'is'} {measured(-contact.centred)}"
        said += (
            " That is with the wheels pushed over to one side, as they are on a curve; with all "
            f"of them in the middle {left}."
        )
    return said


def say_where(fault: Fault, past: bool) -> str:
    """Say where in the turn it is, by the clock.

    Parameters
    ----------
    past : bool
        True where it has been put right since.
    """
    sides = list(dict.fromkeys(spot.side for spot in fault.spots))
    places = []
    for side in sides:
        spots = [spot for spot in fault.spots if spot.side == side]
        where = f" {ON_SIDE[side]}" if len(sides) > 1 and side in ON_SIDE else ""
        places.append(f"{_places(spots)}{where}")
    return f"It {'came' if past else 'comes'} {', and '.join(places)}."


def _places(spots: list[TightSpot]) -> str:
    """Say where in the turn some spots of one side are."""
    if len(spots) > 1:
        ordered = sorted(spots, key=lambda spot: spot.worst % (2 * math.pi))
        hours = list(dict.fromkeys(clock(spot.side, spot.worst) for spot in ordered))
        if len(hours) > 1:
            short = [hours[0], *(hour.removeprefix("about ") for hour in hours[1:])]
            return f"{times(len(spots))} in every turn, at {listed(short)}"
    spot = spots[0]
    first, worst, last = (clock(spot.side, at) for at in (spot.begin, spot.worst, spot.end))
    if spot.end - spot.begin >= 2 * math.pi - 1e-9:
        return f"everywhere in the turn, worst at {worst}"
    if first == last:
        return f"in every turn at {worst}"
    return f"in every turn from {first} to {last.removeprefix('about ')}, worst at {worst}"


def say_reading(examination: Examination, faults: tuple[Fault, ...], past: bool) -> str:
    """Say how the clock is read, and whether it is felt under the hand.

    Parameters
    ----------
    past : bool
        True where they have been put right since.
    """
    wheels = examination.sheet.arrangement != "linkage"
    sides = {spot.side for fault in faults for spot in fault.spots}
    outside = "" if sides == {"only"} else " that side"
    if "both" in sides:
        outside = " the right-hand side"
    face = f"Read that as a clock, seen from outside{outside}"
    if wheels:
        read = f"{face}, on the face of the wheel: the crank pin is the hand of the clock."
    else:
        read = f"{face}: the crank is the hand of the clock."
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
