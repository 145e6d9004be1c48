"""The one pipeline: a sheet in, everything found out about it.

sheet -> mechanism -> motion -> clearances and travel -> tight spots. Nothing is decided in here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np

from linkage.arrangements import build, coupled_wheels
from linkage.clearance import (
    Contact,
    Curves,
    PairClearance,
    PartPair,
    Survey,
    Worn,
    find_contact,
    find_curves,
    find_run_offs,
    find_wear,
    survey_clearances,
)
from linkage.errors import AssemblyError, MechanismError
from linkage.kinematics import (
    Course,
    Motion,
    branch_changes,
    find_openings,
    follow,
    solve_at,
    transmission_angles,
)
from linkage.mechanism import Mechanism
from linkage.play import PlayFindings, find_play
from linkage.sheet import Sheet
from linkage.tightspots import (
    TightSpot,
    close_ones,
    fouls,
    open_loops,
    play_gone,
    poor_transmission,
    rank,
    run_offs,
    touch_when_worn,
    undecided_branches,
)
from linkage.wheels import CoupledWheels

T = TypeVar("T")


@dataclass(frozen=True)
class SideFindings:
    """Everything found out about one side."""

    side: str  # "right", "left" or "only"
    mechanism: Mechanism  # its parts and joints
    course: Course  # its motion, to be solved at any crank angle by `kinematics.solve_at`
    motion: Motion  # solved at the survey's crank angles
    survey: Survey  # clearances round the turn
    pairs: Mapping[tuple[str, str], PartPair]  # the pieces compared, by the names of the parts
    spots: tuple[TightSpot, ...]  # worst first
    # how sharp a curve it takes, where that is a question; not looked into on trial
    curves: Curves | None = None
    # the near pairs with all play of the gear's joints taken up the worst way; empty where the
    # sheet gives them none
    worn: Mapping[tuple[str, str], Worn] = field(default_factory=dict)


@dataclass(frozen=True)
class Examination:
    """Everything found out about a sheet."""

    sheet: Sheet  # what was examined
    sides: Mapping[str, SideFindings]  # by side
    spots: tuple[TightSpot, ...]  # of all sides, worst first
    # what was found out about the coupled wheels, where the sheet has any
    play: PlayFindings | None = None
    # what was worked out from all this and is not to be worked out again, by its name
    _kept: dict[str, Any] = field(default_factory=dict, init=False, compare=False, repr=False)

    def keep(self, what: str, find: Callable[[], T]) -> T:
        """Return what was worked out before, or work it out."""
        if what not in self._kept:
            self._kept[what] = find()
        found: T = self._kept[what]
        return found

    @property
    def free(self) -> bool:
        """Whether no tight spot was found."""
        return not self.spots

    def right_hand(self, side: str, angle: float) -> float:
        """Turn a side's own crank angle [rad] into the right-hand crank's, as the sheet does."""
        return self.sheet.right_hand(side, angle)


def examine(
    sheet: Sheet, rods_on: str | None = None, known: Examination | None = None
) -> Examination:
    """Find out everything about a sheet.

    Motion, clearances and tight spots of every side.

    `rods_on`: name of the one side whose coupling rods are on, as in the test of the bench; both if
    not given. `known`: of a sheet that is the same in part, so that it is found out once.

    Raises
    ------
    SheetError, MechanismError, AssemblyError
        Where the sheet's parts do not make a mechanism, or it cannot be put together; the message
        names the sheet and the side.
    """
    sides: dict[str, SideFindings] = {}
    for name, mechanism in build(sheet).items():
        same_air = known is not None and known.sheet.wanted_clearance == sheet.wanted_clearance
        held = (*sides.values(), *(known.sides.values() if known and same_air else ()))
        alike = side_alike(held, name, mechanism)
        if alike is not None:
            sides[name] = alike
            continue
        where = sheet.source if name == "only" else f"{sheet.source}, {name}-hand side"
        try:
            found = examine_side(name, mechanism, sheet.wanted_clearance)
            curves = find_curves(found.course, sheet.wanted_clearance, found.survey.pairs)
            sides[name] = replace(found, curves=curves)
        except AssemblyError as error:
            raise AssemblyError(error.parts, error.gap, where) from error
        except MechanismError as error:
            raise MechanismError(f"{where}: {error}") from error
    spots = [spot for side in sides.values() for spot in side.spots]
    wheels = coupled_wheels(sheet, None if rods_on is None else (rods_on,))
    try:
        play = _play(wheels, known)
    except AssemblyError as error:
        raise AssemblyError(error.parts, error.gap, sheet.source) from error
    if play is not None:
        spots += play_gone(play, sheet.right_leads_by)
    return Examination(sheet, sides, rank(spots), play)


def _play(wheels: CoupledWheels | None, known: Examination | None) -> PlayFindings | None:
    """Return what is found out about coupled wheels, where there are any."""
    if wheels is None:
        return None
    held = known.play if known is not None else None
    return held if held is not None and held.wheels == wheels else find_play(wheels)


def side_alike(
    held: Iterable[SideFindings], side: str, mechanism: Mechanism
) -> SideFindings | None:
    """Return what is known of a side from one that is the same; None where none is."""
    alike = next((one for one in held if one.mechanism == mechanism), None)
    if alike is None:
        return None
    return replace(alike, side=side, spots=tuple(replace(spot, side=side) for spot in alike.spots))


def examine_side(side: str, mechanism: Mechanism, wanted: float) -> SideFindings:
    """Find out everything about one side.

    Motion, clearances and tight spots.

    `wanted` [mm]: clearance wanted.

    Raises
    ------
    MechanismError, AssemblyError
        As `kinematics.follow`.
    """
    course = follow(mechanism)
    survey = survey_clearances(course, wanted)
    pairs = {pair.parts: pair for pair in survey.compared}
    motion = solve_at(course, survey.crank)
    found: list[TightSpot] = []
    for pair in survey.pairs:
        contacts = _contacts(course, pairs[pair.parts], pair)
        found += fouls(mechanism, side, pair, contacts)
        found += close_ones(mechanism, side, pair, contacts)
    found += open_loops(side, find_openings(course))
    found += run_offs(side, find_run_offs(course))
    found += undecided_branches(side, branch_changes(course))
    found += poor_transmission(side, survey.crank, transmission_angles(motion))
    worn = find_wear(course, pairs, survey.pairs)
    found += touch_when_worn(side, survey.pairs, worn)
    return SideFindings(side, mechanism, course, motion, survey, pairs, rank(found), worn=worn)


def _contacts(course: Course, pieces: PartPair, pair: PairClearance) -> dict[float, Contact]:
    worst = {arc.worst for arc in (*pair.fouls, *pair.close)}
    return {angle: find_contact(course, pieces, angle % (2 * np.pi)) for angle in worst}
