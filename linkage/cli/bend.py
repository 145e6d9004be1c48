"""`tightspot bend`: how to set a bent rod."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from linkage.advice.bending import bend_advice
from linkage.cli.pages import say
from linkage.sheet import read_sheet


@click.command("bend")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("part")
def command(sheet: Path, part: str) -> None:
    """Say how to set the bent PART of SHEET: which way, where, how far at least and at most.

    PART is a rod in the trade's word, "radius rod" or radius_rod.

    Exit status: 0 there is such a set, 1 setting it does not cure, 2 the sheet or the call cannot
    be used.

    Example: tightspot bend my-engine.toml radius_rod
    """
    from linkage.report.document import bend_blocks

    read = read_sheet(sheet)
    try:
        advice = bend_advice(read, part)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    say(bend_blocks(read, advice))
    sys.exit(0 if all(item.window is not None for item in advice) else 1)
