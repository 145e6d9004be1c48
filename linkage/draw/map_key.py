"""The key beside a map of two numbers: what its marks, lines and hatches mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from linkage.draw.labels import text_width
from linkage.draw.page import PAPER, RIGHT, share_up
from linkage.draw.style import BLACK, GREY, HEAVY, PLAIN, SENTENCE, SMALL, THIN

HATCHES = ("////", "\\\\\\\\", "xxx", "---", "...", "|||", "++")
"""Of what stops, the commonest first; the last for all that is left."""
EDGE: dict[str, Any] = {"color": BLACK, "linewidth": HEAVY + 0.8}
AIR: dict[str, Any] = {"color": GREY, "linewidth": THIN + 0.2, "linestyle": (0, (5, 3))}
"""Lines: the edge of what is free, and equal air."""
_MARK: dict[str, Any] = {"color": BLACK, "markerfacecolor": "1.0", "linestyle": "none"}
TODAY = {**_MARK, "marker": "x", "markersize": 10, "markeredgewidth": 2.6}
NEAREST = {**_MARK, "marker": "D", "markersize": 8, "markeredgewidth": 1.6}
"""Marks of pairs."""

_KEY, _SWATCH = 0.685, 0.032  # where the key begins, how wide its signs are [share of the paper]
_WORDS = _KEY + _SWATCH + 0.009
_FULL = 0.94  # of a line that words may take: at few dots to the inch they are wider
_PITCH, _APART = 1.35, 0.75  # from line to line, and between entries [letters]


@dataclass(frozen=True)
class Entry:
    """An entry of the key.

    Attributes
    ----------
    said : str
        What the sign means.
    head : str
        A word before that, in bold.
    line : mapping or None
        How the line or mark is drawn that is its sign; None for a piece of the map.
    hatch : str or None
        Of the piece of the map; None for no sign at all.
    """

    said: str
    head: str = ""
    line: dict[str, Any] | None = None
    hatch: str | None = ""


def write_key(figure: Figure, entries: Sequence[Entry], ends: tuple[float, float]) -> Figure:
    """Write the key, as large as there is room for.

    Parameters
    ----------
    ends : (float, float) [1]
        Its upper and lower end, as shares of the paper's height.
    """
    y, low = ends
    for size in (SENTENCE, SMALL):
        wrapped = [_lines(entry, size) for entry in entries]
        heights = [share_up((len(lines) * _PITCH + _APART) * size) for lines in wrapped]
        if sum(heights) <= y - low:
            break
    for entry, lines, height in zip(entries, wrapped, heights, strict=True):
        if entry.line is not None or entry.hatch is not None:
            _draw_sign(figure, entry, y, y - height + share_up(_APART * size))
        _write(figure, entry, lines, (y, size))
        y -= height
    return figure


def _lines(entry: Entry, size: float) -> list[str]:
    """Return the words of an entry, wrapped, its bold words first."""
    room = _FULL * (RIGHT - _WORDS) * PAPER[0] * 72
    lines = [""]
    for word in f"{entry.head} {entry.said}".split():
        longer = f"{lines[-1]} {word}".lstrip()
        bold = len(lines) == 1 and bool(entry.head)  # bold is the wider
        if not lines[-1] or text_width(longer, size, bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _draw_sign(figure: Figure, entry: Entry, top: float, low: float) -> None:
    if entry.line is None:
        figure.add_artist(
            Rectangle((_KEY, low), _SWATCH, top - low, facecolor="1.0", edgecolor=BLACK,
                      linewidth=PLAIN, hatch=entry.hatch or None)
        )  # fmt: skip
        return
    across = [_KEY + _SWATCH / 2] if "marker" in entry.line else [_KEY, _KEY + _SWATCH]
    middle = top - share_up(SENTENCE * 0.62)
    figure.add_artist(Line2D(across, [middle] * len(across), **entry.line))


def _write(figure: Figure, entry: Entry, lines: Sequence[str], place: tuple[float, float]) -> None:
    """Write an entry's lines, from a height on and in letters of a size."""
    top, size = place
    signed = entry.line is not None or entry.hatch is not None
    for number, line in enumerate(lines):
        x, y = _WORDS if signed else _KEY, top - share_up(number * _PITCH * size)
        said = line
        if number == 0 and entry.head:
            figure.text(x, y, entry.head, fontsize=size, va="top", fontweight="bold")
            wide = max(text_width(entry.head, size, True) + 0.5 * size, 1.3 * size)
            x += wide / 72 / PAPER[0]
            said = line.removeprefix(entry.head).lstrip()
        if said:
            figure.text(x, y, said, fontsize=size, va="top")
