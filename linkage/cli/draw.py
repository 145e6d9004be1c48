"""`tightspot draw`: a picture of a tight spot."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.cli.files import check_output, write_whole
from linkage.examine import Examination, examine
from linkage.sheet import read_sheet
from linkage.tightspots import TightSpot


@click.command("draw")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write: .png, .svg or .pdf.  [default: name of the sheet, .png]",
)
@click.option("--spot", "number", type=int, help="Number of the tight spot, as `check` lists them.")
@click.option("--side", type=click.Choice(["right", "left", "only"]), help="Draw this side.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def command(
    sheet: Path | None, out: Path | None, number: int | None, side: str | None, force: bool
) -> None:
    """Draw the worst tight spot of SHEET, or the nearest pair where all is free.

    One A4 page: side view, plan, the place of contact enlarged, the clearance round the turn, and
    a dial. With no SHEET, the bundled demonstration is drawn.

    Example: tightspot draw my-engine.toml --out lock.pdf
    """
    from linkage.draw import draw_figure, picture_bytes, picture_format
    from linkage.sheet.ready import demonstration

    source = sheet or demonstration()
    path = out or Path(f"{source.stem}.png")
    ending = picture_format(path)
    check_output(path, force)
    examination = examine(read_sheet(source))
    if side is not None and side not in examination.sides:
        raise click.BadParameter(
            f"this sheet has: {', '.join(examination.sides)}", param_hint="--side"
        )
    spot = _chosen(examination, number, side)
    write_whole(path, picture_bytes(draw_figure(examination, spot, side), ending), force)
    click.echo(f"{path} is written")


def _chosen(examination: Examination, number: int | None, side: str | None) -> TightSpot | None:
    """Return the spot asked for; the worst of the side; None where there is none."""
    if number is None:
        return next((spot for spot in examination.spots if side in (None, spot.side)), None)
    count = len(examination.spots)
    if not 1 <= number <= count:
        there = f"there are {count}, numbered from 1" if count else "none was found"
        raise click.BadParameter(f"no tight spot {number}: {there}", param_hint="--spot")
    spot = examination.spots[number - 1]
    if side not in (None, spot.side):
        raise click.BadParameter(
            f"tight spot {number} is on the {spot.side} side", param_hint="--spot"
        )
    return spot
