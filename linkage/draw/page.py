"""The sheet of paper that every picture stands on: title, what it says, the caution."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path

from matplotlib.figure import Figure

from linkage.draw.labels import text_width
from linkage.draw.style import SENTENCE, SMALL, TEXT, TITLE
from linkage.sheet import Sheet

PAPER = (11.69, 8.27)
"""A4, longer side across [inch]."""

CAUTION = (
    "Geometry only: no clearance to run or steam. Disconnect power, motor out, before turning the "
    "wheels by hand with a tool near."
)

LEFT, RIGHT = 0.025, 0.98
"""Edges of what is drawn, as shares of the paper's width."""
TOP, BOTTOM = 0.845, 0.04
"""Upper and lower edge of what is drawn, as shares of the paper's height."""
LINE = 1.4
"""From line to line of a table, in sizes of its letters."""

_LINES = 2  # of the sentence, before its lettering is made smaller
_SPACE = 11.0  # between the columns of a table [points]


def new_page(sheet: Sheet, said: str, name: str) -> Figure:
    """Return an A4 page with its title, what the picture says, and the caution.

    Nothing drawn on it yet.
    """
    figure = Figure(figsize=PAPER)
    title = sheet.title or Path(sheet.source).stem
    figure.text(LEFT, 0.972, title, fontsize=TITLE, fontweight="bold", va="top")
    lines = textwrap.wrap(said, 150, break_on_hyphens=False)
    size = SENTENCE
    if len(lines) > _LINES:
        lines, size = textwrap.wrap(said, 168, break_on_hyphens=False), TEXT
    figure.text(LEFT, 0.937, "\n".join(lines), fontsize=size, va="top", linespacing=1.25)
    figure.text(LEFT, 0.012, CAUTION, fontsize=SMALL, va="bottom")
    figure.text(RIGHT, 0.012, name, fontsize=SMALL, va="bottom", ha="right")
    return figure


def share_up(points: float) -> float:
    """Return a length as a share of the paper's height.

    Parameters
    ----------
    points : float [points]
        The length.

    Returns
    -------
    float [1]
        Of the height.
    """
    return points / 72 / PAPER[1]


def _widths(rows: Sequence[Sequence[str]]) -> list[float]:
    return [
        max(text_width(cell, SMALL, True) if cell else 0.0 for cell in column) + _SPACE
        for column in zip(*rows, strict=True)
    ]


def table_height(rows: Sequence[Sequence[str]], room: float) -> float:
    """Return how high a table stands.

    Parameters
    ----------
    room : float [points]
        How wide it may be.

    Returns
    -------
    float [points]
        With its heads.
    """
    return (len(_blocks(rows, room)[0]) + 1) * LINE * SMALL


def _blocks(rows: Sequence[Sequence[str]], room: float) -> list[Sequence[Sequence[str]]]:
    """Part the lines into as many blocks beside one another as there is room for, heads apart."""
    _, *lines = rows
    many = max(1, min(len(lines), int((room + _SPACE) // sum(_widths(rows)))))
    deep = -(-len(lines) // many)
    return [lines[i : i + deep] for i in range(0, len(lines), deep)]


def write_table(
    figure: Figure, rows: Sequence[Sequence[str]], corner: tuple[float, float], room: float
) -> Figure:
    """Write a table, in blocks beside one another where there is room.

    Parameters
    ----------
    rows : sequence of sequence of str
        Its lines, the heads of the columns first; at least one line. The first cell is bold.
    corner : (float, float) [1]
        Its upper left corner, as shares of the paper.
    room : float [points]
        How wide it may be.
    """
    widths = _widths(rows)
    for number, block in enumerate(_blocks(rows, room)):
        start = corner[0] + number * sum(widths) / 72 / PAPER[0]
        for down, row in enumerate([rows[0], *block]):
            x = start
            y = corner[1] - share_up(down * LINE * SMALL)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True)):
                bold = down == 0 or place == 0
                if cell:
                    figure.text(x, y, cell, fontsize=SMALL, va="top",
                                fontweight="bold" if bold else "normal")  # fmt: skip
                x += width / 72 / PAPER[0]
    return figure
