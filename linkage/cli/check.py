"""`tightspot check`: the main job."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from linkage.advice import Advice, search_cures
from linkage.advice.applying import apply_advice
from linkage.advice.patience import PATIENCE, time_left
from linkage.cli.pages import say
from linkage.cli.progress import shown
from linkage.cli.sheets import as_asked, mm_beside, read
from linkage.errors import Problem, SheetError
from linkage.examine import Examination, examine
from linkage.files import check_output, write_whole
from linkage.sheet import is_angle, put_on_curve, sheet_in
from linkage.sheet.opening import read_text
from linkage.sheet.ready import demonstration
from linkage.units import parse_length


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
    help="Time for the answer; when it is over no more cures are tried.",
)
@click.option("--all", "everything", is_flag=True, help="List what was assumed, line by line.")
@mm_beside
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

    Tight spots are told before cures are looked for; Ctrl-C ends the search, and the rest is told.

    Exit status: 0 free, 1 tight spots found, 2 the sheet or the call cannot be used.

    Example: tightspot check my-engine.toml
    """
    begun = time.monotonic()
    path = sheet or demonstration()
    if out is not None:
        check_output(out, force=False, cure="name a file that is not there yet")
    text = read_text(path, str(path))
    measured = as_asked(sheet_in(text, str(path)))
    if curve is not None:
        measured = put_on_curve(measured, _radius(curve, measured.unit))
    examination = examine(measured, rods_on)
    search = _Search(examination, patience, begun)
    _say(examination, search, as_json, everything)
    search.tell()
    if sheet is None and not as_json:
        click.echo(f"This was the demonstration, {path}")
    if out is not None:
        _apply(examination, search.done, text, out)
    sys.exit(0 if examination.free else 1)


class _Search:
    """The search for cures: what it has found by now, and what broke it off, if anything did."""

    def __init__(self, examination: Examination, patience: float, begun: float) -> None:
        self.examination = examination
        self.patience, self.begun = patience, begun  # [s]
        self.done: list[Advice] = []
        self.broken: BaseException | None = None

    def __iter__(self) -> Iterator[Advice]:
        """Yield the cures of one tight spot after another; end where the search breaks off."""
        count = len(self.examination.spots)
        try:
            search = search_cures(self.examination, time_left(self.patience, self.begun))
            for item in shown(search, count, "Looking for cures"):
                self.done.append(item)
                yield item
        except (Exception, KeyboardInterrupt) as error:  # what was found is said nevertheless
            self.broken = error

    def tell(self) -> None:
        """Say on the error stream what was left; go on breaking off where something did."""
        if self.broken is not None:
            click.echo("The search for cures was broken off.", err=True)
            raise self.broken
        short = sum(item.cut_short for item in self.done)
        if short:
            spots = "tight spot is" if len(self.done) == 1 else "tight spots are"
            click.echo(
                f"{short} of {len(self.done)} {spots} without a cure, for the "
                f"{self.patience:g} s allowed were over: --patience gives more.",
                err=True,
            )


def _say(examination: Examination, search: _Search, as_json: bool, everything: bool) -> None:
    if as_json:
        from linkage.report.data import check_data

        advice = list(search)
        left = examination.spots[len(advice) :]
        advice += [Advice(spot, cut_short=True) for spot in left]
        data = check_data(examination, tuple(advice))
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
    else:
        from linkage.report.document import check_blocks

        say(check_blocks(examination, search, everything))


def _apply(examination: Examination, advice: Sequence[Advice], text: str, out: Path) -> None:
    """Write the sheet with its cures done, and say on the error stream what then is found."""
    source = examination.sheet.source
    # a pipe cannot be read again
    if Path(source).is_file() and read_text(Path(source), source) != text:
        wrong = "was edited while it was checked; check it again"
        raise SheetError(source, [Problem("", wrong)])
    from linkage.report.voice import to_bench
    from linkage.report.words import say_count

    applied = apply_advice(examination, advice, text)
    write_whole(out, applied.text.encode(), force=False)
    for key, value in applied.changes:
        said = to_bench(examination.sheet).number(value, is_angle(examination.sheet, key), key)
        click.echo(f"{key} = {said}", err=True)
    after = examine(read(out), examination.rods_on, known=examination)
    verdict = "free" if after.free else f"{say_count(after.spots)} left"
    click.echo(f"{out} is written: {verdict}", err=True)


def _radius(text: str, unit: str) -> float:
    try:
        return parse_length(text, unit)
    except ValueError as error:
        raise click.BadParameter(f"{text}: {error}", param_hint="--curve") from error
