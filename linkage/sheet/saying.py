"""What was felt, as it is said in a sentence: "locks at about 5 o'clock on the right"."""

from __future__ import annotations

import re
from typing import Any

_WHAT = re.compile(r"\b(locks|stiff|free)\b")
_SIDE = re.compile(
    r"\b(?:on\s+the\s+)?(right|left)(?:-hand)?(?:\s+side)?\b(?!\s+[a-z_.]*(?:crank|rod))"
)
_TURNING = re.compile(r"\b(forward|backward)s?\b")
_OFF = re.compile(r"\bwith\s+(.+?)\s+off\b")
_PLACE = (
    r"(?:about\s+)?(?:(?:half past|quarter past|quarter to)\s+)?"
    r"(?:\d[\d.,:]*|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
    r"(?:\s*(?:o'?\s?clock|deg(?:ree)?s?))?"
)
_SPAN = re.compile(rf"\bfrom\s+({_PLACE})\s+to\s+({_PLACE})", re.IGNORECASE)
_AT = re.compile(rf"\bat\s+({_PLACE})", re.IGNORECASE)
_BARE = re.compile(r"(?:about\s+)?(?:[1-9]|1[0-2]|[a-z]+)")
_FILLERS = {"it", "is", "the", "and", "on", "turning", "side", "when", "turned", "in"}

WANTED = (
    'should say what was felt, such as "locks at about 5 o\'clock on the right", "free on the '
    'left", "free with right.return_crank off" or "stiff from 20 to 60 on the right, forward"'
)


def felt_in(text: str) -> dict[str, Any]:
    """Return what a sentence says was felt, as it would stand in a sheet's [[felt]].

    Raises
    ------
    ValueError
        Where it does not say what was felt, or has words that say nothing known.

    Examples
    --------
    >>> felt_in("it locks at about five o'clock on the right")
    {'what': 'locks', 'at': "about five o'clock", 'side': 'right'}
    """
    rest = " ".join(text.lower().replace(",", " ").split()) if "," in text else text.lower()
    found: dict[str, Any] = {}
    taken, rest = _take(_WHAT, rest)
    if taken is None:
        raise ValueError(WANTED)
    found["what"] = taken[0]
    off, rest = _take(_OFF, rest)
    if off is not None:
        names = re.split(r"\s+and\s+|\s*&\s*|\s+", off[0])
        found["taken_off"] = [name for name in names if name not in _FILLERS and name]
    span, rest = _take(_SPAN, rest)
    if span is not None:
        found["from"], found["to"] = (_typed(place) for place in span)
    else:
        at, rest = _take(_AT, rest)
        if at is not None:
            found["at"] = _typed(at[0])
    for key, pattern in (("side", _SIDE), ("turning", _TURNING)):
        taken, rest = _take(pattern, rest)
        if taken is not None:
            found[key] = taken[0]
    strange = [word for word in rest.split() if word not in _FILLERS]
    if strange:
        raise ValueError(f'"{" ".join(strange)}" is not understood: it {WANTED}')
    return found


def _take(pattern: re.Pattern[str], text: str) -> tuple[tuple[str, ...] | None, str]:
    """Return what a pattern finds, and the text without it."""
    match = pattern.search(text)
    if match is None:
        return None, text
    return match.groups(), f"{text[: match.start()]} {text[match.end() :]}"


def _typed(place: str) -> str:
    """Return a place as it would be typed; a bare number that may be an hour is asked about."""
    if _BARE.fullmatch(place.strip()):
        raise ValueError(f'says "{place.strip()}": is that o\'clock, or degrees of the crank?')
    return place.strip()
