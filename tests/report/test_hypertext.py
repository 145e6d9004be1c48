"""Blocks as HTML: every kind is set, and no text of a sheet becomes a tag."""

from __future__ import annotations

from typing import get_args

import pytest

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
from linkage.report.hypertext import set_hypertext

BAD = "<b>&"
SAFE = "&lt;b&gt;&amp;"
SET = [
    (Heading(BAD), f"<h2>{SAFE}</h2>"),
    (Paragraph(BAD, "strong"), f'<p class="strong">{SAFE}</p>'),
    (Finding(BAD), f"<p>{SAFE}</p>"),
    (Finding("1", (BAD,)), f"<p>1</p>\n<ul><li>{SAFE}</li></ul>"),
    (Facts(((BAD, BAD),)), f"<dl><div><dt>{SAFE}:</dt> <dd>{SAFE}</dd></div></dl>"),
    (Bullets((BAD, "b")), f"<ul><li>{SAFE}</li><li>b</li></ul>"),
    (
        Grid((Column(BAD, 1), Column("n", 1, right=True)), ((BAD, "2"),)),
        f'<table>\n<thead><tr><th scope="col">{SAFE}</th><th scope="col" class="right">n</th></tr>'
        f'</thead>\n<tbody>\n<tr><td data-name="{SAFE}">{SAFE}</td>'
        '<td data-name="n" class="right">2</td></tr>\n</tbody>\n</table>',
    ),
    (
        Pictures((Picture(b"\x00", "png", 1001, 2, BAD),)),
        '<div class="pictures one">\n<figure class="png">\n<img src="data:image/png;base64,AA==" '
        f'width="1001" height="2" alt="{SAFE}">\n<figcaption>{SAFE}</figcaption></figure>\n</div>',
    ),
    (NewPage(), ""),
    (Gap(), ""),
]


@pytest.mark.parametrize(("block", "html"), SET)
def test_a_block_is_set(block, html):
    assert str(set_hypertext([block])) == html


def test_no_kind_of_block_is_forgotten():
    assert {type(block) for block, _ in SET} == set(get_args(Block))


def test_headings_go_below_those_of_the_page():
    assert (
        str(set_hypertext([Heading("a", 1), Heading("b", 3)], above=1)) == "<h2>a</h2>\n<h4>b</h4>"
    )
