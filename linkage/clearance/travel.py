"""What runs off an end: crosshead, piston, die block, valve spindle."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.kinematics import Course, Motion, solve_at
from linkage.kinematics.course import TURN
from linkage.mechanism import Mechanism, Travel
from linkage.search import find_crossings, find_minima

_SAMPLES = 360
_ANGLE = 2e-5  # angles are closed in on to this: 0.001 degree [rad]


@dataclass(frozen=True)
class RunOff:
    """One arc of the turn in which something is past the end of its travel.

    Attributes
    ----------
    travel : Travel
        What runs off, and out of what.
    forward : bool
        True where it is past the end that the travel is counted towards.
    begin, worst, end : float [rad]
        Crank angles, each after the last.
    beyond : float [mm]
        How far past the end at the worst place.
    """

    travel: Travel
    forward: bool
    begin: float
    worst: float
    end: float
    beyond: float


def find_run_offs(course: Course) -> tuple[RunOff, ...]:
    """Find every arc in which a travel of the mechanism is exceeded.

    In the order of the mechanism's travels.

    Notes
    -----
    A travel is a smooth curve, sampled at every degree; the arcs are then closed in on. An excess
    shorter than a degree and less than its curvature times the square of half a degree may pass.
    """
    crank = np.linspace(0.0, TURN, _SAMPLES, endpoint=False)
    found: list[RunOff] = []
    for travel in course.mechanism.travels:
        for forward, limit in ((True, travel.most), (False, travel.least)):
            if not np.isfinite(limit):
                continue
            sign = 1.0 if forward else -1.0

            def room(
                angles: Array, name: str = travel.joint, sign: float = sign, limit: float = limit
            ) -> Array:
                motion = solve_at(course, angles.ravel() % TURN)
                return sign * (limit - motion.travel(name).reshape(angles.shape))

            arcs = _arcs_below_zero(room, crank)
            found += [RunOff(travel, forward, *arc) for arc in arcs]
    return tuple(found)


def least_room(
    mechanisms: Sequence[Mechanism], motion: Motion
) -> list[tuple[Travel, Array, Array]]:
    """Find how much room is left at the end of every travel of many variants, by samples.

    Parameters
    ----------
    motion : Motion
        Theirs, at even crank angles round the turn; a parabola through the three nearest says
        the rest.

    Returns
    -------
    list of (Travel, array, array), shape (V,) each [mm, rad]
        For each end of each travel the least room, below 0 where something runs off, and where;
        nan for a variant that has no such end, or no motion.
    """
    samples, found = len(motion.crank), []
    for number, travel in enumerate(mechanisms[0].travels):
        place = np.broadcast_to(motion.travel(travel.joint), motion.reached.shape)
        own = [mechanism.travels[number] for mechanism in mechanisms]
        most, least = (
            np.array(ends)[:, None] for ends in zip(*((t.most, t.least) for t in own), strict=True)
        )
        for room in (most - place, place - least):
            known = np.asarray(np.isfinite(room).all(axis=1))
            worst = np.argmin(np.where(known[:, None], room, 0.0), axis=1)
            rows = np.arange(len(room))
            before, here, after = (room[rows, (worst + k) % samples] for k in (-1, 0, 1))
            with np.errstate(invalid="ignore"):
                bend = np.where(known, before - 2 * here + after, 0.0)
                by = np.where(bend > 0, 0.5 * (before - after) / np.where(bend > 0, bend, 1.0), 0.0)
                depth = np.where(known, here - 0.5 * bend * by**2, np.nan)
            found.append((travel, depth, (motion.crank[worst] + by * TURN / samples) % TURN))
    return found


def _arcs_below_zero(
    curve: Callable[[Array], Array], crank: Array
) -> list[tuple[float, float, float, float]]:
    """Return (begin, worst, end, depth) of each arc in which a periodic curve is negative."""

    def safe(angles: Array) -> Array:
        values = curve(angles)
        return np.where(np.isnan(values), np.inf, values)

    value = safe(crank)
    low = value < 0
    if not low.any():
        return []
    step = TURN / len(crank)
    if low.all():
        about = crank[[int(np.argmin(value))]]
        at, least = find_minima(safe, about - step, about + step, _ANGLE)
        return [(0.0, float(at[0] % TURN), TURN, float(-least[0]))]
    starts = crank[np.flatnonzero(low & ~np.roll(low, 1))]
    ends = crank[np.flatnonzero(low & ~np.roll(low, -1))]
    ends = np.array([min(e if e >= start else e + TURN for e in ends) for start in starts])
    begin = find_crossings(safe, starts - step, starts, _ANGLE)
    end = find_crossings(safe, ends, ends + step, _ANGLE)
    worst, depth = find_minima(safe, begin, end, _ANGLE)
    return [
        (float(b % TURN), float(w - b + b % TURN), float(e - b + b % TURN), float(-d))
        for b, w, e, d in zip(begin, worst, end, depth, strict=True)
    ]
