"""How sure each finding is by turning many engines, in words and as data."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, assert_never

from linkage.cause import Kind, Thing
from linkage.cause.sure import FEW, Chance, Sure, Why
from linkage.examine import Examination
from linkage.report.blocks import Block, Bullets, Finding, Gap, Heading, Paragraph
from linkage.report.feeling import say_line
from linkage.report.naming import name_number
from linkage.report.next_test import hundred
from linkage.report.program import program_version
from linkage.report.spots import say_what
from linkage.report.voice import Voice, capital, degrees, listed, to_bench
from linkage.tables.origin import Source
from linkage.tightspots import kind_of
from linkage.units import hour

OTHERS = 6
"""Things that the sheet does not have, told at the most."""
_SAME = 0.03  # chances this near, on either side, are told as one
_MOSTLY = 0.5  # share of a spread from which guesses make it
_SOURCE = {
    Source.MEASURED: "measured",
    Source.PLANNED: "not yet measured after the work",
    Source.GUESSED: "a guess",
    Source.ASSUMED: "assumed",
}


def sure_blocks(found: Examination, sure: Sure) -> Iterator[Block]:
    """Yield how likely the wheels turn, each finding with its chance, and what to measure."""
    sheet, voice = found.sheet, to_bench(found.sheet)
    yield Heading(sheet.title or sheet.source, 1)
    yield Gap()
    yield Paragraph(f"Nothing stops the wheels: {hundred(sure.free)}.", "strong")
    yield Paragraph(
        f"{sure.count} engines were drawn, each number within what it may be out, and turned."
    )
    if sheet.felt:
        yield Bullets(tuple(f"{say_line(line, voice)}." for line in sheet.felt))
        yield Paragraph(_say_weighed(sure))
    yield Gap()
    some = _once(sure.chances)
    for number, (one, both) in enumerate(some[: _told(some)], 1):
        lines = tuple(_about(one, both))
        yield Finding(f"{number}. {_say(found, one, voice, both)}: {_likely(one)}.", lines)
    if len(some) > _told(some):
        most = hundred(max(one.chance for one, _ in some[_told(some) :]))
        yield Paragraph(f"{len(some) - _told(some)} more that may stop it, at most {most} each.")
    if not sure.chances:
        yield Paragraph("There is no finding, and nothing else came of the errors.")
    if sure.next:
        yield Gap()
        yield Heading("What to measure next", 3)
        yield Bullets(
            tuple(
                f"{capital(name_number(one.number.key))} ({_SOURCE[one.number.origin.source]}): "
                f"{hundred(one.share)} of the doubt."
                for one in sure.next
            )
        )


def _once(chances: Sequence[Chance]) -> list[tuple[Chance, bool]]:
    """Return what is to be told, with whether it is so of both sides alike."""
    told: list[tuple[Chance, bool]] = []
    for one in chances:
        like = next(
            (k for k, (held, both) in enumerate(told) if not both and _alike(held, one)), None
        )
        if like is None:
            told.append((one, False))
        else:
            told[like] = told[like][0], True
    return told


def _alike(one: Chance, other: Chance) -> bool:
    """Tell whether two things that the sheet does not have are the same on either side."""
    a, b = one.thing, other.thing
    if a is None or b is None or one.spot is not None or other.spot is not None:
        return False
    return (a.kind, a.parts) == (b.kind, b.parts) and abs(one.chance - other.chance) < _SAME


def _told(some: Sequence[tuple[Chance, bool]]) -> int:
    """Return how many are told: all that the sheet has, and the first others."""
    return sum(one.spot is not None for one, _ in some) + OTHERS


def _say_weighed(sure: Sure) -> str:
    if sure.weighed:
        return (
            "They are weighed by how well they would make that felt: "
            f"as many as {sure.counting:.0f} of them count."
        )
    return (
        f"Fewer than {FEW} of them would make that felt, so it does not weigh them: something is "
        "wrong that is not on the sheet. `tightspot cause` says what."
    )


def _say(found: Examination, one: Chance, voice: Voice, both: bool = False) -> str:
    if one.spot is not None:
        side = f" ({one.spot.side})" if one.spot.side in ("right", "left") else ""
        return f"{capital(say_what(one.spot, voice))}{side}"
    if one.thing is None:
        return "Not on the sheet as it is: the coupled wheels bind"
    return f"Not on the sheet as it is: {_stopping(one.thing, both)}"


def _stopping(thing: Thing, both: bool) -> str:
    names = listed([f"the {name}" for name in thing.parts])
    side = f" ({thing.side})" if thing.side in ("right", "left") else ""
    side = " (on either side)" if both else side
    match thing.kind:
        case Kind.FOULS:
            return f"{names} meet{side}"
        case Kind.OPEN:
            return f"{names} cannot close{side}"
        case Kind.RUNS_OFF:
            return f"the {thing.parts[0]} runs off the {thing.parts[1]}{side}"
        case Kind.PINCHED:
            return f"{names} are pinched{side}"
        case _:
            assert_never(thing.kind)


def _likely(one: Chance) -> str:
    return "not turned" if math.isnan(one.chance) else hundred(one.chance)


def _about(one: Chance, both: bool) -> Iterator[str]:
    """Yield where it mostly is, and what the first order says of it."""
    side = one.thing.side if one.thing is not None else "right"
    if not math.isnan(one.at) and one.chance > 0:
        place = f"{degrees(one.at)} degrees of that side's crank"
        yield f"Mostly at {place}." if both else f"Mostly at {hour(side, one.at)} ({place})."
    if one.guessed > _MOSTLY and one.spot is None:
        yield "By numbers that nobody measured: measure before you believe it."
    first = "" if math.isnan(one.first) else hundred(one.first)
    match one.why:
        case None:
            yield f"To first order, as `tightspot check` has it: {first}; the two agree."
        case Why.FAR:
            yield (
                f"To first order {first}, and by sampling {hundred(one.unfelt)}: {one.why.value}."
            )
        case Why.NOT_TURNED:
            yield f"To first order {first}." if first else "How sure it is cannot be worked out."
        case Why.NO_SLOPES:
            yield "By sampling alone: `tightspot check` does not look at its slopes."
        case _:
            assert_never(one.why)


def sure_data(found: Examination, sure: Sure) -> dict[str, Any]:
    """Return how sure it is as one object of plain values.

    ``free``: chance that nothing stops the wheels; ``findings``: ``said``, ``kind``, ``side``,
    ``parts``, ``on_sheet``, ``chance``, ``unfelt`` (without what was felt), ``first_order``, null
    where there is none; ``guessed``: what share of its spread comes from numbers that nobody
    measured; ``at_deg``; ``agrees``, and ``why`` where not; ``measure_next``: ``key``,
    ``share`` of the doubt; ``drawn``, and as how many ``counting`` by what was felt.
    """
    voice = to_bench(found.sheet)
    return {
        "free": round(sure.free, 4),
        "findings": [_data(found, one, voice) for one in sure.chances],
        "measure_next": [
            {"key": one.number.key, "share": round(one.share, 3)} for one in sure.next
        ],
        "drawn": sure.count,
        "counting": round(sure.counting, 1),
        "felt_weighs": sure.weighed,
        "sheet": found.sheet.source,
        "version": program_version(),
    }


def _data(found: Examination, one: Chance, voice: Voice) -> dict[str, Any]:
    thing, spot = one.thing, one.spot
    kind = thing.kind.value if thing is not None else "play used up"
    side = thing.side if thing is not None else "both"
    return {
        "said": _say(found, one, voice),
        "kind": kind if spot is None else kind_of(spot).name,
        "side": side if spot is None else spot.side,
        "parts": list(spot.parts if spot is not None else thing.parts if thing is not None else ()),
        "on_sheet": spot is not None,
        "chance": _plain(one.chance, 4),
        "unfelt": _plain(one.unfelt, 4),
        "first_order": _plain(one.first, 4),
        "guessed": round(one.guessed, 3),
        "at_deg": _plain(math.degrees(one.at), 0),
        "agrees": one.why is None,
        "why": None if one.why is None else one.why.value,
    }


def _plain(value: float, places: int) -> float | None:
    return None if math.isnan(value) else round(float(value), places)
