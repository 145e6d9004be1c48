"""Blocks set to the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import assert_never

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from linkage.letters import HELD, visible
from linkage.report.blocks import (
    Block,
    Bullets,
    Facts,
    Finding,
    Gap,
    Grid,
    Heading,
    NewPage,
    Paragraph,
    Pictures,
)

_INDENT = (0, 0, 0, 3)
_STYLES = {"strong": "bold", "small": "dim"}
_GLUE = "\ue000"
"""Stands for a blank that no line ends at: to `rich` every kind of blank is the end of a word. For
private use, and not visible, so that no text has one of its own."""


def set_blocks(blocks: Iterable[Block]) -> Iterator[RenderableType]:
    """Yield what `rich` prints of blocks, one below the other; pictures are left out."""
    for block in blocks:
        match block:
            case Heading():
                yield _Lines(_text(block.text, style="bold" if block.level == 1 else ""))
            case Paragraph():
                yield _Lines(_text(block.text, style=_STYLES.get(block.kind, "")))
            case Finding():
                yield from _finding(block)
            case Bullets():
                yield from map(_indented, block.items)
            case Facts():
                yield from (_text(f"{name}: {text}") for name, text in block.pairs)
            case Grid():
                yield Padding(_table(block), _INDENT, expand=False)
            case NewPage() | Gap():
                yield Text("")
            case Pictures():
                pass
            case _:
                assert_never(block)


def _text(text: str, style: str = "") -> Text:
    """Return a text as letters, none of them an order to the terminal or to `rich`."""
    return Text(_GLUE.join(visible(part) for part in text.split(HELD)), style=style)


def as_printed(line: str) -> str:
    """Return a line that `rich` has made of these, as it goes to the terminal."""
    return line.replace(_GLUE, " ").rstrip()


@dataclass(frozen=True)
class _Lines:
    """A text in lines, of which a word that is longer than the page is one, and stays whole.

    `rich` would cut it off or cut it up; but a file's name is there to be copied.
    """

    text: Text

    def __rich_console__(self, _: Console, options: ConsoleOptions) -> RenderResult:
        width = options.max_width
        if max(map(len, self.text.plain.split()), default=0) <= width:
            yield self.text
            return
        lines = textwrap.wrap(
            self.text.plain, width, break_long_words=False, break_on_hyphens=False
        )
        yield Text("\n".join(lines), style=self.text.style, overflow="ignore")


def _finding(block: Finding) -> Iterator[RenderableType]:
    if not block.again:
        yield Text("")
    yield _text(block.text, style="bold")
    yield from map(_indented, block.cures)


def _indented(text: str) -> Padding:
    return Padding(_text(text), _INDENT, expand=False)


def _table(grid: Grid) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for column in grid.columns:
        justify = "right" if column.right else "left"
        table.add_column(column.heading, justify=justify, overflow="fold")  # type: ignore[arg-type]
    for row in grid.rows:
        table.add_row(*map(_text, row))
    return table
