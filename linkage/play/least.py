"""The arrangement that needs the least share of the play there is.

For each crank angle the greatest of all shares (`misfit`) is made as small as it can be:

    least over q of  t  with  g_i(q, t) = |share_i(q)|^2 / t - t <= 0  for every pin, box, knuckle.

A primal-dual interior-point method: Newton's method on the first-order conditions

    (0, 1) + sum of m_i grad g_i = 0,        -m_i g_i = 1/weight,

with the shares themselves, not their linear parts: the shares bend by the rotation of axles and
rods. Were they linear, ``- sum of m_i g_i`` would be how far t is above the least; the method stops
when that is below `GAP` and the first condition holds. Bent shares are only near their linear
parts, so the conditions then hold for a valley, and whether it is the lowest is looked into by
starting elsewhere (`turning`). On a ridge between two valleys the second derivatives bend down one
way; steps along it would be ever shorter, so the method starts anew a little down either side.
Each crank angle goes by itself, many of them in one array::

    t |  * start          a log of the room left to each share keeps t above all of them;
      | `. `*      .'     its weight falls with the gap, and so t comes down to the kink
      |   `.  *  .'       where the greatest shares meet
      |     `. *'
      |       `'  greatest share
      +---------------- q

References
----------
S. Boyd, L. Vandenberghe, *Convex Optimization* (2004), sec. 11.7, primal-dual interior-point
methods (cited from memory).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from linkage.arrays import Array, Index, Mask
from linkage.play.misfit import Misfits, Stand

GAP = 2e-5
"""How far above the least the reported share may be [share]."""
_TOGETHER = 1024  # crank angles worked on together: enough that few go on for the slowest
_STEPS = 40  # at the most; 10 to 15 are usual
_AHEAD = 10.0  # how far beyond the present gap each step aims [1]
_LONG = 0.2  # a step cut shorter than this is followed by one that only centres [1]
_SHORT = 0.99  # of the way to where a multiplier or a slack would be nought [1]
_FALL = 0.01  # of what a step promises that it must keep [1]
_HALVINGS = 30
_AT_ONCE = 6  # halvings tried in one array: a round of few crank angles costs as much as of many
_STUCK = 3e-4  # of a step; a crank angle that gets no farther so many times comes to no end
_STUCK_STEPS = 5
_KICK = 0.02  # how far to step off a saddle, where nothing says which way [share]
_ROUNDING = 1e-13  # of the barrier's value, near the end [1]
_SLACK = 3e-5  # left of the first condition, per share that a unit of each unknown makes [1]
_ROOM = 0.2  # more than the greatest share is allowed at the start [1]
_LITTLE_ROOM = 0.02  # where the valley is known: with more a start could lead out of it [1]
_RIDGE_GAP = 0.01  # of the share: no nearer does one come to the least from a ridge [1]
_OFF = 2.0  # how far beside a ridge to start again: a valley is farther than this [share]
_TINY = 1e-9  # keeps an axle that nothing holds, at a dead centre, from a singular step [1]


@dataclass(frozen=True)
class LeastPlay:
    """The least share of play at each crank angle, and where everything then stands.

    Attributes
    ----------
    used : array, shape (N,) [share]
        Below 1 it turns, at 1 it binds.
    shares : array, shape (N, constraints) [share]
        What each pin, box and knuckle uses.
    weights : array, shape (N, constraints) [1]
        How much each one has to do with it: by how much `used` falls when its play grows by its
        own length; they add up to about `used`.
    swing : array, shape (N, axles - 1) [rad]
        By how much each of the other axles is turned further than the driven one.
    shift : array, shape (N, size) [rad, mm]
        How axles and rods stand from where `Misfits.start` puts them with that swing.
    settled : array of bool, shape (N,)
        Where the method came to its end: `used` is then within `GAP` of the bottom of a valley.
    """

    used: Array
    shares: Array
    weights: Array
    swing: Array
    shift: Array
    settled: Mask

    @classmethod
    def unknown(cls, misfits: Misfits, count: int) -> LeastPlay:
        """Return one for crank angles not looked at yet: anything uses less."""
        constraints = np.zeros((count, len(misfits.constraints)))
        stand = np.zeros((count, misfits.size))
        swing = stand[:, : misfits.others]
        settled = np.zeros(count, dtype=bool)
        return cls(np.full(count, np.inf), constraints, constraints, swing, stand, settled)

    def put(self, rows: Index, other: LeastPlay) -> LeastPlay:
        """Return this with the other's in some rows, where that uses less."""
        rows, chosen = rows[other.used < self.used[rows]], other.used < self.used[rows]
        fields = [getattr(self, field.name).copy() for field in dataclasses.fields(self)]
        for mine, field in zip(fields, dataclasses.fields(self), strict=True):
            mine[rows] = getattr(other, field.name)[chosen]
        return LeastPlay(*fields)

    def pick(self, rows: Mask | Index) -> LeastPlay:
        """Return some of the crank angles, in the order of the rows."""
        return LeastPlay(*(getattr(self, field.name)[rows] for field in dataclasses.fields(self)))

    def least_of(self, owner: Index, count: int) -> LeastPlay:
        """Return the one that uses least of each owner's, `count` of them, the first of equals."""
        order = np.lexsort((self.used, owner))
        return self.pick(order[np.searchsorted(owner[order], np.arange(count))])


def least_play(
    misfits: Misfits, crank: Array, swing: Array | None = None, beside: LeastPlay | None = None
) -> LeastPlay:
    """Find the least share of play at each crank angle.

    Parameters
    ----------
    crank : array, shape (N,) [rad]
        Turn of the driven axle.
    swing : array, shape (N, axles - 1) [rad], optional
        By how much each of the other axles is turned further at the start; not at all if not
        given.
    beside : LeastPlay, optional
        What was found at N crank angles beside those: the start is from how all stands there, in
        place of a swing, and its valley is followed.
    """
    if beside is not None:
        begin, room = misfits.start(crank, beside.swing) + beside.shift, _LITTLE_ROOM
    else:
        swing = np.zeros((len(crank), misfits.others)) if swing is None else swing
        begin, room = misfits.start(crank, swing), _ROOM
    every = np.arange(len(crank))
    chunks = [every[k : k + _TOGETHER] for k in range(0, max(len(crank), 1), _TOGETHER)]
    return _joined([_least(misfits.pick(rows), crank[rows], begin[rows], room) for rows in chunks])


def least_of_starts(misfits: Misfits, crank: Array, swings: Sequence[Array]) -> LeastPlay:
    """Find the least share of play at each crank angle, of several starts, all in one array.

    Parameters
    ----------
    misfits : Misfits
        Of a single set of wheels.
    crank : array, shape (N,) [rad]
        Turn of the driven axle.
    swings : sequence of S array, shape (N, axles - 1) [rad]
        By how much each of the other axles is turned further at each start.
    """
    owner = np.tile(np.arange(len(crank)), len(swings))
    found = least_play(misfits, crank[owner], np.concatenate(swings))
    return found.least_of(owner, len(crank))


def _joined(found: Sequence[LeastPlay]) -> LeastPlay:
    fields = (field.name for field in dataclasses.fields(LeastPlay))
    return LeastPlay(*(np.concatenate([getattr(f, name) for f in found]) for name in fields))


@dataclass(frozen=True)
class _Place:
    """Unknowns at N crank angles, and what comes of them."""

    misfits: Misfits
    crank: Array
    q: Array

    @cached_property
    def stand(self) -> Stand:
        """Where everything stands."""
        return self.misfits.at(self.q, self.crank)

    @cached_property
    def squares(self) -> Array:
        """Squares of the shares, shape (N, constraints)."""
        values = self.stand.values
        return np.asarray(values[..., 0] ** 2 + values[..., 1] ** 2)

    def pick(self, rows: Mask | Index) -> _Place:
        """Return some of the crank angles."""
        return _Place(self.misfits.pick(rows), self.crank[rows], self.q[rows])


@dataclass(frozen=True)
class _Iterate:
    """Unknowns, the greatest share allowed and the multipliers, at N crank angles.

    `part` is what could be taken of the step that led there, `stuck` how many steps on end led
    nowhere.
    """

    place: _Place
    t: Array
    m: Array
    part: Array
    stuck: Array

    @property
    def stand(self) -> Stand:
        """Where everything stands."""
        return self.place.stand

    @property
    def squares(self) -> Array:
        """Squares of the shares, shape (N, constraints)."""
        return self.place.squares

    def pick(self, rows: Mask | Index) -> _Iterate:
        """Return some of the crank angles."""
        some = (x[rows] for x in (self.t, self.m, self.part, self.stuck))
        return _Iterate(self.place.pick(rows), *some)

    @cached_property
    def room(self) -> Array:
        """-g of every constraint, above 0 inside, shape (N, constraints)."""
        return np.asarray(self.t[:, None] - self.squares / self.t[:, None])

    def gradients(self) -> Array:
        """Gradients of every g by the unknowns and t, shape (N, constraints, size + 1)."""
        values, slopes = self.stand.values, self.stand.slopes
        out = np.empty((*slopes.shape[:2], slopes.shape[-1] + 1))
        out[..., :-1] = values[..., :1] * slopes[:, :, 0] + values[..., 1:] * slopes[:, :, 1]
        out[..., :-1] *= 2 / self.t[:, None, None]
        out[..., -1] = -self.squares / self.t[:, None] ** 2 - 1
        return out


def _least(misfits: Misfits, crank: Array, q: Array, room: float) -> LeastPlay:
    """Find the least share of play at a few crank angles.

    Those that come to a ridge between two valleys start again a little down either side of it.
    """
    found, at, ways = _descend(_begin(misfits, crank, q, room), leave=True)
    ridges = np.flatnonzero(ways.any(axis=1))
    if not len(ridges):
        return found
    rows = np.tile(ridges, 2)
    beside = at[rows] + np.concatenate((ways[ridges], -ways[ridges]))
    begin = _begin(misfits.pick(rows), crank[rows], beside, _LITTLE_ROOM)
    again, _, _ = _descend(begin, leave=False)
    owner = np.concatenate((np.arange(len(crank)), rows))
    return _joined([found, again]).least_of(owner, len(crank))


def _descend(now: _Iterate, leave: bool) -> tuple[LeastPlay, Array, Array]:
    """Take steps until all have come to their end; those that have drop out.

    What was found, the unknowns there, and steps off the ridges: nought where there is none.
    `leave`: whether those at a ridge drop out as well, for along it steps grow ever shorter.
    """
    misfits, crank, q = now.place.misfits, now.place.crank, now.place.q
    last_q, last_m, ways = q.copy(), now.m.copy(), np.zeros_like(q)
    moving, settled = np.arange(len(crank)), np.zeros(len(crank), dtype=bool)
    for _ in range(_STEPS):
        gradients = now.gradients()
        left, gap = _first_condition(now, gradients), (now.m * now.room).sum(axis=1)
        matrix = _matrix(now, gradients)
        # on a ridge between two valleys both conditions hold as well: no end, but a step off it
        saddle = ~(np.linalg.slogdet(matrix)[0] > 0)
        going = (gap > GAP) | (np.abs(left).max(axis=1) > _SLACK) | saddle
        settled[moving] = ~going
        last_q[moving], last_m[moving] = now.place.q, now.m
        ridge = saddle & (gap < _RIDGE_GAP * now.t) & leave
        if ridge.any():
            ways[moving[ridge]] = _off(now, matrix, ridge)
            going &= ~ridge
        going &= now.stuck < _STUCK_STEPS
        if not going.all():
            moving, now = moving[going], now.pick(going)
            gradients, gap, matrix, saddle = (x[going] for x in (gradients, gap, matrix, saddle))
        if not len(moving):
            break
        now = _step(now, gradients, gap, (matrix, saddle))
    return _come_to(misfits, crank, (last_q, last_m), settled), last_q, ways


def _come_to(misfits: Misfits, crank: Array, last: tuple[Array, Array], settled: Mask) -> LeastPlay:
    """Return what is found at the last unknowns and multipliers."""
    q, m = last
    # not t, which stays a little above: what the place come to does use
    shares = np.linalg.norm(misfits.at(q, crank).values, axis=2)
    used, swing = shares.max(axis=1), q[:, : misfits.others]
    weights = 2 * m * shares**2 / np.maximum(used, GAP)[:, None]
    return LeastPlay(used, shares, weights, swing, q - misfits.start(crank, swing), settled)


def _off(now: _Iterate, matrix: Array, ridge: Mask) -> Array:
    """Return a step along the way that bends down most, (R, size) [rad, mm]."""
    scale = _scale(now)[ridge]
    _, ways = np.linalg.eigh(matrix[ridge] / scale[:, :, None] / scale[:, None, :])
    return np.asarray(_OFF * (ways[:, :, 0] / scale)[:, :-1])


def _begin(misfits: Misfits, crank: Array, q: Array, more: float) -> _Iterate:
    place = _Place(misfits, crank, q)
    # inside, with room to every share; m by the second condition, scaled to the first's last row
    t = (1 + more) * np.sqrt(place.squares.max(axis=1)) + 1e-3
    rough = _Iterate(place, t, np.ones_like(place.squares), np.ones(len(t)), np.zeros(len(t)))
    m = 1 / rough.room
    m /= (m * (1 + rough.squares / t[:, None] ** 2)).sum(axis=1)[:, None]
    return replace(rough, m=m)


def _first_condition(now: _Iterate, gradients: Array) -> Array:
    """Return what is left of the first condition, each by what its unknown does to the shares."""
    left = np.matmul(now.m[:, None, :], gradients)[:, 0]
    left[:, -1] += 1
    return np.asarray(left / _scale(now))


def _scale(now: _Iterate) -> Array:
    """Return by how much a unit of each unknown changes the shares, (N, size + 1) [1/unit]."""
    slopes = now.stand.slopes
    most = np.abs(slopes).max(axis=(1, 2))
    return np.concatenate((most, np.ones((len(most), 1))), axis=1)


def _step(now: _Iterate, gradients: Array, gap: Array, second: tuple[Array, Mask]) -> _Iterate:
    """Take one step of the primal-dual method, as long as all stays inside and falls."""
    room, count = now.room, now.m.shape[1]
    # cut short it ran along a wall: back to the middle first, before going lower
    aim = np.where(now.part > _LONG, gap / _AHEAD, gap)
    target = np.maximum(aim, 0.25 * GAP) / count
    rhs = -np.matmul((target[:, None] / room)[:, None, :], gradients)[:, 0]
    rhs[:, -1] -= 1
    step = _solve(now, second[0], rhs, second[1])
    change = np.matmul(gradients, step[..., None])[..., 0]
    # the multipliers follow from the second condition, and must stay above 0
    by = -now.m + (target[:, None] + now.m * change) / room
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(by < 0, -now.m / by, np.inf).min(axis=1)
    part = np.minimum(1.0, _SHORT * np.minimum(part, _until_used(now, step)))
    there = _as_far_as_it_falls(now, step, part, (target, (rhs * step).sum(axis=1)))
    return replace(there, m=now.m + there.part[:, None] * by)


def _until_used(now: _Iterate, step: Array) -> Array:
    """Return what part of a step leads to where a first share is all that is allowed, shape (N,).

    Were the shares linear: ``|v + p w| = t + p s`` has a square for its p.
    """
    v, s = now.stand.values, step[:, -1:]
    w = np.matmul(now.stand.slopes, step[:, None, :-1, None])[..., 0]
    a, b = (w**2).sum(axis=2) - s**2, (v * w).sum(axis=2) - now.t[:, None] * s
    c = now.squares - now.t[:, None] ** 2  # below 0 inside
    with np.errstate(divide="ignore", invalid="ignore"):
        under = b + np.sqrt(b**2 - a * c)
        part = np.where(under > 0, -c / under, np.inf)
    return np.asarray(part.min(axis=1))


def _as_far_as_it_falls(
    now: _Iterate, step: Array, part: Array, goal: tuple[Array, Array]
) -> _Iterate:
    """Take the step, its parts halved until the barrier falls enough; goal: target, and its fall.

    The multipliers stay as they are.
    """
    target, fall = goal
    here, there = _barrier(now, target), _after(now, step, part)
    poor = np.flatnonzero(~(_barrier(there, target) <= here - _FALL * part * fall + _ROUNDING))
    if not len(poor):
        return there
    part = part.copy()
    halves = 0.5 ** np.arange(1, _AT_ONCE + 1)
    for _ in range(_HALVINGS // _AT_ONCE):
        rows, some = np.repeat(poor, _AT_ONCE), (part[poor, None] * halves).ravel()
        tried = _barrier(_after(now.pick(rows), step[rows], some), target[rows])
        enough = tried <= here[rows] - _FALL * some * fall[rows] + _ROUNDING
        enough = enough.reshape(-1, _AT_ONCE)
        found = enough.any(axis=1)
        part[poor] *= halves[np.where(found, np.argmax(enough, axis=1), _AT_ONCE - 1)]
        poor = poor[~found]
        if not len(poor):
            break
    return _after(now, step, part)


def _after(now: _Iterate, step: Array, part: Array) -> _Iterate:
    """Go some part of a step."""
    q = now.place.q + part[:, None] * step[:, :-1]
    place = _Place(now.place.misfits, now.place.crank, q)
    stuck = np.where(part < _STUCK, now.stuck + 1, 0)
    return _Iterate(place, now.t + part * step[:, -1], now.m, part, stuck)


def _barrier(now: _Iterate, target: Array) -> Array:
    """Return what a step must make less: t and, below `_AHEAD` times the gap, the room left."""
    room = now.room
    inside = (room > 0).all(axis=1) & (now.t > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = now.t - target * np.log(room).sum(axis=1)
    return np.where(inside, value, np.inf)


def _matrix(now: _Iterate, gradients: Array) -> Array:
    """Return Newton's matrix, the multipliers' rows eliminated, (N, size + 1, size + 1)."""
    # grad g m / room grad g, then m times the second derivatives of g: of the shares as linear,
    # by q and t mixed, by t twice, and last what they bend by
    n, size = len(now.t), gradients.shape[-1] - 1
    matrix = np.matmul(np.swapaxes(gradients * (now.m / now.room)[..., None], 1, 2), gradients)
    flat = now.stand.slopes.reshape(n, 2 * gradients.shape[1], size)
    twice = np.repeat(2 * now.m / now.t[:, None], 2, axis=1)
    matrix[:, :size, :size] += np.matmul(np.swapaxes(flat * twice[..., None], 1, 2), flat)
    mixed = np.matmul((now.m / -now.t[:, None])[:, None, :], gradients[..., :size])[:, 0]
    matrix[:, :size, size] += mixed
    matrix[:, size, :size] += mixed
    matrix[:, size, size] += (2 * now.m * now.squares).sum(axis=1) / now.t**3
    every = np.arange(size + 1)
    matrix[:, every, every] *= 1 + _TINY
    pull = now.stand.values * (2 * now.m / now.t[:, None])[..., None]
    matrix[:, :size, :size] += now.stand.bending(pull)
    return np.asarray(matrix)


def _solve(now: _Iterate, matrix: Array, rhs: Array, saddle: Mask) -> Array:
    """Solve for Newton's step; at a saddle, to which that would lead, for a step down from it."""
    step = np.empty_like(rhs)
    valley = ~saddle
    step[valley] = np.linalg.solve(matrix[valley], rhs[valley][..., None])[..., 0]
    if saddle.any():
        # along each principal way downhill, whichever way it bends; along the one that bends
        # down most (eigh gives it first) at least a kick, for on the very ridge nothing pulls
        scale = _scale(now)[saddle]
        bends, ways = np.linalg.eigh(matrix[saddle] / scale[:, :, None] / scale[:, None, :])
        along = np.matmul(np.swapaxes(ways, 1, 2), (rhs[saddle] / scale)[..., None])[..., 0]
        along /= np.maximum(np.abs(bends), _TINY)
        down = np.where(along[:, 0] < 0, -_KICK, _KICK)
        along[:, 0] = np.where(np.abs(along[:, 0]) < _KICK, down, along[:, 0])
        step[saddle] = np.matmul(ways, along[..., None])[..., 0] / scale
    return step
