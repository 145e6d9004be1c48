"""The appendix for the bench: every number, every clearance, every finding with its cures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path

from linkage.advice import Advice
from linkage.advice.comparison import Changed, Comparison
from linkage.clearance import PairClearance
from linkage.examine import Examination
from linkage.handover.blocks import (
    Block,
    Bullets,
    Column,
    Grid,
    Heading,
    Paragraph,
    Picture,
    Pictures,
)
from linkage.report.data import program_version
from linkage.report.findings import say_findings
from linkage.report.spots import say_spot
from linkage.report.voice import degrees
from linkage.report.words import (
    BENDING,
    CAUTION,
    STEAM,
    TURNING,
    say_curves,
    say_free,
    say_play,
)
from linkage.sheet import Sheet
from linkage.tightspots import amount_of
from linkage.units import hour

_ABREAST = 2  # photographs side by side
_HELD = (
    "Held: proven where the speeds of the parts were enclosed rigorously between the crank angles "
    "looked at; bounded where that rests on sampled speeds with a margin; sampled where neither."
)


def photograph_blocks(photographs: Sequence[Picture]) -> Iterator[Block]:
    """Yield the photographs, two abreast."""
    if photographs:
        yield Heading("Photographs")
    for first in range(0, len(photographs), _ABREAST):
        yield Pictures(tuple(photographs[first : first + _ABREAST]))


def found_blocks(
    examination: Examination, advice: tuple[Advice, ...], title: str
) -> Iterator[Block]:
    """Yield every finding with its cures."""
    yield Heading(title)
    if examination.free:
        yield Paragraph(say_free(examination))
    for said in say_findings(examination, advice):
        yield Paragraph(said.text)
        if said.cures:
            yield Bullets(said.cures)
    for text in (say_play(examination), say_curves(examination)):
        if text:
            yield Paragraph(text)


def changed_blocks(before: Examination, after: Examination, found: Comparison) -> Iterator[Block]:
    """Yield what differs between before and after."""
    yield Heading("What changed")
    if found.alike:
        yield Paragraph("Alike in all that was looked at.")
    for title, examination, spots in (
        ("Gone:", before, found.gone),
        ("New:", after, found.new),
    ):
        if spots:
            past = examination is before
            yield Paragraph(title)
            yield Bullets(tuple(say_spot(examination, spot, past) for spot in spots))
    if found.stayed:
        yield Paragraph("On both, but not alike:")
        yield Bullets(
            tuple(
                f"{say_spot(after, new)} It was {amount_of(old):.2f} mm."
                for old, new in found.stayed
            )
        )
    for title, changes in (
        ("Numbers on the sheet, mm or degrees", found.dimensions),
        ("Air gained, mm", found.gained),
        ("Air lost, mm", found.lost),
    ):
        if changes:
            yield Heading(title, 3)
            yield _changes(changes)


def _changes(changes: Sequence[Changed]) -> Grid:
    columns = (
        Column("between" if " and " in changes[0].name else "number", 5),
        Column("side", 1),
        Column("before", 1.4, right=True),
        Column("after", 1.4, right=True),
    )
    rows = tuple(
        (change.name, _side(change.side), _air(change.before), _air(change.after))
        for change in changes
    )
    return Grid(columns, rows)


def _air(x: float) -> str:
    if math.isnan(x):
        return "none"
    return f"{x:.2f}" if x >= 0 else f"overlap {-x:.2f}"


def _side(side: str) -> str:
    return "" if side == "only" else side


def clearance_blocks(examination: Examination, title: str) -> Iterator[Block]:
    """Yield every clearance that was followed."""
    yield Heading(title)
    compared = sum(len(side.survey.compared) for side in examination.sides.values())
    rows = sorted(
        (
            (pair.least, side, pair)
            for side, findings in examination.sides.items()
            for pair in findings.survey.pairs
        ),
        key=lambda row: row[0],
    )
    if not rows:
        said = (
            "No parts with outlines are on the sheet."
            if not compared
            else (f"{compared} pairs of parts compared; none comes near another.")
        )
        yield Paragraph(said)
        return
    crank = "crank" if "only" in examination.sides else "right-hand crank"
    yield Paragraph(
        f"{compared} pairs of parts compared; those that come near one another, nearest first. "
        f"Degrees are the {crank}'s, the clock is that of the side concerned. {_HELD}"
    )
    yield _clearances(examination, rows)
    if any(findings.worn for findings in examination.sides.values()):
        yield Paragraph("Worn: with all the play of the gear's joints taken up the worst way.")


def _clearances(examination: Examination, rows: Sequence[tuple[float, str, PairClearance]]) -> Grid:
    """Return the table of all clearances, nearest first."""
    worn = {
        (side, parts): found.least
        for side, findings in examination.sides.items()
        for parts, found in findings.worn.items()
    }
    columns = (
        Column("air, mm", 1.5, right=True),
        *([Column("worn, mm", 1.5, right=True)] if worn else []),
        Column("asked", 1.0, right=True),
        Column("between", 4.6),
        Column("side", 0.9),
        Column("degrees", 1.3, right=True),
        Column("clock", 1.9),
        Column("held", 1.3),
    )
    cells = tuple(
        (
            _air(least),
            *([_air(worn[side, pair.parts])] if worn else []),
            f"{pair.asked:.2f}",
            " and ".join(pair.parts),
            _side(side),
            degrees(examination.right_hand(side, pair.at)),
            hour(side, pair.at),
            pair.between_samples,
        )
        for least, side, pair in rows
    )
    return Grid(columns, cells)


def number_blocks(before: Sheet, after: Sheet | None) -> Iterator[Block]:
    """Yield every number of a sheet, or of two, with its unit and its measuring error.

    Parameters
    ----------
    after : Sheet or None
        As it was measured after the work.
    """
    yield Heading("Numbers")
    sheets = (before,) if after is None else (before, after)
    held = [
        {key: x for side in sheet.dimensions.values() for key, x in side.items()}
        for sheet in sheets
    ]
    names = ("value",) if after is None else ("came in", "after")
    yield Paragraph(
        " ".join(
            f"Sheet{'' if after is None else f' {name}'}: {Path(sheet.source).name}, clearance "
            f"asked for {sheet.wanted_clearance:.2f} mm."
            for sheet, name in zip(sheets, names, strict=True)
        )
    )
    columns = (
        Column("number", 5),
        *(Column(name, 1.2, right=True) for name in names),
        Column("unit", 1.2),
        Column("from", 1.5),
        Column("plus or minus", 1.9, right=True),
    )
    yield Grid(columns, tuple(_number(key, sheets, held) for key in dict.fromkeys(chain(*held))))
    assumed = list(dict.fromkeys(line for sheet in sheets for line in sheet.assumed))
    if assumed:
        yield Paragraph("Assumed, because the sheet does not say:")
        yield Bullets(tuple(assumed))


def _number(
    key: str, sheets: Sequence[Sheet], held: Sequence[Mapping[str, float]]
) -> tuple[str, ...]:
    """Return the row of one number."""
    given = [sheet for sheet, numbers in zip(sheets, held, strict=True) if key in numbers]
    known = [sheet.errors[key] for sheet in given if key in sheet.errors]
    words = {"measured" if key in sheet.errors else "assumed" for sheet in given}
    return (
        key,
        *(f"{numbers[key]:.2f}" if key in numbers else "none" for numbers in held),
        "degrees" if any(key in sheet.angles for sheet in given) else "mm",
        " and ".join(sorted(words)),
        ", ".join(dict.fromkeys(f"{error:.2f}" for error in known)),
    )


def caution_blocks() -> Iterator[Block]:
    """Yield the cautions that go with the work, and what the report was made with."""
    yield Heading("Cautions")
    yield Bullets((CAUTION, TURNING, BENDING, STEAM))
    version = program_version()
    number = f" {version}" if version[:1].isdigit() else ""
    yield Paragraph(f"Made with tightspot{number}.", "small")
