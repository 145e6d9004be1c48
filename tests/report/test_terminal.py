"""Every kind of block set to the terminal."""

from __future__ import annotations

import io
from typing import get_args

from rich.console import Console

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
from linkage.report.terminal import set_blocks

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
