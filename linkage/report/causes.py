"""What may be the cause of what was felt, in words and as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, assert_never

import numpy as np

from linkage.arrangements.numbers import facts_at
from linkage.arrays import Mask
from linkage.cause import (
    BOTH,
    Case,
    Cause,
    Fault,
    How,
    Kind,
    Thing,
    Weighing,
    proposals,
)
from linkage.cause.sampling import CRANK
from linkage.report.blocks import Block, Bullets, Finding, Gap, Heading, Paragraph
from linkage.report.elsewhere import ELSEWHERE
from linkage.report.feeling import say_line, say_stance
from linkage.report.naming import name_number
from linkage.report.next_test import (
    LEAST,
    OFFERED,
    TURNED_ON,
    UNSURE,
    hundred,
    next_blocks,
    part_of,
    say_on_other,
    say_test,
    way_of,
)
from linkage.report.program import program_version
from linkage.report.spots import to_hour
from linkage.report.voice import Ask, Voice, capital, degrees, listed, to_bench
from linkage.units import hour

TOLD = 5
"""Causes told at the most."""
UNEXPLAINED = 1.0
"""A line is explained badly by a cause by which it is not so many times as likely as by something
that has nothing to do with it [1]."""
NOT_AT_ALL = 0.2
"""By which it is this many times as likely or less, it is not explained at all [1]."""
HALF = 0.5
"""A chance from which what is outside the motion is told first [1]."""


def cause_blocks(
    weighing: Weighing, causes: Sequence[Cause], page: bool = False
) -> Iterator[Block]:
    """Yield what was felt and its causes, likeliest first; `page`: for the page to work at."""
    sheet, voice = weighing.sheet, to_bench(weighing.sheet, page)
    yield Heading(sheet.title or sheet.source, 1)
    yield Gap()
    if not weighing.lines:
        yield Paragraph(
            "Nothing that was felt is on the sheet. Say it with --felt, or write it as [[felt]]: "
            "without it no cause is likelier than how often it happens."
        )
    else:
        yield Paragraph("What was felt:")
        yield Bullets(tuple(f"{say_line(line, voice)}." for line in weighing.lines))
    yield Gap()
    yield Paragraph(_verdict(causes, voice), "strong")
    for number, cause in enumerate(told(causes), 1):
        yield Finding(f"{number}. {say_cause(cause, voice)}", tuple(_about(weighing, cause, voice)))
    otherwise = weighing.something_else
    rest = 1 - otherwise - sum(cause.chance for cause in told(causes))
    if rest > LEAST:
        yield Paragraph(
            f"Other faults together: {hundred(rest)}, over {len(weighing.faults)} looked at."
        )
    yield Paragraph(
        "Something else, more faults together or one that no sheet has a place for: "
        f"{hundred(otherwise)}."
    )
    yield from next_blocks(weighing, causes)


def told(causes: Sequence[Cause]) -> Sequence[Cause]:
    """Return the causes that are worth a word."""
    return [one for k, one in enumerate(causes[:TOLD]) if k == 0 or one.chance >= LEAST]


def _verdict(causes: Sequence[Cause], voice: Voice) -> str:
    first = causes[0]
    if first.fault is None and first.chance > HALF:
        return (
            "Nothing in the motion explains what was felt better than something outside it: see "
            f"{voice.see(Ask.ELSEWHERE)}, and try first what is named here."
        )
    if first.chance >= UNSURE:
        return "One cause explains it far better than any other."
    return "Causes that explain it, likeliest first:"


def say_cause(cause: Cause, voice: Voice) -> str:
    """Say a cause and its chance, in a sentence."""
    return f"{capital(say_what_is_wrong(cause, voice))}. Chance: {hundred(cause.chance)}."


def say_what_is_wrong(cause: Cause, voice: Voice) -> str:
    """Say what is wrong by a cause, as a clause; of two faults both."""
    if cause.second is not None:
        one, other = replace(cause, second=None), cause.second
        return f"{say_what_is_wrong(one, voice)}, and {say_what_is_wrong(other, voice)}"
    fault, case = cause.fault, cause.case
    if fault is None or case is None:
        return "something that is not in the motion"
    match fault.how:
        case How.BENT:
            by, at = voice.length(case.size), voice.place(case.at)
            return (
                f"{part_of(fault)} is bent {way_of(fault.ways)}, by about {by}, about {at} along it"
            )
        case How.REFITTED:
            return _is_on(fault)
        case How.MOVED:
            way = "ahead" if case.size > 0 else "back"
            by = voice.length(abs(case.size))
            return f"{part_of(fault)} stands about {by} too far {way}, with all that is fixed to it"
        case How.NUMBER:
            return _say_number(cause, fault, case, voice)
        case _:
            assert_never(fault.how)


def _is_on(fault: Fault) -> str:
    """Say how a part is on, in a clause."""
    said, first = say_on_other(fault), fault.refits[0]
    if first.pins:
        return said.replace(" on ", " are on ", 1)
    if len(fault.refits) > 1:
        return said.replace(" in ", " are in ", 1)
    return f"{part_of(fault)} is on {TURNED_ON[first.turn]}"


def _say_number(cause: Cause, fault: Fault, case: Case, voice: Voice) -> str:
    facts = facts_at(f"{fault.table}.{fault.what}" if fault.table else fault.what)
    name = name_number(fault.key)
    both = " on both sides" if fault.side == BOTH and fault.shared else ""
    by = f"{abs(case.size):.0f} degrees" if fault.angle else voice.length(abs(case.size))
    more = "more" if case.size > 0 else "less"
    if facts.damage and not fault.value:
        return f"{name} is about {by}, and should be nothing"
    if facts.mends == "reset":
        return f"{part_of(fault)} has slipped on its pin, by about {by} ({name} {more})"
    if facts.mends == "turn":
        return f"{part_of(fault)} has slipped on its axle, by about {by} ({name} {more})"
    if facts.mends == "requarter":
        on = "ahead" if (case.size > 0) != (fault.what == "pin_behind_by") else "behind"
        return f"{part_of(fault)} is out of quarter: its pin about {by} {on}"
    if facts.mends == "replace":
        return f"{part_of(fault)} is about {by} too {'long' if case.size > 0 else 'short'}{both}"
    known = "than it should be" if cause.on_sheet else "than the sheet has it"
    return f"{name} is about {by} {more} {known}{both}"


def _about(weighing: Weighing, cause: Cause, voice: Voice) -> Iterator[str]:
    """Yield where it would stop the wheels, what to look for, the cure, what it leaves."""
    if cause.fault is None:
        quickest = listed([one.what for one in ELSEWHERE[:3]])
        yield f"Look for: {quickest}; {voice.see(Ask.ELSEWHERE)}."
    else:
        yield from _where(weighing, cause)
        for text in _look_for(cause):
            yield f"Look for: {text}."
        cures = [_cure(one, voice) for one in (cause, cause.second) if one is not None]
        yield f"Cure: {'; and of the other, '.join(cures)}."
        if cause.on_sheet:
            yield f"The sheet has it already: {voice.see(Ask.CHECK)} gives its cures, tried."
        elif cause.beside:
            yield (
                "It would be a second fault, besides what stands on the sheet: see "
                f"{voice.see(Ask.CHECK)}."
            )
        elif cause.fault.origin.known:
            yield "Only if that was misread: it was measured, so measure it again first."
        elif cause.fault.how in (How.NUMBER, How.MOVED):
            yield "It is not measured yet: measure it."
    shares = [
        (say_line(line, voice), share)
        for line, share in zip(weighing.lines, cause.explains, strict=True)
    ]
    roughly = [line for line, share in shares if NOT_AT_ALL <= share < UNEXPLAINED]
    if roughly:
        yield f"It explains only roughly: {'; '.join(roughly)}."
    not_at_all = [line for line, share in shares if share < NOT_AT_ALL]
    if not_at_all:
        yield f"It does not explain: {'; '.join(not_at_all)}."


def _where(weighing: Weighing, cause: Cause) -> Iterator[str]:
    """Yield where it would stop the wheels, at each place of the reverser there is a line of."""
    where = _stops(weighing, cause, cause.stopped)
    if where:
        yield f"It would stop the wheels {where}."
    for stance, stopped in cause.elsewhere.items():
        there = _stops(weighing, cause, stopped) or "nowhere"
        yield f"{capital(say_stance(stance))} it would stop them {there}."


def _stops(weighing: Weighing, cause: Cause, stopped: Mapping[str, Mask]) -> str:
    sides = {thing.side for thing in cause.things} or set(weighing.sheet.sides)
    some = [name for name in weighing.sheet.sides if name in sides]
    side = next((name for name in some if stopped[name].any()), some[0])
    arcs = arcs_of(stopped[side])
    if not arcs:
        return ""
    if stopped[side].all():
        return "everywhere"
    said = [
        f"from {hour(side, begin)} {to_hour(side, begin, end)} ({degrees(begin)} to {degrees(end)})"
        for begin, end in arcs
    ]
    seen = f", by the {side} crank" if side in ("right", "left") else ""
    return f"{listed(said)}{seen}"


def arcs_of(stopped: np.ndarray[Any, Any]) -> list[tuple[float, float]]:
    """Return the arcs of the crank in which the wheels are stopped, each end after its begin."""
    if stopped.all() or not stopped.any():
        return [(0.0, 2 * np.pi)] if stopped.all() else []
    first = np.flatnonzero(stopped & ~np.roll(stopped, 1)).tolist()
    last = np.flatnonzero(stopped & ~np.roll(stopped, -1)).tolist()
    ends = [next((e for e in last if e >= f), last[0] + len(CRANK)) for f in first]
    step = float(CRANK[1])
    return [(f * step, e * step) for f, e in zip(first, ends, strict=True)]


def _look_for(cause: Cause) -> Iterator[str]:
    fault, case = cause.fault, cause.case
    assert fault is not None
    assert case is not None
    yield from [*dict.fromkeys(_mark(thing) for thing in cause.things)][:2]
    if cause.binds:
        yield _bearing(fault, case)


def _mark(thing: Thing) -> str:
    parts = listed([f"the {name}" for name in thing.parts])
    match thing.kind:
        case Kind.FOULS:
            return f"rubbed paint or a bright spot where {parts} meet, on either ({thing.side})"
        case Kind.OPEN:
            return f"{parts} in one straight line at the lock, and no mark on either"
        case Kind.RUNS_OFF:
            return f"a mark where {parts} meet at the end of the stroke"
        case Kind.PINCHED:
            return f"{parts} gripped with no play left sideways"
        case _:
            assert_never(thing.kind)


def _bearing(fault: Fault, case: Case) -> str:
    if fault.how is How.REFITTED:
        if fault.rods:
            return "which rod is the outer one at the pins, beside the other side"
        return "the ends of the part, that they are alike"
    facts = facts_at(f"{fault.table}.{fault.what}")
    if facts.mends == "requarter":
        return "balance weights that do not stand alike on both wheels of the axle"
    if facts.mends == "replace":
        faces = "nearest" if case.size > 0 else "farthest from"
        return f"the pins hard on the faces of the two holes that are {faces} each other"
    return "pins hard on one face of their holes, on the other face half a turn on"


def _cure(cause: Cause, voice: Voice) -> str:
    fault, case = cause.fault, cause.case
    assert fault is not None
    assert case is not None
    match fault.how:
        case How.BENT:
            how = voice.see(Ask.BEND)
            return f"set it straight again, in small steps: {how} once it is measured"
        case How.REFITTED:
            return "put each on the other's pin" if fault.rods else "put it on as it ought to be"
        case How.MOVED:
            return f"set it back by about {voice.length(abs(case.size))}, and see that it is fast"
        case How.NUMBER:
            return _cure_number(fault, case, voice)
        case _:
            assert_never(fault.how)


def _cure_number(fault: Fault, case: Case, voice: Voice) -> str:
    facts = facts_at(f"{fault.table}.{fault.what}")
    if facts.damage:
        return facts.damage.format(part_of(fault))
    match facts.mends:
        case "requarter":
            return "turn the wheel on its axle, and bond it"
        case "reset":
            return "set it so that its pin is as far from the link's foot pin at either dead centre"
        case "turn":
            return "turn it back on its axle, and make it fast"
        case "replace":
            return "fit one of the right length, or set this one; ease no hole for it"
        case "":
            by = f"{abs(case.size):.0f} degrees" if fault.angle else voice.length(abs(case.size))
            return f"bring it back by about {by}; {voice.see(Ask.WINDOW)} says how far it may go"
        case _:
            assert_never(facts.mends)


def cause_data(weighing: Weighing, causes: Sequence[Cause]) -> dict[str, Any]:
    """Return the causes as one object of plain values.

    ``felt``: the lines; ``causes``, likeliest first: ``said``, ``chance``, ``key`` and ``side`` of
    the number, null outside the motion; ``second``: the same of the other of two faults, null where
    it is one; ``size`` in ``unit``; ``bend``, ``on_sheet``,
    ``unexplained``: lines that it leaves; ``stops``: arcs of the turn by side [degrees], and
    ``stops_elsewhere``, by how the engine stood, where something was felt with it otherwise;
    ``something_else``: the chance that it is in the motion and none of them;
    ``next``: the tests that divide them best, what they take and what is learnt.
    """
    voice = to_bench(weighing.sheet)
    return {
        "felt": [say_line(line, voice) for line in weighing.lines],
        "causes": [_data(weighing, cause) for cause in causes if cause.chance >= 0.001],
        "next": [
            {"said": say_test(one.test), "bits": round(one.bits, 3), "minutes": one.test.minutes}
            for one in proposals(weighing)[:OFFERED]
        ],
        "something_else": round(weighing.something_else, 4),
        "faults_looked_at": len(weighing.faults),
        "sheet": weighing.sheet.source,
        "version": program_version(),
    }


def _data(weighing: Weighing, cause: Cause) -> dict[str, Any]:
    fault, case, voice = cause.fault, cause.case, to_bench(weighing.sheet)
    lines = zip(weighing.lines, cause.explains, strict=True)
    return {
        "said": say_what_is_wrong(cause, voice),
        "chance": round(cause.chance, 4),
        "key": None if fault is None else fault.key,
        "side": None if fault is None else fault.side,
        "bend": fault is not None and fault.bend,
        "size": None if case is None else round(case.size, 3),
        "unit": "degrees" if fault is not None and fault.angle else "mm",
        "on_sheet": cause.on_sheet,
        "second": None if cause.second is None else _data(weighing, cause.second),
        "unexplained": [say_line(line, voice) for line, share in lines if share < UNEXPLAINED],
        "stops": _arcs(cause.stopped),
        "stops_elsewhere": {
            say_stance(stance): _arcs(stopped) for stance, stopped in cause.elsewhere.items()
        },
    }


def _arcs(stopped: Mapping[str, Mask]) -> dict[str, list[list[float]]]:
    return {
        side: [[float(degrees(a)), float(degrees(b))] for a, b in arcs_of(mask)]
        for side, mask in stopped.items()
    }
