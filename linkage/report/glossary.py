"""What the parts are called on either side of the ocean, and what each does, for an owner.

The words stand with the tables they belong to: `linkage.tables.words`, `Arrangement.words`.
"""

from __future__ import annotations

from collections.abc import Iterable

from linkage.arrangements import ARRANGEMENTS
from linkage.tables.words import COMMON, Entry

_PIECES = {
    "link tail": "expansion link",
    "eye": "",
    "slipper": "crosshead",
    "head": "nut",
    "arm": "",
}


def entries(arrangements: Iterable[str] = ARRANGEMENTS) -> dict[str, Entry]:
    """Return every part there are words for, by its British name."""
    gears = (entry for key in arrangements for entry in ARRANGEMENTS[key].words)
    return {entry.uk: entry for entry in (*COMMON, *gears)}


def look_up(name: str, arrangement: str | None = None) -> Entry | None:
    """Return what is known of a part.

    None for a name that only that sheet has. Nothing is decided by it but what an owner reads: a
    name is the sheet's writer's own, and in their language its last words say what it is.

    `name`: as on the sheet or in a finding: "radius rod", "middle coupling rod", "crank, nut".
    `arrangement`: that it is of; where it has words for the whole name, no other is loaded.

    Examples
    --------
    >>> look_up("front coupling rod").us
    'side rod'
    >>> look_up("pawl arm") is None
    True
    """
    if arrangement is not None:
        known = entries((arrangement,))
        for said in _tails(name):
            if said in known:
                return known[said]
    known = entries()
    for said in _tails(name):
        words = said.split()
        for first in range(len(words)):
            found = known.get(" ".join(words[first:]))
            if found is not None:
                return found
    return None


def _tails(name: str) -> tuple[str, ...]:
    """Return what a piece of a part may be called: by itself, and as the part that it is of."""
    piece = name.rpartition(", ")[2]
    return piece, _PIECES.get(piece, ""), name.partition(",")[0]


def say_names(name: str, arrangement: str | None = None) -> str:
    """Say what a part is called, with the American name where that is another.

    The name, and the other in brackets.

    `name`, `arrangement`: as for `look_up`.

    Examples
    --------
    >>> say_names("radius rod")
    'radius rod (US: radius bar)'
    >>> say_names("crosshead")
    'crosshead'
    """
    entry = look_up(name, arrangement)
    if entry is None or entry.us in (entry.uk, name):
        return name
    return f"{name} (US: {entry.us})"
