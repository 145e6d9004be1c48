"""`tightspot part`: whether a part that is offered will do."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from linkage.advice.offers import Fits, judge_offer
from linkage.cli.pages import say
from linkage.sheet import read_sheet
from linkage.sheet.offers import read_offer


@click.command("part")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("offers", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--side",
    type=click.Choice(["right", "left", "both"]),
    default="both",
    show_default=True,
    help="Where it would go.",
)
def command(sheet: Path, offers: tuple[Path, ...], side: str) -> None:
    """Say whether the parts offered will do in place of those on SHEET, in one table.

    An offer is a file with the table of one part, such as [radius_rod], in the words of the sheet;
    what it does not give is as on the fitted part, and it is straight unless it says otherwise. It
    is tried as it is, turned end for end, and with the least alteration.

    Exit status: 0 one of them fits, 1 none does, 2 a file or the call cannot be used.

    Example: tightspot part my-engine.toml spare-rod.toml another-rod.toml --side right
    """
    from linkage.report.document import offers_blocks

    read = read_sheet(sheet)
    sides = [name for name in read.sides if side in ("both", name)] or list(read.sides)
    verdicts = [judge_offer(read, read_offer(path, read), sides) for path in offers]
    say(offers_blocks(verdicts))
    sys.exit(0 if any(isinstance(verdict, Fits) for verdict in verdicts) else 1)
