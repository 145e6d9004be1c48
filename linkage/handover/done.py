"""What was done, for the owner: the numbers that differ between two sheets, in plain words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from linkage.advice.comparison import Changed, Comparison
from linkage.advice.setting import bends_of
from linkage.examine import Examination
from linkage.handover.certain import say_free_now
from linkage.report.faults import faults_of, say_fault, say_where
from linkage.report.naming import name_number, name_part
from linkage.report.voice import ON_SIDE, OWNER, Voice, capital, to_owner
from linkage.report.words import say_play
from linkage.sheet import Sheet, is_angle
from linkage.sheet.refitting import bars_of
from linkage.tables.origin import Origin

TOLD = 4
"""Changes told on the owner's page; all of them stand in the appendix."""
_WAYS = {
    "towards_frames": "towards the frames",
    "away_from_frames": "away from the frames",
    "up": "upwards",
    "down": "downwards",
    "ahead": "forwards",
    "back": "backwards",
}
_HARDLY = 0.005  # a bend of less is none [mm]
_SAME = 1e-6  # bends that differ by less are the same [mm]


@dataclass(frozen=True)
class _Bent:
    """A bend that is not on both sheets as it was."""

    key: str  # of the rod's table
    way: str
    before: float  # 0 where there was none [mm]
    after: float


def say_changes(before: Examination, after: Examination, found: Comparison) -> list[str]:
    """Say what was done, by what differs on the two sheets.

    One sentence a change that is more than the measuring error, straightened rods first.
    """
    straightened: dict[str, list[str]] = {}
    others: dict[str, list[str]] = {}
    told: set[tuple[str, str]] = set()
    voice = to_owner(before.sheet)
    for side in before.sides:
        for bent in _bends(before.sheet, after.sheet, side):
            lines = others if bent.after else straightened
            lines.setdefault(_say_bend(bent, voice), []).append(side)
            # its eyes go apart as it is straightened: that is no work by itself
            told.add((side, f"{bent.key}.centres"))
        told |= {(side, f"{key}.bend") for key in bars_of(before.sheet, side)}
    for change in found.dimensions:
        name = change.name.partition("[")[0]  # all of a list's numbers alike
        if (change.side, name) not in told and (
            text := _say_number(before.sheet, after.sheet, change)
        ):
            others.setdefault(text, []).append(change.side)
    all_lines = [_with_side(*item) for item in (*straightened.items(), *others.items())]
    if len(all_lines) <= TOLD:
        return all_lines
    more = len(all_lines) - TOLD + 1
    return [*all_lines[: TOLD - 1], f"{more} more numbers differ; they stand in the appendix."]


def _bends(before: Sheet, after: Sheet, side: str) -> Iterator[_Bent]:
    """Yield what became of the bends of one side's rods."""
    for key in bars_of(before, side):
        was, now = (
            {(bend.number, bend.way): bend.amount for bend in bends_of(sheet, side, key)}
            for sheet in (before, after)
        )
        for number, way in dict.fromkeys((*was, *now)):
            one, two = was.get((number, way), 0.0), now.get((number, way), 0.0)
            if abs(one - two) > _SAME:
                yield _Bent(key, way, one, two if two >= _HARDLY else 0.0)


def _with_side(text: str, sides: Iterable[str]) -> str:
    names = [ON_SIDE[side] for side in dict.fromkeys(sides) if ON_SIDE.get(side)]
    where = "on both sides" if len(names) > 1 else "".join(names)
    return capital(f"{where} {text}".lstrip())


def _say_bend(bent: _Bent, voice: Voice) -> str:
    """Say what became of a bend."""
    rod, way = name_part(bent.key, OWNER), _WAYS[bent.way]
    if not bent.before:
        return f"{rod} was given a bend of {voice.length(bent.after)} {way}."
    if not bent.after:
        bend = voice.measured(bent.before)
        return f"{rod} was straightened: its bend of {bend}, {way}, was taken out."
    word = "set back" if bent.after < bent.before else "bent farther"
    now = voice.length(bent.after)
    return f"{rod} was {word}: its bend {way} was {voice.length(bent.before)} and is {now}."


def _say_number(before: Sheet, after: Sheet, change: Changed) -> str:
    """Say a number that differs by more than it was measured to; empty for any other."""
    if math.isnan(change.before + change.after):
        return ""
    error = sum(_error(sheet.origins, change) for sheet in (before, after))
    if abs(change.after - change.before) <= error:
        return ""
    angle = is_angle(before, change.name)
    said = [to_owner(before).number(x, angle) for x in (change.before, change.after)]
    return f"{name_number(change.name, OWNER)}: {said[0]} before, {said[1]} now."


def _error(origins: Mapping[str, Origin], change: Changed) -> float:
    found = origins.get(f"{change.side}.{change.name}", origins.get(change.name))
    return found.error if found else 0.0


def say_outcome(after: Examination, found: Comparison) -> list[str]:
    """Say how things stand after the work.

    Sentences: free or not, and what air the parts have that met.
    """
    if not after.free:
        said = ["By the measurements taken afterwards it is not free yet."]
        return said + [
            f"{say_fault(after, fault, past=False)} {say_where(fault, past=False)}"
            for fault in faults_of(after)[:2]
        ]
    said = [say_free_now(after)]
    for spot in found.gone[:2]:
        for side in ("right", "left") if spot.side == "both" else (spot.side,):
            near = after.sides[side].survey.pairs if side in after.sides else ()
            pair = next((p for p in near if set(p.parts) == set(spot.parts)), None)
            if pair is not None:  # where the reverser brings them nearest
                held = after.nearest(side, pair.parts).survey.pairs
                pair = next(p for p in held if p.parts == pair.parts)
            if pair is not None:
                gap = to_owner(after.sheet).measured(pair.least)
                said.append(f"Between {OWNER.parts(spot.parts)} there is now a gap of {gap}.")
    if after.play is not None:
        said.append(say_play(after, OWNER))
    return list(dict.fromkeys(said))
