"""`tightspot page`: a page for the owner that turns the motion."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.cli.sheets import mm_beside, read
from linkage.examine import examine
from linkage.files import check_output, write_whole


@click.command("page")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option(
    "--after", type=click.Path(path_type=Path), help="A sheet of the same engine put right."
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write.  [default: name of the sheet, .html]",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@mm_beside
def command(sheet: Path | None, after: Path | None, out: Path | None, force: bool) -> None:
    """Write one page on which the owner can turn the motion of SHEET, on a phone as well.

    Side view, plan, dial, clearance over the turn, tight spots and parts in words. The file holds
    all it needs and asks for no network. With no SHEET, the bundled demonstration is taken.

    Example: tightspot page as-it-came.toml --after after-setting.toml --out engine.html
    """
    from linkage.page.html import page_html
    from linkage.sheet.ready import demonstration

    source = sheet or demonstration()
    path = out or Path(f"{source.stem}.html")
    if path.suffix.lower() not in (".html", ".htm"):
        raise click.BadParameter(f"{path}: a page ends in .html", param_hint="--out")
    check_output(path, force, (source, after))
    before = examine(read(source))
    repaired = None if after is None else examine(read(after))
    if repaired is not None and repaired.sides.keys() != before.sides.keys():
        raise click.BadParameter(
            f"{after}: has other sides than {source}; give a sheet of the same engine",
            param_hint="--after",
        )
    write_whole(path, page_html(before, repaired).encode("utf-8"), force)
    click.echo(f"{path} is written")
