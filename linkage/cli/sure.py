"""`tightspot sure`: how sure each finding is, and what to measure next."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from linkage.cli.feeling import felt_option, read_felt
from linkage.cli.pages import say
from linkage.cli.progress import counted
from linkage.cli.sheets import mm_beside


@click.command("sure")
@click.argument("sheet", type=click.Path(path_type=Path))
@felt_option
@click.option(
    "--engines",
    type=click.IntRange(100, 100_000),
    default=1000,
    help="How many engines are drawn: with 1000 a chance is good to 3 in 100.  [default: 1000]",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(sheet: Path, felt: tuple[str, ...], engines: int, as_json: bool) -> None:
    """Say how sure each finding on SHEET is, with its numbers as uncertain as they are.

    Engines are drawn that the sheet may be of, every number within what it may be out, and each is
    turned. Told is in how many something stops the wheels, what and where, what else may that the
    sheet does not show, whether that agrees with what `check` says, and which number is worth
    measuring next.

    Exit status: 0 it was worked out, 2 the sheet or the call cannot be used.

    Example: tightspot sure my-engine.toml
    """
    from linkage.cause.sure import sure_of
    from linkage.examine import examine
    from linkage.report.sure import sure_blocks, sure_data

    found = examine(read_felt(sheet, felt))
    sure = sure_of(found, engines, counted("Turning engines"))
    if as_json:
        click.echo(json.dumps(sure_data(found, sure), indent=2, ensure_ascii=False))
    else:
        say(sure_blocks(found, sure))
    sys.exit(0)
