"""All that is said at length of what was found out, as blocks for the terminal, HTML and paper."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from linkage.advice import Advice
from linkage.advice.bending import BendAdvice
from linkage.advice.comparison import Changed, Comparison
from linkage.advice.cure import Tried, bends, changes_of
from linkage.advice.guessed import unlike_as_measured
from linkage.advice.keys import bare_key
from linkage.advice.window import Windows
from linkage.certainty import Word, how_sure
from linkage.clearance import PairClearance
from linkage.examine import Examination
from linkage.lengths import Lengths
from linkage.letters import held_together
from linkage.report.advising import say_bend, say_left, say_windows
from linkage.report.asked import say_asked
from linkage.report.blocks import Block, Bullets, Column, Finding, Gap, Grid, Heading, Paragraph
from linkage.report.cautions import BENDING, CAUTION
from linkage.report.cures import say_cure
from linkage.report.elsewhere import POINTER, POINTER_IN_DOUBT
from linkage.report.feeling import felt_blocks
from linkage.report.gear import brief_place, say_looked, say_unseen
from linkage.report.naming import name_number
from linkage.report.spots import say_again, say_spot, say_what
from linkage.report.sureness import say_sure, say_whole
from linkage.report.voice import Voice, degrees, to_bench
from linkage.report.words import HELD, count_spots, say_curves, say_free, say_play
from linkage.sheet import Sheet, is_angle
from linkage.tightspots import TightSpot, amount_of
from linkage.units import hour

NO_CURE = "No cure is known for it."
NO_TIME = "The time allowed ran out before a cure was found."
NEAREST = 6
"""Pairs listed unless all are asked for."""
UNLIKE = 4
"""Numbers in which the sides differ that are named."""


_MEASURE_AGAIN = "Measure them again, on either side."
_COMPARE = (
    "`tightspot compare` with this sheet alone sets the sides beside one another."  # at a terminal
)

BROKEN_OFF = "The search for cures was broken off before this one."


def check_blocks(
    examination: Examination, advice: Iterable[Advice], everything: bool
) -> Iterator[Block]:
    """Yield what was found out; every tight spot before the first cure is asked for.

    `advice`: may still be sought, and may end early. `everything`: all clearances and all that was
    assumed.
    """
    sheet = examination.sheet
    yield Heading(sheet.title or held_together(sheet.source), 1)
    yield Gap()
    if examination.free:
        yield Paragraph(say_free(examination), "strong")
    else:
        yield Paragraph(count_spots(examination.spots))
    yield Paragraph(say_whole(examination))
    yield from _found(examination)
    yield from felt_blocks(examination)
    cures: list[Tried] = []
    for item, block in _cured(examination, advice):
        cures += item.cures if item else ()
        yield block
    yield Gap()
    yield from clearance_blocks(examination, everything)
    yield from whole_blocks(examination)
    yield from _unlike(examination, cures, _COMPARE)
    yield from _assumed(sheet, everything)
    if any(bends(tried.cure) for tried in cures):
        yield Paragraph(BENDING)
    if examination.free:
        sure = how_sure(examination).whole.word is Word.CLEAR
        yield Paragraph(POINTER if sure else POINTER_IN_DOUBT)
    yield Paragraph(CAUTION, "small")


def examined_blocks(examination: Examination, page: bool = False) -> Iterator[Block]:
    """Yield all that was found out, with all clearances and all that was assumed, but no cures.

    `page`: whether it is read on the page to work at.
    """
    sheet = examination.sheet
    yield Heading(sheet.title or held_together(sheet.source), 1)
    text = say_free(examination) if examination.free else count_spots(examination.spots)
    yield Paragraph(text, "strong")
    yield Paragraph(say_whole(examination))
    yield from _found(examination)
    yield from felt_blocks(examination, page)
    yield from clearance_blocks(examination, everything=True)
    yield from whole_blocks(examination)
    yield from _unlike(examination, ())
    yield from _assumed(sheet, everything=True)


def _found(examination: Examination) -> Iterator[Finding]:
    """Yield the tight spots without their cures, numbered, none said twice."""
    known: dict[str, int] = {}
    voice = to_bench(examination.sheet)
    spots = zip(examination.spots, how_sure(examination).spots, strict=True)
    for number, (spot, judged) in enumerate(spots, 1):
        first = known.setdefault(say_what(spot, voice), number)
        if first == number:
            text = f"{say_spot(examination, spot)} {say_sure(judged, voice)}"
        else:
            text = say_again(examination, spot, first)
        yield Finding(f"{number}. {text}", again=first != number)


def _cured(
    examination: Examination, advice: Iterable[Advice]
) -> Iterator[tuple[Advice | None, Block]]:
    """Yield each tight spot's cures in words; after a search that ended early, that it did."""
    several = len(examination.spots) > 1
    if several:
        yield None, Gap()
    said: dict[tuple[str, ...], int] = {}
    found = iter(advice)
    for number in range(1, len(examination.spots) + 1):
        item = next(found, None)
        lines = (BROKEN_OFF,) if item is None else cure_lines(item, to_bench(examination.sheet))
        first = said.setdefault(lines, number) if item and item.cures else number
        if first != number:
            lines = (f"The cure is the same as of {first}.",)
        start = f"{number}. " if several else ""
        yield item, Bullets((f"{start}{lines[0]}", *lines[1:]))


def cure_lines(item: Advice, voice: Voice) -> tuple[str, ...]:
    """Return the cures of a tight spot in words, or that there is none."""
    cures = (say_cure(tried, voice) for tried in item.cures)
    lines = tuple(f"{'Or: ' if i else 'Cure: '}{cure}" for i, cure in enumerate(cures))
    return lines or (NO_TIME if item.cut_short else NO_CURE,)


def finding_blocks(examination: Examination, advice: tuple[Advice, ...]) -> Iterator[Finding]:
    """Yield the tight spots with their cures, numbered, none said twice."""
    said: set[tuple[str, ...]] = set()
    known: dict[tuple[str, tuple[str, ...]], int] = {}
    sure, voice = how_sure(examination).spots, to_bench(examination.sheet)
    for number, (item, judged) in enumerate(zip(advice, sure, strict=False), 1):
        cures = tuple(say_cure(tried, voice) for tried in item.cures)
        first = known.setdefault((say_what(item.spot, voice), cures), number)
        if first != number:
            again = say_again(examination, item.spot, first)
            yield Finding(f"{number}. {again}", again=True)
            continue
        lines = cure_lines(item, voice)
        if cures and cures in said:
            lines = ("The cure is the same as above.",)
        said.add(cures)
        found = f"{number}. {say_spot(examination, item.spot)} {say_sure(judged, voice)}"
        yield Finding(found, lines)


def whole_blocks(examination: Examination) -> Iterator[Paragraph]:
    """Yield what is said of the engine as a whole: play used, curves, and what is asked about."""
    said = (say_looked, say_unseen, say_play, say_curves)
    for text in (*(say(examination) for say in said), *say_asked(examination)):
        if text:
            yield Paragraph(text)


def clearance_blocks(examination: Examination, everything: bool) -> Iterator[Block]:
    """Yield the nearest clearances, or every one that was followed with what holds it."""
    compared = sum(len(side.survey.compared) for side in examination.sides.values())
    rows = sorted(
        (
            (pair.least, side, pair)
            for side in examination.sides
            for pair, _ in examination.nearest_pairs(side)
        ),
        key=lambda row: row[0],
    )
    if not rows:
        if compared:
            yield Paragraph(f"{compared} pairs of parts compared; none comes near another.")
        return
    count = len(rows)
    crank = "crank" if "only" in examination.sides else "right-hand crank"
    words = {pair.between_samples for _, _, pair in rows}
    alike = f"; all {words.pop()} between the samples" if len(words) == 1 else ""
    of = "the one pair" if compared == 1 else f"{compared} pairs"
    yield Paragraph(f"Nearest of {of} of parts compared, degrees of the {crank}{alike}:")
    worn = {
        (side, pair.parts): there.worn[pair.parts].least
        for side in examination.sides
        for pair, there in examination.nearest_pairs(side)
        if pair.parts in there.worn
    }
    held, lengths = everything or not alike, examination.sheet.lengths
    gears = [_gear(examination, side, pair) for _, side, pair in rows]
    columns = [
        Column(f"air, {lengths.small_head}", 2.0, right=True),
        *([Column("worn", 2.0, right=True)] if worn else []),
        *([Column("asked", 1.0, right=True)] if everything else []),
        Column("between", 4.6),
        Column("side", 0.9),
        Column("at", 2.8),
        *([Column("reverser", 1.9)] if any(gears) else []),
        *([Column("held", 1.3)] if held else []),
    ]
    if not everything:
        rows, gears = rows[:NEAREST], gears[:NEAREST]
    cells = tuple(
        (
            _air(lengths, least),
            *([_air(lengths, worn.get((side, pair.parts), math.nan))] if worn else []),
            *([lengths.small_figure(pair.asked)] if everything else []),
            " and ".join(pair.parts),
            _side(side),
            f"{degrees(examination.right_hand(side, pair.at))} deg, {hour(side, pair.at)}",
            *([gear] if any(gears) else []),
            *([pair.between_samples] if held else []),
        )
        for (least, side, pair), gear in zip(rows, gears, strict=True)
    )
    yield Grid(tuple(columns), cells)
    if worn:
        yield Paragraph("Worn: with all the play of the gear's joints taken up the worst way.")
    if everything:
        yield Paragraph(HELD)
    elif count > NEAREST:
        yield Paragraph(f"{count - NEAREST} more have their figures with --all.")


def _gear(examination: Examination, side: str, pair: PairClearance) -> str:
    """Say in which gear a pair is nearest; empty where that makes no difference."""
    held = examination.everywhere.get(side)
    if held is None or pair.parts not in held.nearest:
        return ""
    return brief_place(held.nearest[pair.parts][1])


def _air(lengths: Lengths, least: float) -> str:
    if math.isnan(least):
        return "none"
    said = lengths.small_figure(abs(least))
    return said if least >= 0 else f"overlap {said}"


def _side(side: str) -> str:
    return "" if side == "only" else side


def _unlike(
    examination: Examination, cures: Iterable[Tried], then: str = _MEASURE_AGAIN
) -> Iterator[Paragraph]:
    """Yield which numbers are surely not alike on both sides, but those that a cure changes.

    `cures`: those that were told. `then`: what to do about it.
    """
    sheet = examination.sheet
    named = {bare_key(key) for tried in cures for key, _ in changes_of(tried.cure)}
    side, *others = sheet.sides
    said = []
    for key in sorted(unlike_as_measured(examination, side) - named) if others else ():
        values = [
            f"{name} {_number(sheet, own, held[own])}"
            for name, held in sheet.dimensions.items()
            for own in (f"{name}.{key}", key)
            if own in held
        ]
        said.append(f"{name_number(key)} ({', '.join(values)})")
    if said:
        less, more = said[:UNLIKE], len(said) - UNLIKE
        beyond = f"; and {more} more" if more > 0 else ""
        yield Paragraph(
            f"By more than they were measured to, the sides differ in {'; '.join(less)}{beyond}. "
            "No cure rests on that; where they ought to be alike, one is not the engine's own, or "
            f"was measured wrongly. {then}"
        )


def _assumed(sheet: Sheet, everything: bool) -> Iterator[Block]:
    if not sheet.assumed:
        return
    yield Gap()
    count = len(sheet.assumed)
    if everything:
        yield Paragraph("Assumed, because the sheet does not say:")
        yield Bullets(tuple(sheet.assumed))
    elif count == 1:
        yield Paragraph("1 number was assumed because the sheet does not give it (--all lists it).")
    else:
        yield Paragraph(
            f"{count} numbers were assumed because the sheet does not give them (--all lists them)."
        )


def comparison_blocks(
    before: Examination, after: Examination, found: Comparison
) -> Iterator[Block]:
    """Yield what differs between two sheets, or two sides of the same one."""
    first, second = map(held_together, found.names)
    yield Heading(f"{first} against {second}", 1)
    yield from changed_blocks(before, after, found, (f"Only {first}:", f"Only {second}:"))
    yield Gap()
    if before is after:
        yield Paragraph(say_whole(before))
    else:
        yield Paragraph(f"How sure, {first}: {say_whole(before)}")
        yield Paragraph(f"How sure, {second}: {say_whole(_said_as(before.sheet.lengths, after))}")
    yield Paragraph(CAUTION, "small")


def changed_blocks(
    before: Examination,
    after: Examination,
    found: Comparison,
    only: tuple[str, str],
    past: bool = False,
) -> Iterator[Block]:
    """Yield what differs: spots of one alone under their headings, airs, numbers of the sheet.

    `past`: true where what only the first has was put right since.
    """
    after = _said_as(before.sheet.lengths, after)
    if found.alike:
        yield Paragraph("Alike in all that was looked at.")
    if found.gone:
        yield from _spots(only[0], [say_spot(before, spot, past) for spot in found.gone])
    if found.new:
        yield from _spots(only[1], [say_spot(after, spot) for spot in found.new])
    sheet, lengths = before.sheet, before.sheet.lengths
    if found.stayed:
        yield from _spots(
            "On both, but not alike:",
            [f"{say_spot(after, new)} {_say_was(old, lengths)}" for old, new in found.stayed],
        )
    columns = ("before", "after") if before is not after else found.names
    for title, name, changes in (
        (f"Air gained, {lengths.small_head}:", "between", found.gained),
        (f"Air lost, {lengths.small_head}:", "between", found.lost),
    ):
        if changes:
            yield Gap()
            yield Heading(title, 3)
            rows = [(_air(lengths, c.before), _air(lengths, c.after), c) for c in changes]
            yield _changes(rows, (*columns, name))
    if found.dimensions:
        yield Gap()
        yield Heading(f"Numbers on the sheet, {lengths.head} or degrees:", 3)
        numbers = [
            (_number(sheet, c.name, c.before), _number(sheet, c.name, c.after), c)
            for c in found.dimensions
        ]
        yield _changes(numbers, (*columns, "number"))


def _said_as(lengths: Lengths, examination: Examination) -> Examination:
    """Return an examination whose lengths are said as another's, so that both can be compared."""
    if examination.sheet.lengths == lengths:
        return examination
    return replace(examination, sheet=replace(examination.sheet, lengths=lengths))


def _spots(title: str, items: Sequence[str]) -> Iterator[Block]:
    yield Gap()
    yield Paragraph(title)
    yield Bullets(tuple(items))


def _say_was(old: TightSpot, lengths: Lengths) -> str:
    return f"It was {lengths.small(amount_of(old))}."


def _number(sheet: Sheet, key: str, value: float) -> str:
    """Say a number of a sheet in a table [mm, degrees]; "none" where it does not stand on it."""
    if math.isnan(value):
        return "none"
    return f"{value:.2f}" if is_angle(sheet, key) else sheet.lengths.figure(value)


def _changes(changes: Sequence[tuple[str, str, Changed]], columns: tuple[str, str, str]) -> Grid:
    before, after, name = columns
    heads = (
        Column(before, 1.4, right=True),
        Column(after, 1.4, right=True),
        Column(name, 5),
        Column("side", 1),
    )
    rows = tuple((was, now, change.name, _side(change.side)) for was, now, change in changes)
    return Grid(heads, rows)


def windows_blocks(sheet: Sheet, found: Windows) -> Iterator[Block]:
    """Yield how far one number can go."""
    yield from say_windows(sheet, found)
    yield Paragraph(CAUTION, "small")


def bend_blocks(sheet: Sheet, advice: Sequence[BendAdvice]) -> Iterator[Block]:
    """Yield how to set the bends of a rod."""
    for item in advice:
        first, *rest = say_bend(sheet, item)
        yield Paragraph(first, "strong")
        yield Bullets(tuple(rest))
        yield from say_left(sheet, item.windows.left, "rod")
    yield Paragraph(BENDING)
    yield Paragraph(CAUTION, "small")
