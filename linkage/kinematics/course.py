"""The course of a mechanism round the turn: one branch followed from a first position.

The course holds solved positions (nodes) a few degrees apart, close enough together to start
Newton's method anywhere between them. The next is foretold from the last ones and solved; where
that fails, or a part has jumped to another branch, the step is halved until it holds, and so comes
up to the crank angle at which a loop opens::

    *      *      *      *    *  * ***|      o      no position: too far, or open
    even steps           halved steps  | opens here, to 1e-10 rad

From there back the other way, and beyond it for other stretches in which the loops close again.
The links come into line where a loop opens, so an opening narrower than a step shows at the nodes
on either side of it: where links are nearly in line, positions between are solved from both::

    *--->  x   x   x   x  <---*      each from either end: alike, or something lies between
               *-> x x <-*           again about the least square, down to 0.01 degree
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from operator import mul
from typing import Any

import numpy as np

from linkage.arrays import Array, Index
from linkage.errors import AssemblyError
from linkage.kinematics.chain import Chain, Numbers, chain_of, numbers_of
from linkage.kinematics.newton import solve_array
from linkage.kinematics.start import SLACK, close_at, come_nearest, guess_unknowns, well_posed
from linkage.kinematics.transmission import jacobian_of, transmission_sine
from linkage.mechanism import Mechanism
from linkage.search import find_minima

Unknowns = list[list[float]]

TURN = 2 * math.pi
STEPS = 44  # to the turn: enough that ten of them interpolate to 1e-6 rad
_EDGE = 1e-10  # the crank angle at which a loop opens is found this closely [rad]
_TRIES = 24  # crank angles tried for a first position
_NO_FARTHER = 1e-3  # a march no farther than this from where it is held up is at its end [rad]
_APART = 2  # steps from one look for a further stretch to the next, where it is looked for roughly
_GIVE_UP = 2  # of them, where only what goes all the way round is wanted
_FINE = 1e-9  # the same where a loop may be about to open: a near miss must not pass [rad]
_FORETOLD = 6  # even steps that the next is extrapolated from
_AHEAD: dict[int, tuple[float, ...]] = {
    m: tuple((-1.0) ** i * math.comb(m, i + 1) for i in range(m)) for m in range(2, _FORETOLD + 1)
}  # weights of the last m values, the latest first, of the polynomial through them, one step on
_ROUGH = 1e-3  # a node is kept when Newton's last step was smaller: its error is the square [rad]
_ASIDE = 0.0371  # keeps the steps off places where links lie exactly in line [rad]
_IN_LINE = 0.3  # sine of the angle below which links count as nearly in line
_LOOKS = np.array([0.2, 0.4, 0.6, 0.8])[:, None]  # places within a step looked at where they do
_ROUNDS = 5  # of looking ever closer: down to 0.01 degree
_SAME = 1e-6  # two ways of finding a position agree within this [rad, mm]
_FINER = 16  # times as many steps where an opening may have been stepped over
_JUMP = 0.6  # a part turning further than this within one step has jumped to another branch [rad]


@dataclass(frozen=True)
class Arc:
    """A stretch of the turn in which every loop closes.

    Attributes
    ----------
    crank : array, shape (M,) [rad]
        Crank angles of the solved positions, rising; the last may lie past a full turn.
    unknowns : tuple of array, shape (n, M) [rad, mm]
        Unknowns of each group there.
    whole : bool
        True where the arc is the whole turn.
    """

    crank: Array
    unknowns: tuple[Array, ...]
    whole: bool


@dataclass(frozen=True)
class Course:
    """One branch of a mechanism's motion.

    Attributes
    ----------
    mechanism : Mechanism
        What moves.
    chain : Chain
        Its groups in order.
    numbers : tuple of tuple of float
        Its dimensions.
    arcs : tuple of Arc
        Where its loops close; one whole arc for a mechanism that turns.
    """

    mechanism: Mechanism
    chain: Chain
    numbers: Numbers
    arcs: tuple[Arc, ...]

    @property
    def open_arcs(self) -> tuple[tuple[float, float], ...]:
        """Where some loop does not close: (from, to) [rad], from in 0 to a turn, to after it."""
        if self.arcs[0].whole:
            return ()
        edges = sorted((arc.crank[0] % TURN, arc.crank[-1] - arc.crank[0]) for arc in self.arcs)
        found = []
        for index, (first, length) in enumerate(edges):
            begin = first + length
            end = edges[(index + 1) % len(edges)][0]
            span = (end - begin) % TURN
            found.append((float(begin % TURN), float(begin % TURN + span)))
        return tuple(sorted(found))


def follow(mechanism: Mechanism, roughly: bool = False) -> Course:
    """Put a mechanism together and follow it once round.

    Parameters
    ----------
    roughly : bool
        True for a drawing that follows a hand: where a loop opens is found to a thousandth of a
        radian, and a stretch beyond, in which it closes again, for certain only where that is
        longer than a twentieth of the opening. It takes less than half the time.

    Raises
    ------
    MechanismError
        Where the joints do not make a mechanism.
    AssemblyError
        Where some loop closes at no crank angle.
    """
    numbers = numbers_of([mechanism])
    chain = chain_of(mechanism, numbers)
    first, begin = _first_position(mechanism, chain, numbers)
    march = _March(chain, numbers, edge=_NO_FARTHER if roughly else _EDGE)
    march, arc = _first_arc(march, first, begin)
    arcs = [arc] if arc.whole else [arc, *_other_arcs(march, arc, _APART if roughly else 1)]
    return Course(mechanism, chain, numbers, tuple(arcs))


def follow_whole(mechanism: Mechanism) -> Course | None:
    """Follow a mechanism round if it goes all the way, and soon give up if it does not.

    As `follow` has it where that is one whole arc; None where it is not.

    Raises
    ------
    MechanismError
        Where the joints do not make a mechanism.
    """
    numbers = numbers_of([mechanism])
    chain = chain_of(mechanism, numbers)
    guess = guess_unknowns(mechanism, chain)
    begin = _at_nought(chain, numbers, guess)
    # what goes all the way round closes at any crank angle
    first, begin = (0.0, begin) if begin else _near_nought(chain, numbers, guess, _GIVE_UP)[:2]
    if begin is None:
        return None
    _, arc = _first_arc(_March(chain, numbers, edge=_NO_FARTHER, ends=False), first, begin)
    return Course(mechanism, chain, numbers, (arc,)) if arc.whole else None


def begin_at_nought(mechanism: Mechanism) -> Unknowns | None:
    """Find the position that a mechanism is followed from, with the crank at 0.

    Returns
    -------
    list of list of float or None [rad, mm]
        Unknowns of each group; None where the first position lies elsewhere, or there is none.
    """
    numbers = numbers_of([mechanism])
    chain = chain_of(mechanism, numbers)
    return _at_nought(chain, numbers, guess_unknowns(mechanism, chain))


def _first_arc(march: _March, first: float, begin: Unknowns) -> tuple[_March, Arc]:
    """Return the arc of a first position, and the march by which it was found."""
    arc = march.arc_from(first, begin)
    if arc.whole and (over := _stepped_over(march, arc)) is not None:
        march = replace(march, steps=STEPS * _FINER, besides=over)
        arc = march.arc_from(first, begin)
        # finer steps may have passed over one that is narrower still
        over = _stepped_over(march, arc) if arc.whole else None
        if over:
            march = replace(march, besides=over)
            arc = march.arc_from(first, begin)
    return march, arc


def _stepped_over(march: _March, arc: Arc) -> tuple[float, ...] | None:
    """Return crank angles in openings that a whole arc has stepped over [rad].

    An opening narrower than a step has its links nearly in line at the steps on either side. Where
    any group is so, the steps before and after are looked at more finely: each part must be found
    there, and have turned evenly. None where all do; none where some do not, but none is missing.
    """
    near = march.along(arc) < _IN_LINE
    between = near[:-1] | near[1:]
    if not between.any():
        return None
    return march.uneven(arc, np.flatnonzero(between))


def _first_position(mechanism: Mechanism, chain: Chain, numbers: Numbers) -> tuple[float, Unknowns]:
    """Return the first crank angle at which all loops close, and the unknowns there."""
    guess = guess_unknowns(mechanism, chain)
    begin = _at_nought(chain, numbers, guess)
    if begin is not None:
        return 0.0, begin
    best_at, begin, best, worst_group = _near_nought(chain, numbers, guess, _TRIES)
    if begin is not None:
        return best_at, begin

    def gaps(angles: Array) -> Array:
        found = [come_nearest(chain, numbers, float(angle), guess) for angle in angles.ravel()]
        of_group = [gap if group == worst_group else math.nan for _, gap, group, _ in found]
        return np.reshape(of_group, angles.shape)

    beside = np.array([TURN / STEPS])
    _, least = find_minima(gaps, best_at - beside, best_at + beside, 1e-4)
    raise AssemblyError(chain.steps[worst_group].group.parts, min(best, float(least[0])))


def _at_nought(chain: Chain, numbers: Numbers, guess: Sequence[Sequence[float]]) -> Unknowns | None:
    """Return the unknowns with the crank at 0; None where Newton does not get there."""
    found, closed = close_at(chain, numbers, 0.0, guess)
    good = closed == len(chain.steps) and _near(chain, found, guess)
    return found if good and well_posed(chain, numbers, 0.0, found) else None


def _near_nought(
    chain: Chain, numbers: Numbers, guess: Sequence[Sequence[float]], tries: int
) -> tuple[float, Unknowns | None, float, int]:
    """Return the first of some crank angles at which all loops close, and the unknowns there.

    Where none does: the angle at which they come nearest, None, their gap there [mm],
    and which group.
    """
    best, best_at, worst_group = math.inf, 0.0, 0
    for turn in range(tries):
        # near 0, then a step either way, then two, ...
        crank = TURN / _TRIES * ((turn + 1) // 2) * (-1 if turn % 2 else 1) + _ASIDE
        nearest, gap, group, _ = come_nearest(chain, numbers, crank, guess)
        if gap == 0.0 and well_posed(chain, numbers, crank, nearest):
            return crank % TURN, nearest, 0.0, -1
        if (-group, gap) < (-worst_group, best):
            best, best_at, worst_group = gap, crank, group
    return best_at, None, best, worst_group


def _near(chain: Chain, found: Unknowns, guess: Sequence[Sequence[float]]) -> bool:
    """Tell whether Newton stayed with the guess: no part more than a third of a turn from it."""
    return all(
        abs(found[index][place] - guess[index][place]) < TURN / 3
        for index, step in enumerate(chain.steps)
        for place, (kind, _) in enumerate(step.group.unknowns)
        if kind == "turn"
    )


@dataclass(frozen=True)
class _March:
    """Follows one branch step by step."""

    chain: Chain
    numbers: Numbers
    steps: int = STEPS
    edge: float = _EDGE
    ends: bool = True  # whether it matters where an arc ends
    besides: tuple[float, ...] = ()  # crank angles that must be met besides the even steps [rad]

    def arc_from(self, crank: float, begin: Unknowns) -> Arc:
        """Return the arc that holds a solved position."""
        ahead = self._walk(crank, begin, TURN)
        if ahead[-1][0] - crank >= TURN - 1e-9:
            return self._arc(ahead, whole=True)
        if not self.ends:
            return self._arc(ahead, whole=False)
        back = self._walk(crank, begin, -TURN)
        return self._arc(back[:0:-1] + ahead, whole=False)  # `begin` is in both

    def uneven(self, arc: Arc, places: Index) -> tuple[float, ...] | None:
        """Return crank angles between steps where loops do not close; None if all goes evenly.

        Positions between are solved from either end, and must come to the same; then again
        between those about the least square one, ever closer; all places in one array.
        """
        low, high = ((arc.crank[k], [q[:, k] for q in arc.unknowns]) for k in (places, places + 1))
        alike = True
        for _ in range(_ROUNDS):
            at = low[0] + _LOOKS * (high[0] - low[0])
            both = [self._closed_from(at, end[1]) for end in (low, high)]
            apart = [np.abs(a - b).max(axis=0) for a, b in zip(*both, strict=True)]
            missing = np.isnan(apart).any(axis=0)
            if missing.any():
                return tuple(at.ravel()[missing].tolist())
            alike = alike and bool(np.max(apart, axis=0).max() <= _SAME)
            sines = self.along(Arc(at.ravel(), tuple(both[0]), False)).reshape(at.shape)
            least, every = np.argmin(sines, axis=0), np.arange(len(places))
            cranks = np.vstack((low[0], at, high[0]))
            low, high = (
                (cranks[k, every], [q[:, k, every] for q in _rows(low[1], found, high[1], at)])
                for k, found in zip((least, least + 2), both, strict=True)
            )
        return None if alike else ()

    def _closed_from(self, crank: Array, starts: Sequence[Array]) -> list[Array]:
        """Close all groups at crank angles, shape (K, P), from one start for each of the P.

        Unknowns of shape (n, K * P); nan where a loop does not close.
        """
        poses: dict[str, Any] = dict(self.chain.first_poses(crank.ravel()))
        found = []
        for step, start in zip(self.chain.steps, starts, strict=True):
            inputs = self.chain.inputs(step, poses, self.numbers)
            dims = self.chain.dims(step, self.numbers)
            q, values = solve_array(step.group, np.tile(start, len(crank)), inputs, dims)
            found.append(q)
            for number, name in enumerate(step.group.parts):
                poses[name] = values[3 * number : 3 * number + 3]
        return found

    def along(self, arc: Arc) -> Array:
        """Return the least transmission sine of any group at each solved position of an arc."""
        least = np.ones(len(arc.crank))
        poses: dict[str, Any] = dict(self.chain.first_poses(arc.crank))
        for step, q in zip(self.chain.steps, arc.unknowns, strict=True):
            inputs = self.chain.inputs(step, poses, self.numbers)
            dims = self.chain.dims(step, self.numbers)
            least = np.minimum(least, transmission_sine(jacobian_of(step.group, q, inputs, dims)))
            values = step.group.compiled("solved")(list(q), inputs, dims)[step.group.size :]
            for number, name in enumerate(step.group.parts):
                poses[name] = values[3 * number : 3 * number + 3]
        return least

    def _arc(self, nodes: list[tuple[float, Unknowns]], whole: bool) -> Arc:
        crank = np.array([node[0] for node in nodes])
        groups = range(len(self.chain.steps))
        unknowns = tuple(np.array([node[1][g] for node in nodes]).T for g in groups)
        return Arc(crank, unknowns, whole)

    def _walk(self, crank: float, begin: Unknowns, way: float) -> list[tuple[float, Unknowns]]:
        nodes = [(crank, begin)]
        for target in self._targets(crank, way):
            # in an opening that is known the last step is small, but never as small as that
            there = self._step(nodes, target, _FINE if self.besides else _ROUGH)
            if there is not None:
                nodes.append((target, there))
            elif not self._halve_towards(nodes, target):
                break
        return nodes

    def _targets(self, crank: float, way: float) -> list[float]:
        """Return the crank angles to be met in turn: even steps, and what is doubtful between."""
        even = [crank + way * number / self.steps for number in range(1, self.steps + 1)]
        sign = math.copysign(1.0, way)
        besides = [crank + sign * ((sign * (angle - crank)) % TURN) for angle in self.besides]
        return sorted((*even, *besides), key=lambda target: sign * target)

    def _step(
        self, nodes: list[tuple[float, Unknowns]], target: float, close_enough: float = _ROUGH
    ) -> Unknowns | None:
        guess = _foretell(nodes, target)
        found, closed = close_at(self.chain, self.numbers, target, guess, close_enough)
        if closed < len(self.chain.steps) or self._jumped(nodes[-1][1], found):
            return None
        return found

    def _jumped(self, before: Unknowns, after: Unknowns) -> bool:
        return any(
            kind == "turn" and abs(after[index][place] - before[index][place]) > _JUMP
            for index, step in enumerate(self.chain.steps)
            for place, (kind, _) in enumerate(step.group.unknowns)
        )

    def _halve_towards(self, nodes: list[tuple[float, Unknowns]], target: float) -> bool:
        """Add nodes up to where the loops open; True where they do not and the target is met.

        ::

            node ----- middle ----- beyond     cannot be met: `beyond` comes to the middle
            *-------------*            .       is met: a node, and `beyond` tried from there
        """
        beyond = target
        while abs(beyond - nodes[-1][0]) > self.edge:
            middle = 0.5 * (nodes[-1][0] + beyond)
            there = self._step(nodes, middle, _FINE)
            if there is None:
                beyond = middle
                continue
            nodes.append((middle, there))
            # what could not be reached from farther off may be from here
            there = self._step(nodes, beyond, _FINE)
            if there is not None:
                nodes.append((beyond, there))
                if beyond == target:
                    return True
                beyond = target
        return False


def _rows(
    first: Sequence[Array], found: Sequence[Array], last: Sequence[Array], at: Array
) -> list[Array]:
    """Return of each group the unknowns at an end, at places (K, P), at the other end."""
    return [
        np.concatenate((a[:, None], q.reshape(len(q), *at.shape), b[:, None]), axis=1)
        for a, q, b in zip(first, found, last, strict=True)
    ]


def _foretell(nodes: list[tuple[float, Unknowns]], target: float) -> Unknowns:
    """Extrapolate the unknowns: a polynomial where the last steps were even, else a line."""
    last = nodes[-_FORETOLD:]
    if len(last) == 1:
        return last[0][1]
    ahead = target - last[-1][0]
    even = all(abs(b[0] - a[0] - ahead) < 1e-9 for a, b in pairwise(last))
    weights = _AHEAD[len(last)]
    if not even or len(last) < 3:
        before = last[-1][0] - last[-2][0]
        # where the loops open, the unknowns run away as a square root: do not overshoot
        weights = (1 + ahead / before, -ahead / before) if abs(ahead) <= 1.5 * abs(before) else (1,)
    rows = [node[1] for node in reversed(last[-len(weights) :])]
    return [
        [sum(map(mul, weights, same)) for same in zip(*group, strict=True)]
        for group in zip(*rows, strict=True)
    ]


def _other_arcs(march: _March, first: Arc, every: int) -> list[Arc]:
    """Look for stretches beyond the first in which the loops close again, at every so many.

    From the nearer end of the first arc, so that the branch stays the same if it can: groups that
    close are followed from look to look, the one that does not begins where it stood at the end.
    """
    arcs = [first]
    begin, length = first.crank[-1], first.crank[0] + TURN - first.crank[-1]
    parts = range(every, STEPS, every)
    near = [part for part in parts if part <= STEPS // 2]
    far = [part for part in reversed(parts) if part > STEPS // 2]
    for column, looks in ((-1, near), (0, far)):
        end = guess = [rows[:, column].tolist() for rows in first.unknowns]
        for part in looks:
            crank = begin + length * part / STEPS
            if any(_holds(arc, crank) for arc in arcs):
                continue
            nearest, gap, group, _ = come_nearest(march.chain, march.numbers, crank, guess, SLACK)
            if gap == 0.0:
                arcs.append(march.arc_from(crank, nearest))
            else:
                guess = [*nearest[:group], *end[group:]]
    return sorted(arcs[1:], key=lambda arc: (arc.crank[0] - begin) % TURN)


def _holds(arc: Arc, crank: float) -> bool:
    return bool((crank - arc.crank[0]) % TURN <= arc.crank[-1] - arc.crank[0])
