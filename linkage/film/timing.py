"""When each frame of one turn is shown, at which crank angle, and when a spot lights up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array, Mask

_TURN = 2 * math.pi
_GRID = 7200  # places of the turn at which the pace is set
_BEFORE = math.radians(6.0)  # slow already so far before a spot, and after it
_ABOUT = math.radians(20.0)  # to either side of the worst place, where spots fill the turn
_FILLS = 0.6  # of the turn: beyond it "slowly" would be everywhere
_SHARE = 0.4  # of the time that the spots should have
_TIMES = (2.5, 10.0)  # as slow, at least and at most
_EASE = 120  # places of the grid over which the pace changes, 6 degrees

FLASH = 600
"""From one lighting up to the next, at the least: 1.7 a second, for more than 3 can harm [ms]."""


@dataclass(frozen=True)
class Timing:
    """One turn as frames; after the last comes the first again."""

    # (N,) [rad] the right-hand crank, 0 to a turn, rising; falling from the second frame when
    # backwards
    crank: Array
    ends: tuple[int, ...]  # when each frame ends [ms], in whole hundredths of a second
    slow: Mask  # (N,) where the crank is turned slowly
    backwards: bool  # whether the wheels are turned backwards

    @property
    def durations(self) -> tuple[int, ...]:
        """How long each frame is shown [ms]."""
        return tuple(b - a for a, b in zip((0, *self.ends), self.ends, strict=False))


@dataclass(frozen=True)
class Pace:
    """How a turn is to be shown."""

    frames: int = 120  # how many pictures
    seconds: float = 8.0  # [s] how long the turn takes
    backwards: bool = False  # whether the wheels are turned backwards
    slow: bool = True  # whether tight spots are passed slowly


def time_turn(pace: Pace, spots: Sequence[tuple[float, float, float]]) -> Timing:
    """Share the frames of one turn out, more of them to its tight spots.

    `spots` [rad]: begin, worst and end of each tight spot, as the right-hand crank stands.
    """
    grid: Array = np.linspace(0.0, _TURN, _GRID, endpoint=False) + _TURN / _GRID / 2
    near = _near(grid, spots) if pace.slow else np.zeros(_GRID, dtype=bool)
    share = float(near.mean())
    wait = np.ones(_GRID)
    if share > 0:
        wait[near] = np.clip(_SHARE / (1 - _SHARE) * (1 - share) / share, *_TIMES)
        wide = np.concatenate((wait[-_EASE:], wait, wait[:_EASE]))
        wait = np.convolve(wide, np.full(_EASE + 1, 1 / (_EASE + 1)), "same")[_EASE:-_EASE]
    when = np.concatenate(([0.0], np.cumsum(wait)))
    even = np.arange(pace.frames) / pace.frames * when[-1]
    crank = np.interp(even, when, np.arange(_GRID + 1) * (_TURN / _GRID))
    slow: Mask = near[np.minimum((crank / _TURN * _GRID).astype(int), _GRID - 1)]
    if pace.backwards:
        crank, slow = np.roll(crank[::-1], 1), np.roll(slow[::-1], 1)
    hundredths = pace.seconds * 100 / pace.frames
    ends = tuple(10 * round(hundredths * (k + 1)) for k in range(pace.frames))
    return Timing(crank, ends, slow, pace.backwards)


def within(crank: Array, begin: float, end: float) -> Mask:
    """Tell which crank angles lie in an arc.

    True in the arc.

    `crank`, shape (N,) [rad]: the angles. `begin`, `end` [rad]: the arc, `end` after `begin`.
    """
    inside: Mask = (crank - begin) % _TURN <= end - begin
    return inside


def _near(grid: Array, spots: Sequence[tuple[float, float, float]]) -> Mask:
    """Tell where it goes slowly: all through the spots, or about their worst places alone."""
    near = np.zeros(len(grid), dtype=bool)
    for begin, _, end in spots:
        near |= within(grid, begin - _BEFORE, end + _BEFORE)
    if near.mean() > _FILLS:
        near[:] = False
        for _, worst, _ in spots:
            near |= within(grid, worst - _ABOUT, worst + _ABOUT)
    return near


def flashes(inside: Mask, ends: Sequence[int]) -> Mask:
    """Tell in which frames a tight spot is lit up.

    On as the crank comes into a spot, then on and off. No two lightings up are less than
    `FLASH` apart, the last and the first of the turn after it neither.

    `inside`, shape (N,): frames within a spot.
    """
    lit = np.zeros(len(inside), dtype=bool)
    if not inside.any():
        return lit
    starts = np.array([0, *ends[:-1]])
    first = _first(inside, starts, ends[-1])
    since = np.roll(starts - starts[first], -first) % ends[-1]
    last = -math.inf
    for place, at in enumerate(since.tolist()):
        frame = (first + place) % len(inside)
        if not inside[frame]:
            continue
        if at - last >= FLASH and (ends[-1] - at >= FLASH or place == 0):
            last = at
        lit[frame] = at - last < FLASH / 2 and _lit_before(lit, frame, at == last)
    return lit


def _lit_before(lit: Mask, frame: int, begins: bool) -> bool:
    """Tell whether a frame may be lit: where a flash begins, or goes on from the one before."""
    return begins or bool(lit[frame - 1])


def _first(inside: Mask, starts: Array, turn: int) -> int:
    """Return the frame at which a spot begins after the longest time without one."""
    begins = np.flatnonzero(inside & ~np.roll(inside, 1))
    if not len(begins):
        return 0
    ceases = np.flatnonzero(~inside & np.roll(inside, 1))
    waits = [min((starts[b] - starts[c]) % turn for c in ceases) for b in begins]
    return int(begins[int(np.argmax(waits))])
