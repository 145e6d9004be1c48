"""`tightspot part`: whether parts that are offered will do."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from linkage.advice.offers import Fits, judge_offer
from linkage.advice.standing import Engine
from linkage.cli.pages import say
from linkage.cli.progress import shown
from linkage.cli.sheets import mm_beside, read
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
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(sheet: Path, offers: tuple[Path, ...], side: str, as_json: bool) -> None:
    """Say of each of some OFFERS whether it will do in place of what is on SHEET.

    An offer is a file with the table of a part, such as [radius_rod], in the words of the sheet;
    what it does not give is as on the fitted part, and it is straight unless it says otherwise.
    Several tables in one file are fitted together. Each is tried as it is, turned end for end, and
    with the least alteration, on the engine as it stands.

    Exit status: 0 one of them fits, 1 none does, 2 a file or the call cannot be used.

    Example: tightspot part my-engine.toml spare-rod.toml another-rod.toml --side right
    """
    measured = read(sheet)
    sides = [name for name in measured.sides if side in ("both", name)] or list(measured.sides)
    parts = [read_offer(path, measured) for path in offers]
    engine = Engine(measured)
    verdicts = [
        judge_offer(engine, part, sides) for part in shown(parts, len(parts), "Trying them")
    ]
    if as_json:
        from linkage.report.offers import offers_data

        click.echo(json.dumps(offers_data(verdicts), indent=2, ensure_ascii=False))
    else:
        from linkage.report.offers import offers_blocks

        say(offers_blocks(verdicts))
    sys.exit(0 if any(isinstance(verdict, Fits) for verdict in verdicts) else 1)
