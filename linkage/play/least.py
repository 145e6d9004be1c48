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
from linkage.play.slopes import Slopes

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
    if not len(crank):
        return LeastPlay.unknown(misfits, 0)
    chunks = [every[k : k + _TOGETHER] for k in range(0, len(crank), _TOGETHER)]
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
class _Iterate:
    """Unknowns, the greatest share allowed and the multipliers, at N crank angles.

    `stand` is where everything then stands, `part` what could be taken of the step that led there,
    `stuck` how many steps on end led nowhere.
    """

    misfits: Misfits
    crank: Array
    q: Array
    stand: Stand
    t: Array
    m: Array
    part: Array
    stuck: Array

    @cached_property
    def squares(self) -> Array:
        """Squares of the shares, shape (N, constraints)."""
        return _squares(self.stand)

    @cached_property
    def room(self) -> Array:
        """-g of every constraint, above 0 inside, shape (N, constraints)."""
        return np.asarray(self.t[:, None] - self.squares / self.t[:, None])

    def pick(self, rows: Mask | Index) -> _Iterate:
        """Return some of the crank angles."""
        some = (getattr(self, name)[rows] for name in ("t", "m", "part", "stuck"))
        misfits, stand = self.misfits.pick(rows), self.stand.pick(rows)
        return _Iterate(misfits, self.crank[rows], self.q[rows], stand, *some)


def _squares(stand: Stand) -> Array:
    x, y = stand.values[..., 0], stand.values[..., 1]
    return np.asarray(x**2 + y**2)


@dataclass(frozen=True)
class _System:
    """Newton's equations at an iterate: what of the first condition is left, matrix, right side.

    With the gradients g of the constraints by q and t, of which that by q is ``2 v S / t`` with
    the shares v and their slopes S::

        left = sum m g + (0, 1)
        rhs = - sum (target / room) g - (0, 1)
        matrix = sum (m / room) g g' + m g''

    `left` is told by what its unknown does to the shares; `gap` is how far t would be above the
    least were all linear, `saddle` where the matrix bends down one way.
    """

    slopes: Slopes
    left: Array
    rhs: Array
    matrix: Array
    gap: Array
    target: Array
    saddle: Mask

    @classmethod
    def of(cls, now: _Iterate) -> _System:
        """Set the equations up."""
        m, room, t, slopes = now.m, now.room, now.t[:, None], now.stand.by
        gap = (m * room).sum(axis=1)
        # cut short it ran along a wall: back to the middle first, before going lower
        aim = np.where(now.part > _LONG, gap / _AHEAD, gap)
        target = np.maximum(aim, 0.25 * GAP) / m.shape[1]
        ratio, by_t = m / room, -now.squares / t**2 - 1
        aimed, along = target[:, None] / room, slopes.along(now.stand.values)
        pulls = np.stack((m, -aimed, ratio * by_t - m / t), axis=1) * (2 / t[:, None])
        rows = slopes.sums(pulls, along)
        left, rhs, mixed = rows[:, 0], rows[:, 1], rows[:, 2]
        left[:, -1] = (m * by_t).sum(axis=1) + 1
        rhs[:, -1] = -(aimed * by_t).sum(axis=1) - 1
        # by t twice; by q twice and both, with the multipliers' rows eliminated
        mixed[:, -1] = (ratio * by_t**2 + 2 * m * now.squares / t**3).sum(axis=1)
        twice = 2 * m / t
        bends = now.stand.bends(now.stand.values * twice[..., None])
        matrix = slopes.squares(twice, 4 * ratio / t**2, along, bends)
        matrix[:, -1], matrix[:, :, -1] = mixed, mixed
        every = np.arange(matrix.shape[1])
        matrix[:, every, every] *= 1 + _TINY
        # on a ridge between two valleys both conditions hold as well: no end, but a step off it
        saddle = ~(np.linalg.slogdet(matrix)[0] > 0)
        return cls(slopes, left / slopes.scale, rhs, matrix, gap, target, saddle)

    def pick(self, rows: Mask) -> _System:
        """Return some of the crank angles."""
        return _System(
            self.slopes.pick(rows),
            self.left[rows],
            self.rhs[rows],
            self.matrix[rows],
            self.gap[rows],
            self.target[rows],
            self.saddle[rows],
        )


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
    misfits, crank = now.misfits, now.crank
    last_q, last_m, ways = now.q.copy(), now.m.copy(), np.zeros_like(now.q)
    moving, settled = np.arange(len(crank)), np.zeros(len(crank), dtype=bool)
    for _ in range(_STEPS):
        system = _System.of(now)
        unlike = np.abs(system.left).max(axis=1) > _SLACK
        going = (system.gap > GAP) | unlike | system.saddle
        settled[moving] = ~going
        last_q[moving], last_m[moving] = now.q, now.m
        ridge = system.saddle & (system.gap < _RIDGE_GAP * now.t) & leave
        if ridge.any():
            ways[moving[ridge]] = _off(system.pick(ridge))
            going &= ~ridge
        going &= now.stuck < _STUCK_STEPS
        if not going.all():
            moving, now, system = moving[going], now.pick(going), system.pick(going)
        if not len(moving):
            break
        now = _step(now, system)
    return _come_to(misfits, crank, (last_q, last_m), settled), last_q, ways


def _come_to(misfits: Misfits, crank: Array, last: tuple[Array, Array], settled: Mask) -> LeastPlay:
    """Return what is found at the last unknowns and multipliers."""
    q, m = last
    # not t, which stays a little above: what the place come to does use
    shares = np.linalg.norm(misfits.at(q, crank).values, axis=2)
    used, swing = shares.max(axis=1), q[:, : misfits.others]
    weights = 2 * m * shares**2 / np.maximum(used, GAP)[:, None]
    return LeastPlay(used, shares, weights, swing, q - misfits.start(crank, swing), settled)


def _off(system: _System) -> Array:
    """Return a step along the way that bends down most, (R, size) [rad, mm]."""
    scale = system.slopes.scale
    _, ways = np.linalg.eigh(system.matrix / scale[:, :, None] / scale[:, None, :])
    return np.asarray(_OFF * (ways[:, :, 0] / scale)[:, :-1])


def _begin(misfits: Misfits, crank: Array, q: Array, more: float) -> _Iterate:
    stand = misfits.at(q, crank)
    squares = _squares(stand)
    # inside, with room to every share; m by the second condition, scaled to the first's last row
    t = (1 + more) * np.sqrt(squares.max(axis=1)) + 1e-3
    rough = _Iterate(misfits, crank, q, stand, t, squares, np.ones(len(t)), np.zeros(len(t)))
    m = 1 / rough.room
    m /= (m * (1 + squares / t[:, None] ** 2)).sum(axis=1)[:, None]
    return replace(rough, m=m)


def _step(now: _Iterate, system: _System) -> _Iterate:
    """Take one step of the primal-dual method, as long as all stays inside and falls."""
    room, t, target = now.room, now.t[:, None], system.target[:, None]
    step = _solve(system)
    v, s = now.stand.values, step[:, -1:]
    w = system.slopes.times(step)
    along = (v * w).sum(axis=2)
    change = 2 / t * along - (now.squares / t**2 + 1) * s
    # the multipliers follow from the second condition, and must stay above 0
    by = -now.m + (target + now.m * change) / room
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(by < 0, -now.m / by, np.inf).min(axis=1)
    # where a first share is all that is allowed, were the shares linear: |v + p w| = t + p s
    a, b = (w**2).sum(axis=2) - s**2, along - t * s
    c = now.squares - t**2  # below 0 inside
    with np.errstate(divide="ignore", invalid="ignore"):
        under = b + np.sqrt(b**2 - a * c)
        used = np.where(under > 0, -c / under, np.inf).min(axis=1)
    part = np.minimum(1.0, _SHORT * np.minimum(part, used))
    there = _as_far_as_it_falls(now, step, part, (system.target, (system.rhs * step).sum(axis=1)))
    return replace(there, m=now.m + there.part[:, None] * by)


def _as_far_as_it_falls(
    now: _Iterate, step: Array, part: Array, goal: tuple[Array, Array]
) -> _Iterate:
    """Take the step, its parts halved until the barrier falls enough; goal: target, and its fall.

    The multipliers stay as they are.
    """
    target, fall = goal
    here, there = _barrier(now.squares, now.t, target), _after(now, step, part)
    least = here - _FALL * part * fall + _ROUNDING
    poor = np.flatnonzero(~(_barrier(there.squares, there.t, target) <= least))
    if not len(poor):
        return there
    part = part.copy()
    halves = 0.5 ** np.arange(1, _AT_ONCE + 1)
    for _ in range(_HALVINGS // _AT_ONCE):
        rows, some = np.repeat(poor, _AT_ONCE), (part[poor, None] * halves).ravel()
        gone = some[:, None] * step[rows]
        stand = now.misfits.pick(rows).at(now.q[rows] + gone[:, :-1], now.crank[rows])
        tried = _barrier(_squares(stand), now.t[rows] + gone[:, -1], target[rows])
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
    q = now.q + part[:, None] * step[:, :-1]
    stuck = np.where(part < _STUCK, now.stuck + 1, 0)
    stand, t = now.misfits.at(q, now.crank), now.t + part * step[:, -1]
    return _Iterate(now.misfits, now.crank, q, stand, t, now.m, part, stuck)


def _barrier(squares: Array, t: Array, target: Array) -> Array:
    """Return what a step must make less: t and, below `_AHEAD` times the gap, the room left."""
    room = t[:, None] - squares / t[:, None]
    inside = (room > 0).all(axis=1) & (t > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = t - target * np.log(room).sum(axis=1)
    return np.where(inside, value, np.inf)


def _solve(system: _System) -> Array:
    """Solve for Newton's step; at a saddle, to which that would lead, for a step down from it."""
    matrix, rhs, saddle = system.matrix, system.rhs, system.saddle
    if not saddle.any():
        return np.asarray(np.linalg.solve(matrix, rhs[..., None])[..., 0])
    step = np.empty_like(rhs)
    valley = ~saddle
    step[valley] = np.linalg.solve(matrix[valley], rhs[valley][..., None])[..., 0]
    # along each principal way downhill, whichever way it bends; along the one that bends down
    # most (eigh gives it first) at least a kick, for on the very ridge nothing pulls
    scale = system.slopes.scale[saddle]
    bends, ways = np.linalg.eigh(matrix[saddle] / scale[:, :, None] / scale[:, None, :])
    along = np.matmul(np.swapaxes(ways, 1, 2), (rhs[saddle] / scale)[..., None])[..., 0]
    along /= np.maximum(np.abs(bends), _TINY)
    down = np.where(along[:, 0] < 0, -_KICK, _KICK)
    along[:, 0] = np.where(np.abs(along[:, 0]) < _KICK, down, along[:, 0])
    step[saddle] = np.matmul(ways, along[..., None])[..., 0] / scale
    return step
