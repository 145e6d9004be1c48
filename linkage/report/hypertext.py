"""Blocks set as HTML, for any page."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator
from typing import assert_never

from markupsafe import Markup

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


def set_hypertext(blocks: Iterable[Block], above: int = 0) -> Markup:
    """Return blocks as HTML, one below the other; rooms and breaks of pages are the style's.

    `above`: levels of headings already above them on the page.
    """
    return Markup("\n").join(line for block in blocks for line in _lines(block, above))


def _lines(block: Block, above: int) -> Iterator[Markup]:
    match block:
        case Heading():
            level = min(block.level + above, 6)
            yield Markup("<h{}>{}</h{}>").format(level, block.text, level)
        case Paragraph():
            yield Markup('<p class="{}">{}</p>').format(block.kind, block.text)
        case Finding():
            yield Markup("<p>{}</p>").format(block.text)
            if block.cures:
                yield _listed(block.cures)
        case Facts():
            facts = Markup("<div><dt>{}:</dt> <dd>{}</dd></div>")
            yield Markup("<dl>{}</dl>").format(_each(facts, block.pairs))
        case Bullets():
            yield _listed(block.items)
        case Grid():
            yield _table(block)
        case Pictures():
            yield from _pictures(block)
        case NewPage() | Gap():
            pass
        case _:
            assert_never(block)


def _each(pattern: Markup, values: Iterable[tuple[object, ...]]) -> Markup:
    return Markup().join(pattern.format(*held) for held in values)


def _listed(items: Iterable[str]) -> Markup:
    return Markup("<ul>{}</ul>").format(_each(Markup("<li>{}</li>"), ((text,) for text in items)))


def _table(grid: Grid) -> Markup:
    heads = ((_right(column), column.heading) for column in grid.columns)
    rows = (
        (
            (column.heading, _right(column), cell)
            for column, cell in zip(grid.columns, row, strict=True)
        )
        for row in grid.rows
    )
    cell = Markup('<td data-name="{}"{}>{}</td>')
    return Markup("<table>\n<thead><tr>{}</tr></thead>\n<tbody>\n{}\n</tbody>\n</table>").format(
        _each(Markup('<th scope="col"{}>{}</th>'), heads),
        Markup("\n").join(Markup("<tr>{}</tr>").format(_each(cell, row)) for row in rows),
    )


def _right(column: Column) -> Markup:
    return Markup(' class="right"') if column.right else Markup()


def _pictures(block: Pictures) -> Iterator[Markup]:
    yield Markup('<div class="pictures{}">').format(" one" if block.wide else "")
    yield from map(_picture, block.items)
    yield Markup("</div>")


def _picture(picture: Picture) -> Markup:
    caption = Markup("<figcaption>{}</figcaption>").format(picture.caption)
    return Markup(
        '<figure class="{}">\n<img src="data:image/{};base64,{}" width="{}" height="{}" alt="{}">'
        "\n{}</figure>"
    ).format(
        picture.kind,
        picture.kind,
        base64.b64encode(picture.content).decode("ascii"),
        picture.width,
        picture.height,
        picture.caption,
        caption if picture.caption else "",
    )
