"""What is said at length, put on the terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from linkage.report.blocks import Block


def say(blocks: Iterable[Block]) -> None:
    """Print blocks as they come, without the blanks that lines come filled up with."""
    from rich.console import Console

    from linkage.report.terminal import as_printed, set_blocks

    console = Console(highlight=False, emoji=False, soft_wrap=False)
    for line in set_blocks(blocks):
        with console.capture() as page:
            console.print(line, crop=False)
        for text in page.get().splitlines():
            click.echo(as_printed(text))
