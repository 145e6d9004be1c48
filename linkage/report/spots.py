"""Every finding's sentence: to the bench and to the owner, as it is and as it was.

Degrees are the right-hand crank's, as everywhere in whole-locomotive results; the clock is the
face of the wheel of the side concerned, seen from outside that side. Never a third decimal.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from string import Formatter
from typing import assert_never

from linkage.examine import Examination
from linkage.mechanism import PieceSort
from linkage.report.beside import compared
from linkage.report.gear import say_also, say_gear
from linkage.report.over import CENTRED, say_over
from linkage.report.voice import BENCH, Voice, capital, degrees, listed, to_bench
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
    amount_of,
)
from linkage.units import clock, hour


@dataclass(frozen=True)
class Sentence:
    """One finding's sentence."""

    # a clause, for where in the turn follows it: as it is, and when it has been put right
    bench: str
    bench_was: str
    owner: str  # a sentence, for the side comes before it
    owner_was: str
    here: str  # what a moving picture says while the crank is there

    @property
    def measured(self) -> bool:
        """Whether a moving picture says by how much."""
        return any(name == "by" for _, name, _, _ in Formatter().parse(self.here))


SENTENCES: Mapping[tuple[type[TightSpot], str], Sentence] = {
    (CannotClose, ""): Sentence(
        "{names} cannot be joined: {by} short; the wheels lock",
        "{names} could not be joined: {by} short; the wheels locked",
        "{names} cannot be joined all the way round: at the worst place they are {by} short of one "
        "another{paper}, and there all of it locks.",
        "{names} could not be joined all the way round: at the worst place they were {by} short of "
        "one another{paper}, and there all of it locked.",
        "LOCKED: {by} short",
    ),
    (PlayUsedUp, ""): Sentence(
        "{rods} need{s} {share} of every 100 parts of the play there is, at {pins}",
        "{rods} needed {share} of every 100 parts of the play there was, at {pins}",
        "the wheels turn, but {rods} use{s} {share} of every 100 parts of the looseness in the "
        "holes for {pins}.",
        "the wheels turned, but {rods} used {share} of every 100 parts of the looseness in the "
        "holes for {pins}.",
        "ALMOST BINDS HERE",
    ),
    (PlayUsedUp, "binds"): Sentence(
        "{rods} need{s} {times} times the play there is, at {pins}: {by} short of turning freely",
        "{rods} needed {times} times the play there was, at {pins}: {by} short of turning freely",
        "the wheels bind on {rods}: the holes for {pins} are {by} too small{paper}, for the wheels "
        "to turn freely.",
        "the wheels bound on {rods}: the holes for {pins} were {by} too small{paper}, for the "
        "wheels to turn freely.",
        "BINDS HERE: {by} short",
    ),
    (Fouls, ""): Sentence(
        "{one} foul{s} {other} by {by} (seen {view})",
        "{one} fouled {other} by {by} (seen {view})",
        "{one} touch{es} {other}: at the worst place they are in one another's way by {by}{paper}."
        " It shows {view}.",
        "{one} touched {other}: at the worst place they were in one another's way by {by}{paper}."
        " It showed {view}.",
        "FOULS HERE {by}",
    ),
    (RunsOff, ""): Sentence(
        "{one} runs past the end of {other} by {by}",
        "{one} ran past the end of {other} by {by}",
        "{one} runs past the end of {other}: {by} too far{paper}.",
        "{one} ran past the end of {other}: {by} too far{paper}.",
        "RUNS OFF HERE\n{by} too far",
    ),
    (RunsOff, "meets"): Sentence(
        "{one} meets {other}: {by} too far",
        "{one} met {other}: {by} too far",
        "{one} comes against {other}: {by} too far{paper}.",
        "{one} came against {other}: {by} too far{paper}.",
        "MEETS {OTHER} HERE\n{by} too far",
    ),
    (RunsOff, "wedges"): Sentence(
        "{one} jams in {other}: {by} too deep for the gap there",
        "{one} jammed in {other}: {by} too deep for the gap there",
        "{one} jams in {other}: the gap there is {by} too small for it{paper}.",
        "{one} jammed in {other}: the gap there was {by} too small for it{paper}.",
        "JAMS HERE {by}",
    ),
    (Pinched, ""): Sentence(
        "{names} are pinched at the {pin}: {by} more metal than there is room for",
        "{names} were pinched at the {pin}: {by} more metal than there was room for",
        "{names} are pinched where they are joined, at the {pin}: there is {by} more metal than "
        "room for it{paper}.",
        "{names} were pinched where they are joined, at the {pin}: there was {by} more metal than "
        "room for it{paper}.",
        "PINCHED {by}",
    ),
    (Pinched, "askew"): Sentence(
        "{one} binds at the {pin}: its eyes are out of square by its twist, which needs {by} more "
        "play there than there is",
        "{one} bound at the {pin}: its eyes were out of square by its twist, which needed {by} "
        "more play there than there was",
        "{one} is twisted, so that it binds where it is joined, at the {pin}: that would need {by} "
        "more looseness than there is{paper}.",
        "{one} was twisted, so that it bound where it is joined, at the {pin}: that would have "
        "needed {by} more looseness than there was{paper}.",
        "BINDS {by}",
    ),
    (Limps, ""): Sentence(
        "{rods} let{s} the axles lag by {angle} degrees either way, with the play at {pins}: they "
        "limp, and a wheel may pass its dead centre the wrong way",
        "{rods} let the axles lag by {angle} degrees either way, with the play at {pins}: they "
        "limped, and a wheel might pass its dead centre the wrong way",
        "{rods} let{s} the wheels lag by {angle} degrees, with the looseness at {pins}: the engine "
        "limps, and a wheel may go back instead of round.",
        "{rods} let the wheels lag by {angle} degrees, with the looseness at {pins}: the engine "
        "limped, and a wheel might go back instead of round.",
        "LIMPS HERE",
    ),
    (UnlikeWheels, ""): Sentence(
        "the {wheels} {are} {mine} over the tread, the others {theirs}: coupled to them, {they} "
        "slip{s} by {by} in each turn, or {do} not stand on the rail",
        "the {wheels} {were} {mine} over the tread, the others {theirs}: coupled to them, {they} "
        "slipped by {by} in each turn, or did not stand on the rail",
        "the {wheels} {are} {mine} across, the others {theirs}: joined to them, {they} slide{s} on "
        "the rail by {by} in each turn, or {do} not stand on it.",
        "the {wheels} {were} {mine} across, the others {theirs}: joined to them, {they} slid on "
        "the rail by {by} in each turn, or did not stand on it.",
        "WHEELS OF OTHER SIZES",
    ),
    (Uneven, ""): Sentence(
        "{one} swings {swing}, on the other side {theirs}: the timing is uneven",
        "{one} swung {swing}, on the other side {theirs}: the timing was uneven",
        "{one} swings {swing}, on the other side {theirs}: the "
        "steam is let in unevenly, or would be.",
        "{one} swung {swing}, on the other side {theirs}: the "
        "steam was let in unevenly, or would be.",
        "TIMING UNEVEN",
    ),
    (Uneven, "alone"): Sentence(
        "{one} swings {swing}: the timing is uneven",
        "{one} swung {swing}: the timing was uneven",
        "{one} swings {swing}: the steam is let in unevenly, or would be.",
        "{one} swung {swing}: the steam was let in unevenly, or would be.",
        "TIMING UNEVEN",
    ),
    (Mistimed, "valve_travel"): Sentence(
        "{one} travels {mine}, on the other side {theirs}: the sides are not timed alike",
        "{one} travelled {mine}, on the other side {theirs}: the sides were not timed alike",
        "{one} goes {mine} to and fro, on the other side {theirs}: the two sides let the steam in "
        "unlike one another, or would.",
        "{one} went {mine} to and fro, on the other side {theirs}: the two sides let the steam in "
        "unlike one another, or would have.",
        "SIDES TIMED UNLIKE",
    ),
    (Mistimed, "lap_and_lead"): Sentence(
        "{one} is {mine} from its middle at the dead centres (lap and lead), on the other side "
        "{theirs}: the sides are not timed alike",
        "{one} was {mine} from its middle at the dead centres (lap and lead), on the other side "
        "{theirs}: the sides were not timed alike",
        "{one} is {mine} from its middle when the piston is at an end, on the other side {theirs}: "
        "the two sides let the steam in unlike one another, or would.",
        "{one} was {mine} from its middle when the piston was at an end, on the other side "
        "{theirs}: the two sides let the steam in unlike one another, or would have.",
        "SIDES TIMED UNLIKE",
    ),
    (Mistimed, "valve_middle"): Sentence(
        "the middle of {one}'s travel shifts by {mine} from back to forward gear, on the other "
        "side by {theirs}: the sides are not timed alike",
        "the middle of {one}'s travel shifted by {mine} from back to forward gear, on the other "
        "side by {theirs}: the sides were not timed alike",
        "the middle of {one}'s way shifts by {mine} as the engine is reversed, on the other side "
        "by {theirs}: the two sides let the steam in unlike one another, or would.",
        "the middle of {one}'s way shifted by {mine} as the engine was reversed, on the other side "
        "by {theirs}: the two sides let the steam in unlike one another, or would have.",
        "SIDES TIMED UNLIKE",
    ),
    (Mistimed, "valve_runs"): Sentence(
        "{one} is set to run the other way than the other side's: the two work against one another",
        "{one} was set to run the other way than the other side's: the two worked against one "
        "another",
        "{one} is set for running the other way than the other side's: the two would work against "
        "one another.",
        "{one} was set for running the other way than the other side's: the two would have worked "
        "against one another.",
        "SIDES SET AGAINST ONE ANOTHER",
    ),
    (Mistimed, "valve_setting"): Sentence(
        "the middle of {one}'s travel is {mine} where the valve is in its middle, on the other "
        "side {theirs}: the sides are not set alike",
        "the middle of {one}'s travel was {mine} where the valve was in its middle, on the other "
        "side {theirs}: the sides were not set alike",
        "{one} goes to and fro about a place {mine} its middle, on the other side {theirs}: the "
        "two sides let the steam in unlike one another, or would.",
        "{one} went to and fro about a place {mine} its middle, on the other side {theirs}: the "
        "two sides let the steam in unlike one another, or would have.",
        "SIDES SET UNLIKE",
    ),
    (BranchUndecided, ""): Sentence(
        "{names} lie in line: the crank does not decide which way they go on",
        "{names} lay in line: the crank did not decide which way they went on",
        "{names} come exactly into line, and there nothing decides which way they go on.",
        "{names} came exactly into line, and there nothing decided which way they went on.",
        "IN LINE HERE: MAY GO ON EITHER WAY",
    ),
    (Close, ""): Sentence(
        "{one} pass{es} {other} with {by} of air, {wanted} wanted (seen {view})",
        "{one} passed {other} with {by} of air, {wanted} wanted (seen {view})",
        "{one} pass{es} {other} with a gap of only {by}{paper}; {asked} is asked for."
        " It shows {view}.",
        "{one} passed {other} with a gap of only {by}{paper}; {asked} was asked for."
        " It showed {view}.",
        "CLOSE HERE: {by} of air",
    ),
    (TouchesWithPlay, ""): Sentence(
        "{names}, {apart} apart as measured, overlap by {by} once all the play of the joints is "
        "taken up",
        "{names}, {apart} apart as measured, overlapped by {by} once all the play of the joints "
        "was taken up",
        "{names} are {apart} apart{apart_paper}; but with all the wear of the joints taken up they "
        "meet, by {by}{paper}.",
        "{names} were {apart} apart{apart_paper}; but with all the wear of the joints taken up "
        "they met, by {by}{paper}.",
        "TOUCHES HERE WHEN WORN {by}",
    ),
    (PoorTransmission, ""): Sentence(
        "{names} push almost along themselves (transmission angle {angle} degrees)",
        "{names} pushed almost along themselves (transmission angle {angle} degrees)",
        "{names} push almost along themselves, not across, and are apt to jam: only {angle} degrees"
        " are left between them.",
        "{names} pushed almost along themselves, not across, and were apt to jam: only {angle} "
        "degrees were left between them.",
        "PUSHES ALMOST ALONG ITSELF HERE",
    ),
}
"""By class, and by which of its kinds it is: what binds and does not all but bind, what runs off by
meeting something or by jamming, a link that is uneven without another to compare it with, by what
the valves of two sides differ."""


def sentence_of(spot: TightSpot) -> Sentence:
    """Return a finding's sentence, yet without its figures."""
    return SENTENCES[type(spot), _sort_of(spot)]


def _sort_of(spot: TightSpot) -> str:
    """Return which of the kinds of its class a finding is."""
    if isinstance(spot, PlayUsedUp):
        return "binds" if spot.binds else ""
    if isinstance(spot, RunsOff):
        return "wedges" if spot.wedges else "meets" if spot.meets else ""
    if isinstance(spot, Pinched):
        return "askew" if spot.grip.askew else ""
    if isinstance(spot, Mistimed):
        return spot.unlike.figure.value
    return "alone" if isinstance(spot, Uneven) and math.isnan(spot.others[0]) else ""


def say_what(spot: TightSpot, voice: Voice, past: bool = False) -> str:
    """Say what is wrong at a tight spot, without where: a clause, or to the owner a sentence."""
    said = sentence_of(spot)
    if voice.owner:
        return (said.owner_was if past else said.owner).format(**_values(spot, voice))
    return (said.bench_was if past else said.bench).format(**_values(spot, voice))


def say_here(spot: TightSpot, voice: Voice, worst: bool = False) -> str:
    """Say what a moving picture says of a spot while the crank is in it.

    `worst`: whether its amount, where it has one, is that of its worst place, not of this one.
    """
    sentence = sentence_of(spot)
    said = sentence.here.format(**_values(spot, voice))
    return f"{said} at worst" if worst and sentence.measured else said


def _values(spot: TightSpot, voice: Voice) -> dict[str, object]:
    """Return what a finding's sentence is filled with."""
    names = [_named(spot, part, voice) for part in spot.parts]
    many = isinstance(spot, Fouls | Close) and spot.several
    by = amount_of(spot)
    values: dict[str, object] = {
        "names": listed(names),
        "one": names[0],
        "other": names[-1],
        "OTHER": spot.parts[-1].upper(),
        "s": "" if many else "s",
        "es": "" if many else "es",
        "by": voice.short_of(by, spot.wanted) if isinstance(spot, Close) else voice.length(by),
        "paper": voice.aside(by),
    }
    match spot:
        case Fouls() | Close():
            wanted = voice.lengths.small_again(spot.wanted)
            asked = {"wanted": wanted, "asked": voice.length(spot.wanted)}
            return values | asked | {"view": _view(spot, voice)}
        case TouchesWithPlay():
            apart = spot.clearance.least
            return values | {"apart": voice.length(apart), "apart_paper": voice.aside(apart)}
        case PlayUsedUp():
            return values | {
                "rods": voice.parts(spot.rods),
                "pins": voice.parts(spot.pins),
                "s": "s" if len(spot.rods) == 1 else "",
                "share": f"{100 * spot.arc.most:.0f}",
                "times": f"{spot.arc.most:.1f}",
            }
        case PoorTransmission():
            return values | {"angle": degrees(spot.angle)}
        case Pinched():
            return values | {"pin": voice.part(spot.grip.pin)}
        case Limps():
            rod, *pins = spot.parts
            swing = {"rods": voice.parts((rod,)), "pins": voice.parts(tuple(pins)), "s": "s"}
            return values | swing | {"angle": degrees(spot.lost.swing)}
        case Uneven() | Mistimed() | UnlikeWheels():
            return {**values, **compared(spot, voice)}
        case CannotClose() | RunsOff() | BranchUndecided():
            return values
        case _:
            assert_never(spot)


def _view(spot: Fouls | Close, voice: Voice) -> str:
    """Say in which view the gap shows that would have to grow."""
    if spot.contact.lateral < spot.contact.side_view:
        return "from the side"
    return "from above, not from the side" if voice.owner else "in plan"


def _named(spot: TightSpot, part: str, voice: Voice) -> str:
    """Name a part; of what turns with an axle also which piece of it meets the other.

    And of any part the head or end of a joint's pin that does.
    """
    if not isinstance(spot, Fouls | Close):
        return f"the {voice.part(part)}"
    piece = dict(zip(spot.contact.parts, spot.contact.pieces, strict=True)).get(part)
    if piece is None:
        return f"the {voice.part(part)}"
    if piece.sort is PieceSort.HEAD and piece.label:
        return f"the {voice.part(piece.label)} on the {voice.part(part)}"
    if spot.wheels[spot.parts.index(part)]:
        if piece.sort is PieceSort.BODY and piece.key:  # a part by itself, fast on this one
            return f"the {voice.part(piece.label)}"
        if piece.label and piece.sort is not PieceSort.RIM:
            return f"the {part}'s {piece.label}"
    return f"the {voice.part(part)}"


def say_where(examination: Examination, spot: TightSpot) -> str:
    """Say to the bench where in the turn a tight spot is.

    The clock of its own side, and degrees of the right-hand crank.
    """
    begin, worst, end = (
        degrees(examination.right_hand(spot.side, angle))
        for angle in (spot.begin, spot.worst, spot.end)
    )
    crank = "crank" if spot.side == "only" else "right-hand crank"
    at = clock(spot.side, spot.worst)
    if isinstance(spot, Pinched | UnlikeWheels | Uneven | Mistimed | CannotClose) and all_round(
        spot
    ):
        return "all round the turn"
    if all_round(spot):
        return f"all round the turn, worst with the crank pin at {at} ({crank} {worst} degrees)"
    if spot.end == spot.begin:
        return f"with the crank pin at {at} ({crank} {worst} degrees)"
    span = f"{crank} {begin} to {end} degrees, worst {worst}"
    if in_one_hour(spot):
        return f"with the crank pin at {at} ({span})"
    return f"{from_to(spot)}, worst at {at} ({span})"


def in_one_hour(spot: TightSpot) -> bool:
    """Tell whether a tight spot begins, ends and is worst at the same hour, and short of a turn."""
    hours = {hour(spot.side, angle) for angle in (spot.begin, spot.worst, spot.end)}
    return len(hours) == 1 and spot.end - spot.begin < math.pi


def all_round(spot: TightSpot) -> bool:
    """Tell whether a tight spot is everywhere in the turn."""
    return spot.end - spot.begin >= 2 * math.pi - 1e-9


def from_to(spot: TightSpot) -> str:
    """Say from where to where a tight spot is, by its own side's clock, the way the pin goes."""
    return f"from {clock(spot.side, spot.begin)} {to_hour(spot.side, spot.begin, spot.end)}"


def to_hour(side: str, begin: float, end: float) -> str:
    """Say where an arc ends [rad], after where it begins: "back to 7 o'clock".

    On the left-hand side the pin goes back through the hours; beyond half a turn, round.
    """
    back = "back " if side == "left" else ""
    round_ = "round " if end - begin > math.pi else ""
    return f"{back}{round_}to {hour(side, end)}"


def say_spot(examination: Examination, spot: TightSpot, past: bool = False) -> str:
    """Say one tight spot to the bench in a sentence.

    Side, parts, how much, where.
    """
    voice = to_bench(examination.sheet)
    side, what = _side_and_gear(examination, spot), say_what(spot, voice, past)
    start = f"{side}: {what}" if side else capital(what)
    where, worn = say_where(examination, spot), _say_worn(examination, spot)
    also = "" if past else say_also(examination, spot)
    return f"{start}, {where}.{also}{say_over(spot, voice)}{worn}"


def _side_and_gear(examination: Examination, spot: TightSpot) -> str:
    """Return the side of a tight spot, and in which gear it is, as far as either matters."""
    known = (BENCH.side(spot.side), say_gear(examination, spot))
    return capital(", ".join(word for word in known if word))


def say_again(examination: Examination, spot: TightSpot, first: int) -> str:
    """Say a tight spot that is like one said before, but for where it is.

    `first`: number of the one said in full.
    """
    side = _side_and_gear(examination, spot)
    start = f"{side}: the same as {first}" if side else f"The same as {first}"
    return f"{start}, {say_where(examination, spot)}."


def _say_worn(examination: Examination, spot: TightSpot) -> str:
    """Say what the play of the joints makes of a pair that is too near without it."""
    if not isinstance(spot, Fouls | Close):
        return ""
    worn = examination.where(spot).worn.get((spot.parts[0], spot.parts[1]))
    if worn is None or worn.loss < CENTRED:
        return ""
    said = examination.sheet.lengths.small(abs(worn.least))
    left = f"{said} of air" if worn.least >= 0 else f"an overlap of {said}"
    return f" With all the play of the joints taken up the worst way: {left}."
