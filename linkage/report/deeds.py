"""Cures in words: what is to be done, and what comes of it."""

from __future__ import annotations

import math

from linkage.advice import Cure
from linkage.advice.resetting import SafeRange
from linkage.report.words import listed, say_key, say_what


def say_cure(cure: Cure) -> str:
    """Say one cure in a sentence.

    What to do, by how much, and what it leads to.
    """
    return f"{say_deed(cure)}{_say_outcome(cure)}."


def say_deed(cure: Cure) -> str:
    """Say what a cure asks to be done, without what it leads to."""
    say = {
        "set": _say_set,
        "side play": _say_side_play,
        "file": _say_file,
        "ease": _say_ease,
        "requarter": _say_requarter,
        "reset": _say_reset,
        "dimension": _say_dimension,
        "replace": _say_dimension,
    }.get(cure.kind)
    if say is not None:
        return say(cure)
    if cure.kind == "washer":
        return f"Move the {cure.part} {cure.way} by {cure.amount:.2f} mm with a washer"
    if cure.kind == "nut":
        of = cure.part if cure.way in cure.part else f"{cure.part}'s {cure.way}"
        return f"Thin the {of} by {cure.amount:.2f} mm, or fit a thinner one"
    if cure.kind == "bush":
        return f"Bush the {cure.part}, or fit a new pin: its play takes the most"
    return f"Measure the {cure.part} again: no small cure was found for what the sheet says"


def _say_set(cure: Cure) -> str:
    place = f", {cure.place}" if cure.place else ""
    if cure.way == "straight":
        return f"Straighten the {cure.part}{place}: {cure.amount:.2f} mm of bend comes out"
    most = f" ({cure.most:.2f} takes the bend right out)" if cure.most > cure.amount else ""
    return f"Set the {cure.part} {cure.way} by at least {cure.amount:.2f} mm{place}{most}"


def _say_side_play(cure: Cure) -> str:
    curve = f" (it then stands on curves of {cure.stands_on:.0f} mm and wider)"
    return (
        f"Take {cure.amount:.2f} mm of side play, to either side, out of the {cure.part} with "
        f"washers on its axle{curve if 0 < cure.stands_on < math.inf else ''}"
    )


def _say_file(cure: Cure) -> str:
    where = "the outline" if cure.way == "in the side view" else cure.way
    return f"File {cure.amount:.2f} mm off {where} of the {cure.part}, which cannot be undone"


def _say_ease(cure: Cure) -> str:
    hides = f"what is wrong ({say_key(cure.hides)})" if cure.hides else "the fault"
    return (
        f"Ease the {cure.part} by {cure.amount:.2f} mm on diameter, which cannot be undone and "
        f"hides {hides}: last of all"
    )


def _say_dimension(cure: Cure) -> str:
    unit = "degrees" if cure.degrees else "mm"
    name = say_key(cure.key)
    start = f"{name[:1].upper() + name[1:]}: the sheet has {cure.now:.2f} {unit}"
    if math.isnan(cure.other):
        said = f"{start}; {cure.amount:.2f} {cure.way} would do. Measure it again first"
    else:
        least = f" ({cure.amount:.2f} {cure.way} is enough)" if cure.amount < cure.most else ""
        said = f"{start}, the other side {cure.other:.2f}; made alike, that cures it{least}"
    return f"{said}. It takes another {cure.part}" if cure.kind == "replace" else said


def _say_requarter(cure: Cure) -> str:
    """Say how a wheel is to be set on its axle; it is done in a jig, and measured again first."""
    to = cure.changes[0][1]
    said = (
        f"Requarter the {cure.part} ({say_key(cure.key)}): {cure.now:.2f} degrees now, set it to "
        f"{to:.2f}"
    )
    if cure.range is not None:
        said += f"; anything from {cure.range.low:.1f} to {cure.range.high:.1f} turns freely"
    return f"{said}. Measure it again first"


def _say_reset(cure: Cure) -> str:
    """Say how a return crank is to be set: how far it may go, and how to see that it is right."""
    to = cure.changes[0][1]
    said = f"Reset the return crank: it leans {cure.now:.2f} degrees, set it to {to:.2f}"
    if not math.isnan(cure.other):
        said += " as on the other side"
    if cure.range is not None:
        said += f". {_say_range(cure.range)}"
    if cure.equal is not None:
        equal = cure.equal
        said += (
            ". To see that it is right, hold the link as in mid-gear: from its foot pin to the "
            f"return crank's pin is now {equal.front:.2f} mm at the front dead centre and "
            f"{equal.back:.2f} at the back; at {equal.at:.1f} degrees both are {equal.distance:.2f}"
        )
    return said


def _say_range(found: SafeRange) -> str:
    """Say how far a return crank may lean before the wheels lock."""
    low, high = f"{found.low:.1f}", f"{found.high:.1f}"
    if found.locks_below and found.locks_above:
        return f"It goes round from {low} to {high} degrees and locks beyond either"
    if found.locks_above:
        return f"It goes round up to {high} degrees and locks beyond"
    if found.locks_below:
        return f"It goes round down to {low} degrees and locks beyond"
    return f"It goes round anywhere from {low} to {high} degrees"


def _say_outcome(cure: Cure) -> str:
    said = ""
    if not math.isnan(cure.leaves):
        whole = "; straight, it leaves" if cure.kind == "set" else "; that leaves"
        said += f"{whole} {max(cure.leaves, 0.0):.2f} mm of air"
        said += "" if cure.spoils else ", and nothing else comes closer than asked"
    if cure.loses and not cure.spoils:
        first, *others = cure.loses
        names = listed([f"the {part}" for part in first.parts])
        said += (
            f"; {names} lose {first.before - first.after:.2f} mm of air ({first.after:.2f} left)"
        )
        if others:
            said += f", {len(others)} other pair{'s' if len(others) > 1 else ''} some"
    if cure.spoils:
        said += ". But then " + "; ".join(say_what(spot) for spot in cure.spoils)
    return said
