"""How much of its play a set of coupled wheels uses round the turn, and where it binds.

The undriven axles can go two ways near a dead centre, ahead of the driven one or behind it, and
the share of play has a valley for each; which is lower changes with the crank angle::

    share |  `.           .'  A       each sample goes down into A or B by chance;
          |     `.     .'             where two beside one another stand unlike, each
          |        `.'                is started again from where the other stands,
          |     .'     `.             and so on outwards for as long as that uses less:
          |  .'           `.  B       what is left is the lower of the two
          +------------------- crank

A valley that no sample went down into is looked for by starting far to either side; but only where
the share is greatest, for there alone it decides whether the wheels turn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.errors import AssemblyError
from linkage.play.least import LeastPlay, least_of_starts, least_play
from linkage.play.misfit import Constraint, Misfits
from linkage.search import Floor, find_crossings, find_middles, find_minima, floor_in
from linkage.wheels import CoupledWheels

TURN = 2 * np.pi
SAMPLES = 720
NEARLY = 0.9
"""From this share on the play counts as nearly used up: measuring will not tell it from all."""
_SPLIT = 4  # parts that brackets are cut into: each place of them is dear
_ANGLE = 2e-4  # ends of arcs are closed in on to this: 0.01 degree [rad]
_PEAK = 1e-3  # where an arc is worst, to this: 0.06 degree [rad]
_EVEN = 5e-5  # shares that differ by less are the same: the least of each is found to 2e-5 [share]
_WIDE_SWINGS = (0.15, -0.15)  # further starts where one side alone holds the axles [rad]
_FAR_SWINGS = (0.08, -0.08)  # further starts where the most is used [rad]
_HIGHEST = 0.95  # of the most: samples that are looked at so [1]
_TIMES = 4  # at the most, that they are
_JUMP = 0.002  # between samples beside one another: more, and they stand unlike [rad]
_ASIDE = (0.03, -0.03, 0.12, -0.12)  # of where a start crept [rad]
_FEW = 16  # of those that crept, tried first
_LESS = 1e-6  # a start that finds less than this less has found the same [share]
_HOPELESS = 0.1  # of the throw: short by more everywhere, no rod goes on (common practice) [1]
_CONCERNED = 0.1  # a pin with a smaller part in it than this of the greatest is not named [1]
# as good as alike: such holes come first, in their own order. The outer two of three share what
# the middle one takes, half of it each, so it may not be a half
_ALIKE = 0.4


@dataclass(frozen=True)
class PlayArc:
    """A stretch of the turn in which more than some share of the play is used.

    Attributes
    ----------
    begin, worst, end : float [rad]
        Turn of the driven axle, each after the last; worst is the middle of a level top.
    most : float [share]
        Share used at the worst place.
    holes : tuple of Constraint
        Which pins, boxes and knuckles make it so, those that have most to do with it first.
    missing : float [mm]
        By how much the diameter of every hole concerned would have to grow for it to turn; 0
        where it turns.
    """

    begin: float
    worst: float
    end: float
    most: float
    holes: tuple[Constraint, ...]
    missing: float


@dataclass(frozen=True)
class PlayUsed:
    """Play used round the turn.

    Attributes
    ----------
    crank : array, shape (SAMPLES,) [rad]
        Turn of the driven axle, by its right-hand crank.
    used : array, shape (SAMPLES,) [share]
        Below 1 it turns, at 1 it binds.
    most : float [share]
        Greatest share over the turn.
    at : float [rad]
        Where that is: the middle of it, where as much is used for a while.
    one_sided : bool
        True where the rods of one side alone join the axles: then they may go wrong at the dead
        centres, where nothing decides which way the undriven wheels go on.
    """

    crank: Array
    used: Array
    most: float
    at: float
    one_sided: bool


@dataclass(frozen=True)
class PlayFindings:
    """All that was found out about the coupled wheels.

    Attributes
    ----------
    wheels : CoupledWheels
        What was turned.
    used : PlayUsed
        The share round the turn.
    binding : tuple of PlayArc
        Where all of the play is used, and more would be needed.
    nearly : tuple of PlayArc
        Where more than `NEARLY` of it is used, but not all.
    """

    wheels: CoupledWheels
    used: PlayUsed
    binding: tuple[PlayArc, ...]
    nearly: tuple[PlayArc, ...]


def find_play(wheels: CoupledWheels) -> PlayFindings:
    """Turn coupled wheels once and find where they bind.

    The share of play used, and the arcs in which it is used up or nearly so.

    Raises
    ------
    AssemblyError
        Where the pins stand so far from their holes at every crank angle that no rod goes on.
    """
    turning = Turning(wheels)
    used = play_used(turning)
    _check_rods_go_on(turning)
    binding = arcs_above(turning, used, 1.0)
    nearly = arcs_above(turning, used, NEARLY, most=1.0)
    return PlayFindings(wheels, used, binding, nearly)


def _check_rods_go_on(turning: Turning) -> None:
    crank, found = turning.samples
    best = int(np.argmin(found.used))
    if found.used[best] <= 1:
        return  # they go on at one place at least
    (arc,) = _arcs(turning, np.full((1, 3), crank[best]))
    throws = [pin.throw for axle in turning.wheels.axles for pin in axle.pins.values()]
    if arc.missing > _HOPELESS * min(throws):
        rods = (turning.wheels.rods[hole.rod] for hole in arc.holes if hole.rod >= 0)
        raise AssemblyError(
            [*dict.fromkeys(f"{rod.side} {rod.name}" for rod in rods), "crank pins"], arc.missing
        )


class Turning:
    """Coupled wheels that can be asked for the play used at any crank angle.

    Parameters
    ----------
    wheels : CoupledWheels
        Axles and rods.
    """

    def __init__(self, wheels: CoupledWheels) -> None:
        self.wheels = wheels
        self.misfits = Misfits(wheels)
        self.one_sided = len({rod.side for rod in wheels.rods}) < 2

    @cached_property
    def samples(self) -> tuple[Array, LeastPlay]:
        """The least play at evenly spaced crank angles.

        Where the other axles can go two ways, as at the dead centres, either way is followed from
        where it was found to use less for as long as it does.
        """
        crank = np.linspace(0.0, TURN, SAMPLES, endpoint=False)
        swings = (0.0, *_WIDE_SWINGS) if self.one_sided else (0.0,)
        found = least_of_starts(self.misfits, crank, self._all_swung(SAMPLES, swings))
        found = self._spread(found, crank, np.arange(SAMPLES))
        found = self._look_harder(found, crank)
        return crank, self._settle(found, crank, ~found.settled)

    def _spread(self, found: LeastPlay, crank: Array, rows: Index) -> LeastPlay:
        """Follow what was found at some rows to their neighbours for as long as it is less."""
        while len(rows):
            here, beside = self._at_jumps(found, rows)
            again = least_play(self.misfits, crank[here], beside=found.pick(beside))
            rows = np.unique(here[again.used < found.used[here] - _LESS])
            found = found.put(here, again)
        return found

    def _look_harder(self, found: LeastPlay, crank: Array) -> LeastPlay:
        """Start anew, farther to either side, where the most is used: there it matters."""
        looked = np.zeros(len(crank), dtype=bool)
        for _ in range(_TIMES):  # where the highest come down, others are the highest
            high = np.flatnonzero(~looked & (found.used >= _HIGHEST * found.used.max()))
            if not len(high):
                break
            looked[high] = True
            before = found.used[high]
            swings = self._all_swung(len(high), _FAR_SWINGS)
            found = found.put(high, least_of_starts(self.misfits, crank[high], swings))
            found = self._spread(found, crank, high[found.used[high] < before - _LESS])
        return found

    def _settle(self, found: LeastPlay, crank: Array, crept: Mask) -> LeastPlay:
        """Start anew, a little to either side, where the method crept along a ridge.

        A few of them, spread over all, first: along a valley that is all but level it creeps
        everywhere, and where none of the few comes lower the others do not either.
        """
        rows = np.flatnonzero(crept)
        few = rows[:: max(1, len(rows) // _FEW)]
        for some in (few, np.setdiff1d(rows, few)):
            before = found.used[some]
            swings = [found.swing[some] + swing for swing in _ASIDE]
            found = found.put(some, least_of_starts(self.misfits, crank[some], swings))
            if not (found.used[some] < before - _EVEN * np.maximum(1.0, before)).any():
                break
        return found

    def _all_swung(self, count: int, swings: Sequence[float]) -> list[Array]:
        """Return each swing for all of the other axles, at `count` crank angles."""
        return [np.full((count, self.misfits.others), swing) for swing in swings]

    def _at_jumps(self, found: LeastPlay, rows: Index) -> tuple[Index, Index]:
        """Return samples by or among some rows that stand unlike a neighbour, and the neighbour."""
        here = np.concatenate((rows, rows, rows - 1, rows + 1)) % SAMPLES
        beside = np.concatenate((rows - 1, rows + 1, rows, rows)) % SAMPLES
        unlike = np.abs(found.swing[here] - found.swing[beside]).max(axis=1) > _JUMP
        pairs = np.unique(np.stack((here[unlike], beside[unlike])), axis=1)
        return pairs[0], pairs[1]

    def at(self, crank: Array) -> LeastPlay:
        """Return the least play at crank angles, shape (N,) [rad], from the samples beside."""
        grid, found = self.samples
        low = np.floor(crank / (TURN / SAMPLES)).astype(np.intp) % len(grid)
        high = (low + 1) % len(grid)
        unlike = np.abs(found.swing[low] - found.swing[high]).max(axis=1) > _JUMP
        rows = np.flatnonzero(unlike)
        owner = np.concatenate((np.arange(len(crank)), rows))
        beside = found.pick(np.concatenate((low, high[rows])))
        best = least_play(self.misfits, crank[owner], beside=beside).least_of(owner, len(crank))
        # what was tried in vain at the samples beside is not tried again
        known = found.settled[low] & found.settled[high]
        return self._settle(best, crank, ~best.settled & known)

    def apart(self, crank: Array) -> LeastPlay:
        """Return the least play at a few crank angles, shape (N,) [rad], each by itself.

        Of three starts; quicker than `at` where nothing round the turn is known yet.
        """
        return least_of_starts(self.misfits, crank, self._all_swung(len(crank), (0.0, *_ASIDE[:2])))

    def used(self, crank: Array) -> Array:
        """Return the share used at crank angles of any shape [rad]."""
        return self.at(crank.ravel()).used.reshape(crank.shape)


def play_used(turning: Turning) -> PlayUsed:
    """Find the share of play used round the turn.

    Sampled every half degree, the greatest closed in on.
    """
    crank, found = turning.samples
    used = found.used
    worst = int(np.argmax(used))
    step = TURN / SAMPLES
    at, least = find_minima(
        lambda angles: -turning.used(angles),
        np.array([crank[worst] - step]),
        np.array([crank[worst] + step]),
        _PEAK,
    )
    most, place = float(-least[0]), float(at[0])
    top = floor_in(crank, used >= most - _EVEN * max(1.0, most), place % TURN)
    place = _middles_of_tops(turning, [(top, place, most)])[0]
    return PlayUsed(crank, used, most, place % TURN, turning.one_sided)


def _middles_of_tops(
    turning: Turning, tops: Sequence[tuple[Floor | None, float, float]]
) -> list[float]:
    """Return where arcs are worst [rad]: of a top that is level over some samples its middle.

    Each with the top as far as samples tell, where the most was found [rad], and that share.
    """
    found = [place for _, place, _ in tops]
    level = [
        (k, top, most - _EVEN * max(1.0, most))
        for k, (top, _, most) in enumerate(tops)
        if top is not None and top.end[0] - top.begin[1] > 1.5 * TURN / SAMPLES
    ]
    if level:
        shares = np.tile([share for _, _, share in level], 2)[:, None]
        floors = [top for _, top, _ in level]
        middles = find_middles(lambda angles: shares - turning.used(angles), floors, _PEAK, _SPLIT)
        for (k, _, _), middle in zip(level, middles.tolist(), strict=True):
            found[k] = middle
    return found


def arcs_above(
    turning: Turning, found: PlayUsed, level: float, most: float = float("inf")
) -> tuple[PlayArc, ...]:
    """Find the arcs in which more than a share of the play is used.

    In order of the turn; ends closed in on to 0.01 degree. An arc narrower than half a degree
    between samples is found only about the greatest share of the turn.

    Parameters
    ----------
    level : float [share]
        1 for where it binds.
    most : float [share]
        Arcs whose samples go beyond this are left out.
    """
    crank, used = found.crank, found.used
    # the arc may be so narrow that no sample, only the greatest closed in on, lies in it
    if found.most > level >= used.max():
        crank = np.append(crank, found.at)
        order = np.argsort(crank)
        crank, used = crank[order], np.append(used, found.most)[order]
    high = used > level
    if not high.any():
        return ()
    if high.all():
        ends = np.array([[0.0, found.at, TURN]])
        return _arcs(turning, ends) if found.most <= most else ()
    arcs = [arc for arc in _inside(crank, used, high) if arc.used.max() <= most]
    if not arcs:
        return ()
    brackets = np.array([arc.begin for arc in arcs] + [arc.end for arc in arcs])
    edges = find_crossings(
        lambda angles: turning.used(angles) - level,
        brackets[:, 0],
        brackets[:, 1],
        _ANGLE,
        _SPLIT,
    ).reshape(2, -1)
    at = _peaks(turning, found, arcs, edges)
    return _arcs(turning, np.stack((edges[0], at, edges[1]), axis=1))


@dataclass(frozen=True)
class _Inside:
    """The samples inside an arc, and the brackets that its ends lie in [rad].

    Angles go on past a turn where an arc does.
    """

    crank: Array
    used: Array
    begin: tuple[float, float]
    end: tuple[float, float]


def _peaks(turning: Turning, found: PlayUsed, arcs: Sequence[_Inside], edges: Array) -> Array:
    """Close in on where most is used of each arc; where that is of the whole turn is known.

    `edges`: where they begin and where they end, shape (2, arcs) [rad].
    """
    step = TURN / SAMPLES
    worsts = np.array([arc.crank[np.argmax(arc.used)] for arc in arcs])
    beyond = np.remainder(found.at - worsts + np.pi, TURN) - np.pi
    at, other = worsts + beyond, np.abs(beyond) > step
    share = np.full(len(arcs), found.most)
    at[other], less = find_minima(
        lambda angles: -turning.used(angles), worsts[other] - step, worsts[other] + step, _PEAK
    )
    share[other] = -less
    tops = []
    for arc, place, top, ends in zip(arcs, at.tolist(), share.tolist(), edges.T, strict=True):
        on = arc.used >= top - _EVEN * max(1.0, top)
        floor = floor_in(arc.crank, on, place, (float(ends[0]), float(ends[1])))
        tops.append((floor, place, top))
    return np.array(_middles_of_tops(turning, tops))


def _inside(crank: Array, used: Array, high: Mask) -> Iterator[_Inside]:
    """Yield each arc of high samples."""
    count = len(crank)
    for first in np.flatnonzero(high & ~np.roll(high, 1)).tolist():
        length = 1
        while high[(first + length) % count]:
            length += 1
        places = first + np.arange(-1, length + 1)
        turned = crank[places % count] + TURN * (places // count)
        begin, end = turned[:2].tolist(), turned[-2:].tolist()
        yield _Inside(
            turned[1:-1], used[places[1:-1] % count], (begin[0], begin[1]), (end[0], end[1])
        )


def _arcs(turning: Turning, ends: Array) -> tuple[PlayArc, ...]:
    """Return arcs from their begins, worst places and ends, shape (E, 3) [rad]."""
    found = turning.at(ends[:, 1])
    names = turning.misfits.constraints
    arcs = []
    for row, (begin, worst, end) in enumerate(ends.tolist()):
        used, weights = float(found.used[row]), found.weights[row]
        part = weights / max(weights.max(), 1e-12)
        alike = part >= _ALIKE
        order = [*np.flatnonzero(alike), *np.flatnonzero(~alike & (part > _CONCERNED))]
        holes = tuple(names[i] for i in order)
        shift = TURN * float(np.floor(begin / TURN))
        missing = max(0.0, used - 1.0) * _typical_play(turning, holes)
        arcs.append(PlayArc(begin - shift, worst - shift, end - shift, used, holes, missing))
    return tuple(arcs)


def _typical_play(turning: Turning, holes: tuple[Constraint, ...]) -> float:
    """Return the least total play among the holes concerned [mm]."""
    plays = [
        2 * eye.along
        for hole in holes
        if hole.kind == "hole"
        for eye in turning.wheels.rods[hole.rod].eyes
        if eye.axle == hole.axle
    ]
    return min(plays, default=0.0)
