"""Every kind of block set to the terminal."""

from __future__ import annotations

import io
from typing import get_args

import pytest
from rich.console import Console

from linkage.letters import held_together
from linkage.report.blocks import (
    Block,
    Bullets,
    Column,
    Facts,
    Finding,
    Gap,
    Grid,
    Heading,
    NewPage,
    Paragraph,
    Picture,
    Pictures,
)
from linkage.report.terminal import as_printed, set_blocks

COLUMNS = Column("air", 1, right=True), Column("b", 1)
BLOCKS = [
    (Heading("Title", 1), "Title\n"),
    (Paragraph("One line."), "One line.\n"),
    (Finding("1. It fouls.", ("Cure: bend.",)), "\n1. It fouls.\n   Cure: bend.\n"),
    (Finding("2. The same as 1.", again=True), "2. The same as 1.\n"),
    (Facts((("Owner", "the club"),)), "Owner: the club\n"),
    (Bullets(("[red]as it is[/red]",)), "   [red]as it is[/red]\n"),
    (
        Grid((Column("air", 1, right=True), Column("b", 1)), (("0.5", "x"),)),
        "   air  b\n   0.5  x\n",
    ),
    (Pictures((Picture(b"", "png", 1, 1, "a rod"),)), ""),
    (NewPage(), "\n"),
    (Gap(), "\n"),
]


def test_each_kind_is_set_as_it_should_be():
    assert {type(block) for block, _ in BLOCKS} == set(get_args(Block))
    for block, wanted in BLOCKS:
        console = Console(file=io.StringIO(), width=80, highlight=False)
        for line in set_blocks([block]):
            console.print(line)
        said = "\n".join(line.rstrip() for line in console.file.getvalue().split("\n"))
        assert said == wanted


@pytest.mark.parametrize("width", [20, 40])
@pytest.mark.parametrize("block", [Heading, lambda text, _: Paragraph(text)])
def test_a_name_is_in_one_line_whatever_its_length(block, width):
    """A file's, to be copied: at its blanks and hyphens no line ends, elsewhere they do."""
    name = "club engines/as-it-came in November.toml"
    console = Console(file=io.StringIO(), width=width, highlight=False)
    for line in set_blocks([block(f"One of many words: {held_together(name)} and so on", 1)]):
        console.print(line, crop=False)
    said = [as_printed(line) for line in console.file.getvalue().splitlines()]
    assert [line for line in said if name in line] == [name]
    assert all(len(line) <= width for line in said if line != name)
    assert " ".join(said) == f"One of many words: {name} and so on"
