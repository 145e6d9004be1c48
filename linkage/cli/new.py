"""`tightspot new`: a sheet to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.cli.files import write_whole
from linkage.sheet.blank import blank_sheet
from linkage.units import SCALES

ARRANGEMENTS = ("walschaerts", "slider-crank", "coupled-wheels", "linkage")


@click.command("new")
@click.argument("arrangement", type=click.Choice(ARRANGEMENTS))
@click.option(
    "--scale",
    default="4 mm",
    show_default=True,
    metavar="SCALE",
    type=click.Choice(list(SCALES)),
    help=f"Scale of the model; sets the typical numbers: {', '.join(SCALES)}.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write.  [default: ARRANGEMENT.toml]",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def command(arrangement: str, scale: str, out: Path | None, force: bool) -> None:
    """Write a commented sheet to fill in for ARRANGEMENT.

    walschaerts: crank, crosshead and the whole gear. slider-crank: without the gear.
    coupled-wheels: axles and coupling rods alone. linkage: parts and joints of your own.

    Every number stands there with how it is measured. Those marked TYPICAL are guesses from the
    scale: put your own in their place.

    Example: tightspot new walschaerts --scale "7 mm" --out my-engine.toml
    """
    path = out or Path(f"{arrangement}.toml")
    write_whole(path, blank_sheet(arrangement, scale).encode(), force)
    click.echo(f"{path} is ready to be filled in; then: tightspot check {path}")
