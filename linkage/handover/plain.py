"""Numbers and names for someone who has no callipers and cannot name the parts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from linkage.report.glossary import BRIEFLY

PAPER = 0.1
"""How thick an ordinary sheet of paper is, 80 g to the square metre [mm]: common practice, no
source."""
_HUNDREDTHS = round(100 * PAPER)  # of a millimetre
_COUNT = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
)  # fmt: skip
_MOST = 50  # sheets beyond which paper is no measure [1]


def number(value: float) -> str:
    """Return a number to two decimals, without idle noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def millimetres(length: float) -> str:
    """Return a length in words.

    Parameters
    ----------
    length : float [mm]
        Not below 0.

    Examples
    --------
    >>> millimetres(0.126), millimetres(12.0)
    ('0.13 millimetre', '12 millimetres')
    """
    return f"{number(length)} millimetre{'s' if round(length, 2) > 1 else ''}"


def in_paper(length: float) -> str:
    """Return a small length in sheets of paper.

    A phrase that agrees with the two decimals of `millimetres`; empty where paper is no
    measure: of nothing, and beyond 50 sheets.

    Parameters
    ----------
    length : float [mm]
        Not below 0.

    Examples
    --------
    >>> in_paper(0.04)
    'less than the thickness of one sheet of paper'
    >>> in_paper(0.13), in_paper(0.3)
    ('about one sheet of paper thick', 'about three sheets of paper thick')
    """
    hundredths = round(100 * length)
    if hundredths == 0:
        return ""
    if 4 * hundredths < 3 * _HUNDREDTHS:
        return "less than the thickness of one sheet of paper"
    sheets = max((hundredths + _HUNDREDTHS // 2) // _HUNDREDTHS, 1)
    if sheets == 1:
        return "about one sheet of paper thick"
    if sheets > _MOST:
        return ""
    many = _COUNT[sheets] if sheets < len(_COUNT) else f"{5 * round(sheets / 5)}"
    return f"about {many} sheets of paper thick"


def measured(length: float) -> str:
    """Return a length in words, and in sheets of paper where they are a measure of it."""
    paper = in_paper(length)
    return f"{millimetres(length)}, {paper}" if paper else millimetres(length)


def times(count: int) -> str:
    """Return how often, in words."""
    words = {1: "once", 2: "twice"}
    return words.get(count) or f"{_COUNT[count] if count < len(_COUNT) else count} times"


def spelled_out(text: str) -> str:
    """Return a sentence of the bench without its abbreviations.

    Parameters
    ----------
    text : str
        A sentence from `report.words`.

    Examples
    --------
    >>> spelled_out("by 0.42 mm, 9.60 mm from the die block")
    'by 0.42 millimetre, 9.6 millimetres from the die block'
    """
    return re.sub(r"(\d+(?:\.\d+)?) mm\b", lambda m: millimetres(float(m[1])), text)


def explained(texts: Sequence[str]) -> list[str]:
    """Say once in brackets what each part is, where it is first named.

    The same with the brackets.
    """
    found = list(texts)
    for word in sorted(BRIEFLY, key=len, reverse=True):
        for index, text in enumerate(found):
            at = _first(word, text)
            if at is not None:
                found[index] = f"{text[:at]} ({BRIEFLY[word]}){text[at:]}"
                break
    return found


def _first(word: str, text: str) -> int | None:
    """Return where a word first ends, not in brackets, nor in a longer one that is explained."""
    pattern = rf"\b{re.escape(word)}s?\b(?!['\-(]| \()"
    for match in re.finditer(pattern, text, re.IGNORECASE):
        before = text[: match.start()]
        if before.count("(") == before.count(")") and not _in_longer(word, text, match):
            return match.end()
    return None


def _in_longer(word: str, text: str, match: re.Match[str]) -> bool:
    """Tell whether a word found is part of a longer one: the crank of a return crank."""
    lower = text.lower()
    for other in BRIEFLY:
        if len(other) > len(word) and word in other:
            at = lower.find(other, max(match.start() - len(other), 0))
            if 0 <= at <= match.start() < at + len(other):
                return True
    return False
