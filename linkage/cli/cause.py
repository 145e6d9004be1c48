"""`tightspot cause`: from what was felt to what is wrong."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from linkage.cli.feeling import felt_option, read_felt
from linkage.cli.pages import say
from linkage.cli.progress import counted
from linkage.cli.sheets import mm_beside
from linkage.files import check_output, write_whole

if TYPE_CHECKING:
    from linkage.cause import Weighing


@click.command("cause")
@click.argument("sheet", type=click.Path(path_type=Path))
@felt_option
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Picture to write: the dials of what was felt and of each cause; .png, .svg or .pdf.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(
    sheet: Path, felt: tuple[str, ...], out: Path | None, force: bool, as_json: bool
) -> None:
    """Say what may be wrong with the engine of SHEET, by what was felt in turning its wheels.

    Every single fault that the sheet can have is weighed: how well it explains what was felt and
    measured, and how often such a thing happens. What was felt stands on the sheet as [[felt]], or
    is said here: "locks at about 5 o'clock on the right", "free with right.return_crank off".

    Exit status: 0 a cause was weighed, 2 the sheet or the call cannot be used.

    Example: tightspot cause my-engine.toml --felt "locks at about 5 o'clock on the right"
    """
    from linkage.cause import Weighing
    from linkage.report.causes import cause_blocks, cause_data

    if out is not None:
        from linkage.draw import picture_format

        picture_format(out)
        check_output(out, force, (sheet,))
    read = read_felt(sheet, felt)
    weighing = Weighing(read, counted("Weighing faults"))
    causes = weighing.causes
    if as_json:
        click.echo(json.dumps(cause_data(weighing, causes), indent=2, ensure_ascii=False))
    else:
        say(cause_blocks(weighing, causes))
    if out is not None:
        _draw(weighing, out, force)
    sys.exit(0)


def _draw(weighing: Weighing, out: Path, force: bool) -> None:
    from linkage.draw import draw_felt, picture_bytes, picture_format

    write_whole(out, picture_bytes(draw_felt(weighing), picture_format(out)), force)
    click.echo(f"{out} is written", err=True)
