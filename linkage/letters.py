"""Texts without what no screen or paper can show, and names that no line may end in."""

from __future__ import annotations

HELD = "\u00a0"
"""A blank within a name, which no line ends at."""


def held_together(name: str) -> str:
    """Return a name, of a file perhaps, as it stands in a text that is broken into lines."""
    return name.replace(" ", HELD)


def visible(text: str) -> str:
    r"""Return a text without control characters and marks without a width; lines stay lines.

    Among them are the escapes by which a text would move about on a terminal, or colour it.

    Examples
    --------
    >>> visible("red\x1b[31m \ufeffrod")
    'red[31m rod'
    """
    return "".join(c for c in text if c == "\n" or c.isprintable())
