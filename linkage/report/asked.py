"""What is asked about an engine that nothing found says: doubtful numbers, by what they lead to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from linkage.examine import Examination
from linkage.examine.asked import Asked, NeverOpens, RunsBack
from linkage.mechanism import Twisted
from linkage.report.voice import degrees

_LAPS = {"steam_lap": "steam lap", "exhaust_lap": "exhaust lap"}


def say_asked(examination: Examination) -> tuple[str, ...]:
    """Say what is asked about, a text for each: twisted rods, the valves' way, their laps."""
    asked = (_said(one, examination) for one in examination.asked)
    return (*_twisted(examination), *asked)


def _said(asked: Asked, examination: Examination) -> str:
    match asked:
        case RunsBack():
            valves = "the valves of both sides are" if len(asked.sides) > 1 else "the valve is"
            return (
                f"In full forward gear {valves} set to run the engine back. Are full forward and "
                "full back the other way about, or do the ports open the other way, by the "
                "valve's inside edges for its outside ones? Otherwise what drives the valve is "
                "set for running the other way."
            )
        case NeverOpens():
            one = asked.sides != ("only",) and len(asked.sides) == 1
            valve = f"The {asked.sides[0]} valve" if one else "The valve"
            say = examination.sheet.lengths.number
            return (
                f"{valve} goes {say(asked.travel)} at the most, from end to end, and has "
                f"{say(asked.is_)} of {_LAPS[asked.lap]}: with half of its travel or more no port "
                "ever opens. Was the lap of both ends measured together, or with the valve out of "
                "its middle?"
            )
        case _:
            assert_never(asked)


def _twisted(examination: Examination) -> Iterator[str]:
    """Yield what twisted rods need of pins of whose play nothing is known."""
    found: dict[Twisted, list[str]] = {}
    for side, one in examination.sides.items():
        for rod in one.mechanism.twisted:
            found.setdefault(rod, []).append(side)
    say = examination.sheet.lengths.small
    for rod, sides in found.items():
        whose = "" if sides == ["only"] or len(sides) > 1 else f"{sides[0]} "
        yield (
            f"The {whose}{rod.part}, twisted by {degrees(rod.twist)} degrees, has its eyes out of "
            f"square, and binds where its pins have less play than {say(rod.takes)} at either end. "
            "Whether they do was not looked at: the sheet does not say it, or what it is pinned to "
            "may lean as well."
        )
