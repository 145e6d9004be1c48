"""`tightspot report`: what goes back with the engine."""

from __future__ import annotations

from pathlib import Path

import click

from linkage.cli.sheets import mm_beside, read
from linkage.errors import OutputError
from linkage.examine import examine
from linkage.files import check_output, write_whole

_FORMATS = (".html", ".pdf")


@click.command("report")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.option(
    "--after",
    type=click.Path(path_type=Path),
    help="The sheet measured after the work: what differs is said as done.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write: .html or .pdf.  [default: name of the sheet, -report.pdf]",
)
@click.option(
    "--photo",
    "photos",
    multiple=True,
    type=click.Path(path_type=Path),
    help="A photograph to put in, JPEG or PNG; may be given again.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@mm_beside
def command(
    sheet: Path, after: Path | None, out: Path | None, photos: tuple[Path, ...], force: bool
) -> None:
    """Write the job report on SHEET: a page for the owner, and an appendix for the bench.

    The page says in plain words, with pictures, what was wrong, where, by how much, and what was
    done; without --after, what is advised. The appendix has every number with its measuring error,
    every clearance, every finding with its cures. Your letterhead, the owner, other work and
    photographs stand in the sheet's [job] table.

    Example: tightspot report as-it-came.toml --after after-setting.toml --out report.pdf
    """
    from linkage.handover import Photo, compose, html_bytes, load_photographs, pdf_bytes

    path = out or Path(f"{sheet.stem}-report.pdf")
    ending = path.suffix.lower()
    if ending not in _FORMATS:
        found = f"ends in {path.suffix!r}" if ending else "has no ending"
        raise OutputError(f"{path}: {found}; reports end in .html or .pdf")
    check_output(path, force, (sheet, after, *photos))
    measured = read(sheet)
    read_after = None if after is None else read(after)
    photographs = load_photographs(measured, [Photo(photo) for photo in photos])
    later = None if read_after is None else examine(read_after)
    report = compose(examine(measured), later, photographs)
    write_whole(path, pdf_bytes(report) if ending == ".pdf" else html_bytes(report), force)
    click.echo(f"{path} is written")
