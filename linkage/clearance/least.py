"""The least air of many pairs of parts at once, each in a motion of its own.

The turn is cut into intervals. A clearance cannot change faster over an interval than the pieces
approach one another, which is taken from speeds sampled at its middle and both ends, with a margin;
so only intervals in which a pair could still have less than was found are cut in four and looked at
again. Between the crank angles that the motion was solved at its poses are interpolated, by the
polynomial through six of them. That is quick and close, but no proof: a proof is for a survey.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index
from linkage.clearance.outlines import PairTable, PiecePair, Poses, circles_about, slopes

FIRST_CUT = 60
"""Intervals that the turn is cut into at first; the samples must be a multiple of twice as many."""
_MARGIN = 1.15  # on the speeds sampled [1]
_CLOSE = 1e-4  # a least this near to what is asked is found this closely [mm]
_ROUGH = 0.05  # one farther from it, to this share of what it is from it [1]
_LEVELS = 12
_NODES = np.arange(-2, 4)  # the samples that a pose is interpolated from
_BESIDE = 4  # samples of the next turn kept at either end
_TOGETHER = 64  # rows whose circles are worked on together: they stay in cache


@dataclass(frozen=True)
class Jobs:
    """Pairs of parts to look at.

    Attributes
    ----------
    pieces : sequence of R PiecePair
        Their pieces; `parts` are rows of `moves`.
    owner : array of int, shape (R,)
        Which job each belongs to, 0 to J - 1.
    asked : array, shape (J,) [mm]
        Clearance asked for.
    moves : array, shape (M, N, 3) [mm, mm, rad]
        Poses of bodies at N even crank angles round the turn.
    groups : sequence of (array of int, float [mm])
        Jobs of which only the one with the least is wanted, and what is known to be no less than
        that least; each job belongs to one group or more.
    """

    pieces: Sequence[PiecePair]
    owner: Index
    asked: Array
    moves: Array
    groups: Sequence[tuple[Index, float]]

    @cached_property
    def circles(self) -> Array:
        """Circles about the pieces, shape (R, 2, 3) [mm]."""
        about = circles_about(p for pair in self.pieces for p in pair.pieces)
        return np.array(about).reshape(-1, 2, 3)

    @cached_property
    def wide(self) -> Array:
        """How far two pieces reach from the middles of their circles, together, shape (R,) [mm]."""
        radii = [pair.pieces[0].radius + pair.pieces[1].radius for pair in self.pieces]
        return np.asarray(self.circles[:, :, 2].sum(axis=1) + radii)

    @cached_property
    def parts(self) -> Index:
        """Rows of `moves`, shape (R, 2)."""
        return np.array([pair.parts for pair in self.pieces], dtype=np.intp)


@dataclass(frozen=True)
class LeastAir:
    """The least air of pairs of parts beyond what is asked of them.

    Attributes
    ----------
    value : array, shape (J,) [mm]
        At most what counts as free; good to 1e-4 mm or a twentieth of the value, whichever is
        more.
    at : array, shape (J,) [rad]
        At which crank angle.
    floor : array, shape (J,) [mm]
        The least is not below this: not far below `value`, but where others of every group have
        less.
    """

    value: Array
    at: Array
    floor: Array


def least_air(jobs: Jobs, free: float) -> LeastAir:
    """Find the least air of pairs beyond what is asked of them.

    Of each pair, at the least of that with the least in each group.

    Parameters
    ----------
    free : float [mm]
        What has more than this beyond what is asked need not be known closer.
    """
    bodies = Bodies(jobs.moves)
    half = bodies.count / FIRST_CUT / 2
    row, centre = _within(jobs, bodies, free + jobs.asked[jobs.owner])
    speed = _MARGIN * _fastest(jobs, bodies, row, centre, half)
    search = _Search(jobs, PairTable(jobs.pieces), bodies, free)
    for _ in range(_LEVELS):
        if not len(row):
            break
        going = search.look(row, centre, speed * half)
        half /= 4
        row, speed = np.repeat(row[going], 4), np.repeat(speed[going], 4)
        centre = (centre[going][:, None] + half * np.array([-3.0, -1.0, 1.0, 3.0])).ravel()
    angle = (search.at % bodies.count) * (2 * np.pi / bodies.count)
    return LeastAir(search.best, angle, np.minimum(search.best, search.floor))


class _Search:
    """What is known so far, of every job: the least found, where, and what is not below it."""

    def __init__(self, jobs: Jobs, table: PairTable, bodies: Bodies, free: float) -> None:
        self.jobs, self.table, self.bodies, self.free = jobs, table, bodies, free
        count = len(jobs.asked)
        self.best, self.at = np.full(count, free), np.zeros(count)
        self.floor = np.full(count, np.inf)

    def look(self, row: Index, centre: Array, change: Array) -> Index:
        """Look at the middles of intervals; return those that may have less than was found.

        The clearance of bars that slope is dear, but what it is not below is cheap: it is found
        out first where that is least, and then only where it may matter.
        """
        owner = self.jobs.owner[row]
        least = self._air(row, centre, -np.inf)
        first = self._likeliest(owner, least)
        self._note(first, row, centre, np.full(len(first), np.inf))
        rest = self._going(owner, least - change)
        enough = np.minimum(self.best - within(self.best), self.free)
        enough = np.minimum(enough, _bar(self.jobs.groups, self.best))[owner[rest]] + change[rest]
        air = self._note(rest, row, centre, enough)
        return rest[self._going(owner[rest], air - change[rest])]

    def _likeliest(self, owner: Index, least: Array) -> Index:
        """Return for each group the item that has the least of what the air is not below."""
        order = np.lexsort((least, owner))
        first = order[np.append(True, owner[order][1:] != owner[order][:-1])]
        item = np.full(len(self.best), -1)
        item[owner[first]] = first
        low = np.full(len(self.best), np.inf)
        low[owner[first]] = least[first]
        chosen = {item[group[np.argmin(low[group])]] for group, _ in self.jobs.groups}
        return np.array(sorted(chosen - {-1}), dtype=np.intp)

    def _note(self, items: Index, row: Index, centre: Array, enough: Array) -> Array:
        """Find out the air of some items where it is less than enough, and keep the least."""
        air = self._air(row[items], centre[items], enough)
        exact = np.flatnonzero(air < enough)
        owner = self.jobs.owner[row[items[exact]]]
        np.fmin.at(self.best, owner, air[exact])
        here = exact[air[exact] == self.best[owner]]
        self.at[self.jobs.owner[row[items[here]]]] = centre[items[here]]
        return air

    def _air(self, row: Index, centre: Array, enough: Array | float) -> Array:
        asked = self.jobs.asked[self.jobs.owner[row]]
        return self.table.clearances(row, centre, self.bodies, enough + asked) - asked

    def _going(self, owner: Index, under: Array) -> Index:
        """Return which of some intervals may have less, by what they are not below."""
        going = under < np.minimum(self.best - within(self.best), self.free)[owner]
        idle = going & (under >= _bar(self.jobs.groups, self.best)[owner])
        np.minimum.at(self.floor, owner[idle], under[idle])
        return np.flatnonzero(going & ~idle)


def within(value: Array | float) -> Array:
    """Return how far below a least found the true one may be [mm]."""
    return np.asarray(np.maximum(_CLOSE, _ROUGH * np.abs(value)))


def _bar(groups: Sequence[tuple[Index, float]], best: Array) -> Array:
    """Return for each job what it must have less than to be the least of a group, shape (J,)."""
    bar = np.full(best.shape, -np.inf)
    for group, known in groups:
        bar[group] = np.maximum(bar[group], min(best[group].min(), known))
    return bar


class Bodies:
    """Poses of bodies round the turn, to be asked for between the samples too.

    Parameters
    ----------
    moves : array, shape (M, N, 3) [mm, mm, rad]
        At N even crank angles. The angles may gain whole turns from the last to the first.
    """

    def __init__(self, moves: Array) -> None:
        self.count = moves.shape[1]
        full = np.zeros((len(moves), 1, 3))
        turn = moves[..., 2]
        ahead = 2 * turn[:, -1] - turn[:, -2]  # about what the next sample's angle would be
        full[:, 0, 2] = 2 * np.pi * np.round((ahead - turn[:, 0]) / (2 * np.pi))
        self._table = np.concatenate(
            (moves[:, -_BESIDE:] - full, moves, moves[:, :_BESIDE] + full), axis=1
        )

    def poses(self, body: Index, at: Array | Index) -> Array:
        """Return poses of some bodies, shape (M, 3), `at` counted in samples from the first."""
        low = np.floor(at).astype(np.intp)
        if (low == at).all():
            return np.asarray(self._table[body, low % self.count + _BESIDE])
        share = _shares(np.asarray(at - low, dtype=float))
        first = low % self.count + _BESIDE + int(_NODES[0])
        found = np.zeros((len(at), 3))
        for node, weight in enumerate(share):
            found += weight[:, None] * self._table[body, first + node]
        return found

    def pick(self, part: Index, at: Array | Index) -> tuple[Array, Array, Array, Array]:
        """Return x, y, cosine and sine of some bodies at some places of the turn, shape (M,)."""
        x, y, turn = self.poses(part, at).T
        return x, y, np.cos(turn), np.sin(turn)

    def speeds(self, body: Index, at: Index) -> Array:
        """Return how fast poses change from sample to sample, shape (M, 3)."""
        place = at % self.count + _BESIDE
        return np.asarray(0.5 * (self._table[body, place + 1] - self._table[body, place - 1]))


def _shares(share: Array) -> list[Array]:
    """Return the weights of six samples, two before the share of a step, three after (Lagrange)."""
    weights = []
    for node in _NODES.tolist():
        others = [other for other in _NODES.tolist() if other != node]
        weight = np.ones_like(share)
        for other in others:
            weight *= (share - other) / (node - other)
        weights.append(weight)
    return weights


def _within(jobs: Jobs, bodies: Bodies, reach: Array) -> tuple[Index, Array]:
    """Return the first intervals, row and middle, in which circles about the pieces come near.

    Their distance is looked at in the middle and at both ends of two intervals together; what it
    could dip below these is no more than how far they are from a line.
    """
    step = bodies.count // FIRST_CUT
    poses = Poses.of(jobs.moves[:, ::step])
    found: list[tuple[Index, Index]] = []
    for first in range(0, len(jobs.pieces), _TOGETHER):
        rows = np.arange(first, min(first + _TOGETHER, len(jobs.pieces)))
        apart = circles_apart(jobs, rows, poses)
        begin, middle, end = apart[:, 0::2], apart[:, 1::2], np.roll(apart[:, 0::2], -1, axis=1)
        least = np.minimum(np.minimum(begin, middle), end) - np.abs(begin - 2 * middle + end)
        near, at = np.nonzero(least < reach[rows][:, None])
        found.append((rows[near], at))
    row = np.repeat(np.concatenate([rows for rows, _ in found]), 2)
    at = np.concatenate([at for _, at in found])
    return row, (2 * at[:, None] + [0.5, 1.5]).ravel() * step


def circles_apart(jobs: Jobs, rows: Index, poses: Poses) -> Array:
    """Return how far the circles about two pieces are apart, shape (rows, places) [mm]."""
    spots = []
    for side in (0, 1):
        circles, part = jobs.circles[rows, side], jobs.parts[rows, side]
        px, py = circles[:, :1], circles[:, 1:2]
        c, s = poses.cos[part], poses.sin[part]
        spots.append((poses.x[part] + c * px - s * py, poses.y[part] + s * px + c * py))
    apart = np.hypot(spots[1][0] - spots[0][0], spots[1][1] - spots[0][1])
    return np.asarray(apart - jobs.wide[rows][:, None])


def _fastest(jobs: Jobs, bodies: Bodies, row: Index, centre: Array, half: float) -> Array:
    """Return the greatest speed of approach sampled in an interval [mm a sample]."""
    wide = np.array([[p.radius if slopes(p) else 0.0 for p in pair.pieces] for pair in jobs.pieces])
    part, circles = jobs.parts[row], jobs.circles[row]
    fastest = np.zeros(len(row))
    for by in (-half, 0.0, half):
        at = np.round(centre + by).astype(np.intp)
        poses = [bodies.poses(part[:, k], at.astype(float)) for k in (0, 1)]
        speeds = [bodies.speeds(part[:, k], at) for k in (0, 1)]
        seen = [
            _seen_from(
                (poses[1 - k], speeds[1 - k]), (poses[k], speeds[k]), circles[:, k], wide[row, k]
            )
            for k in (0, 1)
        ]
        fastest = np.maximum(fastest, np.minimum(*seen))
    return fastest


def _seen_from(
    base: tuple[Array, Array], rider: tuple[Array, Array], circle: Array, wide: Array
) -> Array:
    """Return how fast a piece of one body moves as seen from another, as `speeds` has it."""
    (at, by), (own_at, own_by) = base, rider
    c, s = np.cos(own_at[:, 2]), np.sin(own_at[:, 2])
    x, y = c * circle[:, 0] - s * circle[:, 1], s * circle[:, 0] + c * circle[:, 1]
    away_x, away_y = own_at[:, 0] + x - at[:, 0], own_at[:, 1] + y - at[:, 1]
    vx = own_by[:, 0] - own_by[:, 2] * y - by[:, 0] + by[:, 2] * away_y
    vy = own_by[:, 1] + own_by[:, 2] * x - by[:, 1] - by[:, 2] * away_x
    turning = np.abs(own_by[:, 2] - by[:, 2]) * np.hypot(circle[:, 2], wide)
    return np.asarray(np.hypot(vx, vy) + turning)
