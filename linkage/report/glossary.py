"""What the parts are called on either side of the ocean, and what each does, for an owner.

The words stand with the tables they belong to: `linkage.tables.words`, `Arrangement.words`.
"""

from __future__ import annotations

from linkage.arrangements import ARRANGEMENTS
from linkage.tables.words import COMMON, Entry

_PLACES = (
    "front ",
    "rear ",
    "leading ",
    "trailing ",
    "driving ",
    "intermediate ",
    "fore ",
    "back ",
)
_PIECES = {
    "link tail": "expansion link",
    "eye": "",
    "slipper": "crosshead",
    "head": "nut",
    "arm": "",
}


def entries() -> dict[str, Entry]:
    """Return every part there are words for, by its British name."""
    gears = (entry for held in ARRANGEMENTS.values() for entry in held.words)
    return {entry.uk: entry for entry in (*COMMON, *gears)}


def look_up(name: str) -> Entry | None:
    """Return what is known of a part.

    None for a name that only that sheet has.

    `name`: as on the sheet or in a finding: "radius rod", "front coupling rod", "crank, nut".

    Examples
    --------
    >>> look_up("front coupling rod").us
    'side rod'
    >>> look_up("pawl arm") is None
    True
    """
    known, piece = entries(), name.rpartition(", ")[2]
    for word in (piece, _PIECES.get(piece, ""), name.partition(",")[0]):
        bare = word
        for place in _PLACES:
            bare = bare.removeprefix(place)
        found = known.get(word) or known.get(bare)
        if found is not None:
            return found
    return None


def say_names(name: str) -> str:
    """Say what a part is called, with the American name where that is another.

    The name, and the other in brackets.

    `name`: as for `look_up`.

    Examples
    --------
    >>> say_names("radius rod")
    'radius rod (US: radius bar)'
    >>> say_names("crosshead")
    'crosshead'
    """
    entry = look_up(name)
    if entry is None or entry.us in (entry.uk, name):
        return name
    return f"{name} (US: {entry.us})"
