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
    survey_crank,
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
    Close,
    Fouls,
    TightSpot,
    TouchesWithPlay,
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

_STILL = 1e-9  # what stands elsewhere by no more stands where it did [mm, rad]


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
    side: str,
    mechanism: Mechanism,
    wanted: float,
    before: SideFindings | None = None,
    moved: frozenset[str] | None = None,
) -> SideFindings:
    """Find out everything about one side.

    Motion, clearances and tight spots.

    `wanted` [mm]: clearance wanted. `before`: what was found out about a side much like it, with
    the same clearance wanted: of pairs of which neither part looks or stands otherwise than there
    it holds what was found. `moved`: the parts that do, if that is known already; without `before`
    the parts of which one must be in a pair for it to be looked at.

    Raises
    ------
    MechanismError, AssemblyError
        As `kinematics.follow`.
    """
    course = follow(mechanism)
    motion = solve_at(course, survey_crank())
    if before is not None and moved is None:
        moved = _moved_since(before, course, motion)
    survey = survey_clearances(course, wanted, moved)
    pairs = {pair.parts: pair for pair in survey.compared}
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
    whole = SideFindings(side, mechanism, course, motion, survey, pairs, rank(found), worn=worn)
    return whole if before is None or moved is None else _with_the_rest(whole, before, moved)


def _moved_since(before: SideFindings, course: Course, motion: Motion) -> frozenset[str] | None:
    """Return the parts that look or stand otherwise than before; None where more is different."""
    old, new = before.mechanism, course.mechanism
    told = ("travels", "watched", "reverser", "grips", "twisted")  # no clearance hangs on them
    but = {name: getattr(old, name) for name in ("parts", "joints", *told)}
    names = [part.name for part in new.parts]
    if replace(new, **but) != old or names != [part.name for part in old.parts]:
        return None
    if before.course.open_arcs or course.open_arcs:
        return None
    held = {joint.name: joint for joint in old.joints}
    if held.keys() != {joint.name for joint in new.joints}:
        return None
    joined = {
        place.part
        for joint in new.joints
        if replace(joint, near=None) != replace(held[joint.name], near=None)
        for place in (joint.a, joint.b)
    }
    looks = {one.name for one, other in zip(new.parts, old.parts, strict=True) if one != other}
    stands = {
        name
        for name, pose in motion.poses.items()
        if np.abs(pose - before.motion.poses[name]).max(initial=0.0) > _STILL
    }
    return frozenset(joined | looks | stands)


def _with_the_rest(
    found: SideFindings, before: SideFindings, moved: frozenset[str]
) -> SideFindings:
    """Return what was found of pairs with a moved part, with what holds of all others."""

    def same(parts: tuple[str, ...]) -> bool:
        return not moved & set(parts)

    pairs = [*found.survey.pairs, *(p for p in before.survey.pairs if same(p.parts))]
    compared = [*found.survey.compared, *(p for p in before.survey.compared if same(p.parts))]
    of_pairs = [
        replace(spot, side=found.side, place=None)
        for spot in before.spots
        if isinstance(spot, Fouls | Close | TouchesWithPlay) and same(spot.parts)
    ]
    return replace(
        found,
        survey=replace(
            found.survey,
            pairs=tuple(sorted(pairs, key=lambda pair: pair.least)),
            compared=tuple(compared),
        ),
        pairs={pair.parts: pair for pair in compared},
        worn={**{k: w for k, w in before.worn.items() if same(k)}, **found.worn},
        spots=rank((*found.spots, *of_pairs)),
    )


def _contacts(course: Course, pieces: PartPair, pair: PairClearance) -> dict[float, Contact]:
    worst = {arc.worst for arc in (*pair.fouls, *pair.close)}
    return {angle: find_contact(course, pieces, angle % (2 * np.pi)) for angle in worst}
