"""The table of a form: letter, key, what to measure, unit, and boxes to write in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from matplotlib.axes import Axes
from matplotlib.patches import Circle, Rectangle

from linkage.draw.paint import text_width
from linkage.form.dimension_lines import CIRCLE
from linkage.scene.style import BLACK, GREY, NOTE, SMALL, TEXT, THIN, Letters
from linkage.sheet.lines import BlankLine

LETTER, KEY, HINT, UNIT, BOXES = 8.0, 43.0, 69.0, 10.0, 56.0
"""Widths of the columns [mm]."""
WIDTH = LETTER + KEY + HINT + UNIT + BOXES
_ROW = 6.4  # one reading [mm]
_LINE = 3.2  # one line of a hint [mm]
_HEADING = 4.0
_SPACE = 0.45  # between words, and about their letters, as a share of their size
_POINT = 25.4 / 72.0
_KNOWN = ("arrangement", "units", "scale")  # written into their boxes
_UNITS = {"mm": "mm", "in": "in", "degrees": "°", "word": "word"}


def wrap(text: str, width: float, size: float = SMALL) -> list[str]:
    """Break a text into lines no wider than a column.

    The lines; none of an empty text.

    `width` [mm]: of the column. `size` [points]: of the letters.
    """
    lines: list[str] = []
    taken = 0.0
    for word in text.split():
        wide = text_width(word, Letters(size)) * _POINT  # word by word: most have been measured
        longer = taken + _SPACE * size * _POINT + wide
        if lines and longer <= width:
            lines[-1], taken = f"{lines[-1]} {word}", longer
        else:
            lines.append(word)
            taken = wide
    return lines


@dataclass(frozen=True)
class Table:
    """A table to be filled in."""

    lines: Sequence[BlankLine]  # its readings
    letters: Mapping[str, str]  # by whole key
    columns: Sequence[str]  # over the boxes: "right" and "left", or one word

    @property
    def height(self) -> float:
        """What it takes of the page, its heading too [mm]."""
        return _HEADING + sum(height for _, _, height in self.groups)

    @property
    def groups(self) -> Iterator[tuple[list[BlankLine], list[str], float]]:
        """The readings of each line of the sheet, their hint in lines, and their height [mm]."""
        for _, grouped in groupby(self.lines, key=lambda line: line.line):
            readings = list(grouped)
            why = [f"no letter: {r.no_place}" for r in readings if r.no_place]
            said = [*filter(None, [readings[0].hint]), *why]
            hint = wrap("; ".join(said), HINT - 3.0)
            yield readings, hint, max(_ROW * len(readings), _LINE * len(hint) + 2.0)


def draw_table(axis: Axes, table: Table, corner: tuple[float, float]) -> Axes:
    """Draw a table to be filled in.

    `axis`: one unit of it is a mm of paper. `corner` [mm]: its top left corner.
    """
    left, top = corner
    edges = [left]
    for width in (LETTER, KEY, HINT, UNIT, *[BOXES / len(table.columns)] * len(table.columns)):
        edges.append(edges[-1] + width)
    heads = ("", "on the sheet", "what, and how", "", *table.columns)
    for x, word in zip(edges, heads, strict=False):
        axis.text(x + 1.0, top - 2.9, word, fontsize=SMALL, color=GREY, va="baseline")
    y = top - _HEADING
    for readings, hint, height in table.groups:
        _rule(axis, edges, y)
        each = height / len(readings)
        for number, reading in enumerate(readings):
            _draw_reading(axis, reading, edges, (y - number * each, each),
                          table.letters.get(reading.full, ""))  # fmt: skip
        middle = y - height / 2 + _LINE * (len(hint) - 1) / 2
        for number, text in enumerate(hint):
            axis.text(edges[2] + 1.0, middle - number * _LINE, text, fontsize=SMALL,
                      va="center_baseline")  # fmt: skip
        y -= height
    _rule(axis, edges, y)
    return axis


def _rule(axis: Axes, edges: Sequence[float], y: float) -> None:
    axis.plot([edges[0], edges[-1]], [y, y], color=GREY, linewidth=THIN, zorder=1)


def _draw_reading(
    axis: Axes, reading: BlankLine, edges: Sequence[float], place: tuple[float, float], letter: str
) -> None:
    """Draw one line of the table from a top, so deep: letter, key, unit, boxes."""
    top, deep = place
    y = top - deep / 2
    if letter:
        at = (edges[0] + 4.0, y)
        size = TEXT if len(letter) == 1 else SMALL - 0.5
        axis.add_patch(Circle(at, CIRCLE, fill=False, edgecolor=BLACK, linewidth=THIN))
        axis.text(*at, letter, fontsize=size, fontweight="bold", ha="center",
                  va="center_baseline")  # fmt: skip
    key = f"({reading.key})" if reading.optional else reading.key
    size = min(1.0, (KEY - 2.0) / (text_width(key, NOTE) * _POINT))
    axis.text(edges[1] + 1.0, y, key, fontsize=SMALL * size, va="center_baseline")
    axis.text(edges[3] + 1.0, y, _UNITS[reading.unit], fontsize=SMALL, va="center_baseline")
    if reading.full in _KNOWN:
        axis.text(edges[4] + 2.5, y, str(reading.value), fontsize=TEXT, va="center_baseline")
    for low, high in pairwise(edges[4:]):
        axis.add_patch(
            Rectangle((low + 0.7, top - deep + 0.6), high - low - 1.4, deep - 1.2, fill=False,
                      edgecolor=BLACK, linewidth=THIN)
        )  # fmt: skip
