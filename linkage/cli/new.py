"""`tightspot new`: a sheet to fill in."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import click

from linkage.arrangements import ARRANGEMENTS
from linkage.files import check_output, write_all
from linkage.sheet import json_schema
from linkage.sheet.blank import NO_LETTERS, SCHEMA_FILE, blank_sheet
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.sides import CoupledSide
from linkage.units import SCALES


class Registered(click.ParamType[str]):
    """The name of an arrangement."""

    name = "arrangement"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the name, where there is such an arrangement."""
        return click.Choice(list(ARRANGEMENTS)).convert(value, param, ctx)


_HELP = """Write a commented sheet to fill in for ARRANGEMENT.

{arrangements}

Every number stands there with how it is measured, as a guess from the scale that says so
("about 4.33"): measure yours and write it without the word. A guess is never taken for a
measurement.

--diagram draws where the calliper goes for each number, a letter at each place, with boxes to
write the readings into: print it, fill it in at the bench, type it in afterwards.

--wheels puts the coupled wheels of an engine on the sheet of its gear, so that all of it is looked
at together: any wheel arrangement from 0-4-0 to 2-10-2, --driven whichever coupled axle.

--schema prints the JSON Schema, by which an editor knows the keys of a sheet: of ARRANGEMENT, or
of any sheet where none is named. Write it where the first line of a sheet looks for it.

Example: tightspot new walschaerts --scale "7 mm" --out my-engine.toml --diagram form.pdf

Example: tightspot new --schema > {schema}
"""


@click.command(
    "new",
    help=_HELP.format(
        arrangements=" ".join(f"{held.name}: {held.does}." for held in ARRANGEMENTS.values()),
        schema=SCHEMA_FILE,
    ),
)
@click.argument("arrangement", type=Registered(), required=False)
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
@click.option(
    "--wheels",
    metavar="WHEELS",
    help="Wheel arrangement, such as 2-6-0: coupled wheels and their rods on the same sheet.",
)
@click.option(
    "--driven",
    type=click.IntRange(min=1),
    metavar="AXLE",
    help="Which coupled axle is driven, counted from the front.  [default: 2]",
)
@click.option(
    "--units",
    "unit",
    type=click.Choice(["mm", "in"]),
    default="mm",
    show_default=True,
    help="What you measure in; answers come in it too.",
)
@click.option("--schema", is_flag=True, help="Print the JSON Schema of sheets, and no more.")
@click.option("--force", is_flag=True, help="Write over files that are there.")
def command(  # noqa: PLR0913 - one a choice on the command line
    arrangement: str | None,
    scale: str,
    out: Path | None,
    diagram: Path | None,
    *,
    wheels: str | None,
    driven: int | None,
    unit: str,
    schema: bool,
    force: bool,
) -> None:
    """Write a sheet to fill in."""
    if schema:
        click.echo(json.dumps(json_schema(arrangement), indent=2))
        return
    if arrangement is None:
        raise click.UsageError(f"name an arrangement: {', '.join(ARRANGEMENTS)}")
    path = out or Path(f"{arrangement}.toml")
    check_output(path, force)
    coupled = _coupled(arrangement, wheels, driven)
    letters, drawn = NO_LETTERS, dict[Path, bytes]()
    if diagram is not None:
        letters, drawn = _pages((arrangement, scale, coupled, unit), diagram)
    try:
        sheet = blank_sheet(arrangement, scale, coupled, unit, letters)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--units") from error
    files = {path: sheet.encode()}
    if path in drawn:
        raise click.BadParameter("names the same file as --out", param_hint="--diagram")
    write_all({**files, **drawn}, force)
    if drawn:
        click.echo(f"{', '.join(map(str, drawn))}: print, and fill in at the bench")
    click.echo(f"{path} is ready to be filled in; then: tightspot check {path}")


def _coupled(arrangement: str, wheels: str | None, driven: int | None) -> WheelArrangement | None:
    """Return the coupled axles asked for."""
    if wheels is None:
        if driven is not None:
            raise click.BadParameter("goes with --wheels", param_hint="--driven")
        return None
    if not issubclass(ARRANGEMENTS[arrangement].tables, CoupledSide):
        raise click.BadParameter(f"{arrangement} has no wheels", param_hint="--wheels")
    try:
        return WheelArrangement.of(wheels, driven)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--wheels") from error


def _pages(
    asked: tuple[str, str, WheelArrangement | None, str], path: Path
) -> tuple[Mapping[str, str], dict[Path, bytes]]:
    """Return the letters of the measuring diagram by their keys, and its pages as files."""
    from linkage.draw import pages_bytes, picture_format
    from linkage.form.letters import letters_of
    from linkage.form.model import models_of
    from linkage.form.pages import draw_measuring

    picture_format(path)
    return letters_of(models_of(*asked)), pages_bytes(draw_measuring(*asked), path)
