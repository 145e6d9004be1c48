"""A fault of a size of its own in every draw: what a case stands for, and what lies between.

A fault is turned in a few sizes (`Fault.cases`), and may be of any. So a case stands for the sizes
around it: up to halfway to the next of its kind, and as far beyond the last; from two fifths of the
first. Every draw has a size of its own, s, of those, each as likely as another, and what may stop
the wheels then is between what does at the sizes a and b on either side of it,

    R(s) = R(a) + (s - a) / (b - a) (R(b) - R(a)),

where the least of the sizes may be nought, which is the sheet as it stands; beyond the last it goes
on as between the last two. A case that was told by what was measured is of that size.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.cause.fault import Case, Fault
from linkage.cause.sampling import Thing, Turned

_FIRST = 0.4  # of the first size, from which it stands for others [1]
_SEED = 20260314


@dataclass(frozen=True, eq=False)
class Sized:
    """A fault of a size of its own in every draw.

    Attributes
    ----------
    sizes : array, shape (M,) [mm, degrees]
        Its size in each draw.
    turned : tuple of Turned or None
        What may stop it at some sizes; None for the sheet as it stands.
    shares : array, shape (M, len(turned)) [1]
        How much of each is in each draw: they come to 1.
    """

    sizes: Array
    turned: tuple[Turned | None, ...]
    shares: Array

    def room(self, thing: Thing, base: Array) -> Array:
        """Return the room of a thing in each draw, shape (M, SAMPLES) [mm]; `base`: the sheet's."""
        rows = [base if one is None else one.rooms.get(thing, base) for one in self.turned]
        return np.asarray(self.shares @ np.stack(rows))

    @property
    def things(self) -> tuple[Thing, ...]:
        """What is not as on the sheet at any of the sizes."""
        return tuple(dict.fromkeys(thing for one in self.turned if one for thing in one.rooms))


def sized(fault: Fault, case: Case, turned: Mapping[int, Turned | None], draws: int) -> Sized:
    """Return a case as it stands for the sizes around it.

    Parameters
    ----------
    turned : mapping of int to Turned or None
        What may stop each case of the fault, by the case's identity.
    draws : int
        How many.
    """
    alike = [one for one in fault.cases if one.shape == case.shape and one.size * case.size > 0]
    nodes: list[tuple[float, Turned | None]] = [
        (abs(one.size), made) for one in alike if (made := turned[id(one)]) is not None
    ]
    if not fault.added:
        nodes.append((0.0, None))
    nodes.sort(key=lambda node: node[0])
    low, high = _stands_for(abs(case.size), [abs(one.size) for one in alike if not one.exact])
    if case.exact or len(nodes) < 2:
        return Sized(np.full(draws, case.size), (turned[id(case)],), np.ones((draws, 1)))
    sizes = low + (high - low) * _even(draws)
    shares = _between(sizes, np.array([size for size, _ in nodes]))
    used = np.flatnonzero(shares.any(axis=0))
    return Sized(
        sizes * (1 if case.size > 0 else -1),
        tuple(nodes[k][1] for k in used.tolist()),
        shares[:, used],
    )


def _stands_for(size: float, alike: Sequence[float]) -> tuple[float, float]:
    """Return from which size to which one stands for, of those of its kind."""
    less = max((one for one in alike if one < size), default=0.0)
    more = min((one for one in alike if one > size), default=2 * size - less)
    low = (less + size) / 2 if less else _FIRST * size
    return low, (size + more) / 2


def _even(draws: int) -> Array:
    """Return the middles of equal parts from 0 to 1, in an order of their own, shape (draws,)."""
    return np.asarray(
        np.random.default_rng(_SEED + 1).permutation((np.arange(draws) + 0.5) / draws)
    )


def _between(sizes: Array, nodes: Array) -> Array:
    """Return how much of each node is in each size, shape (sizes, nodes): linear between two."""
    after = np.clip(np.searchsorted(nodes, sizes), 1, len(nodes) - 1)
    rows = np.arange(len(sizes))
    part = (sizes - nodes[after - 1]) / (nodes[after] - nodes[after - 1])
    shares = np.zeros((len(sizes), len(nodes)))
    shares[rows, after - 1], shares[rows, after] = 1.0 - part, part
    return shares
