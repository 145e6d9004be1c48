"""The appendix for the bench: every number, every clearance, every finding with its cures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path

from linkage.report.blocks import (
    Block,
    Bullets,
    Column,
    Grid,
    Heading,
    Paragraph,
    Picture,
    Pictures,
)
from linkage.report.cautions import BENDING, CAUTION, STEAM, TURNING
from linkage.report.program import program_version
from linkage.sheet import Sheet

_ABREAST = 2  # photographs side by side


def photograph_blocks(photographs: Sequence[Picture]) -> Iterator[Block]:
    """Yield the photographs, two abreast."""
    if photographs:
        yield Heading("Photographs")
    for first in range(0, len(photographs), _ABREAST):
        yield Pictures(tuple(photographs[first : first + _ABREAST]))


def number_blocks(before: Sheet, after: Sheet | None) -> Iterator[Block]:
    """Yield every number of a sheet, or of two, with its unit and its measuring error.

    `after`: as it was measured after the work.
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
            f"asked for {sheet.lengths.small(sheet.wanted_clearance)}."
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
    known = [sheet.origins[key] for sheet in given if key in sheet.origins]
    angle, lengths = any(key in sheet.angles for sheet in given), sheets[0].lengths

    def say(x: float) -> str:
        return f"{x:.2f}" if angle else lengths.figure(x)

    return (
        key,
        *(say(numbers[key]) if key in numbers else "none" for numbers in held),
        "degrees" if angle else lengths.head,
        " and ".join(sorted({origin.source for origin in known})),
        ", ".join(dict.fromkeys(say(origin.error) for origin in known)),
    )


def caution_blocks() -> Iterator[Block]:
    """Yield the cautions that go with the work, and what the report was made with."""
    yield Heading("Cautions")
    yield Bullets((CAUTION, TURNING, BENDING, STEAM))
    version = program_version()
    number = f" {version}" if version[:1].isdigit() else ""
    yield Paragraph(f"Made with tightspot{number}.", "small")
