"""What was felt, as it is said in sentences: "locks at about 5 o'clock on the right, left free"."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from linkage.sheet.felt import ALL_AXLES
from linkage.tables.felt import ALL_ROUND

_WHAT = re.compile(
    r"\b(?:(?P<locks>locks?|locked|jams?|jammed|stops?|stopped|sticks?|stuck|seized|seizes|hits"
    r"|(?:won['\u2019]?t|will not) turn|stands? fast)"
    r"|(?P<stiff>stiff|tight|binds?|catch(?:es)?|rubs?)|(?P<free>free|freely))\b"
)
_FAST = re.compile(r"\b(?:all (?:the way )?round|everywhere|at all|fast)\b")
"""That it locks wherever the wheels stand."""
_BREAK = re.compile(r"[,;]|\b(?:and|but|while)\b")
_SIDE = re.compile(
    r"\b(?:on\s+the\s+)?(right|left)(?:-hand)?(?:\s+side)?\b(?!\s+[a-z_.]*(?:crank|rod))"
)
_TURNING = re.compile(r"\b(forward|backward)s?\b")
_OFF = re.compile(r"\bwith\s+(.+?)\s+(?:taken off|off|taken out|out|removed)\b")
_GEAR = re.compile(
    r"\b(?:in|with\s+the\s+reverser\s+(?:in|at))\s+(?:(?P<mid>mid(?:dle)?)|(?:full\s+)?"
    r"(?:(?P<full_forward>fore|forward)|(?P<full_back>back(?:ward)?)))[\s-]*gear\b"
)
_PUSHED = re.compile(
    r"\b(?:with\s+)?(?:the\s+)?(\w+)\s+(?:wheel\s?set|wheel|axle)s?\s+pushed(?:\s+over)?\s+"
    r"(?:to\s+the\s+)?(right|left)(?:-hand)?(?:\s+side)?\b"
)
_DEAD = re.compile(  # places that are said of the crank, not of a clock
    r"\b(?:at|near|past|about)?\s*(?:the\s+)?(?:about\s+)?(?:the\s+)?"
    r"(?:(?P<end>front|back)\s+dead\s+cent(?:re|er)|(?P<quarter>top|bottom)"
    r"(?:\s+dead\s+cent(?:re|er)|\s+of\s+the\s+turn)?)"
)
_DEGREES = {"front": 0, "bottom": 90, "back": 180, "top": 270}
_GIVE = re.compile(r"(?:\+-|\+/-|\u00b1|plus or minus|give or take)\s*(\d+)\s*(?:deg(?:ree)?s?)?")
_PART = r"(?:(?:half past|quarter past|quarter to)\s+)"
_NUMBER = r"(?:\d[\d.:]*|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
_UNIT = r"(?:\s*(?:o['\u2019]?\s?clock|deg(?:ree)?s?))"
_PLACE = rf"(?:about\s+)?{_PART}?{_NUMBER}{_UNIT}?"
_SPAN = re.compile(rf"\bfrom\s+({_PLACE})\s+to\s+({_PLACE})", re.IGNORECASE)
_AT = re.compile(rf"\b(?:at|near|past)\s+({_PLACE})", re.IGNORECASE)
_SURELY_PLACE = re.compile(  # without "at" it says by itself what it is
    rf"\b((?:about\s+)?(?:{_PART}{_NUMBER}{_UNIT}?|{_NUMBER}{_UNIT}))", re.IGNORECASE
)
_UNIT_SAID = re.compile(rf"({_UNIT})$")
_BARE = re.compile(r"(?:about\s+)?(?:[1-9]|1[0-2]|[a-z]+)")
_ARTICLE = re.compile(r"^(?:the|both|its)\s+")
_FILLERS = {
    *("it", "is", "the", "a", "bit", "and", "but", "on", "in", "at", "by", "hand", "all", "round"),
    *("turning", "turned", "turns", "going", "goes", "runs", "side", "when", "while", "there"),
    *("wheels", "quite", "still", "only", "once", "turn", "something", "always", "just", "hard"),
    *("they", "are"),
}

WANTED = (
    'should say what was felt, such as "locks at about 5 o\'clock on the right", "free on the '
    'left", "free with right.return_crank off" or "stiff from 20 to 60 on the right, forward"'
)


def felt_in(text: str) -> list[dict[str, Any]]:
    """Return what sentences say was felt, each as it would stand in a sheet's [[felt]].

    Raises
    ------
    ValueError
        Where one does not say what was felt, or has words that say nothing known.

    Examples
    --------
    >>> felt_in("it locks at five o'clock on the right, the left is free")
    [{'what': 'locks', 'at': "five o'clock", 'side': 'right'}, {'what': 'free', 'side': 'left'}]
    """
    return [_clause(clause) for clause in _clauses(text.lower())]


def _clauses(text: str) -> list[str]:
    """Return the parts of a text of which each says one thing that was felt.

    Between two such words it is parted at the last comma, or else the last "and".
    """
    said = list(_WHAT.finditer(text))
    cuts = [0]
    for one, other in pairwise(said):
        breaks = list(_BREAK.finditer(text, one.end(), other.start()))
        if not breaks:
            raise ValueError(f"says two things at once: each {WANTED}")
        strong = [found for found in breaks if found[0] in ",;"]
        cuts.append((strong or breaks)[-1].start())
    return [text[a:b].strip(" ,;.") for a, b in pairwise([*cuts, len(text)])]


def _clause(text: str) -> dict[str, Any]:
    taken = _WHAT.search(text)
    if taken is None:
        raise ValueError(WANTED)
    found: dict[str, Any] = {"what": taken.lastgroup}
    rest = f"{text[: taken.start()]} {text[taken.end() :]}"
    off, rest = _take(_OFF, rest)
    if off is not None:
        names = re.split(r"\s+and\s+|\s*[&,]\s*", off[0])
        found["taken_off"] = [_ARTICLE.sub("", name) for name in names]
    pushed, rest = _take(_PUSHED, rest)
    if pushed is not None:
        found["pushed"] = {ALL_AXLES if pushed[0] == "both" else pushed[0]: pushed[1]}
    gear = _GEAR.search(rest)
    if gear is not None:
        found["running"] = gear.lastgroup
        rest = f"{rest[: gear.start()]} {rest[gear.end() :]}"
    places, rest = _places(rest)
    if not places and found["what"] != "free" and _FAST.search(text):
        places = {"at": ALL_ROUND}
        rest = _FAST.sub(" ", rest)
    found |= places
    for key, pattern in (("side", _SIDE), ("turning", _TURNING)):
        side, rest = _take(pattern, rest)
        if side is not None:
            found[key] = side[0]
    strange = [word for word in re.findall(r"[^\s,;.]+", rest) if word not in _FILLERS]
    if strange:
        raise ValueError(f'"{" ".join(strange)}" is not understood: it {WANTED}')
    return found


def _places(rest: str) -> tuple[dict[str, Any], str]:
    """Return where it was felt, as typed, and the text without it."""
    span, left = _take(_SPAN, rest)
    if span is not None:
        begin, end = span
        unit = _UNIT_SAID.search(end)
        if unit is not None and _BARE.fullmatch(begin):  # "from 7 to 8 o'clock"
            begin = f"{begin}{unit[1]}"
        return {"from": _typed(begin), "to": _typed(end)}, left
    at, rest = _place(rest)
    if at is None:
        return {}, rest
    give, rest = _take(_GIVE, rest)
    return {"at": at if give is None else {"value": at, "measured_to": int(give[0])}}, rest


def _place(rest: str) -> tuple[str | None, str]:
    """Return one place, by the clock, in degrees or at a dead centre, and the text without it."""
    for pattern in (_AT, _SURELY_PLACE):
        at, left = _take(pattern, rest)
        if at is not None:
            return _typed(at[0]), left
    dead = _DEAD.search(rest)
    if dead is None:
        return None, rest
    about = "about " if "about" in dead[0] else ""
    at_degrees = f"{about}{_DEGREES[dead['end'] or dead['quarter']]} degrees"
    return at_degrees, f"{rest[: dead.start()]} {rest[dead.end() :]}"


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
