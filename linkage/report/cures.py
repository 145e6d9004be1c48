"""Every cure's sentence: to the bench and to the owner, what to do and what comes of it."""

from __future__ import annotations

import math
from typing import assert_never

from linkage.advice import Cure, Tried
from linkage.advice.cure import (
    Bush,
    Correction,
    Ease,
    Exchange,
    File,
    MakeTrue,
    MeasureAgain,
    MeasureFirst,
    Number,
    OtherPins,
    PutRight,
    Refitted,
    Replace,
    Requarter,
    ResetReturnCrank,
    ScrewHome,
    SetBack,
    Shift,
    Straighten,
    TakeOutSidePlay,
    TakeUpAlong,
    ThinNut,
    Together,
    TurnEccentric,
    TurnRound,
    Washer,
)
from linkage.advice.resetting import SafeRange
from linkage.advice.setting import SheetBend
from linkage.arrangements.numbers import facts_at
from linkage.report.naming import name_number, name_part, side_of
from linkage.report.spots import say_what
from linkage.report.voice import OWNER, Voice, capital, listed
from linkage.sheet.refitting import Turn
from linkage.tables.origin import Source


def say_deed(cure: Cure, voice: Voice) -> str:
    """Say what a cure asks to be done, without what it leads to: no full stop at its end."""
    match cure:
        case TurnRound() | Exchange() | OtherPins():
            return _say_refit(cure, voice)
        case SetBack() | Straighten():
            return _say_bending(cure, voice)
        case ScrewHome() | TakeOutSidePlay() | TakeUpAlong() | Washer() | ThinNut() | Bush():
            return _say_fitting(cure, voice)
        case Requarter() | PutRight() | Replace() | ResetReturnCrank() | MakeTrue():
            return _say_correction(cure, voice)
        case TurnEccentric():
            return _say_correction(cure, voice)
        case Together() | Shift():
            return _say_as_one(cure, voice)
        case File() | Ease():
            return _say_cutting(cure, voice)
        case MeasureFirst():
            return _say_measure(cure, voice)
        case MeasureAgain():
            parts = " and the ".join(voice.part(part) for part in cure.parts)
            return f"Measure the {parts} again: no small cure was found for what the sheet says"
        case _:
            assert_never(cure)


def _say_bending(cure: SetBack | Straighten, voice: Voice) -> str:
    whole, part = cure.bend.amount, voice.part(cure.part)
    place = say_place(cure.bend, voice)
    if isinstance(cure, Straighten):
        comes = f"{voice.measured(whole)}{',' if voice.owner else ''}"
        return f"Straighten the {part}, {place}: {comes} of bend comes out"
    least, more = voice.length(cure.least), cure.straight and whole > cure.least
    if voice.owner:
        most = f"; {voice.length(whole)} makes it straight" if more else ""
        return f"Bend the {part} back {cure.way} by at least {least}, {place}{most}"
    most = f" ({voice.lengths.small_again(whole)} takes the bend right out)" if more else ""
    return f"Set the {part} {cure.way} by at least {least}, {place}{most}"


_TURNED = {
    Turn.NONE: ("", ""),
    Turn.ABOUT_ITS_LENGTH: (
        "with the wrong face to the wheel",
        "turn its other face to the wheel",
    ),
    Turn.ABOUT_AN_UPRIGHT: (
        "the wrong way round",
        "turn it end for end, with its other face to the wheel",
    ),
    Turn.END_FOR_END: (
        "the wrong way round",
        "turn it end for end, with the same face to the wheel",
    ),
}
"""How a rod is on, and how it is to be put on instead."""


def _say_refit(cure: Refitted, voice: Voice) -> str:
    """Say which rods are on wrongly."""
    if isinstance(cure, OtherPins):
        one, other = cure.parts
        names = f"{_sided(one, cure.side, voice)} and the {voice.part(other)}"
        on = voice.part(cure.on)
        return f"{names} are on one another's pins of the {on}: put each on the other's"
    is_on, turned = _TURNED[cure.turn]
    if isinstance(cure, TurnRound):
        return f"{_sided(cure.part, cure.side, voice)} is on {is_on}: {turned}"
    (one, other), side = cure.parts, cure.sides[0]
    also = ", its other face to the wheel" if turned else ""
    if one == other:
        both = f"The left and right {voice.part(one)}s are exchanged"
        return f"{both}: put each on its own side{also}"
    names = f"{_sided(one, side, voice)} and the {voice.part(other)}"
    return f"{names} are exchanged: put each in the other's place{also}"


def _sided(part: str, side: str, voice: Voice) -> str:
    return f"The {f'{side} ' if side in ('right', 'left') else ''}{voice.part(part)}"


_AS_MUCH = 0.05  # of a number: so nearly as much the other way, it is the same part turned [1]
_Fitted = ScrewHome | TakeOutSidePlay | TakeUpAlong | Washer | ThinNut | Bush


def _say_fitting(cure: _Fitted, voice: Voice) -> str:
    """Say what washers, nuts and bushes do."""
    match cure:
        case ScrewHome():
            of = cure.part if cure.piece == cure.part else f"{cure.part}'s {cure.piece}"
            by = voice.length(cure.amount)
            if cure.against == "its rod":
                return f"Screw home the {of} by {by} and lock it: it stands well clear of its rod"
            return (
                f"Screw home the {of} and lock it: it stands {by} farther out than the other side's"
            )
        case TakeOutSidePlay():
            curve = voice.curve(cure.stands_on) if cure.stands_on < math.inf else ""
            stands = f" (it then stands on curves of {curve} and wider)"
            which = listed(cure.axles)
            one = f"the {which} wheelset with washers on its axle"
            more = f"the {which} wheelsets with washers on their axles"
            return (
                f"Take {voice.length(cure.amount)} of side play, to either side, out of "
                f"{one if len(cure.axles) == 1 else more}"
                f"{stands if 0 < cure.stands_on < math.inf else ''}"
            )
        case TakeUpAlong():
            left = f"{voice.length(cure.left)} may be left" if cure.left else "none may be left"
            pins = listed([f"the {voice.part(joint)}" for joint in cure.joints])
            where = pins or "the gear's pins"
            return f"Take up the play along {where} with thin washers: {left}, from end to end"
        case Washer():
            part, by = voice.part(cure.part), voice.length(cure.amount)
            return f"Move the {part} {cure.way} by {by} with a washer"
        case ThinNut():
            of = cure.part if cure.piece == cure.part else f"{cure.part}'s {cure.piece}"
            return f"Thin the {of} by {voice.length(cure.amount)}, or fit a thinner one"
        case Bush():
            left = voice.length(cure.left) if cure.left else "hardly any"
            return (
                f"Bush the {voice.part(cure.joint)}, or fit a new pin, for its play takes the "
                f"most: {left} may be left"
            )
        case _:
            assert_never(cure)


def _say_cutting(cure: File | Ease, voice: Voice) -> str:
    by = voice.length(cure.amount)
    if isinstance(cure, File):
        met = ", where they meet" if cure.off == "edge" else ""
        off = f"the {cure.off} of the {voice.part(cure.part)}{met}"
        return f"File {by} off {off}, which cannot be undone"
    hides = "the fault"
    if cure.hides:
        what = name_number(cure.hides, voice)
        hides = f"what is wrong ({what})"
    return (
        f"Ease the holes concerned by {by} on diameter, which cannot be undone and hides {hides}: "
        "last of all"
    )


def _say_measure(cure: MeasureFirst, voice: Voice) -> str:
    """Say which guess is to be measured, and which values would fit."""
    now, low, high = (
        voice.number(x, cure.degrees, cure.key) for x in (cure.now, cure.low, cure.high)
    )
    if math.isinf(cure.high):
        fits = f"{low} or more"
    elif math.isinf(cure.low):
        fits = f"{high} or less"
    else:
        fits = low if low == high else f"{low} to {high}"
    side = voice.side(side_of(cure.key) or "only") if voice.owner else ""
    name = f"{name_number(cure.key, voice)}{f' ({side})' if side else ''}"
    return (
        f"Measure {name} before anything is bent, cut or bought: it is "
        f"{'a guess' if cure.source is Source.GUESSED else 'assumed'}, {now}, and {fits} would fit"
    )


def say_place(bend: SheetBend, voice: Voice) -> str:
    """Say where on a rod a bend is."""
    if bend.at is None:
        return "at its middle"
    return f"{voice.place(bend.at)} from the {voice.part(bend.start)}"


def _say_correction(cure: Correction, voice: Voice) -> str:
    """Say which number is to be put right."""
    number = cure.number
    another = f". It takes another {cure.part}" if isinstance(cure, Replace) else ""
    match cure:
        case ResetReturnCrank():
            return _say_reset(cure, voice)
        case MakeTrue():
            return _say_damage(cure, voice)
        case TurnEccentric():
            return _say_turned(cure, voice)
        case Requarter() if not voice.owner:
            low, high = _inward(cure.range)
            return (
                f"Requarter the {cure.axle} wheelset ({name_number(number.key)}): "
                f"{number.now:.2f} degrees now, set it to {number.to:.2f}; anything from "
                f"{low} to {high} turns freely. Measure it again first"
            )
        case _:
            say = _say_owners_number if voice.owner else _say_number
            return f"{say(cure, voice)}{another}"


def _say_turned(cure: TurnEccentric, voice: Voice) -> str:
    """Say how an eccentric that has slipped is to be set on its axle again."""
    number = cure.number
    now, to = (voice.number(x, degrees=True) for x in (number.now, number.to))
    like = "" if math.isnan(number.other) else " as on the other side"
    return (
        f"Loosen {name_part(number.key.rpartition('.')[0], voice)}, turn it on its axle and make "
        f"it fast: {name_number(number.key, voice)} is {now}, and is to be {to}{like}"
    )


def _say_damage(cure: MakeTrue, voice: Voice) -> str:
    """Say what is to be made true, and how far it is from that."""
    key, side = cure.number.key, side_of(cure.number.key)
    bare = key.partition(".")[2] if side else key
    part = name_part(bare.rpartition(".")[0], voice)
    if side:
        part = part.replace("the ", f"the {side} ", 1)
    deed = capital(facts_at(bare).damage.format(part))
    by = voice.number(cure.number.now, cure.number.degrees, cure.number.key)
    return f"{deed} ({name_number(bare, voice)}: {by})"


def _say_number(cure: Correction, voice: Voice) -> str:
    number = cure.number
    amount, way = voice.again(abs(number.by), number.degrees), "more" if number.by > 0 else "less"
    now = voice.number(number.now, number.degrees, number.key)
    start = f"{capital(name_number(number.key))}: the sheet has {now}"
    if math.isnan(number.other):
        return f"{start}; {amount} {way} would do. Measure it again first"
    other = voice.number_again(number.other, number.degrees, number.key)
    least = f" ({amount} {way} is enough)" if abs(number.by) < number.most else ""
    round_ = _say_turned_round(number, voice)
    return f"{start}, the other side {other}; made alike, that cures it{least}{round_}"


def _say_turned_round(number: Number, voice: Voice) -> str:
    """Say what a number is a sign of that is as much the other way as on the other side."""
    if not _turned_round(number):
        return ""
    look = f"look first whether {_part_of(number, voice)} is in back to front, and turn it round"
    return f". It is as much the other way: {look}"


def _turned_round(number: Number) -> bool:
    """Tell whether a number is as much the one way as the other side's is the other."""
    return bool(number.now) and abs(number.now + number.other) <= _AS_MUCH * abs(number.now)


def _part_of(number: Number, voice: Voice) -> str:
    key = number.key.partition(".")[2] if side_of(number.key) else number.key
    return name_part(key.split(".")[0], voice)


def _say_as_one(cure: Together | Shift, voice: Voice) -> str:
    """Say what is to be done together: numbers put right, or parts set along their line."""
    if isinstance(cure, Together):
        return _say_together(cure, voice)
    first, *others = (name_part(key, voice) for key in cure.parts)
    with_it = f", with {listed(others)}," if others else ""
    way, by = "ahead" if cure.by > 0 else "back", voice.length(abs(cure.by))
    start = f"Set {first}{with_it} {way} along the cylinder's line by {by}"
    like = ", to stand as on the other side" if cure.alike else ""
    return f"{start}{like}. It can be undone; measure the place again first"


def _say_together(cure: Together, voice: Voice) -> str:
    """Say several things that are to be put right, each briefly."""
    alone = "neither" if len(cure.cures) == 2 else "none"
    deeds = "; ".join(_say_briefly(one, voice) for one in cure.cures)
    return f"Put right together, for {alone} is enough by itself: {deeds}. Measure them again first"


def _say_briefly(cure: Straighten | Correction, voice: Voice) -> str:
    if isinstance(cure, Straighten):
        amount = voice.length(cure.bend.amount)
        return f"the {voice.part(cure.part)}, to be straightened by {amount}"
    number = cure.number
    side = voice.side(side_of(number.key) or "only") if voice.owner else ""
    name = f"{name_number(number.key, voice)}{f' ({side})' if side else ''}"
    now, to = (voice.number(x, number.degrees, number.key) for x in (number.now, number.to))
    return f"{name}, {now} now, to be {to}"


def _say_owners_number(cure: Correction, voice: Voice) -> str:
    number = cure.number

    def said(x: float) -> str:
        return voice.number(x, number.degrees)

    side = OWNER.side(side_of(number.key) or "only")
    start = capital(f"{side} {name_number(number.key, OWNER)}".lstrip())
    if math.isnan(number.other):
        way = "more" if number.by > 0 else "less"
        return (
            f"{start}: {said(number.now)} as measured; {said(abs(number.by))} {way} would do. It "
            "is to be measured again first"
        )
    if _turned_round(number):
        return (
            f"{start}: {said(number.now)} the other way than on the other side. Perhaps "
            f"{_part_of(number, voice)} is in back to front, and is to be turned round"
        )
    return f"{start}: {said(number.now)}; on the other side {said(number.other)}. Make it like that"


def _say_reset(cure: ResetReturnCrank, voice: Voice) -> str:
    """Say how a return crank is to be set: how far it may go, and how to see that it is right."""
    number = cure.number
    said = (
        f"Reset the {voice.part('return crank')}: it leans {number.now:.2f} degrees, set it to "
        f"{number.to:.2f}"
    )
    if not math.isnan(number.other):
        said += " as on the other side"
    given = {one.key: voice.number(one.to, one.degrees) for one in cure.given}
    if given and not voice.owner:
        become = listed([f"{name_number(key)} {to}" for key, to in given.items()])
        said += f" (that makes {become})"
    said += f". {_say_range(cure.range)}"
    if cure.equal is not None:
        equal = cure.equal
        front = voice.number(equal.front, degrees=False)
        back, both = (voice.number_again(x, degrees=False) for x in (equal.back, equal.distance))
        said += (
            ". To see that it is right, hold the link as in mid-gear: from its foot pin to the "
            f"return crank's pin is now {front} at the front dead centre and "
            f"{back} at the back; at {equal.at:.1f} degrees both are {both}"
        )
    return said


def _inward(found: SafeRange) -> tuple[str, str]:
    """Say the ends of a range to a tenth of a degree, neither of them outside it."""
    low, high = math.ceil(10 * found.low - 1e-6) / 10, math.floor(10 * found.high + 1e-6) / 10
    return f"{low:.1f}", f"{high:.1f}"


def _say_range(found: SafeRange) -> str:
    """Say how far a return crank may lean before the wheels lock."""
    low, high = _inward(found)
    if found.locks_below and found.locks_above:
        return f"It goes round from {low} to {high} degrees and locks beyond either"
    if found.locks_above:
        return f"It goes round up to {high} degrees and locks beyond"
    if found.locks_below:
        return f"It goes round down to {low} degrees and locks beyond"
    return f"It goes round anywhere from {low} to {high} degrees"


def say_cure(tried: Tried, voice: Voice) -> str:
    """Say one cure: what to do, by how much, and what it leads to."""
    deed = say_deed(tried.cure, voice)
    return (
        f"{deed}.{_say_to_owner(tried, voice)}"
        if voice.owner
        else f"{deed}{_say_outcome(tried, voice)}."
    )


def _say_also(count: int) -> str:
    """Say how many other faults have the same cause."""
    return f"{count} other tight spot{'s' if count > 1 else ''} of that side"


def _say_to_owner(tried: Tried, voice: Voice) -> str:
    said, outcome = "", tried.outcome
    if outcome.also:
        said += f" That one cause also makes {_say_also(outcome.also)}."
    if outcome.leaves is not None and outcome.leaves > 0:
        said += f" That leaves a gap of {voice.measured(outcome.leaves)}."
    if outcome.spoils:
        said += " It makes something else too near; that stands in the appendix."
    return said


def _say_outcome(tried: Tried, voice: Voice) -> str:
    said, outcome = "", tried.outcome
    if outcome.also:
        said += f"; one cause, for it also makes {_say_also(outcome.also)}"
    if outcome.leaves is not None:
        cure = tried.cure
        straight = isinstance(cure, Straighten) or (isinstance(cure, SetBack) and cure.straight)
        whole = "; straight, it leaves" if straight else "; that leaves"
        said += f"{whole} {voice.length(max(outcome.leaves, 0.0))} of air"
        said += "" if outcome.spoils else ", and nothing else comes closer than asked"
    if outcome.loses and not outcome.spoils:
        first, *others = outcome.loses
        names = listed([f"the {part}" for part in first.parts])
        lost, left = (
            voice.length(first.before - first.after),
            voice.lengths.small_again(first.after),
        )
        said += f"; {names} lose {lost} of air ({left} left)"
        if others:
            said += f", {len(others)} other pair{'s' if len(others) > 1 else ''} some"
    if outcome.spoils:
        said += ". But then " + "; ".join(say_what(spot, voice) for spot in outcome.spoils)
    return said
