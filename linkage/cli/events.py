"""`tightspot events`: when steam is let in and out, at every place of the reverser."""

from __future__ import annotations

import json
from pathlib import Path

import click

from linkage.cli.sheets import mm_beside, read
from linkage.events import INSIDE, Aim, Events, find_events, find_setting
from linkage.files import check_output, write_all


@click.command("events")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.option(
    "--places",
    type=click.IntRange(3, 101),
    default=7,
    help="Places of the reverser that are looked at, those with names among them.  [default: 7]",
)
@click.option(
    "--csv",
    "table",
    type=click.Path(path_type=Path),
    help="Write the table for a spreadsheet too, to 0.01 degree and 0.01 per cent.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Draw them: .png, .svg or .pdf. Valve against piston, Zeuner's and Reuleaux's diagrams, "
    "opening against stroke, travel and lead against the reverser.",
)
@click.option(
    "--at",
    help="Name of the place that the diagrams, or --set, are for: full_back.  [default: full "
    "forward]",
)
@click.option(
    "--set",
    "key",
    metavar="KEY",
    help="Solve for this number of the sheet, valve.middle or return_crank.leads or any, instead: "
    "what it has to be, and what that does to the events.",
)
@click.option(
    "--even",
    type=click.Choice([aim.value for aim in Aim]),
    help="What --set is to bring out even: the leads or the cut-offs of both ends, the cut-offs of "
    "both gears, or the link at both dead centres.  [default: cut-offs]",
)
@click.option(
    "--side", type=click.Choice(["right", "left", "only", INSIDE]), help="Draw this side."
)
@click.option("--force", is_flag=True, help="Write over files that are there.")
@mm_beside
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path,
    places: int,
    table: Path | None,
    out: Path | None,
    at: str | None,
    key: str | None,
    even: str | None,
    side: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Say when the valve of SHEET lets steam in and out, at each place of the reverser.

    Lead, admission, cut-off, release and compression of both ends of the cylinder, the valve's
    travel, the swing of the link and the slip of the die. The valve's laps and ports stand under
    [valve]; without them what can be told is told.

    Example: tightspot events my-engine.toml --csv events.csv --out events.pdf
    """
    files = [path for path in (table, out) if path is not None]
    for path in files:
        check_output(path, force, (sheet,))
    if key is not None:
        _set(sheet, key, (even or Aim.CUT_OFFS.value, at), (files, side), as_json)
        return
    if even is not None:
        raise click.UsageError("--even goes with --set only")
    if out is None and (at, side) != (None, None):
        raise click.UsageError("--at and --side go with --out only")
    ending = None
    if out is not None:
        from linkage.draw import picture_format

        ending = picture_format(out)
    found = find_events(read(sheet), places)
    written: dict[Path, bytes] = {}
    if table is not None:
        from linkage.report.events import events_csv

        written[table] = events_csv(found)
    if out is not None and ending is not None:
        written[out] = _drawn(found, side, at, ending)
    if written:
        write_all(written, force)
    _say(found, files, as_json)


def _set(
    sheet: Path,
    key: str,
    wanted: tuple[str, str | None],
    strays: tuple[list[Path], str | None],
    as_json: bool,
) -> None:
    """Say what a number has to be so that something comes out even.

    `wanted`: what, and at which place of the reverser. `strays`: what goes without it.
    """
    from linkage.report.setting import setting_blocks, setting_data

    if strays != ([], None):
        raise click.UsageError("--set goes without --csv, --out and --side")
    held, (even, at) = read(sheet), wanted
    names = {name for side in held.sides.values() for name in side.PLACES}
    if at is not None and at not in names:
        known = ", ".join(sorted(names)) or "no places with names"
        raise click.BadParameter(f"this sheet has: {known}", param_hint="--at")
    found = find_setting(held, key, Aim(even), at)
    if as_json:
        click.echo(json.dumps(setting_data(found), indent=2, ensure_ascii=False))
        return
    from linkage.cli.pages import say

    say(setting_blocks(found, at))


def _drawn(found: Events, side: str | None, at: str | None, ending: str) -> bytes:
    from linkage.draw import draw_events, picture_bytes

    if side is not None and side not in found.sides:
        raise click.BadParameter(f"this sheet has: {', '.join(found.sides)}", param_hint="--side")
    one = found.sides[side] if side is not None else next(iter(found.sides.values()))
    names = [held.place.at for held in one.places if isinstance(held.place.at, str)]
    if at is not None and at not in names:
        known = ", ".join(map(str, names)) or "no places with names"
        raise click.BadParameter(f"this sheet has: {known}", param_hint="--at")
    return picture_bytes(draw_events(found, one, at), ending)


def _say(found: Events, files: list[Path], as_json: bool) -> None:
    from linkage.report.events import events_blocks, events_data

    if as_json:
        data = {**events_data(found), "files": [str(path) for path in files]}
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    from linkage.cli.pages import say

    say(events_blocks(found))
    for path in files:
        click.echo(f"{path} is written")
