"""What a person types for a number, as it stands in the file; and what stands there, as typed.

``over 12.3 ends 1.5 1.4`` is ``{ outside_to_outside = 12.3, ends = [1.5, 1.4] }``, ``inside 9
holes .6 .6`` likewise, ``rise 1 run 24`` an angle by its edges; ``+- 0.03`` after any of them is
its measuring error. All else is for the reader of sheets.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

_ERROR = re.compile(r"\s*(?:\+-|\+/-|±)\s*(.+)$")
_OVER = re.compile(
    r"(?P<source>about\s+|to be\s+)?(?P<way>over|inside)\s+(?P<size>.+?)\s+"
    r"(?:pins?|ends?|eyes?|holes?)\s+(?P<one>.+)",
    re.IGNORECASE,
)
_RISE = re.compile(r"rise\s+(?P<rise>.+?)\s+(?:run|in)\s+(?P<run>.+)", re.IGNORECASE)
_PLAIN = re.compile(r"[-+]?(?:0|[1-9]\d{0,9})(?:\.\d{1,12})?")
_LONGEST = 200
_WAYS = {"over": ("outside_to_outside", "ends"), "inside": ("inside_to_inside", "holes")}


def value_of(text: str) -> Any:
    """Return what a person typed as it stands in a file: a number, a text, a table or a truth.

    Examples
    --------
    >>> value_of("4.33"), value_of("about 3/32 in")
    (4.33, 'about 3/32 in')
    >>> value_of("over 12.3 pins 1.5")
    {'outside_to_outside': 12.3, 'ends': [1.5, 1.5]}

    Raises
    ------
    ValueError
        Where it is nothing, or too long for a number.
    """
    said = " ".join(text.split())
    if not said:
        raise ValueError("nothing is typed; to take a number off the sheet, press Take off")
    if len(said) > _LONGEST or not said.isprintable():
        raise ValueError("is no number that could be written down")
    error = _ERROR.search(said)
    held = _without_error(said[: error.start()] if error else said)
    if error is None:
        return held
    beside = {"measured_to": _bare(error[1])}
    return {**held, **beside} if isinstance(held, dict) else {"value": held, **beside}


def _without_error(said: str) -> Any:
    over, rise = _OVER.fullmatch(said), _RISE.fullmatch(said)
    if over is not None:
        size, ends = _WAYS[over["way"].lower()]
        source = (over["source"] or "").strip()
        whole = f"{source} {over['size']}" if source else _bare(over["size"])
        return {size: whole, ends: _two(over["one"])}
    if rise is not None:
        return {"rise": _bare(rise["rise"]), "run": _bare(rise["run"])}
    return _bare(said)


def _two(said: str) -> list[Any]:
    """Return the sizes of both ends: one that is typed is that of either."""
    parted = re.split(r"\s+and\s+|\s*;\s*", said)
    if len(parted) == 1 and re.fullmatch(r"\S+\s+\S+", said) and not re.search(r"[a-z\"]", said):
        parted = said.split()
    one, other = (parted * 2)[:2]
    return [_bare(one), _bare(other)]


def _bare(said: str) -> Any:
    said = said.strip()
    if said in ("true", "false"):
        return said == "true"
    return float(said) if _PLAIN.fullmatch(said) else said


def typed_of(value: object) -> str:
    """Return what stands in a file as a person would type it; empty for nothing.

    Examples
    --------
    >>> typed_of({"outside_to_outside": 12.3, "ends": [1.5, 1.5], "measured_to": 0.03})
    'over 12.3 ends 1.5 1.5 +- 0.03'
    """
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case Mapping():
            return _table(value)
        case list() | tuple():
            return ", ".join(typed_of(held) for held in value)
        case _:
            return str(value)


def _table(value: Mapping[str, Any]) -> str:
    error = f" +- {typed_of(value['measured_to'])}" if "measured_to" in value else ""
    for way, (size, ends) in _WAYS.items():
        if size in value:
            both = [typed_of(end) for end in value.get(ends, ())]
            between = " and " if any(" " in end for end in both) else " "
            source, _, rest = typed_of(value[size]).rpartition("about ")
            about = "about " if source or rest != typed_of(value[size]) else ""
            return f"{about}{way} {rest} {ends} {between.join(both)}{error}"
    if "rise" in value and "run" in value:
        return f"rise {typed_of(value['rise'])} run {typed_of(value['run'])}{error}"
    if "value" in value:
        return f"{typed_of(value['value'])}{error}"
    return ", ".join(f"{key} {typed_of(held)}" for key, held in value.items())
