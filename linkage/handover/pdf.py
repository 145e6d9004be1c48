"""The report on paper: A4, text that can be selected, page numbers, tables that go on overleaf."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import assert_never

from fpdf import FPDF
from fpdf.enums import MethodReturnValue, XPos, YPos
from fpdf.fonts import TTFFont

from linkage.draw.owner import font_files
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
    Report,
)

MARGIN, TOP, FOOT = 18.0, 15.0, 15.0
"""White at either side, at the top, and at the foot, where the page's number stands [mm]."""
_SIZES = (
    (1.0, 1.0), (1.0, 0.92), (0.96, 0.92), (0.96, 0.85), (0.92, 0.85), (0.92, 0.78), (0.88, 0.78),
    (0.88, 0.7), (0.84, 0.66), (0.8, 0.6), (0.75, 0.55), (0.7, 0.5),
)  # fmt: skip
"""Of lettering and of pictures on the owner's page, tried in turn until it is one page [1]."""
_TEXT, _SMALL, _TABLE = 9.6, 7.8, 7.6  # sizes of lettering [points]
_HEADINGS = {1: 15.0, 2: 10.8, 3: 9.0}
_POINT = 25.4 / 72  # [mm]
_LEADING = 1.32  # of a line, against its lettering
_GAP, _BETWEEN = 4.0, 3.0  # between pictures side by side, and between columns [mm]
_TALL = 110.0  # more than this no picture is [mm]
_UNKNOWN = "\u25a1"  # for a letter that is not in the lettering
_LETTERING = "report"
_LEAST = 0.36
"""Down to so much of its size a word is brought to stand whole in its line [1].

The longest name that a file can have, 255 letters, is then as wide as the page.
"""


def pdf_bytes(report: Report) -> bytes:
    """Write a report on paper.

    The whole file, the same for the same report.
    """
    for lettering, pictures in _SIZES:
        paper = _Paper(report, lettering, pictures)
        paper.write_blocks(report.owners)
        if paper.page_no() == 1:
            break
        paper.close_fonts()
    paper.size = paper.pictures = 1.0
    paper.write_blocks((NewPage(), *report.bench))
    written = bytes(paper.output())
    paper.close_fonts()
    return written


class _Paper(FPDF):
    """A4 upright, with the lettering of the pictures."""

    def __init__(self, report: Report, size: float, pictures: float) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self.size, self.pictures = size, pictures
        plain, bold = font_files()
        self.add_font(_LETTERING, "", plain)
        self.add_font(_LETTERING, "B", bold)
        self.set_margins(MARGIN, TOP, MARGIN)
        self.set_auto_page_break(True, FOOT)
        self.c_margin = 0.0
        self.set_title(report.title)
        self.set_lang("en-GB")
        self.set_creation_date(report.created)
        self.running = report.title
        self.add_page()

    def close_fonts(self) -> None:
        """Close the files that the lettering is read from."""
        for font in self.fonts.values():
            if isinstance(font, TTFFont):
                font.close()

    def normalize_text(self, text: str) -> str:
        """Return a text with a box for each letter that the lettering does not have."""
        plain = super().normalize_text(text)
        known = self.current_font.cmap if isinstance(self.current_font, TTFFont) else {}
        return "".join(c if c == "\n" or ord(c) in known else _UNKNOWN for c in plain)

    def footer(self) -> None:
        """Write what it is about and the page's number."""
        self.set_y(-FOOT + 3.5)
        self.set_font(_LETTERING, "", 7.0)
        self.set_text_color(90)
        number = f"page {self.page_no()} of {{nb}}"
        room = self.epw - 30.0
        shown = self.running
        while shown and self.get_string_width(shown) > room:
            shown = shown[:-1]
        self.cell(room, 4.0, shown)
        self.cell(0, 4.0, number, align="R")
        self.set_text_color(0)

    @property
    def bottom(self) -> float:
        """Where the foot begins [mm]."""
        return float(self.page_break_trigger)

    def lettered(self, points: float, bold: bool = False) -> float:
        """Take up a lettering and return the height of its line [mm]."""
        self.set_font(_LETTERING, "B" if bold else "", points * self.size)
        return points * self.size * _POINT * _LEADING

    def room_for(self, height: float) -> None:
        """Begin a new page where so much does not fit on this one, but does on a new one."""
        if self.y + height > self.bottom and self.y > self.t_margin:
            self.add_page()

    def write_blocks(self, blocks: Sequence[Block]) -> None:
        """Write blocks one below the other."""
        for block, after in zip(blocks, (*blocks[1:], None), strict=True):
            self.write_block(block, after)

    def write_block(self, block: Block, after: Block | None) -> None:
        """Write one block; `after` is the one that follows it."""
        match block:
            case Heading():
                self.write_heading(block, after)
            case Paragraph():
                self.write_paragraph(block)
            case Finding():
                self.write_paragraph(Paragraph(block.text))
                self.write_bullets(Bullets(block.cures))
            case Facts():
                self.write_facts(block)
            case Bullets():
                self.write_bullets(block)
            case Grid():
                self.write_grid(block)
            case Pictures():
                self.write_pictures(block)
            case NewPage():
                self.add_page()
            case Gap():
                pass  # a heading brings its own room
            case _:
                assert_never(block)

    def write_heading(self, block: Heading, after: Block | None) -> None:
        """Write a heading, together with the beginning of what follows it."""
        follows = self._picture_height(after) if isinstance(after, Pictures) else 0.0
        line = self.lettered(_HEADINGS[block.level], bold=True)
        above = {1: 0.0, 2: 2.6, 3: 1.8}[block.level] * self.size
        height = self._height(self.epw, line, block.text)
        self.room_for(above + height + max(follows, 3 * line))
        if self.y > self.t_margin:
            self.y += above
        self._text(self.epw, line, block.text)
        self.y += (1.6 if block.level == 1 else 0.5) * self.size

    def write_paragraph(self, block: Paragraph) -> None:
        """Write a paragraph, on one page where it fits on one."""
        if block.kind == "letterhead":
            self._write_letterhead(block.text)
            return
        small = block.kind == "small"
        line = self.lettered(_SMALL if small else _TEXT)
        self.y += 0.8 * self.size if small else 0.0
        self.room_for(self._height(self.epw, line, block.text))
        self.set_text_color(60 if small else 0)
        self._text(self.epw, line, block.text)
        self.set_text_color(0)
        self.y += 1.2 * self.size

    def _write_letterhead(self, text: str) -> None:
        first, _, rest = text.partition("\n")
        self._text(self.epw, self.lettered(_TEXT + 1, bold=True), first)
        if rest:
            self._text(self.epw, self.lettered(_TEXT - 1), rest)
        self.y += 1.5 * self.size
        self.set_line_width(0.25)
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
        self.y += 5.0 * self.size

    def write_facts(self, block: Facts) -> None:
        """Write facts in a line, going on below where there is no more room."""
        line = self.lettered(_TEXT)
        for name, text in block.pairs:
            both = f"{name}: {text}"
            width = self.get_string_width(both) + 8.0
            if self.x > self.l_margin and self.x + width > self.w - self.r_margin:
                self.y += line
                self.x = self.l_margin
            if width > self.epw:
                self._text(self.epw, line, both)
            else:
                self.cell(width, line, both)
        if self.x > self.l_margin:
            self.y += line
            self.x = self.l_margin
        self.y += 1.2 * self.size

    def write_bullets(self, block: Bullets) -> None:
        """Write a list, each item on one page where it fits on one."""
        if not block.items:
            return
        line = self.lettered(_TEXT)
        indent = 4.0 * self.size
        for item in block.items:
            self.room_for(self._height(self.epw - indent, line, item))
            self.cell(indent, line, "•")
            self._text(self.epw - indent, line, item)
            self.y += 0.5 * self.size
        self.y += 0.8 * self.size

    def write_pictures(self, block: Pictures) -> None:
        """Write pictures side by side, each with its caption below."""
        self.room_for(self._picture_height(block))
        line = self.lettered(_SMALL)
        top, low = self.y + 1.0 * self.size, self.y
        for index, picture in enumerate(block.items):
            column, (width, height) = self._column(block), self._fitted(block, picture)
            left = self.l_margin + index * (column + _GAP)
            self.image(io.BytesIO(picture.content), left, top, width, height)
            self.set_xy(left, top + height + 1.0 * self.size)
            if picture.caption:
                self._text(column, line, picture.caption, left)
            low = max(low, self.y)
        self.set_xy(self.l_margin, low + 1.4 * self.size)

    def _column(self, block: Pictures) -> float:
        """Return how wide each of some pictures side by side is [mm]."""
        count = len(block.items)
        drawn = all(picture.kind == "png" for picture in block.items)
        if count == 1 and not (drawn and block.wide):
            count = 2
        width = (self.epw - (count - 1) * _GAP) / count
        return float(width * self.pictures) if drawn else float(width)

    def _fitted(self, block: Pictures, picture: Picture) -> tuple[float, float]:
        """Return a picture's width and height on paper [mm]."""
        width = self._column(block)
        height = width * picture.height / picture.width
        return (width, height) if height <= _TALL else (width * _TALL / height, _TALL)

    def _picture_height(self, block: Pictures) -> float:
        line = self.lettered(_SMALL)
        return max(
            self._fitted(block, picture)[1]
            + self._height(self._column(block), line, picture.caption)
            + 3.4 * self.size
            for picture in block.items
        )

    def write_grid(self, block: Grid) -> None:
        """Write a table; its headings again on every page that it goes over to."""
        shares = sum(column.share for column in block.columns)
        widths = [self.epw * column.share / shares for column in block.columns]
        headings = tuple(column.heading for column in block.columns)
        line = self.lettered(_TABLE)
        self.room_for(6 * line)
        self._row(block.columns, widths, headings, line, bold=True)
        for row in block.rows:
            height = max(len(lines) for lines in self._cells(widths, row, line)) * line
            if self.y + height + 1.4 > self.bottom:
                self.add_page()
                self._row(block.columns, widths, headings, line, bold=True)
            self._row(block.columns, widths, row, line)
        self.y += 2.0

    def _cells(self, widths: Sequence[float], row: Sequence[str], line: float) -> list[list[str]]:
        """Return the lines of each cell of a row."""
        return [
            self._lines(width - _BETWEEN, line, cell)
            for width, cell in zip(widths, row, strict=True)
        ]

    def _row(
        self,
        columns: Sequence[Column],
        widths: Sequence[float],
        row: Sequence[str],
        line: float,
        bold: bool = False,
    ) -> None:
        """Write one row with a rule below it; what is longer than a page goes on overleaf."""
        self.lettered(_TABLE, bold)
        cells = self._cells(widths, row, line)
        self.y += 0.5
        for number in range(max(len(lines) for lines in cells)):
            if self.y + line > self.bottom:
                self.add_page()
                self.lettered(_TABLE, bold)
            left = self.l_margin
            for column, width, lines in zip(columns, widths, cells, strict=True):
                self.x = left
                text = lines[number] if number < len(lines) else ""
                size = self._smaller_for(width - _BETWEEN, text)
                self.cell(width - _BETWEEN, line, text, align="R" if column.right else "L")
                self.set_font_size(size)
                left += width
            self.x = self.l_margin
            self.y += line
        self.y += 0.5
        self.set_line_width(0.25 if bold else 0.1)
        self.set_draw_color(0 if bold else 190)
        self.line(self.l_margin, self.y, self.w - self.r_margin, self.y)
        self.set_draw_color(0)

    def _smaller_for(self, width: float, text: str) -> float:
        """Take up lettering in which every word stands whole in a line; return what it was.

        Of a word that would be too small to read, as much stands in a line as there is room for.
        """
        size = float(self.font_size_pt)
        longest = max(map(self.get_string_width, text.split()), default=0.0)
        if longest > width:
            self.set_font_size(size * max(_LEAST, 0.995 * width / longest))
        return size

    def _lines(self, width: float, line: float, text: str) -> list[str]:
        size = self._smaller_for(width, text)
        found = self.multi_cell(
            width, line, text, align="L", dry_run=True, output=MethodReturnValue.LINES
        )
        self.set_font_size(size)
        return list(found)  # type: ignore[arg-type]

    def _height(self, width: float, line: float, text: str) -> float:
        return len(self._lines(width, line, text)) * line if text else 0.0

    def _text(self, width: float, line: float, text: str, left: float | None = None) -> None:
        """Write wrapped text from the left margin of its column, and stand below it."""
        size = self._smaller_for(width, text)
        self.multi_cell(width, line, text, align="L", new_x=XPos.LEFT, new_y=YPos.NEXT)
        self.set_font_size(size)
        if left is None:
            self.x = self.l_margin
