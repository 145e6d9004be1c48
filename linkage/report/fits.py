"""Fits in words and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from linkage.advice.fitting import Opened, WithPlay
from linkage.lengths import Lengths
from linkage.report.blocks import Block, Bullets, Column, Grid, Paragraph
from linkage.standards.fits import USUAL, Fit
from linkage.standards.stock import DRILLS, REAMERS, nearest

HIDES = (
    "A hole that is opened lets a rod of the wrong length go on: measure the rods' centres and the "
    "axles' before any hole is touched, for afterwards nothing shows it."
)


def fits_blocks(fits: Sequence[Fit]) -> Iterator[Block]:
    """Yield the limits of some fits of one size, and how its hole is made."""
    size = fits[0].size
    drill, reamer = nearest(size, DRILLS), nearest(size, REAMERS)
    yield Paragraph(f"Fits of {size:.4g} mm, least and most in mm:", "strong")
    yield Grid(
        (
            Column("fit", 1.2), Column("hole", 2.0), Column("pin", 2.0), Column("play", 2.0),
            Column("mean", 1.0, True), Column("what for", 3.0),
        ),
        tuple(
            (fit.name, _limits(fit.hole), _limits(fit.pin), _limits((fit.least, fit.most)),
             f"{fit.mean:.3f}", USUAL.get(fit.name, ""))
            for fit in fits
        ),
    )  # fmt: skip
    yield Paragraph(
        f"Nearest reamer {reamer.name} ({reamer.size:.3f} mm), nearest drill {drill.name} "
        f"({drill.size:.3f} mm). A drill alone cuts some hundredths over its size."
    )
    yield Paragraph(
        "ISO 286; deviations of the pins from memory, what each fit is for by common practice. "
        "Play below nought: the pin is that much larger than its hole, and is pressed in.",
        "small",
    )


def _limits(ends: tuple[float, float]) -> str:
    return f"{ends[0]:.3f} {ends[1]:.3f}"


def engine_blocks(
    fit: Fit, found: Sequence[WithPlay], opened: Sequence[Opened], lengths: Lengths
) -> Iterator[Block]:
    """Yield what the play of a fit does to an engine, and what its holes may be opened to."""
    yield Paragraph(f"With {fit.name} in the joints:", "strong")
    yield Bullets(tuple(_said(one, lengths) for one in found))
    if opened:
        yield Paragraph("The coupling rods' holes, opened to the next sizes:", "strong")
        yield Bullets(tuple(_opened(one, lengths) for one in opened))
        yield Paragraph(HIDES)


def _said(one: WithPlay, lengths: Lengths) -> str:
    said = [f"play {lengths.small(one.play)}"]
    if one.used is not None:
        times = f"{one.used:.1f} times" if one.used >= 1 else f"{100 * one.used:.0f} per cent of"
        binds = ", so that they bind" if one.used >= 1 else ""
        said.append(f"the coupled wheels need {times} the play there is{binds}")
    if one.worn is not None:
        said.append(f"{_air(one.worn, lengths)} with all of it taken up")
    if one.touch:
        said.append(f"{one.touch} pairs touch then that clear one another as measured")
    return "; ".join(said)


def _opened(one: Opened, lengths: Lengths) -> str:
    tool = "reamer" if one.reamed else "drill"
    return (
        f"{tool} {one.to.name}: play {lengths.small(one.play)}, which hides rods that are up to "
        f"{lengths.small(one.hides)} out"
    )


def _air(least: float, lengths: Lengths) -> str:
    if least < 0:
        return f"the nearest parts overlap by {lengths.small(-least)}"
    return f"the nearest parts have {lengths.small(least)} of air"


def fit_data(fit: Fit) -> dict[str, Any]:
    """Return a fit as plain values, all in mm."""
    return {
        "fit": fit.name,
        "size_mm": fit.size,
        "hole_mm": list(fit.hole),
        "pin_mm": list(fit.pin),
        "play_mm": [fit.least, fit.most],
        "mean_play_mm": fit.mean,
    }


def engine_data(found: Sequence[WithPlay], opened: Sequence[Opened]) -> dict[str, Any]:
    """Return what a fit does to an engine as plain values; null where there is nothing to tell."""
    return {
        "with_play": [
            {
                "play_mm": round(one.play, 4),
                "play_used": None if one.used is None else round(one.used, 3),
                "least_worn_mm": None if one.worn is None else round(one.worn, 3),
                "touch": one.touch,
            }
            for one in found
        ],
        "holes_opened": [
            {
                "to": one.to.name,
                "tool": "reamer" if one.reamed else "drill",
                "mm": round(one.to.size, 4),
                "play_mm": round(one.play, 4),
                "hides_mm": round(one.hides, 4),
            }
            for one in opened
        ],
    }
