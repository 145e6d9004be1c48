"""Everything found out about one side, with its reverser where it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from linkage.clearance import (
    Contact,
    Curves,
    PairClearance,
    PartPair,
    Survey,
    Worn,
    find_contact,
    find_run_offs,
    find_wear,
    survey_clearances,
)
from linkage.kinematics import (
    Course,
    Motion,
    branch_changes,
    find_openings,
    follow,
    solve_at,
    transmission_angles,
)
from linkage.mechanism import Mechanism, Running
from linkage.tightspots import (
    TightSpot,
    close_ones,
    fouls,
    open_loops,
    pinched,
    poor_transmission,
    rank,
    run_offs,
    touch_when_worn,
    undecided_branches,
)


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
    # the place of the reverser it was looked at, where others were too
    place: Running = None
    # how sharp a curve it takes, where that is a question; not looked into on trial
    curves: Curves | None = None
    # the near pairs with all play of the gear's joints taken up the worst way; empty where the
    # sheet gives them none
    worn: Mapping[tuple[str, str], Worn] = field(default_factory=dict)

    def of(self, side: str) -> SideFindings:
        """Return it as that of another side that is the same."""
        return replace(
            self, side=side, spots=tuple(replace(spot, side=side) for spot in self.spots)
        )


def side_alike(
    held: Iterable[SideFindings], side: str, mechanism: Mechanism
) -> SideFindings | None:
    """Return what is known of a side from one that is the same; None where none is."""
    alike = next((one for one in held if one.mechanism == mechanism), None)
    return None if alike is None else alike.of(side)


def examine_side(
    side: str, mechanism: Mechanism, wanted: float, moved: frozenset[str] | None = None
) -> SideFindings:
    """Find out everything about one side.

    Motion, clearances and tight spots.

    `wanted` [mm]: clearance wanted. `moved`: parts of which one must be in a pair for it to be
    looked at; all pairs if not given.

    Raises
    ------
    MechanismError, AssemblyError
        As `kinematics.follow`.
    """
    course = follow(mechanism)
    survey = survey_clearances(course, wanted, moved)
    pairs = {pair.parts: pair for pair in survey.compared}
    motion = solve_at(course, survey.crank)
    found: list[TightSpot] = []
    for pair in survey.pairs:
        contacts = _contacts(course, pairs[pair.parts], pair)
        found += fouls(mechanism, side, pair, contacts)
        found += close_ones(mechanism, side, pair, contacts)
    found += open_loops(side, find_openings(course))
    found += run_offs(side, find_run_offs(course))
    found += pinched(mechanism, side)
    found += undecided_branches(side, branch_changes(course))
    found += poor_transmission(side, survey.crank, transmission_angles(motion))
    worn = find_wear(course, pairs, survey.pairs)
    found += touch_when_worn(side, survey.pairs, worn)
    return SideFindings(side, mechanism, course, motion, survey, pairs, rank(found), worn=worn)


def _contacts(course: Course, pieces: PartPair, pair: PairClearance) -> dict[float, Contact]:
    worst = {arc.worst for arc in (*pair.fouls, *pair.close)}
    return {angle: find_contact(course, pieces, angle % (2 * np.pi)) for angle in worst}
