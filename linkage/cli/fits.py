"""`tightspot fits`: holes and pins by ISO 286, and what their play does to an engine."""

from __future__ import annotations

import json
from pathlib import Path

import click

from linkage.cli.sheets import mm_beside, read
from linkage.standards.fits import USUAL, Fit, fit_of
from linkage.units import parse_length

RUNNING = "H8/f7"


@click.command("fits")
@click.argument("size")
@click.argument("fit", required=False)
@click.option(
    "--sheet",
    type=click.Path(path_type=Path),
    help="Say what that play does to this engine, and what its coupling rods' holes may be "
    f"opened to.  [of FIT; default: {RUNNING}]",
)
@mm_beside
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def command(size: str, fit: str | None, sheet: Path | None, as_json: bool) -> None:
    """Say the limits of hole and pin of SIZE for FIT, such as H8/f7, or for the usual ones.

    SIZE is the pin's nominal size, 1 to 30 mm: 2, "3/32 in". With --sheet, the play is put into
    the engine's joints: how much of it the coupled wheels need, and what it leaves between parts.

    Example: tightspot fits 2.5 H8/f7
    """
    fits = _fits(size, (fit,) if fit else tuple(USUAL))
    held = None if sheet is None else read(sheet)
    chosen = next(one for one in fits if fit or one.name == RUNNING)
    from linkage.report.fits import engine_blocks, engine_data, fit_data, fits_blocks

    data = {"fits": [fit_data(one) for one in fits]}
    blocks = list(fits_blocks(fits))
    if held is not None:
        from linkage.advice.fitting import openings, with_fit

        found, opened = list(with_fit(held, chosen)), list(openings(held))
        data |= engine_data(found, opened)
        blocks += engine_blocks(chosen, found, opened, held.lengths)
    if as_json:
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    from linkage.cli.pages import say

    say(blocks)


def _fits(size: str, names: tuple[str, ...]) -> list[Fit]:
    try:
        length = parse_length(size)
        return [fit_of(length, name) for name in names]
    except ValueError as error:
        raise click.UsageError(str(error)) from error
