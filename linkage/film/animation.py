"""One side of an engine through exactly one turn: a scene for every frame, solved all at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.clearance import State
from linkage.draw.scene import Scene, beyond_the_gap, other_side, poses_at, scene_of
from linkage.examine import Examination
from linkage.film.timing import Pace, Timing, flashes, time_turn, within
from linkage.kinematics import solve_at
from linkage.tightspots import CannotClose

_TURN = 2 * math.pi
_PLACE = math.radians(3.0)  # to either side of a spot that is a single place of the turn


@dataclass(frozen=True)
class Take:
    """One side of one sheet through the turn.

    Attributes
    ----------
    label : str
        "BEFORE", "AFTER", or empty where there is but one.
    scenes : tuple of Scene
        One for each tight spot of the side, worst first; of a free side its nearest pair.
    timing : Timing
        The frames.
    crank : array, shape (N,) [rad]
        The side's own crank as it is asked for, 0 to a turn.
    stands : array, shape (N,) [rad]
        The same as it gets there: it stays where a loop does not close any farther.
    poses : mapping of str to array, shape (N, 3) [mm, mm, rad]
        Every part in every frame.
    held : array of bool, shape (N,)
        Frames at whose crank angle there is no position.
    active : array of int, shape (N,)
        Which of the scenes the crank is in; -1 for none.
    lit : array of bool, shape (N,)
        Frames in which it is lit up.
    over : tuple of State
        How far over the wheelsets are in each frame.
    """

    label: str
    scenes: tuple[Scene, ...]
    timing: Timing
    crank: Array
    stands: Array
    poses: Mapping[str, Array]
    held: Mask
    active: Index
    lit: Mask
    over: tuple[State, ...]

    def scene(self, frame: int) -> Scene:
        """Return what one frame shows; outside the spots the parts of the worst stay heavy."""
        base = self.scenes[max(int(self.active[frame]), 0)]
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

    Parameters
    ----------
    after : Examination or None
        Of the sheet to set beside it; it must have the same side.
    side : str or None
        The side; None for that of the worst tight spot, or of the nearest pair.
    """
    first = _scenes_on(before, side)
    if after is None:
        return (_take("", first, time_turn(pace, _arcs(first))),)
    second = _scenes_on(after, first[0].side)
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
    return side or scene_of(examination, next(iter(examination.spots), None)).side


def _scenes_on(examination: Examination, side: str | None) -> tuple[Scene, ...]:
    """Return the scenes of all tight spots that concern a side, as its own crank meets them."""
    name = side_shown(examination, side)
    found = []
    for spot in examination.spots:
        scene: Scene | None = scene_of(examination, spot)
        if spot.side not in (name, "both"):
            continue
        if scene is not None and scene.side != name:
            scene = other_side(scene)
        if scene is not None and scene.spot is not None:
            found.append(replace(scene, spot=replace(scene.spot, side=spot.side)))
    return tuple(found) or (scene_of(examination, None, name),)


def _arcs(scenes: Sequence[Scene]) -> list[tuple[float, float, float]]:
    """Return where the spots lie in the turn of the right-hand crank."""
    found = []
    for scene in scenes:
        if scene.spot is not None:
            ahead = scene.examination.right_hand(scene.side, 0.0)
            spot = scene.spot
            begin, worst, end = (k + ahead for k in (spot.begin, spot.worst, spot.end))
            if isinstance(spot, CannotClose):  # slowly up to the lock and out of it
                found += [(begin, begin, begin), (end, end, end)]
            else:
                found.append((begin, worst, end))
    return found


def _take(label: str, scenes: tuple[Scene, ...], timing: Timing) -> Take:
    ahead = scenes[0].examination.right_hand(scenes[0].side, 0.0)
    crank = (timing.crank - ahead) % _TURN
    motion = solve_at(scenes[0].findings.course, crank)
    active = _active(scenes, crank)
    held, stands = ~motion.reached, crank.copy()
    poses = {name: pose.copy() for name, pose in motion.poses.items()}
    stops = [_stop(scene, timing.backwards) for scene in scenes]
    for frame in np.flatnonzero(held).tolist():
        stop = stops[max(int(active[frame]), 0)]
        stands[frame] = stop.crank % _TURN
        for name, pose in stop.poses.items():
            poses[name][frame] = pose
    lit = flashes(active >= 0, timing.ends)
    over = _over(scenes, active)
    return Take(label, scenes, timing, crank, stands, poses, held, active, lit, over)


def _stop(scene: Scene, backwards: bool) -> Scene:
    """Return the scene at which a lock stops the wheels, coming from the side they come from."""
    locks = isinstance(scene.spot, CannotClose)
    return beyond_the_gap(scene) if locks and backwards else scene


def _active(scenes: Sequence[Scene], crank: Array) -> Index:
    """Tell in each frame the gravest spot the crank is in, -1 for none."""
    active: Index = np.full(len(crank), -1)
    for number, scene in reversed(list(enumerate(scenes))):
        spot = scene.spot
        if spot is None:
            continue
        begin, end = min(spot.begin, spot.worst - _PLACE), max(spot.end, spot.worst + _PLACE)
        if spot.end - spot.begin > 2 * _PLACE:
            begin, end = spot.begin, spot.end
        active[within(crank, begin, end)] = number
    return active


def _over(scenes: Sequence[Scene], active: Index) -> tuple[State, ...]:
    """Return how far over wheelsets are: at each spot as its worst asks, evenly in between.

    Anything between two states of the wheelsets is one that they can be in.
    """
    frames = np.arange(len(active))
    states = [dict(scene.contact.state) if scene.contact else {} for scene in scenes]
    axles = sorted({axle for state in states for axle in state})
    asked = [k for k in frames.tolist() if scenes[max(int(active[k]), 0)].contact is not None]
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
