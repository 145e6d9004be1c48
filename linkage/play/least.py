"""The arrangement that needs the least share of the play there is.

For each crank angle the greatest of all shares (`misfit`) is made as small as it can be:

    least over q of  t  with  |share_i(q)| <= t  for every pin, box and knuckle.

A logarithmic barrier on the cones ``t^2 - |share|^2 > 0`` is followed by Newton's method with the
shares themselves, not their linear parts: the shares bend by the rotation of axles and rods. Were
they linear, the value on the barrier's path would be above the least by no more than
``2 * constraints / weight``; the path is followed until that is below `GAP`. What bending adds is
of the second order in how far the arrangement is from the least one, and is found out by starting
Newton's method there: a step that no longer moves means the first-order conditions hold exactly.

References
----------
S. Boyd, L. Vandenberghe, *Convex Optimization* (2004), ch. 11, barrier for the second-order cone
(cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.play.misfit import Misfits

GAP = 2e-5
"""How far above the least the reported share may be [share]."""
_HEADSTART = 8.0  # on the weight, from an arrangement close by
_GROWTH = 8.0  # of the barrier's weight from round to round
_NEWTON = 30  # steps to a round at the most; two or three are usual
_RIDGE = 1e-9  # keeps an axle that nothing holds, at a dead centre, from a singular step [1]
_SETTLED = 1e-4  # Newton decrement squared: t is then off by less than this over the weight [1]


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
    q : array, shape (N, size) [rad, mm]
        Where everything stands.
    """

    used: Array
    shares: Array
    weights: Array
    q: Array

    def better(self, other: LeastPlay) -> LeastPlay:
        """Return at each crank angle the one that uses less."""
        less = other.used < self.used
        return LeastPlay(
            np.where(less, other.used, self.used),
            np.where(less[:, None], other.shares, self.shares),
            np.where(less[:, None], other.weights, self.weights),
            np.where(less[:, None], other.q, self.q),
        )


def least_play(
    misfits: Misfits, crank: Array, swing: float = 0.0, near: Array | None = None
) -> LeastPlay:
    """Find the least share of play at each crank angle.

    Parameters
    ----------
    misfits : Misfits
        The coupled wheels.
    crank : array, shape (N,) [rad]
        Turn of the driven axle.
    swing : float [rad]
        By how much the other axles are turned further at the start.
    near : array, shape (N, size) [rad, mm], optional
        Arrangements to start from instead, of crank angles close by.

    Returns
    -------
    LeastPlay
        To `GAP`.
    """
    q = misfits.start(crank, swing) if near is None else near.copy()
    values = misfits.values(q, crank)
    t = 1.2 * np.linalg.norm(values, axis=2).max(axis=1) + 1e-3
    count = len(misfits.constraints)
    weight = 2.0 * count / t * (1.0 if near is None else _HEADSTART)
    final = 2.0 * count / GAP
    while True:
        q, t = _centre(misfits, crank, q, t, weight)
        if (weight >= final).all():
            break
        weight = np.minimum(weight * _GROWTH, final)
    values = misfits.values(q, crank)
    shares = np.linalg.norm(values, axis=2)
    room = t[:, None] ** 2 - shares**2
    # the multiplier of each cone, times what it uses
    weights = 2 * shares**2 / (weight[:, None] * room)
    return LeastPlay(shares.max(axis=1), shares, weights, q)


def _centre(
    misfits: Misfits, crank: Array, q: Array, t: Array, weight: Array
) -> tuple[Array, Array]:
    """Come to the barrier's path at one weight, by damped Newton steps."""
    q, t = q.copy(), t.copy()
    moving = np.arange(len(t))
    for _ in range(_NEWTON):
        values = misfits.values(q[moving], crank[moving])
        slopes = misfits.slopes(q[moving], crank[moving])
        gradient, hessian = _derivatives(values, slopes, t[moving], weight[moving])
        room = t[moving, None] ** 2 - (values**2).sum(axis=2)
        bend = misfits.bending(q[moving], crank[moving], 2 * values / room[..., None])
        step, decrement = _newton_step(gradient, hessian, bend)
        far = decrement > _SETTLED
        if not far.any():
            break
        moving, step, decrement = moving[far], step[far], decrement[far]
        at = (misfits, crank[moving])
        now = (q[moving], t[moving])
        q[moving], t[moving] = _line_search(*at, now, step, (weight[moving], decrement))
    return q, t


def _newton_step(gradient: Array, hessian: Array, bend: Array) -> tuple[Array, Array]:
    """Return Newton's step, without the bending where with it the barrier is not a valley.

    Where it is a saddle Newton's step would go to the saddle; without the bending it goes down.
    """
    places = np.arange(bend.shape[1])
    every = np.arange(hessian.shape[1])
    hessian = hessian.copy()
    hessian[:, every, every] *= 1 + _RIDGE
    hessian[:, places, places] += _RIDGE
    bent = hessian.copy()
    bent[:, places, places] += bend
    step = np.linalg.solve(bent, -gradient[..., None])[..., 0]
    decrement = -(gradient * step).sum(axis=1)
    hessian[:, places, places] += np.maximum(bend, 0.0)
    plain = np.linalg.solve(hessian, -gradient[..., None])[..., 0]
    safe = -(gradient * plain).sum(axis=1)
    saddle, _ = np.linalg.slogdet(bent)
    uphill = ~((decrement > 0) & (decrement < 100 * safe) & (saddle > 0))
    step[uphill], decrement[uphill] = plain[uphill], safe[uphill]
    return np.asarray(step), np.asarray(decrement)


def _derivatives(values: Array, slopes: Array, t: Array, weight: Array) -> tuple[Array, Array]:
    """Return gradient and Hessian (less the shares' own bending) of weight t - sum of log room."""
    room = t[:, None] ** 2 - (values**2).sum(axis=2)
    pull = np.einsum("nci,ncik->nck", values, slopes)  # share times its slope
    size = slopes.shape[-1]
    gradient = np.empty((len(t), size + 1))
    gradient[:, :size] = (2 * pull / room[..., None]).sum(axis=1)
    gradient[:, size] = weight - (2 * t[:, None] / room).sum(axis=1)
    hessian = np.empty((len(t), size + 1, size + 1))
    flat = slopes.reshape(len(t), -1, size)
    scale = np.repeat(2 / room, 2, axis=1)
    hessian[:, :size, :size] = np.matmul(np.swapaxes(flat * scale[..., None], 1, 2), flat)
    lever = 2 * pull / room[..., None]
    hessian[:, :size, :size] += np.matmul(np.swapaxes(lever, 1, 2), lever)
    mixed = -(2 * t[:, None] / room)[..., None] * lever
    hessian[:, :size, size] = hessian[:, size, :size] = mixed.sum(axis=1)
    hessian[:, size, size] = ((4 * t[:, None] ** 2 - 2 * room) / room**2).sum(axis=1)
    return gradient, hessian


def _line_search(
    misfits: Misfits,
    crank: Array,
    now: tuple[Array, Array],
    step: Array,
    goal: tuple[Array, Array],
) -> tuple[Array, Array]:
    """Go along the step as far as the barrier falls enough, halving from the whole step."""
    q, t = now
    weight, decrement = goal
    here = _barrier(misfits, crank, q, t, weight)
    part = np.ones(len(t))
    for _ in range(40):
        new_q, new_t = q + part[:, None] * step[:, :-1], t + part * step[:, -1]
        there = _barrier(misfits, crank, new_q, new_t, weight)
        poor = ~(there <= here - 0.1 * part * decrement + 1e-10 * np.abs(here))
        if not poor.any():
            break
        part = np.where(poor, part / 2, part)
    part = np.where(poor, 0.0, part)
    return q + part[:, None] * step[:, :-1], t + part * step[:, -1]


def _barrier(misfits: Misfits, crank: Array, q: Array, t: Array, weight: Array) -> Array:
    values = misfits.values(q, crank)
    room = t[:, None] ** 2 - (values**2).sum(axis=2)
    with np.errstate(divide="ignore", invalid="ignore"):
        total = weight * t - np.log(room).sum(axis=1)
    return np.where((room > 0).all(axis=1) & (t > 0), total, np.inf)
