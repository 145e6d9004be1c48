"""`tightspot new`: a sheet to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.cli.files import check_output, write_all
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
@click.option(
    "--diagram",
    type=click.Path(path_type=Path),
    help="Draw a form to measure by as well: .pdf, or .svg or .png, one file a page.",
)
@click.option("--force", is_flag=True, help="Write over files that are there.")
def command(
    arrangement: str, scale: str, out: Path | None, diagram: Path | None, force: bool
) -> None:
    """Write a commented sheet to fill in for ARRANGEMENT.

    walschaerts: crank, crosshead and the whole gear. slider-crank: without the gear.
    coupled-wheels: axles and coupling rods alone. linkage: parts and joints of your own.

    Every number stands there with how it is measured. Those marked TYPICAL are guesses from the
    scale: put your own in their place.

    --diagram draws where the calliper goes for each number, a letter at each place, with boxes to
    write the readings into: print it, fill it in at the bench, type it in afterwards.

    Example: tightspot new walschaerts --scale "7 mm" --out my-engine.toml --diagram form.pdf
    """
    path = out or Path(f"{arrangement}.toml")
    check_output(path, force)
    files = {path: blank_sheet(arrangement, scale).encode()}
    drawn = _pages(arrangement, scale, diagram) if diagram is not None else {}
    if path in drawn:
        raise click.BadParameter("names the same file as --out", param_hint="--diagram")
    write_all({**files, **drawn}, force)
    if drawn:
        click.echo(f"{', '.join(map(str, drawn))}: print, and fill in at the bench")
    click.echo(f"{path} is ready to be filled in; then: tightspot check {path}")


def _pages(arrangement: str, scale: str, path: Path) -> dict[Path, bytes]:
    """Return the pages of the measuring diagram as files."""
    from linkage.draw import pages_bytes, picture_format
    from linkage.form.pages import draw_measuring

    picture_format(path)
    return pages_bytes(draw_measuring(arrangement, scale), path)
