"""`tightspot window`: how far one number can go."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

import click

from linkage.advice.window import find_windows
from linkage.examine import examine
from linkage.sheet import is_angle, read_sheet
from linkage.units import parse_angle, parse_length


@click.command("window")
@click.argument("sheet", type=click.Path(path_type=Path))
@click.argument("key")
@click.option("--from", "low", metavar="VALUE", help="Where to begin; else about today's value.")
@click.option("--to", "high", metavar="VALUE", help="Where to end.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def command(sheet: Path, key: str, low: str | None, high: str | None, as_json: bool) -> None:
    """Find between which values of KEY on SHEET everything stays free, and what stops it there.

    KEY is any number of the sheet by its place: radius_rod.centres for both sides,
    right.radius_rod.centres for one, radius_rod.bend[1].towards_frames for a bend.

    Exit status: 0 today's value lies in such a window, 1 it does not, 2 the sheet or the call
    cannot be used.

    Example: tightspot window my-engine.toml radius_rod.centres
    """
    read = read_sheet(sheet)
    examination = examine(read)
    degrees = is_angle(read, key)
    ends = [_number(text, read.unit, degrees) for text in (low, high)]
    try:
        found = find_windows(examination, key, *ends)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    if as_json:
        from linkage.report.data import windows_data

        click.echo(json.dumps(windows_data(examination, found), indent=2, ensure_ascii=False))
    else:
        from linkage.cli.pages import say
        from linkage.report.text import windows_text

        say(windows_text(examination, found))
    sys.exit(0 if found.here else 1)


def _number(text: str | None, unit: str, degrees: bool) -> float | None:
    """Read an end of the range [mm or degrees]."""
    if text is None:
        return None
    try:
        return math.degrees(parse_angle(text)) if degrees else parse_length(text, unit)
    except ValueError as error:
        raise click.BadParameter(f"{text}: {error}") from error
