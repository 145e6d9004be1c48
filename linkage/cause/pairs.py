"""Two faults together: the likeliest pairs of what the sheet does not have.

Where more than one place was felt, one fault may stop the wheels at the one and another at the
other. Let a and b be two hypotheses of unlike faults, neither on the sheet (a fault that the sheet
has and another beside it are weighed already). With both the wheels stop where either would stop
them, so

    w(a, b) = SECOND often(a) often(b) max(told(a), told(b))
              E_d[ P(all felt and seen | stopped by a or by b) ]:

`told` is what the numbers on the sheet say for a fault, which is much where the sheet's own engine
would not turn; said of both, it would be counted twice. Of a room that both change it is the less
that counts, of the play the greater share. Two small faults that only together use up a room are
not among them; they are of "something else".

Two faults of one part are no pair: they stop the wheels at the same places, and what was measured
of it would count twice.

**Beside one that the sheet has**, any other fault may be what is felt; it is weighed as the second
of two by what the numbers say, and by itself by what was felt (`with_seconds`).

All pairs would be hundreds of thousands. A member of one must explain something: it is among the
`EACH` likeliest by one line that says tight, and by all that say free.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from linkage.arrays import Array, Small
from linkage.cause.fault import Case, Fault
from linkage.cause.sampling import RodsOff, Thing
from linkage.tables.felt import Felt, Seen, What

SECOND = 0.1
"""Chance that an engine with one fault has a second that is felt [1]: common practice."""
EACH = 8
"""Hypotheses looked at for each line that says tight."""


@dataclass(frozen=True, eq=False)
class Hypothesis:
    """A fault of one size, or two, and where it stops the wheels in each draw."""

    fault: Fault | None
    case: Case | None
    on_sheet: bool
    often: float  # how likely it is before anything was measured or felt
    rooms: Mapping[Thing, Small]  # in each draw, shape (M, SAMPLES); of what is near at all
    shares: Callable[[RodsOff], Small | None]  # of the play, in each draw, shape (M, SAMPLES)
    told: float = 1.0  # how much likelier by what the peers say, and that the engine once turned
    beside: float = 0.0  # as `told`, of it as the second fault beside one that the sheet has
    sizes: Array | float = math.nan  # of the fault, in each draw, shape (M,) [mm, degrees]
    second: Hypothesis | None = None  # the other of a pair

    @property
    def prior(self) -> float:
        """How likely it is before anything was felt, beside the others."""
        return self.often * (self.told + self.beside)


def with_seconds(every: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
    """Return all, what is not on the sheet as a second fault too beside one that is.

    beside(b) = SECOND sum over a on the sheet, of another part, of often(a) max(told(a), told(b))
    """
    there = [one for one in every if one.on_sheet]
    often, told = (np.array([getattr(one, name) for one in there]) for name in ("often", "told"))
    numbers: dict[tuple[str, str] | None, int] = {}
    of = [numbers.setdefault(_part(one.fault), len(numbers)) for one in every]
    parts = np.array([part for part, one in zip(of, every, strict=True) if one.on_sheet], dtype=int)

    def beside(one: Hypothesis, part: int) -> float:
        return SECOND * float((often * np.maximum(told, one.told))[parts != part].sum())

    return tuple(
        one if one.on_sheet else replace(one, beside=beside(one, part))
        for one, part in zip(every, of, strict=True)
    )


def _part(fault: Fault | None) -> tuple[str, str] | None:
    """Return of what part of which side a fault is: one measurement speaks for all of one."""
    return None if fault is None else (fault.side, fault.table)


def pairs_of(
    every: Sequence[Hypothesis],
    lines: Sequence[Felt | Seen],
    likely: Callable[[Hypothesis, int], Array],
) -> Iterator[Hypothesis]:
    """Yield the likeliest pairs; none where fewer than two lines say tight.

    Parameters
    ----------
    every : sequence of Hypothesis
        Single ones.
    likely : callable
        How likely a line, by its number, is by a hypothesis, in each draw.
    """
    tight = [k for k, line in enumerate(lines) if isinstance(line, Felt) and _is_tight(line)]
    if len(tight) < 2:
        return
    free = [k for k, line in enumerate(lines) if k not in tight and isinstance(line, Felt)]
    members = [one for one in every if one.fault is not None and not one.on_sheet]
    by_free = [one.prior * np.prod([likely(one, k).mean() for k in free]) for one in members]
    best = []
    for number in tight:
        weight = [w * likely(one, number).mean() for w, one in zip(by_free, members, strict=True)]
        best.append([members[k] for k in np.argsort(weight)[::-1][:EACH].tolist()])
    seen: set[frozenset[int]] = set()
    for first, some in enumerate(best):
        for one, other in (two for more in best[first + 1 :] for two in product(some, more)):
            both = frozenset((id(one), id(other)))
            if _part(one.fault) != _part(other.fault) and both not in seen:
                seen.add(both)
                yield _together(one, other)


def _is_tight(line: Felt) -> bool:
    return line.what is not What.FREE


def _together(one: Hypothesis, other: Hypothesis) -> Hypothesis:
    """Return two faults at once, the likelier first."""
    first, second = sorted((one, other), key=lambda each: -each.prior)
    rooms = dict(first.rooms)
    for thing, room in second.rooms.items():
        rooms[thing] = np.minimum(rooms[thing], room) if thing in rooms else room

    def shares(off: RodsOff) -> Small | None:
        found = [share for each in (first, second) if (share := each.shares(off)) is not None]
        return np.maximum.reduce(found) if found else None

    often, told = SECOND * first.often * second.often, max(first.told, second.told)
    return replace(
        first, often=often, told=told, beside=0.0, rooms=rooms, shares=shares, second=second
    )
