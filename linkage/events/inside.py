"""A third cylinder whose valve both outside gears work: read as one more side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from linkage.arrangements import Inside
from linkage.arrays import Array, Index
from linkage.errors import Problem, SheetError
from linkage.events.places import PISTON, VALVE, Standing
from linkage.events.timing import STEPS, Timing
from linkage.sheet import Sheet

_TURN = 2 * np.pi


def standing_inside(inside: Inside, sheet: Sheet, outside: Mapping[str, Timing]) -> Standing:
    """Return the inside cylinder at the places of the reverser, by its own crank's angle.

    Its valve is told from its middle, where both outside ones are in theirs; its own spindle is
    then set like theirs. `outside`: both sides, read round the turn.
    """
    right = outside["right"].standing

    def read(crank: Array, place: Index) -> Array:
        moved = _moved(outside, sheet, crank + inside.follows, place)
        found = np.full((4, len(crank)), np.nan)
        found[PISTON] = np.where(np.isfinite(moved).all(axis=0), inside.piston(crank), np.nan)
        found[VALVE] = np.array(inside.shares) @ moved
        return found

    watched = right.mechanism.watched
    ports = replace(watched.ports, middle=None)
    mechanism = replace(right.mechanism, watched=replace(watched, ports=ports))
    return Standing(mechanism, right.places, read)


def _moved(outside: Mapping[str, Timing], sheet: Sheet, crank: Array, place: Index) -> Array:
    """Return how far both outside valves are from their middles, right first, shape (2, N) [mm].

    `crank`: the right-hand one, shape (N,) [rad].
    """
    right, left = outside["right"], outside["left"]
    return np.array([
        right.standing.read(crank, place)[VALVE] - right.middle,
        left.standing.read(crank - sheet.right_leads_by, place)[VALVE] - left.middle,
    ])  # fmt: skip


def lever_swings(inside: Inside, sheet: Sheet, outside: Mapping[str, Timing]) -> dict[str, float]:
    """Return how far each lever swings from end to end, at the place where it swings most [rad].

    By its table.

    Raises
    ------
    SheetError
        Where an arm is shorter than its end is moved to either side.
    """
    count = len(outside["right"].standing.places)
    crank: Array = np.tile(np.arange(STEPS) * (_TURN / STEPS), count)
    moved = _moved(outside, sheet, crank, np.repeat(np.arange(count), STEPS))
    ends = {key: (arm, np.array(by) @ moved) for key, arm, by in inside.levers}
    problems = list(_too_short(ends, sheet))
    if problems:
        raise SheetError(sheet.source, problems)
    swings = {}
    for key, (arm, end) in ends.items():
        leans = np.arcsin(end.reshape(count, STEPS) / arm)
        leans = leans[np.isfinite(leans).all(axis=1)]
        swings[key.partition(".")[0]] = float(np.ptp(leans, axis=1).max(initial=0.0))
    return swings


def _too_short(ends: Mapping[str, tuple[float, Array]], sheet: Sheet) -> Iterator[Problem]:
    for key, (arm, end) in ends.items():
        most = float(np.nanmax(np.abs(end)))
        if arm <= most:
            said = sheet.lengths
            yield Problem(
                key,
                f"should be more than {said.number(most)}, by which the valves move its end to "
                "either side",
                said.plainly(arm),
            )
