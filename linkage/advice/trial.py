"""One side tried over with something changed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import assert_never

import numpy as np

from linkage.advice.bench import up
from linkage.advice.patience import begin_trial
from linkage.arrays import Array, Index
from linkage.clearance import RunOff, least_clearance
from linkage.examine import Examination, SideFindings, examine_side
from linkage.kinematics import (
    Course,
    branch_changes,
    find_openings,
    follow,
    follow_whole,
    set_reverser,
    solve_at,
    solve_near,
    transmission_angles,
)
from linkage.mechanism import Mechanism, Running
from linkage.tightspots import CannotClose, Close, Fouls, RunsOff, TightSpot, poor_transmission

_TO_SPARE = 0.002  # more than a travel can change within a degree about its end [mm]
_SAMPLES = 360  # crank angles at which the push of links is looked at

_FAR = 0.4  # parts turned by less than this are on the same branch without a second look [rad]
_SAME = 1e-3  # parts turned by less than this stand alike [rad]
_FEW = 7  # crank angles at which positions are moved over


_MOVES = 5  # times that what is still missing is added to a move
AS_MUCH = 1e-6
"""What is short of what is asked for by no more is as much: sums round [mm]."""
Curable = CannotClose | RunsOff | Fouls | Close


@dataclass(frozen=True)
class Trial:
    """What stays the same from trial to trial of one pair."""

    course: Course  # the motion as found
    parts: frozenset[str]  # the two parts
    wanted: float  # clearance the sheet asks for [mm]
    # the side as found at other places of the reverser, where that makes a difference to the pair
    others: tuple[SideFindings, ...] = ()

    def least(self, mechanism: Mechanism, followed: Course | None = None) -> float:
        """Return the pair's least clearance in another mechanism.

        As far as it is looked at, where they stay farther apart [mm]. `followed`: its motion, where
        that is known.
        """
        return min(self._leasts(mechanism, followed))

    def keeps(self, asked: float, mechanism: Mechanism, followed: Course | None = None) -> bool:
        """Tell whether the pair's least clearance in another mechanism is what is asked or more.

        Places of the reverser after one where it is not are not looked at.

        `asked` [mm]; `followed`: as for `least`.
        """
        return all(least >= asked for least in self._leasts(mechanism, followed))

    def _leasts(self, mechanism: Mechanism, followed: Course | None) -> Iterator[float]:
        """Yield the pair's least clearance at one place of the reverser after another [mm]."""
        begin_trial()
        yield least_clearance(followed or follow(mechanism), self.wanted, self.parts)
        for other in self.others:
            begin_trial()
            yield least_clearance(follow(at_place(mechanism, other)), self.wanted, self.parts)

    def least_move(
        self,
        moved: Callable[[float], Mechanism],
        lateral: float,
        step: float,
        most: float = math.inf,
    ) -> float:
        """Return how far a face must go sideways for the pair to have what is asked [mm].

        In whole steps; infinite beyond a most, or where it does not end.

        `lateral`: the gap at the place of contact, which says it where the faces are flat; along a
        bend another place may then be the nearest, so what is still missing is added.
        """
        need = up(self.wanted - lateral, step)
        for _ in range(_MOVES):
            if need > most:
                break
            missing = self.wanted - self.least(moved(need))
            if missing <= AS_MUCH:
                return need
            need = up(need + missing, step)
        return math.inf


def trial_of(examination: Examination, spot: TightSpot) -> Trial:
    """Return the trial of the two parts of a tight spot."""
    findings = examination.where(spot)
    wanted = examination.sheet.wanted_clearance
    return Trial(findings.course, frozenset(spot.parts), wanted, other_places(examination, spot))


def other_places(examination: Examination, spot: TightSpot) -> tuple[SideFindings, ...]:
    """Return the side of a tight spot at the other places of the reverser that were looked at.

    None where the spot is the same at all of them.
    """
    if spot.place is None:
        return ()
    at = examination.everywhere[spot.side].at
    return tuple(side for place, side in at.items() if place != spot.place)


def at_place(mechanism: Mechanism, other: SideFindings) -> Mechanism:
    """Return a changed mechanism with its reverser where a side was looked at."""
    return set_reverser(mechanism, other.place, other.mechanism)


def examined_with(
    examination: Examination, side: str, mechanism: Mechanism, place: Running = None
) -> SideFindings:
    """Examine a side with a cure done, once for all the spots that it is tried for.

    `place`: where its reverser then is, if not where the examination has it.
    """
    held: list[SideFindings] = examination.keep(f"tried {side} {place}", list)
    found = next((one for one in held if one.mechanism == mechanism), None)
    if found is None:
        begin_trial()
        wanted = examination.sheet.wanted_clearance
        if place is None:
            found = examine_side(side, mechanism, wanted, examination.sides[side])
        else:
            moved = examination.everywhere[side].survey.moved
            found = examine_side(side, mechanism, wanted, moved=moved)
        held.append(found)
    return found


def same_branch(before: Course, after: Course) -> bool:
    """Tell whether two mechanisms much alike are on the same branch.

    Another number on a sheet can tip the choice between the branches of a loop; what is
    found out about the other is then no answer for this engine.

    True where no part has turned by more than `_FAR` at most crank angles that both reach, or
    where the positions of `before`, moved over to the dimensions of `after`, close at those
    of `after`; or where none can be moved so far. False where other parts are pinned to one
    another: no branch of the one is then one of the other.
    """
    if _pinned(before) != _pinned(after):
        return False
    crank = np.linspace(0.0, 2 * np.pi, _SAMPLES, endpoint=False)
    old, new = solve_at(before, crank), solve_at(after, crank)
    both = np.flatnonzero(old.reached & new.reached)
    if not len(both) or _turned(old.poses, new.poses, both) < _FAR:
        return True
    some = both[np.linspace(0, len(both) - 1, _FEW).astype(int)]
    moved = solve_near(before, [after.mechanism], crank[some])
    over = {name: poses[0] for name, poses in moved.poses.items()}
    there = {name: pose[some] for name, pose in new.poses.items()}
    told = np.flatnonzero(moved.reached[0])
    return not len(told) or _turned(over, there, told) < _SAME


def _pinned(course: Course) -> list[tuple[str, str, str]]:
    """Return which parts each joint of a mechanism joins."""
    return [(j.name, j.a.part, j.b.part) for j in course.mechanism.joints]


def on_branch(examination: Examination, side: str, before: Course, after: Course) -> bool:
    """Tell whether a side, changed, is on the branch that it was on or that another side is on.

    A number far from what belongs there can itself have tipped the choice: how the other side
    stands is then what this one, put right, comes back to.

    `before`, `after`: motion of the side as found and changed.
    """
    others = (other.course for name, other in examination.sides.items() if name != side)
    return same_branch(before, after) or any(same_branch(other, after) for other in others)


def _turned(old: Mapping[str, Array], new: Mapping[str, Array], places: Index) -> float:
    """Return by how much the part turned most is turned, at most places [rad]."""
    turned = []
    for name in old.keys() & new.keys():
        apart = new[name][places, 2] - old[name][places, 2]
        wrapped = np.abs(np.remainder(apart + np.pi, 2 * np.pi) - np.pi)
        turned.append(float(np.median(wrapped)))
    return max(turned)


def runs_clean(examination: Examination, spot: CannotClose | RunsOff, mechanism: Mechanism) -> bool:
    """Tell whether a loop now closes, or a travel now suffices, over the whole turn.

    A loop that closes only with its links all but in line is not called clean: it would jam.
    Neither is one that closes and locks another, unless there was another that locked.

    Raises
    ------
    AssemblyError
        Where it cannot be put together at all.
    """
    others = other_places(examination, spot)
    tried = [(examination.where(spot), mechanism)]
    tried += [(other, at_place(mechanism, other)) for other in others]
    return all(_runs_clean(examination, spot, before, one) for before, one in tried)


def _runs_clean(
    examination: Examination,
    spot: CannotClose | RunsOff,
    before: SideFindings,
    mechanism: Mechanism,
) -> bool:
    """Tell it at one place of the reverser."""
    begin_trial()
    others_lock = _locks_elsewhere(examination, spot)
    # one that does not go all the way round is not looked over for where else it closes: it is dear
    whole = isinstance(spot, CannotClose) and not others_lock
    course = follow_whole(mechanism) if whole else follow(mechanism)
    if course is None or not on_branch(examination, spot.side, before.course, course):
        return False
    if isinstance(spot, RunsOff):
        return _room(course, mechanism, spot.run_off) > _TO_SPARE
    parts = set(spot.parts)
    if course.open_arcs and not (
        others_lock and all(set(opening.parts) != parts for opening in find_openings(course))
    ):
        return False
    crank = np.linspace(0.0, 2 * np.pi, _SAMPLES, endpoint=False)
    angles = transmission_angles(solve_at(course, crank))
    poor = [found.parts for found in poor_transmission(spot.side, crank, angles)]
    undecided = [found for _, found in branch_changes(course)]
    return all(set(found) != parts for found in (*poor, *undecided))


def cured(examination: Examination, spot: Curable, mechanism: Mechanism) -> bool:
    """Tell whether a spot is cured in another mechanism, over the whole turn.

    Raises
    ------
    AssemblyError
        Where it cannot be put together at all.
    OutOfTimeError
        Where there is no time left for it.
    """
    begin_trial()
    match spot:
        case CannotClose() | RunsOff():
            return runs_clean(examination, spot, mechanism)
        case Fouls() | Close():
            return parts_clear(examination, spot, mechanism)
        case _:
            assert_never(spot)


def parts_clear(examination: Examination, spot: Fouls | Close, mechanism: Mechanism) -> bool:
    """Tell whether two parts now have the air that is asked for, over the whole turn.

    Raises
    ------
    AssemblyError
        Where it cannot be put together at all.
    """
    trial = trial_of(examination, spot)
    course = follow(mechanism)
    if not on_branch(examination, spot.side, trial.course, course):
        return False
    return trial.keeps(spot.wanted, mechanism, course)


def _room(course: Course, mechanism: Mechanism, run_off: RunOff) -> float:
    """Return the least room left at the end that something ran past [mm]."""
    old = run_off.travel
    travel = next(
        t
        for t in mechanism.travels
        if (t.joint, t.part, t.against) == (old.joint, old.part, old.against)
    )
    crank = np.linspace(0.0, 2 * np.pi, _SAMPLES, endpoint=False)
    place = solve_at(course, crank).travel(travel.joint)
    room = travel.most - place if run_off.forward else place - travel.least
    return float(np.nanmin(room))


def _locks_elsewhere(examination: Examination, spot: TightSpot) -> bool:
    return any(
        other.side == spot.side and isinstance(other, CannotClose) and other.fault != spot.fault
        for other in examination.spots
    )
