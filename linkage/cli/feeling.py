"""A sheet with what is said to have been felt, besides what is on it."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from linkage.cli.sheets import as_asked
from linkage.sheet import Sheet, read_sheet, sheet_from
from linkage.sheet.saying import felt_in

felt_option = click.option(
    "--felt",
    multiple=True,
    metavar="WORDS",
    help="Something felt, besides what is on the sheet; may be given again.",
)
"""What was felt, in words, for a command that reads it by `read_felt`."""


def read_felt(path: Path, felt: Sequence[str]) -> Sheet:
    """Read a sheet, and put on it what was said by --felt; the file stays as it is."""
    read = as_asked(read_sheet(path))
    if not felt:
        return read
    data: dict[str, Any] = copy.deepcopy(dict(read.data))
    data["felt"] = [*data.get("felt", []), *_all_said(felt)]
    return as_asked(sheet_from(data, str(path), ask=False))


def _all_said(felt: Sequence[str]) -> list[dict[str, Any]]:
    """Return what was said, a table each; all that is not understood is told at once."""
    lines, strange = [], []
    for words in felt:
        try:
            lines += felt_in(words)
        except ValueError as error:
            strange.append(f'"{words}" {error}')
    if strange:
        raise click.BadParameter("\n  ".join(strange), param_hint="--felt")
    return lines
