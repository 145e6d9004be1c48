"""Windows and bends in plain words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from linkage.advice.bending import OTHER_WAY, BendAdvice
from linkage.advice.slack import Stop
from linkage.advice.standing import Left
from linkage.advice.window import Window, Windows
from linkage.lengths import inward
from linkage.report.blocks import Block, Bullets, Paragraph
from linkage.report.cures import say_place
from linkage.report.spots import say_what
from linkage.report.sureness import say_free
from linkage.report.voice import SIDE_WORDS, Voice, capital, degrees, listed, to_bench
from linkage.sheet import Sheet
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
)
from linkage.units import clock

WOULD: Mapping[type[TightSpot], str] = {
    CannotClose: "the parts could not be joined, or lock",
    PlayUsedUp: "the coupled wheels would use up their play",
    Fouls: "{names} would foul",
    RunsOff: "{names}: too far",
    BranchUndecided: "{names} would lie in line",
    Close: "{names} would have less air than asked for",
    TouchesWithPlay: "{names} would touch with all play taken up",
    PoorTransmission: "{names} would push almost along themselves",
    Pinched: "{names} would be pinched",
    Limps: "the wheels would limp",
    UnlikeWheels: "{names} would not be of the others' size",
    Uneven: "{names} would swing unevenly",
    Mistimed: "{names} would go otherwise than on the other side",
}
"""What would stop a number, by kind."""
_GRAIN = 0.01  # what angles are said to [degrees]


def say_stop(sheet: Sheet, stop: Stop | None) -> str:
    """Say what stops a number at one end of its window.

    `stop`: what stops it; None where only the range does.
    """
    if stop is None:
        return "nothing yet: there the range ends"
    said = say_reason(stop)
    if math.isnan(stop.at):
        return said
    side = "right" if stop.side == "both" else stop.side
    said += f", {clock(side, stop.at)}"
    if stop.side != "only":
        said += f" (right-hand crank {degrees(sheet.right_hand(side, stop.at))} degrees)"
    return said


def say_reason(stop: Stop) -> str:
    """Say what stops a number, without where in the turn."""
    if stop.kind is None:
        return "the number itself: a sheet takes none beyond"
    names = listed([f"the {part}" for part in stop.parts]) or "the parts"
    said = WOULD[stop.kind].format(names=names)
    return f"{SIDE_WORDS[stop.side].lower()}: {said}" if SIDE_WORDS.get(stop.side) else said


def say_windows(sheet: Sheet, found: Windows) -> Iterator[Block]:
    """Yield in which windows of one number everything stays free."""
    voice = to_bench(sheet)

    def said(x: float, again: bool = False) -> str:
        say = voice.number_again if again else voice.number
        return say(x, found.degrees, found.key)

    yield Paragraph(
        f"{found.key} is {said(found.now)} now; looked at from {said(found.low, again=True)} to "
        f"{said(found.high, again=True)}.",
        "strong",
    )
    far = "" if found.left is None else " as far as this number goes"
    for window in found.windows:
        mine = " (today's value is in it)" if window is found.here else ""
        low, high = _inward(sheet, found, window)
        yield Paragraph(f"Free{far} from {said(low, again=True)} to {said(high)}{mine}.")
        below, above = (say_stop(sheet, stop) for stop in (window.below, window.above))
        yield Bullets((f"Below: {below}.", f"Above: {above}."))
    if not found.windows:
        yield Paragraph(
            f"Free nowhere there{far}. It comes closest at {said(found.best)}: "
            f"{say_stop(sheet, found.stop)}."
        )
    elif found.here is None:
        yield Paragraph(f"Today's value is in none of them: {_say_would_do(found, voice)}.")
    if found.sure is not None:
        yield Paragraph(f"At {said(found.middle)}, in the middle: {say_free(found.sure, voice)}")
    yield from say_left(sheet, found.left, "number")


def _inward(sheet: Sheet, found: Windows, window: Window) -> tuple[float, float]:
    """Return a window's ends so that what is said lies within it [mm, degrees]."""
    grain = _GRAIN if found.degrees else sheet.lengths.grain
    return inward(window.low, window.high, grain)


def _say_would_do(found: Windows, voice: Voice) -> str:
    """Say what a number would have to become."""
    to = found.now if found.would_do is None else found.would_do
    if to == found.other:
        return f"made as on the other side, {voice.number(to, found.degrees, found.key)}, it is"
    by = voice.change(abs(to - found.now), found.degrees)
    return f"{by} {'more' if to > found.now else 'less'} would do"


def say_left(sheet: Sheet, left: Left | None, what: str) -> Iterator[Block]:
    """Yield what is wrong for other reasons than what was asked about.

    `what`: what was asked about: "rod", "number".
    """
    if left is None:
        return
    if left.others:
        yield Paragraph(f"Still there, and not this {what}'s doing:")
        yield Bullets(tuple(_say_spot(sheet, spot) for spot in left.others))
    if left.own:
        yield Paragraph(f"Of this {what}'s own, and not counted here:")
        yield Bullets(tuple(_say_spot(sheet, spot) for spot in left.own))


def _say_spot(sheet: Sheet, spot: TightSpot) -> str:
    """Say a tight spot without where in the turn it is."""
    side = SIDE_WORDS[spot.side]
    return capital(f"{f'{side.lower()}: ' if side else ''}{say_what(spot, to_bench(sheet))}.")


def say_bend(sheet: Sheet, item: BendAdvice) -> list[str]:
    """Say how to set one bend of a rod.

    Sentences, one a line.
    """
    side = f"{SIDE_WORDS[item.side]}: the" if SIDE_WORDS[item.side] else "The"
    bend, voice = item.bend, to_bench(sheet)
    now = voice.length(bend.amount)
    lines = [
        f"{side} {item.part} is bent {now} {_way(bend.way)}, {say_place(bend, voice)}; that brings "
        f"its eyes {voice.length(item.shorter)} nearer than those of the straight rod."
    ]
    window = item.window
    if window is None or item.setting is None:
        stop = say_stop(sheet, item.windows.stop)
        makes = "makes all free" if item.windows.left is None else "frees even this rod"
        lines.append(f"No set of it {makes}: at the best, {stop}.")
        return lines
    least, most = (voice.length(amount) for amount in item.setting)
    way = _way(OTHER_WAY[bend.way])
    if item.windows.left is not None:
        lines.append("As far as this rod goes, for more is wrong with the engine:")
    if item.setting[0] > 0:
        lines.append(
            f"Set it {way} by at least {least} and at most {most}; {now} makes it straight."
        )
    else:
        lines.append(
            f"It may stay as it is, or be set {way} by up to {most}; {now} makes it straight."
        )
    if window.below is not None:
        lines.append(f"Beyond the most: {say_stop(sheet, window.below)}.")
    else:
        lines.append("No more than that was looked at: as far the other way as it goes now.")
    if not math.isnan(item.strain):
        low, high = (voice.length(amount) for amount in item.spring_back)
        lines += [
            f"Such a bow stretches the metal's outer fibres by {100 * item.strain:.1f} percent; "
            "hard and spring tempers have 1 to 5 percent in them, so that a second bend at the "
            "same place may crack it.",
            f"It springs back by about {low} in half-hard brass, {high} in hard: an "
            "estimate to begin with. Bend, let go, measure, and stop at the figure.",
        ]
    return lines


def _way(way: str) -> str:
    """Return a bend's way in words."""
    words = {"towards_frames": "towards the frames", "away_from_frames": "away from the frames"}
    return words.get(way, way)
