"""The key beside a map of two numbers: what its marks, lines and hatches mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from linkage.draw.page import FULL, PAPER, RIGHT, across, share_up, write
from linkage.draw.paint import line_look, sign_look, text_width
from linkage.scene.drawing import wrapped
from linkage.scene.style import BLACK, PLAIN, SENTENCE, SMALL, WHITE, Letters, Pen, Sign

_KEY, _SWATCH = 0.685, 0.032  # where the key begins, how wide its signs are [share of the paper]
_WORDS = _KEY + _SWATCH + 0.009
_PITCH, _APART = 1.35, 0.75  # from line to line, and between entries [letters]


@dataclass(frozen=True)
class Entry:
    """An entry of the key."""

    said: str  # what the sign means
    head: str = ""  # a word before that, in bold
    # a line, a mark, or the hatch of a piece of the map, none where it is empty; None for no sign
    # at all
    sign: Pen | Sign | str | None = ""


def write_key(figure: Figure, entries: Sequence[Entry], ends: tuple[float, float]) -> None:
    """Write the key from a height down to another [shares of the paper], as large as has room."""
    y, low = ends
    for size in (SENTENCE, SMALL):
        lines = [_lines(entry, size) for entry in entries]
        heights = [share_up((len(each) * _PITCH + _APART) * size) for each in lines]
        if sum(heights) <= y - low:
            break
    for entry, each, height in zip(entries, lines, heights, strict=True):
        if entry.sign is not None:
            _draw_sign(figure, entry.sign, y, y - height + share_up(_APART * size))
        _write(figure, entry, each, (y, size))
        y -= height


def _lines(entry: Entry, size: float) -> list[str]:
    """Return the words of an entry, wrapped, its bold word first: bold is the wider."""
    letters = Letters(size, bold=bool(entry.head))
    return wrapped(f"{entry.head} {entry.said}", letters, FULL * across(RIGHT - _WORDS), text_width)


def _draw_sign(figure: Figure, sign: Pen | Sign | str, top: float, low: float) -> None:
    if isinstance(sign, str):
        figure.add_artist(
            Rectangle((_KEY, low), _SWATCH, top - low, facecolor=WHITE, edgecolor=BLACK,
                      linewidth=PLAIN, hatch=sign or None)
        )  # fmt: skip
        return
    marks = isinstance(sign, Sign)
    xs = [_KEY + _SWATCH / 2] if marks else [_KEY, _KEY + _SWATCH]
    middle = top - share_up(SENTENCE * 0.62)
    look = sign_look(sign) if isinstance(sign, Sign) else line_look(sign)
    figure.add_artist(Line2D(xs, [middle] * len(xs), **look))


def _write(figure: Figure, entry: Entry, lines: Sequence[str], place: tuple[float, float]) -> None:
    """Write an entry's lines, from a height on and in letters of a size."""
    top, size = place
    left = _KEY if entry.sign is None else _WORDS
    for number, line in enumerate(lines):
        x, y, said = left, top - share_up(number * _PITCH * size), line
        if number == 0 and entry.head:
            write(figure, (x, y), entry.head, Letters(size, True))
            wide = max(text_width(entry.head, Letters(size, True)) + 0.5 * size, 1.3 * size)
            x += wide / 72 / PAPER[0]
            said = line[len(entry.head) :].lstrip()
        if said:
            write(figure, (x, y), said, Letters(size))
