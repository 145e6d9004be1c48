"""What is found out about a sheet, in stages, what can be drawn first.

``motion``: how it turns, and no verdict; ``looked``: what is nearest to its limit by samples, said
to be no more; ``proven``: the verdict, with its proof between the samples; ``sure``: how sure it
is; ``whole``: where each spot is all along. Nothing that is known already is found again: pairs
that did not move since the last sheet keep what was found of them.
"""

from __future__ import annotations

import json
import math
import time
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.arrangements import build
from linkage.clearance import Survey, survey_crank
from linkage.errors import AssemblyError, MechanismError
from linkage.examine import Examination, SideFindings, examine
from linkage.kinematics import Course, Motion, follow, solve_at, solve_beside
from linkage.mechanism import Mechanism, Running
from linkage.page.data import Told, glimpse_data, verdict_of, viewer_data
from linkage.page.poses import EVERY, even_crank
from linkage.sheet import Sheet, set_running

if TYPE_CHECKING:
    from linkage.advice.slack import SlackOfVariants

_LOOKS = 100  # sheets that samples are kept of, before they are begun anew: memory must not grow
_ON_A_STOP = 1e-6  # sides that lead one another by so nearly whole stops turn alike [stops]
_LOSS = 2  # decimals of what wear takes that make a difference [mm]
FREE_SO_FAR = "Nothing tight by samples; the timing and the proof are on their way."
NOT_FREE = "Not free, by samples: {}. The proof is on its way."


class Known:
    """What was found out about the sheets before: not to be found again where it is the same."""

    def __init__(self) -> None:
        self.examination: Examination | None = None
        # how each side turned that was followed last, by places of the reverser
        self.courses: dict[tuple[Running, str], Course] = {}
        self._slack: SlackOfVariants | None = None
        self._asked: tuple[float, dict[tuple[str, str], float]] = (math.nan, {})
        self._left = 0

    def slack(self, sheet: Sheet) -> SlackOfVariants:
        """Return what looks at a sheet by samples, with what it looked at before."""
        from linkage.advice.slack import SlackOfVariants  # not before there is a drawing

        asked = sheet.wanted_clearance, self._losses(sheet)
        if self._slack is None or self._left == 0 or self._asked != asked:
            self._asked, self._left = asked, _LOOKS
            self._slack = SlackOfVariants(sheet.wanted_clearance, losses=asked[1])
        self._left -= 1
        return self._slack

    def followed(self, place: Running, side: str, course: Course) -> Course:
        """Keep how a side turns with the reverser at a place, and forget other places' courses."""
        here = {key: held for key, held in self.courses.items() if key[0] in (None, place)}
        self.courses = {**here, (place, side): course}
        return course

    def _losses(self, sheet: Sheet) -> dict[tuple[str, str], float]:
        """Return what wear takes from the air of pairs, by the last proof of the same engine [mm].

        Rounded, so that what was looked at may be kept while it hardly changes.
        """
        from linkage.advice.slack import worn_losses

        found = self.examination
        if found is None or (found.sheet.source, found.sheet.arrangement) != (
            sheet.source,
            sheet.arrangement,
        ):
            return {}
        losses = ((parts, round(loss, _LOSS)) for parts, loss in worn_losses(found).items())
        return {parts: loss for parts, loss in losses if loss > 0}


@dataclass(frozen=True)
class Stage:
    """One stage's answer: its name, what it says as JSON's values, and how long it took [s]."""

    name: str
    says: dict[str, Any]
    took: float
    recomputed: tuple[str, ...] = ()
    kept: int = 0  # pairs of parts of which all still holds
    found: Examination | None = None

    def text(self, revision: int, before: tuple[dict[str, Any], ...]) -> tuple[str, dict[str, Any]]:
        """Return it as JSON with what the stages before it took, and what it took itself."""
        took = {"stage": self.name, "ms": round(1000 * self.took, 1),
                "recomputed": list(self.recomputed), "kept": self.kept}  # fmt: skip
        whole = {"revision": revision, "stage": self.name, **self.says, "took": [*before, took]}
        return json.dumps(whole, separators=(",", ":"), allow_nan=False), took


def stages(sheet: Sheet, known: Known, drawn: bool = False) -> Iterator[Stage]:
    """Yield what is found out about a sheet, one stage after another.

    `drawn`: whether it was drawn already by a glimpse, and a verdict is what is waited for.

    Raises
    ------
    SheetError, MechanismError, AssemblyError
        As `examine`.
    """
    clock = _Clock()
    if not drawn:
        yield _motion(sheet, known, clock)
    yield _looked(sheet, known, clock)
    yield _proven(sheet, known, clock)


class _Clock:
    def __init__(self) -> None:
        self._at = time.perf_counter()

    def lap(self) -> float:
        """Return the time since it was asked last [s]."""
        before, self._at = self._at, time.perf_counter()
        return self._at - before


def glimpse(
    sheet: Sheet, sides: Collection[str], known: Known, place: Running = None
) -> dict[str, Any]:
    """Return how some sides of a sheet turn, and nothing else, as the viewer has it.

    See `page.data.glimpse_data`. Solved from the courses that are known, where they are near.

    `place`: of the reverser; as the sheet has it for None.

    Raises
    ------
    MechanismError, AssemblyError
        As `examine`.
    """
    there = sheet if place is None else set_running(sheet, place)
    found: dict[str, SideFindings] = {}
    motions: dict[str, Motion] = {}
    for name, mechanism in build(there).items():
        if name not in sides:
            continue
        own = even_crank() - sheet.right_hand(name, 0.0)
        course = known.courses.get((place, name))
        motion = _as_the_other(there, name, mechanism, found, motions)
        if motion is None and course is not None:
            motion = solve_beside(course, mechanism, own)
        if motion is None:
            course = known.followed(place, name, _followed(sheet, name, mechanism, roughly=True))
            motion = solve_at(course, np.mod(own, 2 * math.pi))
        motions[name] = motion
        found[name] = _nothing_of(name, mechanism, motion)
    return glimpse_data(Examination(there, found, ()), motions)


def _as_the_other(
    sheet: Sheet,
    name: str,
    mechanism: Mechanism,
    found: Mapping[str, SideFindings],
    motions: Mapping[str, Motion],
) -> Motion | None:
    """Return how a side turns where another does alike, some stops later; None where none does."""
    for other, side in found.items():
        apart = sheet.right_hand(name, 0.0) - sheet.right_hand(other, 0.0)
        steps = math.degrees(apart) / EVERY
        if side.mechanism.joints == mechanism.joints and abs(steps - round(steps)) < _ON_A_STOP:
            return motions[other].rolled(round(steps))
    return None


def _motion(sheet: Sheet, known: Known, clock: _Clock) -> Stage:
    found = _turned(sheet)
    known.courses = {(None, name): side.course for name, side in found.sides.items()}
    data = viewer_data(found, told=Told.TURN)
    return Stage("motion", {"data": data}, clock.lap(), tuple(found.sides))


def _turned(sheet: Sheet) -> Examination:
    """Return the motion of a sheet, with nothing found out about it."""
    sides = {}
    for name, mechanism in build(sheet).items():
        course = _followed(sheet, name, mechanism)
        sides[name] = _nothing_of(name, mechanism, solve_at(course, survey_crank()))
    return Examination(sheet, sides, ())


def _nothing_of(name: str, mechanism: Mechanism, motion: Motion) -> SideFindings:
    """Return a side of which nothing is known but its motion."""
    nothing = Survey(motion.crank, (), 0.0, ())
    return SideFindings(name, mechanism, motion.course, motion, nothing, {}, ())


def _followed(sheet: Sheet, name: str, mechanism: Mechanism, roughly: bool = False) -> Course:
    try:
        return follow(mechanism, roughly)
    except AssemblyError as error:
        apart = sheet.lengths.small(error.gap)
        where = sheet.source if name == "only" else f"{sheet.source}, {name}-hand side"
        raise AssemblyError(error.parts, error.gap, where, apart) from error


def _looked(sheet: Sheet, known: Known, clock: _Clock) -> Stage:
    from linkage.report.advising import say_stop

    stop = known.slack(sheet)([sheet])[0]
    free = bool(stop.slack >= 0)
    verdict = FREE_SO_FAR if free else NOT_FREE.format(say_stop(sheet, stop))
    return Stage("looked", {"verdict": verdict, "free": free}, clock.lap())


def _proven(sheet: Sheet, known: Known, clock: _Clock) -> Stage:
    found = examine(sheet, known=known.examination)
    recomputed, kept = _what_was_kept(found, known.examination)
    says = {
        "data": viewer_data(found, told=Told.WORST),
        "verdict": verdict_of(found, Told.WORST),
        "free": found.free,
    }
    return Stage("proven", says, clock.lap(), recomputed, kept, found)


def later_stages(found: Examination) -> Iterator[Stage]:
    """Yield what is said of an examination that takes longer: how sure it is, and all of it."""
    from linkage.certainty import how_sure
    from linkage.report.document import examined_blocks
    from linkage.report.hypertext import set_hypertext
    from linkage.report.naming import name_number
    from linkage.report.sureness import say_whole

    clock = _Clock()
    sure = how_sure(found)
    says = {
        "verdict": verdict_of(found),
        "free": found.free,
        "sure": say_whole(found, next_too=False),  # the page has a list of that
        "says": str(set_hypertext(examined_blocks(found, page=True), above=1)),
        "measureNext": [{"id": item.key, "says": name_number(item.key)} for item in sure.worth],
    }
    yield Stage("sure", says, clock.lap())
    yield Stage("whole", {**says, "data": viewer_data(found)}, clock.lap())


def _what_was_kept(found: Examination, before: Examination | None) -> tuple[tuple[str, ...], int]:
    """Return which parts were looked at again, and of how many pairs what was known still held."""
    held = {
        id(pair)
        for side in (before.sides.values() if before is not None else ())
        for pair in side.survey.compared
    }
    again: dict[str, None] = {}
    kept = 0
    for side in found.sides.values():
        for pair in side.survey.compared:
            if id(pair) in held:
                kept += 1
            else:
                again |= dict.fromkeys(pair.parts)
    return tuple(again), kept


def say_failure(error: AssemblyError | MechanismError) -> str:
    """Say why nothing could be found out."""
    return str(error)
