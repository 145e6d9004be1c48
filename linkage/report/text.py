"""Findings as text for a terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from linkage.advice import Advice
from linkage.advice.bending import BendAdvice
from linkage.advice.comparison import Changed, Comparison
from linkage.advice.cure import bends
from linkage.advice.offers import Verdict
from linkage.advice.window import Windows
from linkage.examine import Examination
from linkage.report.advising import say_bend, say_offer, say_windows
from linkage.report.findings import say_findings
from linkage.report.spots import say_spot
from linkage.report.voice import degrees
from linkage.report.words import (
    BENDING,
    CAUTION,
    count_spots,
    say_curves,
    say_free,
    say_play,
)
from linkage.sheet import Sheet
from linkage.tightspots import amount_of
from linkage.units import hour

NEAREST = 6
"""Pairs listed unless all are asked for."""


def check_text(
    examination: Examination, advice: tuple[Advice, ...], everything: bool
) -> Iterator[RenderableType]:
    """Yield what was found out, block by block.

    Parameters
    ----------
    everything : bool
        True to list all that was assumed.
    """
    sheet = examination.sheet
    yield Text(sheet.title or sheet.source, style="bold")
    yield Text("")
    if examination.free:
        yield Text(say_free(examination), style="bold")
    else:
        yield Text(count_spots(len(examination.spots)))
    yield from _spots(examination, advice)
    yield Text("")
    yield from _clearances(examination, everything)
    if examination.play is not None:
        yield Text(say_play(examination))
    if curves := say_curves(examination):
        yield Text(curves)
    yield from _assumed(examination, everything)
    if any(bends(tried.cure) for item in advice for tried in item.cures):
        yield Text(BENDING)
    yield Text(CAUTION, style="dim")


def _spots(examination: Examination, advice: tuple[Advice, ...]) -> Iterator[RenderableType]:
    for said in say_findings(examination, advice):
        if not said.again:
            yield Text("")
        yield Text(said.text, style="bold")
        for line in said.cures:
            yield Padding(Text(line), (0, 0, 0, 3), expand=False)


def _clearances(examination: Examination, everything: bool) -> Iterator[RenderableType]:
    rows = sorted(
        (
            (pair.least, side, pair)
            for side, findings in examination.sides.items()
            for pair in findings.survey.pairs
        ),
        key=lambda row: row[0],
    )
    compared = sum(len(side.survey.compared) for side in examination.sides.values())
    if not rows:
        if compared:
            yield Text(f"{compared} pairs of parts compared; none comes near another.")
        return
    crank = "crank" if "only" in examination.sides else "right-hand crank"
    words = {pair.between_samples for _, _, pair in rows}
    said = f"; all {words.pop()} between the samples" if len(words) == 1 else ""
    yield Text(f"Nearest of {compared} pairs of parts compared, degrees of the {crank}{said}:")
    worn = {
        (side, parts): found.least
        for side, findings in examination.sides.items()
        for parts, found in findings.worn.items()
    }
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for heading in ("air, mm", *(["worn"] if worn else []), "between", "side", "at"):
        table.add_column(heading, justify="right" if heading in ("air, mm", "worn") else "left")
    if not said:
        table.add_column("held")
    for least, side, pair in rows if everything else rows[:NEAREST]:
        angle = degrees(examination.right_hand(side, pair.at))
        airs = [least, worn[side, pair.parts]] if worn else [least]
        where = f"{angle} deg, {hour(side, pair.at)}"
        cells = [*map(_air, airs), " and ".join(pair.parts), "" if side == "only" else side, where]
        table.add_row(*cells, *([] if said else [pair.between_samples]))
    yield Padding(table, (0, 0, 0, 3), expand=False)
    if worn:
        yield Text("Worn: with all the play of the gear's joints taken up the worst way.")
    left = len(rows) - NEAREST
    if left > 0 and not everything:
        yield Text(f"{left} more have their figures with --all.")


def _air(least: float) -> str:
    return f"{least:.2f}" if least >= 0 else f"overlap {-least:.2f}"


def _assumed(examination: Examination, everything: bool) -> Iterator[RenderableType]:
    assumed = examination.sheet.assumed
    if not assumed:
        return
    yield Text("")
    if everything:
        yield Text("Assumed, because the sheet does not say:")
        for line in assumed:
            yield Padding(Text(line), (0, 0, 0, 3), expand=False)
    else:
        one = "1 number was assumed because the sheet does not give it (--all lists it)."
        several = (
            f"{len(assumed)} numbers were assumed because the sheet does not give them "
            "(--all lists them)."
        )
        yield Text(one if len(assumed) == 1 else several)


def comparison_text(
    before: Examination, after: Examination, found: Comparison
) -> Iterator[RenderableType]:
    """Yield what differs between two sheets or two sides, block by block.

    Parameters
    ----------
    before, after : Examination
        Those compared; the same one twice for two sides.
    """
    first, second = found.names
    yield Text(f"{first} against {second}", style="bold")
    if found.alike:
        yield Text("Alike in all that was looked at.")
    for heading, examination, spots in (
        (f"Only {first}", before, found.gone),
        (f"Only {second}", after, found.new),
    ):
        if spots:
            yield Text("")
            yield Text(f"{heading}:")
            for spot in spots:
                yield Padding(Text(say_spot(examination, spot)), (0, 0, 0, 3), expand=False)
    if found.stayed:
        yield Text("")
        yield Text("On both, but not alike:")
        for old, new in found.stayed:
            text = f"{say_spot(after, new)} It was {amount_of(old):.2f} mm."
            yield Padding(Text(text), (0, 0, 0, 3), expand=False)
    columns = found.names if before is after else ("before", "after")
    yield from _changes("Air gained, mm:", found.gained, columns)
    yield from _changes("Air lost, mm:", found.lost, columns)
    yield from _changes("Numbers on the sheet, mm or degrees:", found.dimensions, columns)
    yield Text(CAUTION, style="dim")


def _changes(
    heading: str, changes: tuple[Changed, ...], columns: tuple[str, str]
) -> Iterator[RenderableType]:
    if not changes:
        return
    yield Text("")
    yield Text(heading)
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for column in (*columns, "", ""):
        justify: Literal["left", "right"] = "right" if column else "left"
        table.add_column(column, justify=justify, no_wrap=bool(column), overflow="fold")
    for change in changes:
        figures = (
            "none" if math.isnan(x) else f"{x:.2f}" if x >= 0 else f"overlap {-x:.2f}"
            for x in (change.before, change.after)
        )
        table.add_row(*figures, change.name, change.side if change.side != "only" else "")
    yield Padding(table, (0, 0, 0, 3), expand=False)


def windows_text(sheet: Sheet, found: Windows) -> Iterator[RenderableType]:
    """Yield how far one number can go, line by line."""
    first, *rest = say_windows(sheet, found)
    yield Text(first, style="bold")
    for line in rest:
        indent = len(line) - len(line.lstrip())
        yield Padding(Text(line.lstrip()), (0, 0, 0, indent), expand=False)
    yield Text(CAUTION, style="dim")


def bend_text(sheet: Sheet, advice: Sequence[BendAdvice]) -> Iterator[RenderableType]:
    """Yield how to set the bends of a rod, block by block."""
    for item in advice:
        first, *rest = say_bend(sheet, item)
        yield Text(first, style="bold")
        for line in rest:
            yield Padding(Text(line), (0, 0, 0, 3), expand=False)
    yield Text(BENDING)
    yield Text(CAUTION, style="dim")


def offers_text(verdicts: Sequence[Verdict]) -> Iterator[RenderableType]:
    """Yield whether parts that are offered will do, in one table.

    A table, and the cautions.
    """
    table = Table(box=None, pad_edge=False, padding=(0, 2, 1, 0))
    for heading, widest in (("offer", 20), ("part", 16), ("verdict", None)):
        table.add_column(heading, overflow="fold", max_width=widest)
    for verdict in verdicts:
        offer = verdict.offer
        table.add_row(Text(offer.title, style="bold"), offer.part, Text(say_offer(verdict)))
    yield table
    if any(v.alteration is not None and bends(v.alteration) for v in verdicts):
        yield Text(BENDING)
    yield Text(CAUTION, style="dim")
