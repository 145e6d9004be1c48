"""Numbers of the sheet by what they are, for someone who does not know the sheet."""

from __future__ import annotations

import re

from linkage.report.voice import BENCH, Voice
from linkage.sheet.head import SIDE_NAMES

_WHAT = {
    "ahead": "how far ahead of the driving axle {} stands",
    "centres": "the length of {} between the centres of its holes",
    "follows": "how far {} is turned behind the {pin}",
    "fore_aft": "the play of {}, forward and back",
    "front_cover": "how far the front cover of {} is from the driving axle",
    "leads": "how far {} is turned ahead of the {pin}",
    "out": "how far out {} stands from the wheel",
    "pin_ahead_by": "how far the {pin} of {} is turned ahead of its place",
    "pin_behind_by": "how far the {pin} of {} is turned behind its place",
    "pin_circle": "how far the pin of {} stands from the axle",
    "quarter": "the turn between the right-hand and the left-hand crank of {}",
    "rear_cover": "how far the rear cover of {} is from the driving axle",
    "right_leads_by": "the turn between the right-hand and the left-hand crank of {}",
    "throw": "the distance from {} to its {pin}",
    "up": "how far above the driving axle {} stands",
    "vertical": "the play of {}, up and down",
    "width": "the depth of {}",
}
"""By the last word of a number's key, with its part in the braces."""
_GROUPS = {"axles": "axle", "coupling_rods": "coupling rod"}


def say_key(key: str) -> str:
    """Say a number of the sheet by its place, as words: "radius rod, centres"."""
    return key.replace("_", " ").replace(".", ", ")


def side_of(key: str) -> str:
    """Return the side that a key is about; empty where it is about both, or the only one."""
    first = key.partition(".")[0]
    return first if first in SIDE_NAMES else ""


def name_number(key: str, voice: Voice = BENCH) -> str:
    """Say what a number of the sheet is.

    A phrase that begins with a small letter.

    Parameters
    ----------
    key : str
        Its place on the sheet, with or without a side.

    Examples
    --------
    >>> name_number("right.coupling_rods.front.centres")
    'the length of the front coupling rod between the centres of its holes'
    >>> name_number("slide_bars.gap")
    'the gap of the slide bars'
    """
    bare = key.partition(".")[2] if side_of(key) else key
    table, _, last = bare.rpartition(".")
    words = _plainly(last)
    if not table:
        return f"the {words}"
    return _WHAT.get(last, f"the {words} of {{}}").format(
        name_part(table, voice), pin=voice.part("crank pin")
    )


def name_part(table: str, voice: Voice = BENCH) -> str:
    """Return the part that a table of the sheet is about, with its article.

    In the trade's words.

    Examples
    --------
    >>> name_part("axles.leading"), name_part("wheels")
    ('the leading axle', 'the driving axle')
    """
    group, *names = table.split(".")
    if group == "wheels":
        return f"the {voice.part('driving axle')}"
    if group in _GROUPS and names:
        group, names = f"{names[0]} {_GROUPS[group]}", names[1:]
    return " of ".join(f"the {voice.part(_plainly(step))}" for step in (*reversed(names), group))


def _plainly(step: str) -> str:
    return re.sub(r"\[(\d+)\]", r" \1", step.replace("_", " "))
