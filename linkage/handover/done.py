"""What was done, for the owner: the numbers that differ between two sheets, in plain words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping

from linkage.advice.comparison import Changed, Comparison
from linkage.examine import Examination
from linkage.report.faults import faults_of, say_fault, say_where
from linkage.report.naming import name_number, name_part
from linkage.report.voice import ON_SIDE, OWNER, capital, millimetres
from linkage.report.words import say_play
from linkage.sheet import Sheet, is_angle

TOLD = 4
"""Changes told on the owner's page; all of them stand in the appendix."""
_WAYS = {
    "towards_frames": "towards the frames",
    "away_from_frames": "away from the frames",
    "up": "upwards",
    "down": "downwards",
}
_BEND = re.compile(r"(?P<rod>.+)\.bend\[\d+\]\.(?P<what>\w+)")


def say_changes(before: Examination, after: Examination, found: Comparison) -> list[str]:
    """Say what was done, by what differs on the two sheets.

    One sentence a change that is more than the measuring error, the greatest work first.

    `before`, `after`: what was found out as it came in, and after the work.
    """
    by_text: dict[str, list[str]] = {}
    bent = {
        (change.side, match["rod"])
        for change in found.dimensions
        if (match := _BEND.fullmatch(change.name))
    }
    for change in found.dimensions:
        if (change.side, change.name.removesuffix(".centres")) in bent:
            continue  # its eyes go apart as it is straightened: that is no work by itself
        text = _bend(change) or _number(before.sheet, after.sheet, change)
        if text:
            by_text.setdefault(text, []).append(change.side)
    ordered = sorted(by_text.items(), key=lambda item: "straight" not in item[0])
    lines = [_with_side(text, sides) for text, sides in ordered]
    if len(lines) > TOLD:
        more = len(lines) - TOLD + 1
        lines = [*lines[: TOLD - 1], f"{more} more numbers differ; they stand in the appendix."]
    return lines


def _with_side(text: str, sides: Iterable[str]) -> str:
    names = [ON_SIDE[side] for side in dict.fromkeys(sides) if ON_SIDE.get(side)]
    where = "on both sides" if len(names) > 1 else "".join(names)
    return capital(f"{where} {text}".lstrip())


def _bend(change: Changed) -> str:
    """Say what became of a bend; empty for any other number, and for where the bend is."""
    match = _BEND.fullmatch(change.name)
    if match is None or match["what"] not in _WAYS:
        return ""
    rod, way = name_part(match["rod"], OWNER), _WAYS[match["what"]]
    if math.isnan(change.before):
        return f"{rod} was given a bend of {millimetres(change.after)} {way}."
    if math.isnan(change.after) or change.after < 0.005:
        bend = OWNER.measured(change.before)
        return f"{rod} was straightened: its bend of {bend}, {way}, was taken out."
    word = "set back" if change.after < change.before else "bent farther"
    return (
        f"{rod} was {word}: its bend {way} was {millimetres(change.before)} and is "
        f"{millimetres(change.after)}."
    )


def _number(before: Sheet, after: Sheet, change: Changed) -> str:
    """Say a number that differs by more than it was measured to; empty for any other."""
    if _BEND.fullmatch(change.name) or math.isnan(change.before + change.after):
        return ""
    error = sum(_error(sheet.errors, change) for sheet in (before, after))
    if abs(change.after - change.before) <= error:
        return ""
    angle = is_angle(before, change.name)
    said = [OWNER.number(x, angle) for x in (change.before, change.after)]
    return f"{name_number(change.name, OWNER)}: {said[0]} before, {said[1]} now."


def _error(errors: Mapping[str, float], change: Changed) -> float:
    return errors.get(f"{change.side}.{change.name}", errors.get(change.name, 0.0))


def say_outcome(after: Examination, found: Comparison) -> list[str]:
    """Say how things stand after the work.

    Sentences: free or not, and what air the parts have that met.
    """
    if not after.free:
        said = ["By the measurements taken afterwards it is not free yet."]
        return said + [
            f"{say_fault(fault, past=False)} {say_where(fault, past=False)}"
            for fault in faults_of(after)[:2]
        ]
    said = ["By the measurements taken afterwards the motion is free all round the turn."]
    for spot in found.gone[:2]:
        for side in ("right", "left") if spot.side == "both" else (spot.side,):
            pairs = after.sides[side].survey.pairs if side in after.sides else ()
            pair = next((p for p in pairs if set(p.parts) == set(spot.parts)), None)
            if pair is not None:
                gap = OWNER.measured(pair.least)
                said.append(f"Between {OWNER.parts(spot.parts)} there is now a gap of {gap}.")
    if after.play is not None:
        said.append(say_play(after, OWNER))
    return list(dict.fromkeys(said))
