"""Blocks set to the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import assert_never

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from linkage.letters import visible
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


def set_blocks(blocks: Iterable[Block]) -> Iterator[RenderableType]:
    """Yield what `rich` prints of blocks, one below the other; pictures are left out."""
    for block in blocks:
        match block:
            case Heading():
                yield _text(block.text, style="bold" if block.level == 1 else "")
            case Paragraph():
                yield _text(block.text, style=_STYLES.get(block.kind, ""))
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
    return Text(visible(text), style=style)


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
