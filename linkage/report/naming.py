"""Numbers of the sheet by what they are: the words stand in the fields of their tables."""

from __future__ import annotations

import re

from linkage.arrangements.numbers import facts_at
from linkage.report.voice import BENCH, Hearer
from linkage.sheet.head import SIDE_NAMES

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_TABLES = {"wheels": "driving axle", "joint_play": "gear"}
_WORN = {"along": "width along it", "across": "width across it"}  # of a hole, in no table
_ONE_OF = {"holes": "hole", "centres": "span", "ends": "eye"}
_PLACES = {"lean": "crank_pin"}  # a table of what is wrong with a place, by that place
_GROUPS = {"axles": "axle", "coupling_rods": "coupling rod"}


def side_of(key: str) -> str:
    """Return the side that a key is about; empty where it is about both, or the only one."""
    first = key.partition(".")[0]
    return first if first in SIDE_NAMES else ""


def name_number(key: str, voice: Hearer = BENCH) -> str:
    """Say what a number of the sheet is.

    A phrase that begins with a small letter.

    `key`: its place on the sheet, with or without a side.

    Examples
    --------
    >>> name_number("right.coupling_rods.front.centres")
    "the right front coupling rod's centres"
    >>> name_number("slide_bars.gap")
    "the slide bars' gap"
    """
    side = side_of(key)
    bare = key.partition(".")[2] if side else key
    table, _, last = bare.rpartition(".")
    words = _plainly(last)
    if not table:
        return f"the {words}"
    facts, part = facts_at(bare), name_part(table, voice)
    if voice.owner:
        return (facts.owner or f"the {words} of {{}}").format(part, pin=voice.part("crank pin"))
    if side in ("right", "left"):
        part = part.replace("the ", f"the {side} ", 1)
    plain = f"the {words} of {{}}" if _nested(table) else f"{{}}'s {words}"
    said = (facts.bench or plain).format(part)
    return said.replace("s's ", "s' ")


def name_part(table: str, voice: Hearer = BENCH) -> str:
    """Return the part that a table of the sheet is about, with its article.

    In the trade's words.

    Examples
    --------
    >>> name_part("axles.leading"), name_part("wheels")
    ('the leading axle', 'the driving axle')
    """
    return f"the {part_words(table, voice)}"


def part_words(table: str, voice: Hearer = BENCH) -> str:
    """Return the part that a table of the sheet is about, without its article.

    Examples
    --------
    >>> part_words("coupling_rods.front"), part_words("slide_bars")
    ('front coupling rod', 'slide bars')
    """
    group, *names = table.split(".")
    group = _TABLES.get(group, group)
    if group == "coupling":
        group = "coupled axles" if names else "coupling rods"
    if group == "pins" and len(names) > 1:
        group, names = names[1], []
    names = [_PLACES.get(name, name) for name in names]
    names = names[:-1] if names and names[-1] == group else names
    if group in _GROUPS and names:
        group, names = f"{names[0]} {_GROUPS[group]}", names[1:]
    return " of the ".join(voice.part(_plainly(step)) for step in (*reversed(names), group))


def _nested(table: str) -> bool:
    """Tell whether a table is about a thing on a part, not about the part."""
    steps = table.split(".")
    return len(steps) > (2 if steps[0] in _GROUPS else 1)


def _plainly(step: str) -> str:
    """Return a step of a key in words; of several, which: "second hole"."""
    words = step.replace("_", " ")
    several = re.fullmatch(r"(.*)\[(\d+)\]", words)
    if several is None:
        return _WORN.get(words, words)
    name, number = several[1], int(several[2])
    which = _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}th"
    return f"{which} {_ONE_OF.get(name, name)}"
