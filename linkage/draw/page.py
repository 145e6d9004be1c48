"""The sheet of paper that every picture stands on: title, what it says, the caution, tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from matplotlib.figure import Figure

from linkage.draw.paint import paper, text_width
from linkage.scene.drawing import Paper, wrapped
from linkage.scene.style import NOTE, NOTE_BOLD, SENTENCE, SMALL, TEXT, TITLE, Letters
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
FULL = 0.94
"""Of a line that words may take: at few dots to the inch they are wider."""
Place = tuple[float, float, float, float]
"""Left, bottom, width and height, as shares of the paper."""

_LINE = 1.4  # from line to line of a table, in sizes of its letters
_SPACE = 11.0  # between the columns of a table [points]


def new_page(
    sheet: Sheet,
    said: str,
    name: str,
    sizes: tuple[float, float] = (SENTENCE, TEXT),
    most: int = 2,
) -> Figure:
    """Return an A4 page with its title, what the picture says, and the caution; nothing drawn yet.

    `sizes` [points]: of the letters of what it says: the second where it takes more lines than
    `most`.
    """
    figure = Figure(figsize=PAPER)
    write(figure, (LEFT, 0.972), sheet.title or Path(sheet.source).stem, Letters(TITLE, True))
    for size in sizes:
        lines = wrapped(said, Letters(size), FULL * across(RIGHT - LEFT), text_width)
        if len(lines) <= most:
            break
    figure.text(LEFT, 0.937, "\n".join(lines), fontsize=size, va="top", linespacing=1.25)
    figure.text(LEFT, 0.012, CAUTION, fontsize=SMALL, va="bottom")
    figure.text(RIGHT, 0.012, name, fontsize=SMALL, va="bottom", ha="right")
    return figure


def write(figure: Figure, corner: tuple[float, float], text: str, letters: Letters = NOTE) -> None:
    """Write on a page, from an upper left corner on, as shares of the paper."""
    weight = "bold" if letters.bold else "normal"
    figure.text(*corner, text, fontsize=letters.size, va="top", fontweight=weight)


def across(share: float) -> float:
    """Return a share [1] of the paper's width as a length [points]."""
    return share * PAPER[0] * 72


def share_up(points: float) -> float:
    """Return a length [points] as a share of the paper's height."""
    return points / 72 / PAPER[1]


def box(place: Place) -> Paper:
    """Return a place on the page as a box of paper."""
    return paper(across(place[2]), place[3] * PAPER[1] * 72)


def _widths(rows: Sequence[Sequence[str]]) -> list[float]:
    return [
        max(text_width(cell, NOTE_BOLD) if cell else 0.0 for cell in column) + _SPACE
        for column in zip(*rows, strict=True)
    ]


def table_height(rows: Sequence[Sequence[str]], room: float) -> float:
    """Return how high a table stands with its heads, where it may be so wide [points]."""
    return (len(next(_blocks(rows, room))) + 1) * _LINE * SMALL


def _blocks(rows: Sequence[Sequence[str]], room: float) -> Iterator[Sequence[Sequence[str]]]:
    """Part the lines into as many blocks beside one another as there is room for, heads apart."""
    _, *lines = rows
    many = max(1, min(len(lines), int((room + _SPACE) // sum(_widths(rows)))))
    deep = -(-len(lines) // many)
    yield from (lines[i : i + deep] for i in range(0, len(lines), deep))


def write_table(
    figure: Figure, rows: Sequence[Sequence[str]], corner: tuple[float, float], room: float
) -> None:
    """Write a table, in blocks beside one another where there is room.

    `rows`: its lines, the heads of the columns first; at least one line. The first cell is bold.
    `corner` [1]: its upper left corner, as shares of the paper. `room` [points]: how wide it may
    be.
    """
    widths = _widths(rows)
    for number, block in enumerate(_blocks(rows, room)):
        for down, row in enumerate([rows[0], *block]):
            x = corner[0] + number * sum(widths) / across(1)
            y = corner[1] - share_up(down * _LINE * SMALL)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True)):
                if cell:
                    write(figure, (x, y), cell, NOTE_BOLD if down == 0 or place == 0 else NOTE)
                x += width / across(1)
