"""Which test, look or measurement divides the causes best for the minutes it takes.

Let p be the chances of the causes, and q the chance of an outcome by each of them. What is learnt
is, in the mean, the entropy that the outcome takes away from "which cause is it":

    I = H(sum p q) - sum p H(q),    H(q) = - sum over outcomes of q log2 q   [bits];

the best is the one with the most of it a minute, a few minutes more being counted for each: it is
begun, ended, and what comes of it typed in, so that few that say much are better than many. A cause
is a fault here, of whatever size, p and q being those of its sizes together: of a test that says
only how large it is nothing is learnt; a fault of both sides is that of the side where it was felt.
With something taken off, q is the share of the draws in which the wheels then turn, each draw
counted as it explains what was felt. A number measured, or a rod looked along, shows whether that
is it, but for `SLIP`. Whether two parts touch where the wheels stick is as likely as that a gap
of nought is seen there.
Of a number that was measured on one side alone it shows whether the other side's is like it: as
what is guessed may be out by more than a fault, this alone tells a fault from another engine.

Not offered is what would mislead: with the coupling rods of one side alone on, an undriven wheel
may turn back at its dead centre and blame a good rod; so rods come off on both sides together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import assert_never

import numpy as np

from linkage.arrays import Array
from linkage.cause.fault import BOTH, Fault, How
from linkage.cause.feeling import SLIP
from linkage.cause.pairs import Hypothesis
from linkage.cause.sampling import Kind
from linkage.cause.weighing import Weighing
from linkage.sheet.felt import COUPLING_RODS, MOTOR, removables
from linkage.tables.felt import Felt, Off, Seen, Stance, What

_MOTOR_MINUTES = 3.0
_MEASURE_MINUTES = 2.0  # with callipers on an engine that stands: common practice, no source
_MORE_MINUTES = 1.0  # for each further number: likewise
_ELSEWHERE_MINUTES = 0.5  # for each further part that the calliper goes to: likewise
_AROUND = 3.0  # minutes that every test takes besides: likewise
_MOST = 4  # numbers measured together
_MOST_PAIRS = 6  # looked between at one place
_LOOK_MINUTES = 1.5  # along a rod, against a straight edge: likewise
_LOOK_MORE = 0.5  # for each further one: likewise
_TOUCH_MINUTES = 1.0  # with a strip of thin paper between two parts: likewise
_TOUCH_MORE = 0.5  # for each further pair at the same place: likewise
_TOUCHES = 0.05  # what a gap of two parts that are said to touch may be, at 4 mm to the foot [mm]
_WORTH = 0.04  # bits below which a test says nothing
_SETTLES = 0.1  # bits below which it is not worth doing where one cause is likelier than not
_BESIDE = 0.01  # chance from which a number is measured together with another [1]
_COUNTS = 1e-4  # a hypothesis with less of all weight is left out [1]
_TURN = 2 * np.pi


@dataclass(frozen=True)
class TakeOff:
    """Something is taken off, and the wheels are turned.

    `stance`: standing how; None as the sheet has it.
    """

    off: tuple[Off, ...]
    minutes: float
    stance: Stance | None = None


@dataclass(frozen=True)
class Measure:
    """Numbers are measured, or again, by their keys: of a part and its like, or of several.

    `faults`: one of each.
    """

    keys: tuple[str, ...]
    faults: tuple[Fault, ...] = field(compare=False)

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return _with_callipers(len(self.named), self.faults)

    @property
    def named(self) -> tuple[str, ...]:
        """The keys to be named: of one side's number and both sides' the first, for it is one."""
        return tuple(keys[0] for keys in self.numbers)

    @property
    def numbers(self) -> tuple[tuple[str, ...], ...]:
        """The keys of each number: one side's, the other's, both sides'."""
        numbers: dict[tuple[str, str], tuple[str, ...]] = {}
        for key, fault in zip(self.keys, self.faults, strict=True):
            number = fault.table, fault.what
            numbers[number] = (*numbers.get(number, ()), key)
        return tuple(numbers.values())


@dataclass(frozen=True)
class MeasureFellow:
    """Numbers of the other side are measured, of which so far this side's alone were.

    `faults`: those of this side, which the sheet has if their fellows are not like them.
    """

    faults: tuple[Fault, ...]

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return _with_callipers(len(self.faults), self.faults)

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys to be measured."""
        return tuple(fault.fellow for fault in self.faults)


def _with_callipers(count: int, faults: Sequence[Fault]) -> float:
    """Return how long numbers take: the more with the calliper in hand are quicker."""
    parts = len({fault.table for fault in faults})
    return _MEASURE_MINUTES + _MORE_MINUTES * (count - 1) + _ELSEWHERE_MINUTES * (parts - 1)


@dataclass(frozen=True)
class LookAlong:
    """Some rods are looked along: of each its side, and the key of its table."""

    rods: tuple[tuple[str, str], ...]

    @property
    def minutes(self) -> float:
        """How long it takes: the straight edge is in the hand for the further ones."""
        return _LOOK_MINUTES + _LOOK_MORE * (len(self.rods) - 1)


@dataclass(frozen=True)
class LookHow:
    """A part is looked at: which way round it is on, and whether it is its own place.

    `rods`: the two of which it is looked at which takes which of its pins, where it is that.
    """

    side: str
    table: str
    rods: tuple[str, ...] = ()
    minutes: float = _LOOK_MINUTES


@dataclass(frozen=True)
class LookBetween:
    """With the wheels turned until they stick, it is looked which of some pairs of parts touch.

    `at`, `error`: where on the side's clock they stuck, and what that is out by [rad]; `stance`:
    standing how; None as the sheet has it.
    """

    side: str
    pairs: tuple[tuple[str, str], ...]
    at: float
    error: float
    stance: Stance | None = None

    @property
    def minutes(self) -> float:
        """How long it takes."""
        return _TOUCH_MINUTES + _TOUCH_MORE * (len(self.pairs) - 1)


_Look = Measure | MeasureFellow | LookAlong | LookHow
_Alone = TakeOff | _Look
"""Tests that come out so or not so."""
Test = _Alone | LookBetween


@dataclass(frozen=True)
class Outcome:
    """What a test may come to: whether it is free, or found wrong, how likely, what it leaves.

    `left`: the causes that are then likeliest, with their chances; None is outside the motion.
    `touch`: of a look between parts the pair that touches; empty where none of them does.
    """

    so: bool
    chance: float
    left: tuple[tuple[Fault | None, float], ...]
    touch: tuple[str, ...] = ()


@dataclass(frozen=True)
class Proposal:
    """A test that is worth its minutes."""

    test: Test
    bits: float  # what is learnt in the mean
    outcomes: tuple[Outcome, ...]

    @property
    def worth(self) -> float:
        """Bits a minute, with what every test takes besides."""
        return self.bits / (self.test.minutes + _AROUND)


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
    looks = _between(weighing, kept, share)
    found += [one for one in looks if one.bits > least]
    return tuple(sorted(found, key=lambda one: -one.worth))


def _tests(weighing: Weighing, kept: list[Hypothesis], share: Array) -> Iterator[_Alone]:
    stance = how_felt(weighing)
    done = {
        frozenset(line.off) for line in weighing.sheet.felt if weighing.stance_of(line) == stance
    }
    sides = weighing.sheet.sides
    offers = [TakeOff((Off("", MOTOR),), _MOTOR_MINUTES, stance)]
    for one in removables(sides, weighing.sheet.arrangement):
        mine = [Off(side, one.key, one.stills) for side in sides]
        if one.key.startswith(COUPLING_RODS) or len(mine) == 1:
            offers.append(TakeOff(tuple(mine), one.minutes * len(mine), stance))
        else:
            offers += [TakeOff((off,), one.minutes, stance) for off in mine]
    yield from (test for test in offers if frozenset(test.off) not in done)
    yield from _looks(kept, share)


def how_felt(weighing: Weighing) -> Stance | None:
    """Return how an engine is to stand for a test: as when it was felt to stick, if not as here."""
    felt = (line for line in weighing.sheet.felt if line.what is not What.FREE)
    tight = [weighing.stance_of(line) for line in felt]
    return None if None in tight or not tight else tight[0]


def _looks(kept: list[Hypothesis], share: Array) -> Iterator[_Look]:
    """Yield the looks and the measurements that would show a cause."""
    seen: dict[_Look, None] = {}
    measured: dict[str, dict[str, tuple[float, Fault]]] = {}
    fellows: dict[str, tuple[float, Fault]] = {}
    for held, chance in zip(kept, share.tolist(), strict=True):
        fault = held.fault
        if fault is None:
            continue
        if held.on_sheet and fault.fellow:
            fellows[fault.key] = fellows.get(fault.key, (0.0, fault))[0] + chance, fault
        if fault.origin.known and not fault.one_for_both:
            continue  # measured, or looked at: again it would say what the sheet has
        match fault.how:
            case How.BENT:
                seen[LookAlong(((fault.side, fault.table),))] = None
            case How.REFITTED:
                seen[LookHow(fault.side, fault.table, fault.rods)] = None
            case How.NUMBER | How.MOVED:
                if not held.on_sheet:
                    part = measured.setdefault(fault.table, {})
                    part[fault.key] = part.get(fault.key, (0.0, fault))[0] + chance, fault
            case _:
                assert_never(fault.how)
    yield from seen
    yield from _along_all([rod for one in seen if isinstance(one, LookAlong) for rod in one.rods])
    for part in measured.values():
        some = _likeliest(part)
        yield Measure(tuple(fault.key for fault in some), some)
    yield from _all_over(measured)
    likeliest = _likeliest(fellows)
    yield from (MeasureFellow(likeliest[:count]) for count in range(1, len(likeliest) + 1))


def _likeliest(faults: Mapping[str, tuple[float, Fault]]) -> tuple[Fault, ...]:
    """Return the likeliest numbers of some, as many as are measured together; with its chance each.

    None but the first that is hardly possible.
    """
    order = sorted(faults.values(), key=lambda one: -one[0])[:_MOST]
    return tuple(fault for k, (chance, fault) in enumerate(order) if k == 0 or chance > _BESIDE)


def _all_over(measured: Mapping[str, Mapping[str, tuple[float, Fault]]]) -> Iterator[Measure]:
    """Yield the measuring of the likeliest numbers of all parts: the two, three or so of them."""
    numbers: dict[tuple[str, str], dict[str, tuple[float, Fault]]] = {}
    for table, part in measured.items():
        for key, (chance, fault) in part.items():
            numbers.setdefault((table, fault.what), {})[key] = chance, fault
    chances = {name: sum(chance for chance, _ in one.values()) for name, one in numbers.items()}
    order = [name for name in sorted(chances, key=lambda n: -chances[n]) if chances[name] > _BESIDE]
    for count in range(2, min(_MOST, len(order)) + 1):
        some = order[:count]
        if len({table for table, _ in some}) > 1:
            each = {key: fault for name in some for key, (_, fault) in numbers[name].items()}
            yield Measure(tuple(each), tuple(each.values()))


def _along_all(rods: list[tuple[str, str]]) -> Iterator[LookAlong]:
    """Yield the look along all coupling rods, and along all others, where there are several."""
    coupled = tuple(rod for rod in rods if rod[1].startswith(COUPLING_RODS))
    for every in (coupled, tuple(rod for rod in rods if rod not in coupled)):
        if len(every) > 1:
            yield LookAlong(every)


def _between(weighing: Weighing, kept: list[Hypothesis], share: Array) -> Iterator[Proposal]:
    """Yield the look between the parts that the causes have touching where it was felt to lock."""
    sheet = weighing.sheet
    locks = (one for one in sheet.felt if one.what is What.LOCKS and one.placed and not one.off)
    where = [one for one in locks if not one.all_round]  # nowhere more than elsewhere
    if not where:
        return
    line = where[0]
    stance, half = weighing.stance_of(line), (line.end - line.begin) / 2
    seen = {(one.side, frozenset(one.between)) for one in sheet.seen}
    pairs: dict[tuple[str, str], float] = {}
    for one, chance in zip(kept, share.tolist(), strict=True):
        for thing, room in one.rooms.items():
            mine = (thing.side, thing.kind, thing.stance) == (line.side, Kind.FOULS, stance)
            meets = float((room.min(axis=1) < 0).mean()) if mine else 0.0
            if meets:
                first, second = thing.parts
                pairs[first, second] = pairs.get((first, second), 0.0) + chance * meets
    left = [one for one in pairs if (line.side, frozenset(one)) not in seen]
    some = tuple(sorted(left, key=lambda one: -pairs[one])[:_MOST_PAIRS])
    if some:
        at, error = line.begin + half, line.error + half
        yield _touching(weighing, LookBetween(line.side, some, at, error, stance), kept, share)


def _touching(
    weighing: Weighing, test: LookBetween, kept: list[Hypothesis], share: Array
) -> Proposal:
    """Return a look between parts: that each pair touches, or none of them.

    With the chance t of each, taken as independent, none of them is the product of all 1 - t, and
    what is left of 1 goes to each as its t.
    """
    running = weighing.sheet.running if test.stance is None else test.stance.running
    gap = _TOUCHES * weighing.factor
    lines = [Seen(0.0, gap, two, test.side, test.at, test.error, running) for two in test.pairs]
    touch = np.array([[weighing.chance_of(h, line) for line in lines] for h in kept])
    none = np.prod(1 - touch, axis=1)
    so = np.column_stack([none, touch * ((1 - none) / touch.sum(axis=1))[:, None]])
    chances = share @ so
    bits = _learnt(weighing, kept, share, so)
    found = (
        Outcome(bool(k), float(chances[k]), _left(kept, share * so[:, k]), two)
        for k, two in enumerate(((), *test.pairs))
    )
    return Proposal(test, bits, tuple(sorted(found, key=lambda one: -one.chance)))


def _shows(test: _Look, one: Hypothesis) -> bool:
    """Tell whether a look or a measurement shows a fault."""
    fault = one.fault
    if fault is None:
        return False
    if one.second is not None and _shows(test, one.second):
        return True
    match test:
        case Measure():
            known = fault.how in (How.NUMBER, How.MOVED) and not one.on_sheet
            return known and fault.key in test.keys
        case MeasureFellow():
            return one.on_sheet and fault in test.faults
        case LookAlong():
            return fault.bend and not one.on_sheet and (fault.side, fault.table) in test.rods
        case LookHow():
            how = (fault.side, fault.table, fault.rods)
            return fault.how is How.REFITTED and how == (test.side, test.table, test.rods)


def _proposal(weighing: Weighing, test: _Alone, kept: list[Hypothesis], share: Array) -> Proposal:
    so = np.array([_chance(weighing, test, one) for one in kept])
    chance = float(share @ so)
    bits = _learnt(weighing, kept, share, np.column_stack([_which_so(test, kept, so), 1 - so]))
    outcomes = (
        Outcome(True, chance, _left(kept, share * so)),
        Outcome(False, 1 - chance, _left(kept, share * (1 - so))),
    )
    return Proposal(test, bits, outcomes)


def _which_so(test: _Alone, kept: list[Hypothesis], so: Array) -> Array:
    """Return in which ways a test comes out so by each hypothesis, shape (len(kept), ways).

    Of rods that are looked along it is seen which of them is bent; of numbers, which it is.
    """
    each: list[_Look] = []
    match test:
        case LookAlong():
            each = [LookAlong((rod,)) for rod in test.rods]
        case Measure():
            each = [Measure(keys, ()) for keys in test.numbers]
        case MeasureFellow():
            each = [MeasureFellow((fault,)) for fault in test.faults]
        case TakeOff() | LookHow():
            pass
    if len(each) < 2:
        return so[:, None]
    shown = np.array([[_shows(alone, one) for alone in each] for one in kept])
    which = np.where(shown.any(axis=1, keepdims=True), shown, 1.0)
    return np.asarray(so[:, None] * which / which.sum(axis=1, keepdims=True))


def _chance(weighing: Weighing, test: _Alone, one: Hypothesis) -> float:
    """Return how likely a test comes out so by a hypothesis: free, or found wrong."""
    match test:
        case TakeOff():
            so = test.stance or Stance()
            line = Felt(
                What.FREE, "", 0.0, _TURN, 0.0, False, None, test.off, so.running, so.pushed
            )
            return weighing.chance_of(one, line)
        case Measure() | MeasureFellow() | LookAlong() | LookHow():
            return 1 - SLIP if _shows(test, one) else SLIP


def _left(kept: list[Hypothesis], weights: Array) -> tuple[tuple[Fault | None, float], ...]:
    total = float(weights.sum()) or 1.0
    sums: dict[Fault | None, float] = {}
    for one, weight in zip(kept, weights.tolist(), strict=True):
        sums[one.fault] = sums.get(one.fault, 0.0) + weight / total
    return tuple(sorted(sums.items(), key=lambda item: -item[1])[:3])


def _learnt(weighing: Weighing, kept: list[Hypothesis], share: Array, so: Array) -> float:
    """Return what is learnt of which cause it is, in the mean [bits].

    Parameters
    ----------
    so : array, shape (len(kept), outcomes) [1]
        How likely each outcome is by each hypothesis.
    """
    felt = next((one.side for one in weighing.sheet.felt if one.side), BOTH)
    causes = {_which(one, felt): None for one in kept}
    number = {cause: k for k, cause in enumerate(causes)}
    of_cause = np.zeros((len(causes), len(kept)))
    for k, one in enumerate(kept):
        of_cause[number[_which(one, felt)], k] = share[k]
    chances = of_cause.sum(axis=1)
    by_cause = of_cause @ so / np.maximum(chances, 1e-12)[:, None]
    return max(float(_entropies(share @ so) - chances @ _entropies(by_cause)), 0.0)


def _which(one: Hypothesis, felt: str) -> tuple[tuple[str, str, str, str], ...]:
    """Return what cause a hypothesis is one of, whatever its size; none outside the motion."""
    faults = [each.fault for each in (one, one.second) if each is not None and each.fault]
    return tuple(
        (felt if fault.side == BOTH else fault.side, fault.table, fault.what, fault.how.value)
        for fault in faults
    )


def _entropies(chances: Array) -> Array:
    """Return the entropy of several outcomes, along the last axis [bits]."""
    p = np.clip(chances, 1e-9, 1.0)
    return np.asarray(-(p * np.log2(p)).sum(axis=-1))
