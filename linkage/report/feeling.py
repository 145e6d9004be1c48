"""What was felt and seen in words, and what explains it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, assert_never

from linkage.cause import Explained, explain
from linkage.examine import Examination
from linkage.report.blocks import Block, Bullets, Heading
from linkage.report.gear import brief_place
from linkage.report.naming import part_words
from linkage.report.spots import say_what
from linkage.report.voice import OWNER, Ask, Voice, degrees, listed, to_bench
from linkage.sheet.felt import MOTOR
from linkage.tables.felt import ALL_ROUND, Felt, Off, Seen, Stance, What
from linkage.tightspots import kind_of
from linkage.units import clock

_WHAT = {What.LOCKS: "locks", What.STIFF: "stiff", What.FREE: "free"}


def felt_blocks(examination: Examination, page: bool = False) -> Iterator[Block]:
    """Yield what was felt, a line each, and what of it the findings explain."""
    lines, voice = explain(examination), to_bench(examination.sheet, page)
    if lines:
        yield Heading("What was felt", 3)
        said = (f"{say_line(one.line, voice)}: {_say_found(one, voice)}" for one in lines)
        yield Bullets(tuple(said))


def say_line(line: Felt | Seen, voice: Voice) -> str:
    """Say one thing felt or seen, as a clause with a capital."""
    match line:
        case Felt():
            return _say_felt(line)
        case Seen():
            where = f"{clock(line.side, line.at)} ({degrees(line.at)} degrees)"
            parts = listed([f"the {name}" for name in line.between])
            gap = f"{voice.length(line.gap)} of air" if line.gap else "No air"
            return f"{gap} between {parts} at {where}{_at_side(line.side)}{_gear(line.running)}"
        case _:
            assert_never(line)


def _say_felt(line: Felt) -> str:
    where = ""
    if line.all_round:
        where = f" {ALL_ROUND}"
    elif line.placed:
        begin, end = clock(line.side, line.begin), clock(line.side, line.end)
        figures = f"{degrees(line.begin)}"
        if line.end > line.begin:
            where, figures = f" from {begin} to {end}", f"{figures} to {degrees(line.end)}"
        else:
            where = f" at {begin}"
        where += f" ({figures} degrees)"
    turning = f", turning {line.turning.value}" if line.turning is not None else ""
    off = f", with {say_off(line.off)} off" if line.off else ""
    stance = f"{_pushed(line.pushed)}{_gear(line.running)}"
    said = f"{_WHAT[line.what]}{where}{_at_side(line.side)}{turning}{off}{stance}"
    return said[0].upper() + said[1:]


def say_stance(stance: Stance) -> str:
    """Say how an engine stood: "with the reverser at full back"."""
    running = stance.running
    gear = "" if running is None else f"with the reverser at {brief_place(running)}"
    pushed = _pushed(stance.pushed).removeprefix(", ")
    return " and ".join(part for part in (gear, pushed) if part)


def _pushed(pushed: Sequence[tuple[str, str]]) -> str:
    by_side: dict[str, list[str]] = {}
    for axle, side in pushed:
        by_side.setdefault(side, []).append(axle)
    said = [
        f"the {listed(axles)} wheelset{'s' if len(axles) > 1 else ''} pushed over to the {side}"
        for side, axles in by_side.items()
    ]
    return f", with {listed(said)}" if said else ""


def _at_side(side: str) -> str:
    return f" {OWNER.side(side)}" if side and OWNER.side(side) else ""


def _gear(running: object) -> str:
    return f", {brief_place(running)}" if isinstance(running, str | float) else ""


def say_off(off: tuple[Off, ...]) -> str:
    """Say what is off: "the right return crank and the motor"."""
    sides: dict[str, list[str]] = {}
    for one in off:
        sides.setdefault(one.key, []).append(one.side)
    words = []
    for key, where in sides.items():
        name = MOTOR if key == MOTOR else part_words(key)
        if where in (["right"], ["left"]):
            words.append(f"the {where[0]} {name}")
        elif len(where) == 2:
            words.append(f"the {name} of both sides")
        else:
            words.append(f"the {name}")
    return listed(words)


def _say_found(one: Explained, voice: Voice) -> str:
    if isinstance(one.line, Seen):
        air = (
            "far more by the sheet"
            if math.isinf(one.clearance)
            else "no such place by the sheet"
            if math.isnan(one.clearance)
            else f"{voice.length(one.clearance)} by the sheet"
        )
        return f"agrees, {air}." if one.agrees else f"not so by this sheet, {air}."
    spots = listed(list(dict.fromkeys(say_what(spot, voice) for spot in one.spots)))
    free = one.line.what is What.FREE
    if one.agrees:
        return "agrees." if free else f"explained, for {spots}."
    if free:
        return f"not so by this sheet, for {spots}."
    return f"not explained by anything found: {voice.see(Ask.CAUSE)} looks for what would."


def felt_data(examination: Examination) -> list[dict[str, Any]]:
    """Return what was felt as plain values: ``said``, ``explained``, ``spots`` by their kinds."""
    return [
        {
            "said": say_line(one.line, to_bench(examination.sheet)),
            "explained": one.agrees,
            "spots": [
                {"kind": kind_of(spot).name, "side": spot.side, "parts": list(spot.parts)}
                for spot in one.spots
            ],
        }
        for one in explain(examination)
    ]
