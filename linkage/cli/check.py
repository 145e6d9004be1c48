"""`tightspot check`: the main job."""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

import click

from linkage.advice import Advice, search_cures
from linkage.advice.applying import apply_advice
from linkage.cli.files import check_output, write_whole
from linkage.cli.pages import say
from linkage.examine import Examination, examine
from linkage.sheet import put_on_curve, read_sheet
from linkage.sheet.ready import demonstration
from linkage.units import parse_length

PATIENCE = 10.0
"""Time allowed for a check before no more cures are tried [s]."""


@click.command("check")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@click.option(
    "--rods-on",
    type=click.Choice(["right", "left"]),
    help="Coupling rods of this side alone, as in the test of the bench.",
)
@click.option(
    "--curve",
    metavar="RADIUS",
    help="Wheelsets no farther over than a curve of this radius puts them, such as 600mm.",
)
@click.option(
    "--apply",
    "out",
    type=click.Path(path_type=Path),
    help="Write the sheet with the first cures done to this new file.",
)
@click.option(
    "--patience",
    type=click.FloatRange(min=0),
    default=PATIENCE,
    show_default=True,
    metavar="SECONDS",
    help="Time after which no more cures are tried.",
)
@click.option("--all", "everything", is_flag=True, help="List what was assumed, line by line.")
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path | None,
    as_json: bool,
    rods_on: str | None,
    curve: str | None,
    out: Path | None,
    patience: float,
    everything: bool,
) -> None:
    """Find the tight spots of SHEET: which parts, where in the turn, by how much, what to do.

    With no SHEET, the bundled demonstration is checked: a 4 mm scale 2-6-0 whose wheels lock.

    Exit status: 0 free, 1 tight spots found, 2 the sheet or the call cannot be used.

    Example: tightspot check my-engine.toml
    """
    until = time.monotonic() + patience
    path = sheet or demonstration()
    if out is not None:
        check_output(out, force=False)
    read = read_sheet(path)
    if curve is not None:
        read = put_on_curve(read, _radius(curve, read.unit))
    examination = examine(read, rods_on)
    advice: list[Advice] = []
    try:
        advice.extend(search_cures(examination, until))
    finally:  # whatever happens in the search, what was found is said
        missing = examination.spots[len(advice) :]
        told = (*advice, *map(Advice, missing))
        _say(examination, told, as_json, everything)
        if missing:
            click.echo("The search for cures was broken off.", err=True)
        short = sum(item.cut_short for item in advice)
        if short:
            click.echo(
                f"{short} of {len(advice)} tight spots are without a cure, for the "
                f"{patience:g} s allowed were over: --patience gives more.",
                err=True,
            )
    if sheet is None and not as_json:
        click.echo(f"This was the demonstration, {path}")
    if out is not None:
        _apply(examination, told, path, out)
    sys.exit(0 if examination.free else 1)


def _say(
    examination: Examination, advice: tuple[Advice, ...], as_json: bool, everything: bool
) -> None:
    if as_json:
        from linkage.report.data import check_data

        click.echo(json.dumps(check_data(examination, advice), indent=2, ensure_ascii=False))
    else:
        from linkage.report.document import check_blocks

        say(check_blocks(examination, advice, everything))


def _apply(examination: Examination, advice: tuple[Advice, ...], path: Path, out: Path) -> None:
    """Write the sheet with its cures done, and say on the error stream what then is found."""
    applied = apply_advice(examination, advice, path.read_text(encoding="utf-8"))
    write_whole(out, applied.text.encode(), force=False)
    for key, value in applied.changes:
        click.echo(f"{key} = {value:.3f}", err=True)
    after = examine(read_sheet(out), known=examination)
    count = len(after.spots)
    verdict = "free" if after.free else f"{count} tight spot{'s' if count > 1 else ''} left"
    click.echo(f"{out} is written: {verdict}", err=True)


def _radius(text: str, unit: str) -> float:
    try:
        return parse_length(text, unit)
    except ValueError as error:
        raise click.BadParameter(f"{text}: {error}", param_hint="--curve") from error
