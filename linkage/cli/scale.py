"""`tightspot scale`: a length at another scale, and a sheet's, beside what can be bought."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from linkage.cli.sheets import mm_beside, read
from linkage.sheet import Sheet
from linkage.standards.scales import FULL_SIZE, parse_full_size, ratio_of


@click.command("scale")
@click.argument("lengths", nargs=-1, metavar="[LENGTH]...")
@click.option("--from", "from_", default=FULL_SIZE, help="Scale of LENGTH.  [default: full size]")
@click.option("--to", help='Scale to make it to: "4 mm", "NEM 0", "1:32", "3/16 in to the foot".')
@click.option(
    "--sheet",
    type=click.Path(path_type=Path),
    help="Every length of this sheet instead, and what rounding it does to the motion.",
)
@mm_beside
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def command(
    lengths: tuple[str, ...], from_: str, to: str | None, sheet: Path | None, as_json: bool
) -> None:
    """Say what each LENGTH is at another scale, and which drill and stock are nearest to it.

    LENGTH may be "5 ft 8 in", "4 1/2 in", "38 thou" or a number of mm. With --sheet, all its
    lengths, and how much the motion changes if they are all rounded to 0.1 mm or to 1/64 in.

    Example: tightspot scale "5 ft 8 in" "4 1/2 in" --to "7 mm"
    """
    if (sheet is None) == (not lengths):
        raise click.UsageError("give lengths, or --sheet, one of the two")
    held = None if sheet is None else read(sheet)
    times = _times(held, from_, to)
    if held is None:
        _say_lengths(lengths, (from_, str(to), times), as_json)
    else:
        _say_sheet(held, times, str(to or held.scale or "as it is"), as_json)


def _times(sheet: Sheet | None, from_: str, to: str | None) -> float:
    """Return how many times as large it is made [1]."""
    if sheet is None and to is None:
        raise click.UsageError("--to says which scale to make it to")
    if to is None:
        return 1.0
    if sheet is not None and sheet.scale is None:
        raise click.UsageError('the sheet does not say its scale: scale = "4 mm" at its top')
    start = from_ if sheet is None else str(sheet.scale)
    return _ratio(start, "--from") / _ratio(to, "--to")


def _ratio(scale: str, option: str) -> float:
    try:
        return ratio_of(scale)
    except ValueError as error:
        raise click.BadParameter(f"{scale}: {error}", param_hint=option) from error


def _say_lengths(lengths: tuple[str, ...], scales: tuple[str, str, float], as_json: bool) -> None:
    from linkage.advice.scaling import at_scale
    from linkage.report.scales import length_data, lengths_blocks

    found = []
    for text in lengths:
        try:
            found.append(at_scale(parse_full_size(text), text, scales[2]))
        except ValueError as error:
            raise click.BadParameter(f"{text}: {error}", param_hint="LENGTH") from error
    if as_json:
        _print({"from": scales[0], "to": scales[1], "lengths": [length_data(one) for one in found]})
        return
    from linkage.cli.pages import say

    say(lengths_blocks(found, scales[:2]))


def _say_sheet(sheet: Sheet, times: float, scale: str, as_json: bool) -> None:
    from linkage.advice.scaling import roundings, sizes_at_scale
    from linkage.report.scales import length_data, lengths_blocks, rounded_blocks, rounded_data

    sizes, rounded = sizes_at_scale(sheet, times), list(roundings(sheet, times))
    if as_json:
        _print(
            {
                "from": sheet.scale,
                "to": scale,
                "lengths": [length_data(one) for one in sizes],
                "rounded": [rounded_data(one) for one in rounded],
            }
        )
        return
    from linkage.cli.pages import say

    say(
        (
            *lengths_blocks(sizes, (sheet.scale or "the sheet", scale)),
            *rounded_blocks(rounded, sheet.lengths),
        )
    )


def _print(data: dict[str, Any]) -> None:
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))
