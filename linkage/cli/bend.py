"""`tightspot bend`: how to set a bent rod."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from linkage.advice.bending import bend_advice
from linkage.cli.pages import say
from linkage.cli.sheets import mm_beside, read


@click.command("bend")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("part")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(sheet: Path, part: str, as_json: bool) -> None:
    """Say how to set the bent PART of SHEET: which way, where, how far at least and at most.

    PART is a rod in the trade's word, "radius rod" or radius_rod. What else is wrong with the
    engine does not count: it is told beside it.

    Exit status: 0 there is such a set, 1 setting it does not cure, 2 the sheet or the call cannot
    be used.

    Example: tightspot bend my-engine.toml radius_rod
    """
    measured = read(sheet)
    try:
        advice = bend_advice(measured, part)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    if as_json:
        from linkage.report.data import bends_data

        click.echo(json.dumps(bends_data(measured, advice), indent=2, ensure_ascii=False))
    else:
        from linkage.report.document import bend_blocks

        say(bend_blocks(measured, advice))
    sys.exit(0 if all(item.window is not None for item in advice) else 1)
