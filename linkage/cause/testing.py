"""Which test, look or measurement divides the causes best for the minutes it takes.

Let p be the chances of the causes, and q the chance of an outcome by each of them. What is learnt
is, in the mean, the entropy that the outcome takes away from "which cause is it":

    I = H(sum p q) - sum p H(q),    H(q) = - sum over outcomes of q log2 q   [bits];

the best is the one with the most of it a minute. With something taken off, q is the share of the
draws in which the wheels then turn. A number measured, or a rod looked along, shows whether that is
it, but for `SLIP`.

Not offered is what would mislead: with the coupling rods of one side alone on, an undriven wheel
may turn back at its dead centre and blame a good rod; so rods come off on both sides together.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from linkage.arrays import Array
from linkage.cause.faults import Fault
from linkage.cause.feeling import SLIP
from linkage.cause.weighing import Hypothesis, Weighing
from linkage.sheet.felt import COUPLING_RODS, MOTOR, removables
from linkage.tables.felt import Felt, Off, What

_MOTOR_MINUTES = 3.0
_MEASURE_MINUTES = 2.0  # with callipers on an engine that stands: common practice, no source
_LOOK_MINUTES = 1.5  # along a rod, against a straight edge: likewise
_WORTH = 0.04  # bits below which a test says nothing
_SETTLES = 0.1  # bits below which it is not worth doing where one cause is likelier than not
_COUNTS = 1e-4  # a hypothesis with less of all weight is left out [1]
_TURN = 2 * np.pi


@dataclass(frozen=True)
class TakeOff:
    """Something is taken off, and the wheels are turned."""

    off: tuple[Off, ...]
    minutes: float


@dataclass(frozen=True)
class Measure:
    """A number is measured, or again."""

    fault: Fault
    minutes: float = _MEASURE_MINUTES


@dataclass(frozen=True)
class LookAlong:
    """A rod is looked along: by side, and the key of its table."""

    side: str
    table: str
    minutes: float = _LOOK_MINUTES


Test = TakeOff | Measure | LookAlong


@dataclass(frozen=True)
class Outcome:
    """What a test may come to: whether it is free, or found wrong, how likely, what it leaves.

    `left`: the causes that are then likeliest, with their chances; None is outside the motion.
    """

    so: bool
    chance: float
    left: tuple[tuple[Fault | None, float], ...]


@dataclass(frozen=True)
class Proposal:
    """A test that is worth its minutes."""

    test: Test
    bits: float  # what is learnt in the mean
    outcomes: tuple[Outcome, Outcome]

    @property
    def worth(self) -> float:
        """Bits a minute."""
        return self.bits / self.test.minutes


def proposals(weighing: Weighing) -> tuple[Proposal, ...]:
    """Return the tests that divide the causes, the best for its minutes first."""
    weights = weighing.weights
    total = float(weights.sum()) or 1.0
    some = np.flatnonzero(weights > _COUNTS * total)
    kept = [weighing.hypotheses[k] for k in some.tolist()]
    share = np.asarray(weights[some] / weights[some].sum())
    least = _SETTLES if weighing.causes[0].chance > 0.5 else _WORTH
    found = [
        made
        for test in _tests(weighing, kept, share)
        if (made := _proposal(weighing, test, kept, share)).bits > least
    ]
    return tuple(sorted(found, key=lambda one: -one.worth))


def _tests(weighing: Weighing, kept: list[Hypothesis], share: Array) -> Iterator[Test]:
    done = {frozenset(line.off) for line in weighing.sheet.felt}
    sides = weighing.sheet.sides
    offers = [TakeOff((Off("", MOTOR),), _MOTOR_MINUTES)]
    for one in removables(sides, weighing.sheet.arrangement):
        mine = [Off(side, one.key, one.stills) for side in sides]
        if one.key.startswith(COUPLING_RODS) or len(mine) == 1:
            offers.append(TakeOff(tuple(mine), one.minutes * len(mine)))
        else:
            offers += [TakeOff((off,), one.minutes) for off in mine]
    yield from (test for test in offers if frozenset(test.off) not in done)
    seen: dict[Test, None] = {}
    for held in kept:
        if held.fault is not None and held.fault.bend:
            seen[LookAlong(held.fault.side, held.fault.table)] = None
        elif held.fault is not None and not held.on_sheet:
            seen[Measure(held.fault)] = None
    yield from seen


def _proposal(weighing: Weighing, test: Test, kept: list[Hypothesis], share: Array) -> Proposal:
    so = np.array([_chance(weighing, test, one) for one in kept])
    chance = float(share @ so)
    bits = float(_entropy(np.array(chance)) - share @ _entropy(so))
    outcomes = (
        Outcome(True, chance, _left(kept, share * so)),
        Outcome(False, 1 - chance, _left(kept, share * (1 - so))),
    )
    return Proposal(test, max(bits, 0.0), outcomes)


def _chance(weighing: Weighing, test: Test, one: Hypothesis) -> float:
    """Return how likely a test comes out so by a hypothesis: free, or found wrong."""
    match test:
        case TakeOff():
            line = Felt(What.FREE, "", 0.0, _TURN, 0.0, False, off=test.off)
            return float(weighing.likelihood(one, line).mean())
        case Measure():
            return 1 - SLIP if one.fault == test.fault else SLIP
        case LookAlong():
            fault = one.fault
            here = fault is not None and (fault.side, fault.table) == (test.side, test.table)
            return 1 - SLIP if here and fault is not None and fault.bend else SLIP


def _left(kept: list[Hypothesis], weights: Array) -> tuple[tuple[Fault | None, float], ...]:
    total = float(weights.sum()) or 1.0
    sums: dict[Fault | None, float] = {}
    for one, weight in zip(kept, weights.tolist(), strict=True):
        sums[one.fault] = sums.get(one.fault, 0.0) + weight / total
    return tuple(sorted(sums.items(), key=lambda item: -item[1])[:3])


def _entropy(chance: Array) -> Array:
    """Return the entropy of yes or no [bits]."""
    p = np.clip(chance, 1e-9, 1 - 1e-9)
    return np.asarray(-p * np.log2(p) - (1 - p) * np.log2(1 - p))
