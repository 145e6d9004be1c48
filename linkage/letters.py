"""Texts without what no screen or paper can show."""

from __future__ import annotations


def visible(text: str) -> str:
    r"""Return a text without control characters and marks without a width; lines stay lines.

    Among them are the escapes by which a text would move about on a terminal, or colour it.

    Examples
    --------
    >>> visible("red\x1b[31m \ufeffrod")
    'red[31m rod'
    """
    return "".join(c for c in text if c == "\n" or c.isprintable())
