"""One side of an engine through exactly one turn: a moment for every frame, solved all at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance import State
from linkage.examine import Examination
from linkage.film.timing import Pace, Timing, flashes, time_turn, within
from linkage.kinematics import Motion
from linkage.scene.here import amounts_at, as_it_is
from linkage.scene.moment import Moment, beyond_the_gap, moment_of, other_side
from linkage.scene.motion import TURN, motion_at, poses_at
from linkage.tightspots import CannotClose, TightSpot

_PLACE = math.radians(3.0)  # to either side of a spot that is a single place of the turn


@dataclass(frozen=True)
class Take:
    """One side of one sheet through the turn."""

    label: str  # "BEFORE", "AFTER", or empty where there is but one
    # one for each tight spot of the side, worst first; of a free side its nearest pair
    moments: tuple[Moment, ...]
    timing: Timing  # the frames
    crank: Array  # (N,) [rad] the side's own crank as it is asked for, 0 to a turn
    # (N,) [rad] the same as it gets there: it stays where a loop does not close any farther
    stands: Array
    poses: Mapping[str, Array]  # (N, 3) [mm, mm, rad] every part in every frame
    held: Mask  # (N,) frames at whose crank angle there is no position
    active: Index  # (N,) which of the moments the crank is in; -1 for none
    lit: Mask  # (N,) frames in which it is lit up
    over: tuple[State, ...]  # how far over the wheelsets are in each frame
    # the spot as it is in each frame; None where there is none, or its amount is known at its worst
    # alone
    here: tuple[TightSpot | None, ...]

    def moment(self, frame: int) -> Moment:
        """Return what one frame shows; outside the spots the parts of the worst stay heavy."""
        base = self.moments[max(int(self.active[frame]), 0)]
        contact = base.contact
        if contact is not None:
            contact = replace(contact, state=self.over[frame])
        poses = {name: pose[frame] for name, pose in self.poses.items()}
        return replace(base, contact=contact, crank=float(self.stands[frame]), poses=poses)


def film(
    before: Examination, after: Examination | None, side: str | None, pace: Pace
) -> tuple[Take, ...]:
    """Take one side of a sheet, or of two in step, through one turn.

    One, or two with the right-hand crank at the same angle in each frame.

    `after`: of the sheet to set beside it; it must have the same side. `side`: the side; None for
    that of the worst tight spot, or of the nearest pair.
    """
    first = _moments_on(before, side)
    if after is None:
        return (_take("", first, time_turn(pace, _arcs(first))),)
    second = _moments_on(after, first[0].side)
    if second[0].spot is None:  # nothing of its own to show: the same parts, now free
        there = {part.name for part in second[0].findings.mechanism.parts}
        parts = tuple(name for name in first[0].parts if name in there)
        crank = first[0].crank
        poses = poses_at(second[0].findings, crank)
        second = (replace(second[0], parts=parts, contact=None, crank=crank, poses=poses),)
    timing = time_turn(pace, [*_arcs(first), *_arcs(second)])
    return _take("BEFORE", first, timing), _take("AFTER", second, timing)


def side_shown(examination: Examination, side: str | None) -> str:
    """Return the side asked for, or else that of the worst tight spot, or of the nearest pair."""
    return side or moment_of(examination, next(iter(examination.spots), None)).side


def _moments_on(examination: Examination, side: str | None) -> tuple[Moment, ...]:
    """Return the moments of all tight spots that concern a side, as its own crank meets them."""
    name = side_shown(examination, side)
    found: list[Moment] = []
    for spot in examination.spots:
        moment: Moment | None = moment_of(examination, spot)
        if spot.side not in (name, "both"):
            continue
        if moment is not None and moment.side != name:
            moment = other_side(moment)
        # one turn is one place of the reverser: that of the worst
        if found and moment is not None and moment.findings.place != found[0].findings.place:
            continue
        if moment is not None and moment.spot is not None:
            found.append(replace(moment, spot=replace(moment.spot, side=spot.side)))
    return tuple(found) or (moment_of(examination, None, name),)


def _arcs(moments: Sequence[Moment]) -> list[tuple[float, float, float]]:
    """Return where the spots lie in the turn of the right-hand crank."""
    found = []
    for moment in moments:
        if moment.spot is not None:
            ahead = moment.examination.right_hand(moment.side, 0.0)
            spot = moment.spot
            begin, worst, end = (k + ahead for k in (spot.begin, spot.worst, spot.end))
            if isinstance(spot, CannotClose):  # slowly up to the lock and out of it
                found += [(begin, begin, begin), (end, end, end)]
            else:
                found.append((begin, worst, end))
    return found


def _take(label: str, moments: tuple[Moment, ...], timing: Timing) -> Take:
    ahead = moments[0].examination.right_hand(moments[0].side, 0.0)
    crank = (timing.crank - ahead) % TURN
    motion = motion_at(moments[0].findings, crank)
    active = _active(moments, crank)
    held, stands = ~motion.reached, crank.copy()
    poses = {name: pose.copy() for name, pose in motion.poses.items()}
    stops = [_stop(moment, timing.backwards) for moment in moments]
    for frame in np.flatnonzero(held).tolist():
        stop = stops[max(int(active[frame]), 0)]
        stands[frame] = stop.crank % TURN
        for name, pose in stop.poses.items():
            poses[name][frame] = pose
    lit = flashes(active >= 0, timing.ends)
    over = _over(moments, active)
    here = _here(moments, motion, held, active)
    return Take(label, moments, timing, crank, stands, poses, held, active, lit, over, here)


def _here(
    moments: Sequence[Moment], motion: Motion, held: Mask, active: Index
) -> tuple[TightSpot | None, ...]:
    """Return the spot as it is in each frame, where it is known by how much."""
    found: list[TightSpot | None] = [None] * len(active)
    for number, moment in enumerate(moments):
        mine = np.flatnonzero((active == number) & ~held)
        if moment.spot is None or not len(mine):
            continue
        amounts = amounts_at(moment.findings, moment.spot, motion)
        for frame in mine.tolist() if len(amounts) else ():
            found[frame] = as_it_is(moment.spot, amounts[frame])
    return tuple(found)


def _stop(moment: Moment, backwards: bool) -> Moment:
    """Return the moment at which a lock stops the wheels, coming from the side they come from."""
    spot = moment.spot
    return beyond_the_gap(moment, spot) if isinstance(spot, CannotClose) and backwards else moment


def _active(moments: Sequence[Moment], crank: Array) -> Index:
    """Tell in each frame the gravest spot the crank is in, -1 for none."""
    active: Index = np.full(len(crank), -1)
    for number, moment in reversed(list(enumerate(moments))):
        spot = moment.spot
        if spot is None:
            continue
        begin, end = min(spot.begin, spot.worst - _PLACE), max(spot.end, spot.worst + _PLACE)
        if spot.end - spot.begin > 2 * _PLACE:
            begin, end = spot.begin, spot.end
        active[within(crank, begin, end)] = number
    return active


def _over(moments: Sequence[Moment], active: Index) -> tuple[State, ...]:
    """Return how far over wheelsets are: at each spot as its worst asks, evenly in between.

    Anything between two states of the wheelsets is one that they can be in.
    """
    frames = np.arange(len(active))
    states = [dict(moment.contact.state) if moment.contact else {} for moment in moments]
    axles = sorted({axle for state in states for axle in state}, key=str)
    asked = [k for k in frames.tolist() if moments[max(int(active[k]), 0)].contact is not None]
    known = [k for k in asked if active[k] >= 0] or asked
    rows = [
        np.interp(frames, known, [states[max(int(active[k]), 0)].get(axle, 0.0) for k in known],
                  period=len(frames))
        for axle in axles
    ]  # fmt: skip
    return tuple(
        tuple((axle, float(row[k])) for axle, row in zip(axles, rows, strict=True))
        for k in frames.tolist()
    )
