"""`tightspot draw`: a picture of a tight spot, or of the motion."""

from __future__ import annotations

import math
from pathlib import Path

import click

from linkage.cli.sheets import mm_beside, read
from linkage.examine import Examination, examine
from linkage.files import check_output, write_whole
from linkage.tightspots import TightSpot

SHOWS = ("spot", "mechanism", "paths", "positions", "angles")


@click.command("draw")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write: .png, .svg or .pdf.  [default: name of the sheet, .png]",
)
@click.option(
    "--show",
    type=click.Choice(SHOWS),
    default="spot",
    help="spot: a tight spot, enlarged. mechanism: every part and joint named. paths: where every "
    "pin goes in a turn. positions: the whole turn at equal steps. angles: how squarely links push "
    "(transmission angles).  [default: spot]",
)
@click.option("--spot", "number", type=int, help="Number of the tight spot, as `check` lists them.")
@click.option("--side", type=click.Choice(["right", "left", "only"]), help="Draw this side.")
@click.option(
    "--at",
    type=float,
    help="Degrees of the right-hand crank, for the mechanism.  [default: the tight spot, else 0]",
)
@click.option(
    "--count", type=click.IntRange(2, 36), help="How many positions are drawn.  [default: 12]"
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@mm_beside
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path | None,
    out: Path | None,
    show: str,
    number: int | None,
    side: str | None,
    at: float | None,
    count: int | None,
    force: bool,
) -> None:
    """Draw the worst tight spot of SHEET, or another picture of its motion.

    One A4 page. Of a tight spot: side view, plan, the place of contact enlarged, the clearance
    round the turn, and a dial; where all is free, of the nearest pair. With no SHEET, the bundled
    demonstration is drawn.

    Example: tightspot draw my-engine.toml --show paths --out paths.pdf
    """
    from linkage.draw import Wanted, draw_picture, picture_bytes, picture_format
    from linkage.sheet.ready import demonstration

    _refuse_strays(show, at, count)
    source = sheet or demonstration()
    path = out or Path(f"{source.stem}.png" if show == "spot" else f"{source.stem}-{show}.png")
    ending = picture_format(path)
    check_output(path, force, (source,))
    examination = examine(read(source))
    if side is not None and side not in examination.sides:
        raise click.BadParameter(
            f"this sheet has: {', '.join(examination.sides)}", param_hint="--side"
        )
    angle = None if at is None else math.radians(at)
    wanted = Wanted(show, _chosen(examination, number, side), side, angle, count or 12)
    write_whole(path, picture_bytes(draw_picture(examination, wanted), ending), force)
    click.echo(f"{path} is written")


def _refuse_strays(show: str, at: float | None, count: int | None) -> None:
    """Refuse options that the picture asked for has no use for, and angles that are none."""
    if at is not None and show != "mechanism":
        raise click.BadParameter("goes with --show mechanism only", param_hint="--at")
    if at is not None and not math.isfinite(at):
        raise click.BadParameter("should be a number of degrees", param_hint="--at")
    if count is not None and show != "positions":
        raise click.BadParameter("goes with --show positions only", param_hint="--count")


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
