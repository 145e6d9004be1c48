"""Sheets as a command reads them: said as the call wants it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from linkage.lengths import Inches
from linkage.sheet import Sheet, read_sheet

_KEY = f"{__name__}.mm_beside"  # of what the call wants, in the context


def _keep(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    ctx.meta[_KEY] = wanted


mm_beside = click.option(
    "--mm",
    is_flag=True,
    expose_value=False,
    callback=_keep,
    help="Of a sheet in inches: say millimetres beside them.",
)


def read(path: Path) -> Sheet:
    """Read a sheet, to be said as the call wants it."""
    return as_asked(read_sheet(path))


def as_asked(sheet: Sheet) -> Sheet:
    """Return a sheet to be said as the call wants it."""
    wanted = click.get_current_context().meta.get(_KEY, False)
    if wanted and isinstance(sheet.lengths, Inches):
        return replace(sheet, lengths=replace(sheet.lengths, beside=True))
    return sheet
