"""What is over to one side for a tight spot: wheelsets, and parts on their pins."""

from __future__ import annotations

from linkage.clearance import Along
from linkage.report.voice import Voice, listed
from linkage.tightspots import Close, Fouls, TightSpot

CENTRED = 0.005
"""Wheelsets over by less than this, or with less to do with a spot, are not told [mm]."""


def takes_wheelsets(spot: TightSpot) -> bool:
    """Tell whether wheelsets must be over to a side for a tight spot."""
    return (
        isinstance(spot, Fouls | Close)
        and spot.contact.centred - spot.least >= CENTRED
        and any(abs(mm) >= CENTRED for _, mm in spot.contact.state)
    )


def say_over(spot: TightSpot, voice: Voice) -> str:
    """Say which wheelsets must be over for it, and what on its pin, where it takes that."""
    if not isinstance(spot, Fouls | Close) or not takes_wheelsets(spot):
        return ""
    contact = spot.contact
    wheels = [
        f"the {axle} wheelset {_say_wheelset(spot.side, mm, voice)}"
        for axle, mm in contact.state
        if isinstance(axle, str) and abs(mm) >= CENTRED
    ]
    on_pins = [
        _say_along(voice.part(part), along, voice)
        for part, along in zip(contact.parts, contact.along, strict=True)
        if abs(along.over) >= CENTRED
    ]
    if not wheels and not on_pins:
        return ""
    middle = "all wheelsets in the middle" if not on_pins else "everything in its middle"
    left = f"{voice.length(abs(contact.centred))} of air is left"
    if contact.centred < 0:
        left = f"the overlap is {voice.length(-contact.centred)}"
    return f" That is with {listed([*wheels, *on_pins])}; with {middle} {left}."


def _say_along(part: str, along: Along, voice: Voice) -> str:
    """Say how far over a part is by the play along the pins."""
    way = "away from the frames" if along.over > 0 else "towards the frames"
    most = f"most of it at the {voice.part(along.most_on)}"
    return f"the {part} {voice.length(abs(along.over))} {way} by the play along the pins ({most})"


def _say_wheelset(side: str, mm: float, voice: Voice) -> str:
    """Say how far over, and to which hand, a wheelset is; away from this side's frames is above 0.

    To the right is away from the frames on the right-hand side.
    """
    if side == "only":
        way = "away from the frames" if mm > 0 else "towards the frames"
    else:
        way = f"over to the {side if mm > 0 else {'right': 'left', 'left': 'right'}[side]}"
    return f"{voice.length(abs(mm))} {way}"
