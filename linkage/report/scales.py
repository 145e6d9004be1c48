"""Lengths at another scale in words and as plain data, and what rounding does to a motion."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from linkage.advice.scaling import AtScale, Rounded
from linkage.lengths import Lengths
from linkage.report.blocks import Block, Bullets, Column, Grid, Paragraph
from linkage.report.offers import FIGURE_WORDS
from linkage.standards.scales import say_feet
from linkage.standards.stock import Size
from linkage.valve import FIGURES

_FINEST = 64  # fractions of an inch at model size
_COARSE = 16  # and at full size, beyond a foot
_FOOT = 304.8
_NEAR = 0.15  # what is off by more than this share of a length is no use [1]


def _inches(length: float) -> str:
    return say_feet(length, _COARSE if abs(length) > _FOOT else _FINEST)


def _off(size: Size, length: float) -> str:
    """Say what can be bought and by how much it is off, in hundredths of a mm."""
    by = size.size - abs(length)
    if abs(by) > _NEAR * abs(length):
        return "none near"
    return size.name if abs(by) < 5e-4 else f"{size.name} ({by:+.2f})"


def lengths_blocks(found: Sequence[AtScale], scales: tuple[str, str]) -> Iterator[Block]:
    """Yield lengths at another scale as a table.

    `scales`: what they are of, and what they are made to.
    """
    yield Paragraph(f"From {scales[0]} to {scales[1]}:", "strong")
    yield Grid(
        (
            Column("", 3.0), Column("mm there", 1.2, True), Column("nearest in", 1.5, True),
            Column("nearest drill", 2.0), Column("nearest stock", 2.0),
        ),
        tuple(
            (one.key, f"{one.there:.2f}", _inches(one.there), _off(one.drill, one.there),
             _off(one.stock, one.there))
            for one in found
        ),
    )  # fmt: skip
    yield Paragraph(
        "In brackets: by how many mm what can be bought is larger (+) or smaller (-). Stock sizes "
        "are common practice; number and letter drills from memory.",
        "small",
    )


def rounded_blocks(found: Iterable[Rounded], lengths: Lengths) -> Iterator[Block]:
    """Yield what rounding every length does to the motion."""
    for one in found:
        yield Paragraph(f"All lengths rounded to {one.to}, the motion changes so:", "strong")
        if one.fault:
            yield Paragraph(f"It does not go together: {one.fault}")
            continue
        changed = tuple(_changed(one, lengths))
        yield Bullets(changed or ("not by a hundredth of a mm or a tenth of a degree",))


def _changed(one: Rounded, lengths: Lengths) -> Iterator[str]:
    for figure, (before, after) in one.figures.items():
        by = after - before
        if FIGURES[figure].degrees:
            if abs(math.degrees(by)) >= 0.05:
                said = f"{math.degrees(before):.1f} to {math.degrees(after):.1f} degrees"
                yield f"{FIGURE_WORDS[figure].name}: {said}"
        elif FIGURES[figure].change:
            if abs(by) >= lengths.grain / 2:
                more = "more" if by > 0 else "less"
                yield f"{FIGURE_WORDS[figure].name}: {lengths.number(abs(by))} {more}"
        elif abs(by) >= lengths.grain / 2:
            ends = lengths.number(before), lengths.number(after)
            yield f"{FIGURE_WORDS[figure].name}: {ends[0]} to {ends[1]}"


def length_data(one: AtScale) -> dict[str, Any]:
    """Return a length at another scale as plain values; ``length``: as it was given, or its key."""
    return {
        "length": one.key,
        "mm": round(one.here, 4),
        "there_mm": round(one.there, 4),
        "nearest_inches": _inches(one.there),
        "drill": {"name": one.drill.name, "mm": round(one.drill.size, 4)},
        "stock": {"name": one.stock.name, "mm": round(one.stock.size, 4)},
    }


def rounded_data(one: Rounded) -> dict[str, Any]:
    """Return what rounding does as plain values; angles in degrees, lengths in mm there."""
    return {
        "to": one.to,
        "fault": one.fault or None,
        "figures": {
            figure.value: [
                round(math.degrees(value) if FIGURES[figure].degrees else value, 4)
                for value in pair
            ]
            for figure, pair in one.figures.items()
        },
    }
