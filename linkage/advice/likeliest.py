"""Which few numbers of coupled wheels are the likeliest to be wrong, where they bind.

About where axles and rods stand when every rod is laid over its pins, each share of play is all
but linear in the unknowns q of that crank angle and in the numbers d of the sheet::

    | v + S q + D d | <= t      for every pin, box and knuckle, at every crank angle looked at

An axle is turned by no more than `_SWING` there: beside a dead centre, with the rods of one side
alone on, a turn of many radians would take up anything, but only as long as a sine is its angle.

A likely set of faults is a sparse one: the least ``sum of w |d|`` that keeps t at what is asked is
a linear programme, its circles drawn as polygons from inside. Solved again a few times with
``w / (w |d| + little)`` for w, it all but counts the numbers instead of adding up their sizes. How
much of each is then what leaves the least t: the middle of what turns, not its edge.

References
----------
E. Candes, M. Wakin, S. Boyd, "Enhancing sparsity by reweighted l1 minimization" (2008), eq. 6
(cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array, Mask
from linkage.play.misfit import Misfits
from linkage.wheels import CoupledWheels

_CRANKS = 24  # crank angles looked at
_ASIDE = 0.01  # of the first: not just at a dead centre [rad]
_SWING = 0.3  # that an axle is turned against the driven one: a sine is still its angle [rad]
_SIDES = 12  # of the polygon that is drawn for a round hole
_AGAIN = 3  # times that the programme is solved with other weights
_LITTLE = 0.03  # of a weighed number, below which all are alike [mm]
# an interior point: the simplex takes seconds to see that nothing will do, this a tenth of one
_METHOD = "highs-ipm"
_SAME = 1e-7  # weighed numbers that differ by less are the same [mm]
_NONE = 1e-4  # a weighed number below this is left as it is [mm]


@dataclass(frozen=True)
class LinearMisfits:
    """Shares of play as linear in how things stand and in some numbers."""

    standing: Array  # by the unknowns of all crank angles, shape (R, Q) [1/rad, 1/mm]; sparse
    numbers: Array  # by the numbers, shape (R, K) [1/unit]
    now: Array  # as things are, shape (R,) [share]
    turns: Mask  # which unknowns are turns of axles, shape (Q,)

    @classmethod
    def of(
        cls, wheels: CoupledWheels, changed: Sequence[CoupledWheels], by: Sequence[float]
    ) -> LinearMisfits:
        """Take them from some wheels, and the same with each number more by some amount."""
        from scipy import sparse

        crank: Array = np.asarray(_ASIDE + np.arange(_CRANKS) * (2 * np.pi / _CRANKS))
        misfits = Misfits(wheels)
        laid = misfits.start(crank, np.zeros((_CRANKS, misfits.others)))
        stand = misfits.at(laid, crank)
        moved = [
            (Misfits(other).at(laid, crank).values - stand.values) / step
            for other, step in zip(changed, by, strict=True)
        ]
        slopes = np.stack(moved, axis=-1) if moved else np.zeros((*stand.values.shape, 0))
        angles = np.arange(_SIDES) * (2 * np.pi / _SIDES)
        ways = np.stack((np.cos(angles), np.sin(angles)), axis=1) / np.cos(np.pi / _SIDES)
        along = np.array([[1.0, 0.0], [-1.0, 0.0]])
        boxes = [held.kind.startswith("box") for held in misfits.constraints]
        rows: list[list[Array]] = []
        for number, box in enumerate(boxes):
            w = along if box else ways
            rows.append([np.einsum("ax,nx...->na...", w, part[:, number])
                         for part in (stand.slopes, slopes, stand.values)])  # fmt: skip
        standing, numbers, now = (np.concatenate(part, axis=1) for part in zip(*rows, strict=True))
        return cls(
            sparse.block_diag(list(standing), format="csr"),
            numbers.reshape(-1, numbers.shape[-1]),
            now.reshape(-1),
            np.tile(np.arange(laid.shape[1]) < misfits.others, _CRANKS),
        )

    @property
    def ends(self) -> list[tuple[float | None, float | None]]:
        """How much less and how much more each unknown may be [rad, mm]; None for any."""
        return [(-_SWING, _SWING) if turn else (None, None) for turn in self.turns.tolist()]


def likeliest(linear: LinearMisfits, weights: Array, ends: Array, limit: float) -> Array | None:
    """Return the likeliest changes of the numbers that bring the shares down to a limit.

    Shape (K,), nought for all but few; None where there are none, whatever is changed.

    `weights`, shape (K,) [mm/unit]: how unlikely each number is to be wrong by how much. `ends`,
    shape (K, 2) [unit]: how much less and how much more it may become. `limit` [share].
    """
    found = _least_sum(linear, weights, ends, limit)
    for _ in range(_AGAIN):
        if found is None:
            return None
        before = found
        found = _least_sum(linear, weights / (weights * np.abs(found) + _LITTLE), ends, limit)
        if found is not None and (weights * np.abs(found - before) < _SAME).all():
            break  # the next programme would be the same
    return None if found is None else np.where(weights * np.abs(found) < _NONE, 0.0, found)


def middle(linear: LinearMisfits, chosen: Mask) -> Array:
    """Return the changes of some numbers that leave the least share, shape (K,)."""
    from scipy import sparse
    from scipy.optimize import linprog

    count, places = linear.standing.shape[1], np.flatnonzero(chosen)
    above = -np.ones((len(linear.now), 1))
    matrix = sparse.hstack([linear.standing, linear.numbers[:, places], above], format="csr")
    cost = np.zeros(matrix.shape[1])
    cost[-1] = 1.0
    bounds = [*linear.ends, *[(None, None)] * len(places), (0.0, None)]
    found = linprog(cost, A_ub=matrix, b_ub=-linear.now, bounds=bounds, method=_METHOD)
    changes = np.zeros(linear.numbers.shape[1])
    if found.status == 0:
        changes[places] = found.x[count:-1]
    return changes


def _least_sum(linear: LinearMisfits, weights: Array, ends: Array, limit: float) -> Array | None:
    """Return the numbers with the least weighed sum that keep the limit, shape (K,)."""
    from scipy import sparse
    from scipy.optimize import linprog

    count = linear.standing.shape[1]
    matrix = sparse.hstack([linear.standing, linear.numbers, -linear.numbers], format="csr")
    cost = np.concatenate((np.zeros(count), weights, weights))
    bounds = [*linear.ends, *((0.0, end) for end in (*ends[:, 1], *ends[:, 0]))]
    found = linprog(cost, A_ub=matrix, b_ub=limit - linear.now, bounds=bounds, method=_METHOD)
    if found.status != 0:
        return None
    more, less = np.split(found.x[count:], 2)
    return np.asarray(more - less)
