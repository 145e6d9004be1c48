"""`tightspot compare`: what a cure, or the other side, has different."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from linkage.advice.comparison import compare, compare_sides
from linkage.cli.pages import say
from linkage.cli.sheets import mm_beside, read
from linkage.examine import examine


@click.command("compare")
@click.argument("before", type=click.Path(path_type=Path))
@click.argument("after", required=False, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(before: Path, after: Path | None, as_json: bool) -> None:
    """Compare BEFORE with AFTER, or the left side of one sheet with its right: differences only.

    Tight spots gone and new, clearances gained and lost, numbers on the sheet that differ.

    Exit status: 0 no tight spot is new (of two sides: none is on one alone), 1 otherwise, 2 a sheet
    or the call cannot be used.

    Example: tightspot compare as-it-came.toml after-setting.toml
    """
    first = examine(read(before))
    second = first if after is None else examine(read(after))
    try:
        found = compare_sides(first) if after is None else compare(first, second)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    if as_json:
        from linkage.report.data import comparison_data

        click.echo(json.dumps(comparison_data(first, second, found), indent=2, ensure_ascii=False))
    else:
        from linkage.report.document import comparison_blocks

        say(comparison_blocks(first, second, found))
    sys.exit(1 if found.new or (after is None and found.gone) else 0)
