"""What to try next, in words: tests, looks and measurements, and what their outcomes would mean."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import assert_never

from linkage.cause import (
    Cause,
    Fault,
    How,
    LookAlong,
    LookBetween,
    LookHow,
    Measure,
    MeasureFellow,
    TakeOff,
    Test,
    Weighing,
    proposals,
)
from linkage.cause.testing import Outcome
from linkage.report.blocks import Block, Finding, Gap, Heading, Paragraph
from linkage.report.feeling import say_off, say_stance
from linkage.report.naming import name_number, name_part
from linkage.report.voice import capital, listed
from linkage.sheet.felt import COUPLING_RODS
from linkage.sheet.refitting import Turn
from linkage.tables.felt import Turning, What

LEAST = 0.02
"""A cause less likely than this is not told, where others are [1]."""
OFFERED = 3
"""Tests offered at the most."""
ENTER = (
    'What comes of it goes on the sheet as a further [[felt]] (or --felt "free with ... off"), a '
    "number measured in its place; then ask again."
)
STRAIGHT = "A rod that is straight: write bend = [] in its table, under [right] or [left]."
TOUCHING = (
    "Whether two parts touch goes on the sheet as [[seen]], with between = [{pair}]{side}, "
    "at = {at:.0f} and gap = 0; where there is air, gap is what a feeler says."
)
MISLEADING = (
    "Not with the coupling rods of one side alone on: at that side's dead centres an undriven "
    "wheel may turn back, and a good rod gets the blame."
)
BOTH_WAYS = (
    "Before that, for it costs nothing and tells more than any of these: from where the wheels "
    "turn, turn them on until they stop, and back until they stop, and write down both places, "
    '{forward} and {backward}; or, where they turn nowhere, "locks all round".'
)
UNSURE = 0.9
"""From this chance on a cause is taken to be the one [1]."""


def next_blocks(weighing: Weighing, causes: Sequence[Cause]) -> Iterator[Block]:
    """Yield what to try next, what each outcome would mean, and what not to try."""
    offered = proposals(weighing)[:OFFERED] if causes[0].chance < UNSURE else ()
    if not offered:
        return
    yield Gap()
    yield Heading("What to try next", 3)
    yield from _both_ways(weighing)
    for number, one in enumerate(offered, 1):
        lines = tuple(
            f"{_so(one.test, outcome)} ({hundred(outcome.chance)}): {_left(outcome)}."
            for outcome in one.outcomes
        )
        minutes = f"about {one.test.minutes:.0f} minutes"
        yield Finding(f"{number}. {capital(say_test(one.test))}: {minutes}.", lines)
    yield Paragraph(ENTER)
    if any(isinstance(one.test, LookAlong) for one in offered):
        yield Paragraph(STRAIGHT)
    for one in offered:
        if isinstance(one.test, LookBetween):
            yield Paragraph(_enter_touching(one.test))
    if len(weighing.sheet.sides) > 1 and weighing.suspects.play is not None:
        yield Paragraph(MISLEADING)


def _both_ways(weighing: Weighing) -> Iterator[Block]:
    """Yield how to feel where a lock begins and ends, where but one place of it is said."""
    locks = [one for one in weighing.sheet.felt if one.what is What.LOCKS and not one.off]
    ends = {one.turning for one in locks} - {None}
    known = any(one.all_round or (one.placed and one.begin < one.end) for one in locks)
    if locks and len(ends) < len(Turning) and not known:
        side = f" on the {locks[0].side}" if locks[0].side in ("right", "left") else ""
        say = {way.value: f'"locks at ... o\'clock{side}, turning {way.value}"' for way in Turning}
        yield Paragraph(BOTH_WAYS.format(**say))


def say_test(test: Test) -> str:
    """Say what is to be done."""
    match test:
        case TakeOff():
            there = f", {say_stance(test.stance)}" if test.stance is not None else ""
            return f"take {say_off(test.off)} off, and turn the wheels all round, both ways{there}"
        case Measure():
            return f"measure {listed([name_number(key) for key in test.named])}"
        case MeasureFellow():
            fellows = listed([name_number(key) for key in test.keys])
            them = "them" if len(test.keys) > 1 else "it"
            return f"measure {fellows} too, and set {them} beside the other side's"
        case LookAlong():
            return f"look along {_rods(test.rods)}, against a straight edge"
        case LookHow():
            if test.rods:
                return f"look which pin of {sided(test.side, test.table)} either rod takes"
            return (
                f"look which way round {sided(test.side, test.table)} is on, and if it is its own"
            )
        case LookBetween():
            there = f", {say_stance(test.stance)}" if test.stance is not None else ""
            pairs = "; or ".join(_pair(two) for two in test.pairs)
            side = f" on the {test.side}" if test.side in ("right", "left") else ""
            return (
                f"turn the wheels until they stick{there}, and see with a strip of thin paper "
                f"between them what touches{side}: {pairs}"
            )
        case _:
            assert_never(test)


def _rods(rods: Sequence[tuple[str, str]]) -> str:
    """Name a rod, or all that are looked along together: the coupling rods, or the others."""
    if len(rods) == 1:
        return sided(*rods[0])
    both = ", on both sides" if len({side for side, _ in rods}) > 1 else ""
    coupled = rods[0][1].startswith(COUPLING_RODS)
    return f"every coupling rod{both}" if coupled else f"every rod but the coupling rods{both}"


def _enter_touching(test: LookBetween) -> str:
    pair = ", ".join(f'"{name}"' for name in test.pairs[0])
    side = f', side = "{test.side}"' if test.side in ("right", "left") else ""
    return TOUCHING.format(pair=pair, side=side, at=math.degrees(test.at) % 360)


def _pair(parts: Sequence[str]) -> str:
    return listed([f"the {name}" for name in parts])


def _so(test: Test, outcome: Outcome) -> str:
    so = outcome.so
    match test:
        case TakeOff():
            return "Free" if so else "Still there"
        case Measure():
            return "Not as on the sheet" if so else "As on the sheet"
        case MeasureFellow():
            return "Not like the other side's" if so else "Like the other side's"
        case LookAlong():
            return "Bent" if so else "Straight"
        case LookHow():
            return "Not as on the sheet" if so else "As on the sheet"
        case LookBetween():
            return f"{capital(_pair(outcome.touch))} touch" if so else "None of them touch"
        case _:
            assert_never(test)


def _left(outcome: Outcome) -> str:
    said = [f"{_briefly(fault)}, {hundred(chance)}" for fault, chance in outcome.left
            if chance > LEAST]  # fmt: skip
    return "; ".join(said) if said else "nothing of the motion"


def _briefly(fault: Fault | None) -> str:
    if fault is None:
        return "not in the motion"
    match fault.how:
        case How.BENT:
            return f"{part_of(fault)} bent {way_of(fault.ways)}"
        case How.REFITTED:
            return say_on_other(fault)
        case How.MOVED:
            return f"{part_of(fault)} out of its place"
        case How.NUMBER:
            return name_number(fault.key)
        case _:
            assert_never(fault.how)


def say_on_other(fault: Fault) -> str:
    """Say how a part is on: another way round, or in another's place."""
    first = fault.refits[0]
    if first.pins:
        rods = f"{sided(first.side, fault.rods[0])} and {name_part(fault.rods[1])}"
        return f"{rods} on one another's pins of {name_part(first.key)}"
    if (first.side, first.key) == (first.from_side, first.from_key):
        return f"{part_of(fault)} {TURNED_ON[first.turn]}"
    other = sided(first.from_side, first.from_key)
    also = f", {TURNED_ON[first.turn]}" if TURNED_ON[first.turn] else ""
    return f"{part_of(fault)} and {other} in one another's place{also}"


TURNED_ON = {
    Turn.NONE: "",
    Turn.ABOUT_ITS_LENGTH: "with its other face to the wheel",
    Turn.ABOUT_AN_UPRIGHT: "end for end, with its other face to the wheel",
    Turn.END_FOR_END: "end for end",
}


def hundred(chance: float) -> str:
    """Say a chance [1], so many in a hundred."""
    share = round(100 * chance)
    if share < 1:
        return "less than 1 in 100"
    return "more than 99 in 100" if share > 99 else f"{share} in 100"


def part_of(fault: Fault) -> str:
    """Name the part of a fault, with its side."""
    return sided(fault.side, fault.table)


def sided(side: str, table: str) -> str:
    """Name the part of a table, with its side."""
    part = name_part(table)
    return part.replace("the ", f"the {side} ", 1) if side in ("right", "left") else part


def way_of(ways: Sequence[str]) -> str:
    """Say which way a rod is bent, or which it may be."""
    return " or ".join(
        way.replace("_", " ")
        .replace("towards frames", "towards the frames")
        .replace("from frames", "from the frames")
        for way in ways
    )
