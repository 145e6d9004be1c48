"""`tightspot window`: how far one number can go, or two together."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any

import click

from linkage.advice.map import STEPS, SlackMap, find_map
from linkage.advice.window import find_windows
from linkage.cli.progress import shown
from linkage.cli.sheets import mm_beside, read
from linkage.files import check_output, write_all
from linkage.sheet import Sheet, is_angle
from linkage.units import parse_angle, parse_length

Ends = tuple[float | None, float | None]


@click.command("window")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("key")
@click.argument("key2", required=False)
@click.option(
    "--from",
    "low",
    metavar="VALUE",
    multiple=True,
    help="Where to begin; else about today's value. Give it again for KEY2.",
)
@click.option("--to", "high", metavar="VALUE", multiple=True, help="Where to end, likewise.")
@click.option(
    "--steps",
    type=click.IntRange(2, 200),
    help="Values of each of two numbers that are looked at, today's besides.  [default: 60]",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Picture of two numbers to write: .png, .svg or .pdf; the table goes beside it, .csv.  "
    "[default: name of the sheet, -map.png; none with --json]",
)
@click.option("--force", is_flag=True, help="Write over files that are there.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
@mm_beside
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path,
    key: str,
    key2: str | None,
    low: tuple[str, ...],
    high: tuple[str, ...],
    steps: int | None,
    out: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """Find between which values of KEY on SHEET everything stays free, and what stops it there.

    KEY is any number of the sheet by its place: radius_rod.centres for both sides,
    right.radius_rod.centres for one, radius_rod.bend[1].towards_frames for a bend.

    With KEY2, another number, a map is drawn of the pairs of values that leave everything free,
    and a table of them written for a spreadsheet.

    Exit status: 0 today's value or pair is free, 1 it is not, 2 the sheet or the call cannot be
    used.

    Example: tightspot window my-engine.toml radius_rod.centres eccentric_rod.centres
    """
    keys = (key,) if key2 is None else (key, key2)
    for option, given in (("--from", low), ("--to", high)):
        if len(given) > len(keys):
            raise click.UsageError(f"{option} is given {len(given)} times for {len(keys)} KEY")
    if key2 is None:
        _refuse_strays(steps, out, force)
    files = _files(sheet, out, force) if key2 is not None and (out or not as_json) else ()
    measured = read(sheet)
    ends = [_ends(measured, name, low[k : k + 1], high[k : k + 1]) for k, name in enumerate(keys)]
    try:
        if key2 is None:
            here = _window(measured, key, ends[0], as_json)
        else:
            found = _map(measured, (key, key2), (ends[0], ends[1]), steps)
            _write(measured, found, files, force)
            _say_map(measured, found, files, as_json)
            here = found.here
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    sys.exit(0 if here else 1)


def _refuse_strays(steps: int | None, out: Path | None, force: bool) -> None:
    """Refuse options that one number has no use for."""
    for option, given in (("--steps", steps), ("--out", out), ("--force", force)):
        if given:
            raise click.UsageError(f"{option} goes with two numbers only")


def _files(sheet: Path, out: Path | None, force: bool) -> tuple[Path, Path]:
    """Return where picture and table go, where they may."""
    from linkage.draw import picture_format

    path = out or Path(f"{sheet.stem}-map.png")
    picture_format(path)
    files = (path, path.with_suffix(".csv"))
    for file in files:
        check_output(file, force, (sheet,))
    return files


def _ends(measured: Sheet, key: str, low: tuple[str, ...], high: tuple[str, ...]) -> Ends:
    """Read the ends of a range [mm or degrees]."""
    degrees = is_angle(measured, key)
    first, last = (
        _number(text[0] if text else None, measured.unit, degrees) for text in (low, high)
    )
    return first, last


def _window(sheet: Sheet, key: str, ends: Ends, as_json: bool) -> bool:
    """Say how far one number can go; return whether it may stay as it is."""
    found = find_windows(sheet, key, *ends)
    if as_json:
        from linkage.report.data import windows_data

        _print(windows_data(sheet, found))
    else:
        from linkage.cli.pages import say
        from linkage.report.document import windows_blocks

        say(windows_blocks(sheet, found))
    return found.here is not None


def _map(
    sheet: Sheet, keys: tuple[str, str], ends: tuple[Ends, Ends], steps: int | None
) -> SlackMap:
    return find_map(
        sheet,
        keys,
        ends,
        steps or STEPS,
        lambda values: shown(values, len(values), "Looking"),
    )


def _write(sheet: Sheet, found: SlackMap, files: tuple[Path, ...], force: bool) -> None:
    """Write picture and table, both or neither."""
    if not files:
        return
    from linkage.draw import draw_map, picture_bytes, picture_format
    from linkage.report.map import map_csv

    picture, table = files
    figure = draw_map(found, sheet)
    drawn = picture_bytes(figure, picture_format(picture))
    write_all({picture: drawn, table: map_csv(sheet, found)}, force)


def _say_map(sheet: Sheet, found: SlackMap, files: tuple[Path, ...], as_json: bool) -> None:
    from linkage.report.map import map_blocks, map_data

    names = [str(file) for file in files]
    if as_json:
        _print({**map_data(sheet, found), "files": names})
    else:
        from linkage.cli.pages import say

        say(map_blocks(sheet, found, names))


def _print(data: dict[str, Any]) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))


def _number(text: str | None, unit: str, degrees: bool) -> float | None:
    """Read an end of the range [mm or degrees]."""
    if text is None:
        return None
    try:
        return math.degrees(parse_angle(text)) if degrees else parse_length(text, unit)
    except ValueError as error:
        raise click.BadParameter(f"{text}: {error}") from error
