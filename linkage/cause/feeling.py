"""How likely it is that the hand feels what it felt, with the wheels stopping where they would.

Let S be the set of crank angles at which what is on stops the wheels, of measure W, in n arcs, and
e the standard deviation of a place felt, half of what it is said to be out. Then

- that it locks at a place a, said of no direction: the place is anywhere in S, with that error,

      f(a) = exp(-d(a, S)^2 / 2 e^2) / (W + n e sqrt(2 pi));

- that it locks at a place when turned forward (backward): likewise of the n beginnings (ends) of
  its arcs, so that W is nought; from one place to another: of a beginning and of an end;
- that it locks at a place a turned forward and at b turned backward, all else alike: the wheels
  were turned from the one to the other, so nothing stops them between. With the hand anywhere in
  what is free, which is stretches from an end b_j to the next beginning a_j, l_j long,

      f(a, b) = sum_j l_j / (2 pi - W) N(a - a_j, e) N(b - b_j, e);

- where S is the whole turn it has no place: what is said of one is any place alike;
- that it locks, no place being said: 1 where S is not empty, else 0;
- that it locks all round: 1 where S leaves no stretch that the wheels can be felt to turn in, of
  more than `ROCKS`, else 0;
- that it is free: 1 where S does not meet that stretch, else 0;
- that it is stiff: as that it locks, S being where little is left.

Few draws stand for all that the numbers may be, so each stands for those around it: a place felt is
taken to be out by as much as there is from draw to draw as well, and no more than `_MOST_BETWEEN`
times itself (a kernel over the draws, as wide as Scott's rule has it for two numbers: Multivariate
Density Estimation, 1992, the rule from memory).

A hand errs, and a bench has things no sheet holds: with the chance `SLIP` what is said hangs on
nothing, and its density is that of any place of the turn. So no cause is ever ruled out by one
line alone.

A gap g that was seen has the density of a normal distribution about the air there, of its own error
and that of the numbers together.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.cause.sampling import CRANK, SAMPLES
from linkage.tables.felt import ROCKS, Felt, Turning, What

SLIP = 0.03
"""Chance that what was felt says nothing of the motion [1]: common practice, no source."""
_TURN = 2 * math.pi
_STEP = _TURN / SAMPLES
_SIGMAS = 2.0  # standard deviations in what a place is said to be out
_MOST_BETWEEN = 2.0
_PLACES = 2  # felt of one lock: where it begins, and where it ends


def likelihood(line: Felt, stopped: Mask) -> Array:
    """Return how likely a line is, of each of many draws.

    Parameters
    ----------
    stopped : array of bool, shape (M, SAMPLES)
        Where the wheels are stopped, by the crank angles of the line's side.

    Returns
    -------
    array, shape (M,) [1 or 1/rad, alike for every cause]
    """
    if line.what is What.FREE:
        return _chance(~np.asarray(_within(line, stopped).any(axis=1)))
    some = np.asarray(stopped.any(axis=1))
    if line.placed and not some.any():
        places = _PLACES if not line.all_round and line.end > line.begin else 1
        return np.full(len(stopped), SLIP / (1.0 if line.all_round else _TURN**places))
    if not line.placed:
        return _chance(some)
    if line.all_round:
        _, free = _free_before(stopped)
        return _chance(some & np.asarray((free * _STEP < ROCKS + _STEP / 2).all(axis=1)))
    if line.end > line.begin:
        density = _at(line, _begins(stopped)) * _at(replace(line, begin=line.end), _ends(stopped))
        anywhere = 1 / _TURN**2
    else:
        wide = line.turning is None
        density, anywhere = _at(line, stopped if wide else _edges(line, stopped), wide), 1 / _TURN
    density = np.where(stopped.all(axis=1), anywhere, density)
    return np.asarray(SLIP * anywhere + (1 - SLIP) * np.where(some, density, 0.0))


def both_ways(lines: Sequence[Felt]) -> tuple[tuple[int, int], ...]:
    """Return the lines, by their numbers, that tell of one stretch: turned forward, and backward.

    Where more than one was felt either way, nobody knows which belong together: none do then.
    """
    alike: dict[Hashable, list[int]] = {}
    for number, line in enumerate(lines):
        if line.placed and line.turning and line.begin == line.end:
            how = line.what, frozenset(line.off), line.running, frozenset(line.pushed)
            alike.setdefault(how, []).append(number)
    found = []
    for some in alike.values():
        on, back = ([k for k in some if lines[k].turning is way] for way in Turning)
        if len(on) == len(back) == 1:
            found.append((on[0], back[0]))
    return tuple(found)


def likelihood_of_both(
    ways: tuple[Felt, Felt], stopped: Mapping[str, Mask], ahead: Mapping[str, float]
) -> tuple[Array, tuple[Array, Array]]:
    """Return how likely two lines are that tell of one stretch, of each of many draws.

    Parameters
    ----------
    ways : tuple of Felt
        Turned forward, and turned backward.
    stopped : mapping of str to array of bool, each of shape (M, SAMPLES)
        By side, where the wheels are stopped by what is of that side, by its own crank.
    ahead : mapping of str to float [rad]
        By side, by how much the right-hand crank is ahead of its own.

    Returns
    -------
    array, shape (M,) [1/rad^2, alike for every cause]
        Both together.
    tuple of array, each of shape (M,) [1/rad]
        Each by itself.
    """
    each = tuple(likelihood(line, stopped[line.side]) for line in ways)
    slips = SLIP / _TURN  # the one slips, the other does not; or both
    singly = slips * (each[0] + each[1]) - slips**2
    if not all(stopped[line.side].any() for line in ways):
        return np.asarray(singly), (each[0], each[1])
    turned = {side: np.roll(mask, steps(ahead[side]), axis=1) for side, mask in stopped.items()}
    lines = [replace(line, begin=line.begin + ahead[line.side]) for line in ways]
    on, back = (turned[line.side] for line in ways)
    every = np.logical_or.reduce([*turned.values()])
    last, length = _free_before(every)
    share = length / np.maximum((~every).sum(axis=1, keepdims=True), 1)
    bounds = _begins(every) & on & np.take_along_axis(back, last, axis=1)
    near_on, near_back = (
        _normal(line, _sigma(line, _edges(line, mask)))
        for line, mask in zip(lines, (on, back), strict=True)
    )
    density = np.where(bounds, share * near_back[last], 0.0) @ near_on
    return np.asarray((1 - SLIP) ** 2 * density + singly), (each[0], each[1])


def steps(angle: float) -> int:
    """Return how many samples an angle is [rad]."""
    return round(angle / _STEP)


def _free_before(stopped: Mask) -> tuple[Index, Index]:
    """Return of each sample the last one before it that is stopped, and how many free are between.

    Round the turn; shape (M, SAMPLES) either.
    """
    twice = np.where(np.tile(stopped, 2), np.arange(2 * SAMPLES), -1)
    last = np.maximum.accumulate(twice, axis=1)[:, SAMPLES - 1 : -1]
    between = np.arange(SAMPLES, 2 * SAMPLES) - last - 1
    return last % SAMPLES, np.where(last < 0, 0, between)


def _normal(line: Felt, sigma: float) -> Array:
    """Return the density of a place felt about each sample, shape (SAMPLES,) [1/rad]."""
    off = np.maximum(np.abs(_apart(line)) - _STEP / 2, 0.0)  # a sample stands for half a step
    return np.asarray(np.exp(-0.5 * (off / sigma) ** 2) / (sigma * math.sqrt(_TURN)))


def _apart(line: Felt) -> Array:
    """Return how far each sample is from where a line begins, shape (SAMPLES,) [rad]."""
    return np.asarray((CRANK - line.begin + math.pi) % _TURN - math.pi)


def _sigma(line: Felt, marked: Mask) -> float:
    """Return what a place felt is out by, of which some samples of each draw may be [rad]."""
    by_hand = max(line.error / _SIGMAS, _STEP / 2)
    there = marked[marked.any(axis=1)]
    if len(there) < _PLACES:
        return by_hand
    apart = _apart(line)
    nearest = apart[np.where(there, np.abs(apart), np.inf).argmin(axis=1)]
    between = float(nearest.std()) * len(there) ** (-1 / (4 + _PLACES))
    return math.hypot(by_hand, min(between, _MOST_BETWEEN * by_hand))


def _chance(so: Mask) -> Array:
    """Return how likely it is said where it is so, and where it is not."""
    return np.asarray(np.where(so, 1.0 - SLIP, SLIP))


def _within(line: Felt, stopped: Mask) -> Mask:
    """Return where the wheels are stopped for certain within a stretch that was felt free."""
    if not line.placed:
        return stopped
    begin, end = line.begin + line.error, line.end - line.error
    inside = (CRANK - begin) % _TURN <= max(end - begin, 0.0)
    return stopped & inside


def _begins(stopped: Mask) -> Mask:
    """Return the first sample of each arc; of a whole turn there is none."""
    return np.asarray(stopped & ~np.roll(stopped, 1, axis=1))


def _ends(stopped: Mask) -> Mask:
    return np.asarray(stopped & ~np.roll(stopped, -1, axis=1))


def _edges(line: Felt, stopped: Mask) -> Mask:
    """Return where the arcs begin, or end: as the line was turned."""
    return _begins(stopped) if line.turning is Turning.FORWARD else _ends(stopped)


def _at(line: Felt, marked: Mask, wide: bool = False) -> Array:
    """Return the density of where a line begins, of some marked samples, shape (M,) [1/rad]."""
    sigma = _sigma(line, marked)
    off = np.maximum(np.abs(_apart(line)) - _STEP / 2, 0.0)  # a sample stands for half a step
    least = np.where(marked, off, np.inf).min(axis=1)
    width = marked.sum(axis=1) * _STEP if wide else 0.0
    arcs = np.maximum((marked & ~np.roll(marked, 1, axis=1)).sum(axis=1), 1)
    scale = width + arcs * sigma * math.sqrt(_TURN)
    return np.asarray(np.exp(-0.5 * (least / sigma) ** 2) / scale)
