"""`tightspot template`: a part at true scale."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.files import check_output, write_whole
from linkage.sheet import read_sheet


@click.command("template")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("part")
@click.option("--side", type=click.Choice(["right", "left", "only"]), help="Whose part.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write: .pdf, .svg or .png.  [default: name of the part, .pdf]",
)
@click.option(
    "--times", type=float, default=1.0, show_default=True, help="How many times as large."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path, part: str, side: str | None, out: Path | None, times: float, force: bool
) -> None:
    """Draw PART of SHEET at true scale: outline, hole centres, the profile to set it to.

    Lines of 100 mm and 4 inches prove the printer's scale. A bent part is drawn straight, and
    dashed as it was measured.

    Example: tightspot template my-engine.toml radius_rod --out rod.pdf
    """
    from linkage.draw import picture_bytes, picture_format
    from linkage.draw.template import draw_template, template_of

    name = part.replace("_", " ")
    path = out or Path(f"{name.replace(' ', '-')}.pdf")
    ending = picture_format(path)
    check_output(path, force, (sheet,))
    if not times > 0:
        raise click.BadParameter("should be above 0", param_hint="--times")
    read = read_sheet(sheet)
    whose = side or next(iter(read.sides))
    if whose not in read.sides:
        raise click.BadParameter(f"this sheet has: {', '.join(read.sides)}", param_hint="--side")
    template = template_of(read, part, whose)
    write_whole(path, picture_bytes(draw_template(template, times), ending), force)
    click.echo(f"{path} is written")
