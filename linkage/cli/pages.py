"""Text and tables put on the terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import RenderableType


def say(blocks: Iterable[RenderableType]) -> None:
    """Print text and tables, without the blanks that they come filled up with.

    Parameters
    ----------
    blocks : iterable of renderable
        From `report.text`.
    """
    from rich.console import Console

    console = Console(highlight=False, emoji=False, soft_wrap=False)
    with console.capture() as page:
        for block in blocks:
            console.print(block)
    for line in page.get().splitlines():
        click.echo(line.rstrip())
