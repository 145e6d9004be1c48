"""What may be wrong, weighed by what was felt and measured.

**The engine, and what it was.** An engine that came in once turned. So there are two engines: that
it is, E, and that it was, E0, which is free all round; between them is one fault f of a size s
(or two). What the sheet has of f's number, v, is of one of them:

- it was *measured* on the engine as it came in: then v is E's, E is the sheet, and E0 is the sheet
  with f moved back by s;
- it was *guessed*, or assumed: then v is E0's, and E is the sheet with f moved on by s. The same
  holds of a bend that the sheet does not give;
- it was measured, but misread, with the chance `MISREAD`: as if it were guessed.

**The weight of a cause** (f, s) is, by Bayes,

    w(f, s) = often(f) chance(s) P(peers | f, s) E_d[ free(E0) P(felt, seen | E) ] .

`often` and `chance` stand in the fields of the numbers (`faults.py`). Of a number measured on one
side the other side's is a peer: that they differ by as much as s, within their errors, speaks for
f, and that they do not, against it. Of a bend it is the rod's centres that tell: a bend draws them
together, so a rod that measures short of its fellow may be bent as well as too short; and E0 is
then the sheet with the rod as long as it was. The mean is over d, what all other numbers are out
by, within their errors: a guess by no more than would be called a fault of it, for guesses were
made to fit one another.

**What the numbers do** is to first order. For the room R of each thing that may stop the wheels
(`sampling.py`) the slopes come from the same variants as the faults, and their errors add to the
standard deviation sigma, at each crank angle:

    R_E(angle) = R_sheet or fault (angle) + sigma(angle) z,

with one normal z a thing: where a pair has less air than reckoned it has so all round, and pairs
vary independently, which is so but for the numbers they share. The draws of z are those with which
E0 is free. The coupled wheels' misfits and plays are linear in the numbers, which are drawn there
themselves.

**Nothing of the motion**: something that no sheet holds (`report.elsewhere`) has a weight of its
own. It locks anywhere alike, and goes on locking with parts of the motion off; less likely so with
the motor off.

**Something else**: more faults together than pairs (`pairs.py`), or one that no sheet has a place
for, has a weight too. It locks anywhere alike, and with something off that may be of it or not. So
a cause that what was felt lies beside, or that a test speaks against, is never sure for want of a
better one.

**Two faults**: where the sheet has one already, another that it does not have may be what is felt.
E is then the sheet with the second moved on, and E0 the sheet with the first moved back; so what is
not on the sheet has, besides its own weight, that of being the second (`pairs.py`).

The sum over sizes is the weight of a fault, and its share of all weights its probability: as sure
as its numbers, for d is in it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

import numpy as np

from linkage.arrays import Array, Mask
from linkage.cause.fault import Case, Fault, factor_of
from linkage.cause.feeling import SLIP, both_ways, likelihood, likelihood_of_both, steps
from linkage.cause.noise import DRAWS
from linkage.cause.pairs import Hypothesis, pairs_of, with_seconds
from linkage.cause.sampling import CRANK, SAMPLES, Kind, Thing
from linkage.cause.suspects import OUTSIDE, Progress, Suspects
from linkage.sheet import Sheet
from linkage.sheet.felt import COUPLING_RODS, MOTOR
from linkage.tables.felt import Felt, Seen, Stance, What

OTHERWISE = 0.05
"""Chance, before anything was felt, that it is in the motion and none of what is weighed [1]:
common practice, no source."""
_STILL = {False: 0.85, True: 0.35}  # that what is outside still sticks; with the motor off [1]
_TOLD = 10  # causes that are looked at more closely whatever their chance
_COUNTS = 1e-4  # of all weight, from which they are [1]
_FAST = 0.3  # that what is outside stands fast all round, of what sticks [1]
_STIFF = 0.05  # room at which it is stiff, at 4 mm to the foot [mm]
_STIFF_SHARE = 0.85  # of the play [share]
_TINY = 1e-12


@dataclass(frozen=True)
class Cause:
    """A fault, and how well it explains everything.

    Attributes
    ----------
    fault : Fault or None
        What is wrong; None for what is not in the motion.
    chance : float [1]
        Its probability among all that was weighed, and something else.
    case : Case or None
        Its likeliest size, as the sheet would have it.
    on_sheet : bool
        Whether the sheet has it already.
    explains : tuple of float [1]
        Of every line felt and seen, how much likelier it is than by a slip of the hand: about 1
        where it is explained, about nought where it is not.
    stopped : mapping of str to array of bool, shape (SAMPLES,)
        By side, where the wheels would stop.
    elsewhere : mapping of Stance to such a mapping
        The same standing in the other ways in which something was felt.
    things : tuple of Thing
        What would stop them.
    binds : bool
        Whether the coupled wheels would bind.
    second : Cause or None
        The other of two faults that explain it together.
    beside : bool
        Whether it would rather be a second fault, beside one that the sheet has.
    """

    fault: Fault | None
    chance: float
    case: Case | None
    on_sheet: bool
    explains: tuple[float, ...]
    stopped: Mapping[str, Mask]
    things: tuple[Thing, ...]
    binds: bool
    elsewhere: Mapping[Stance, Mapping[str, Mask]]
    second: Cause | None = None
    beside: bool = False


class Weighing:
    """All single faults of a sheet, weighed.

    Parameters
    ----------
    sheet : Sheet
        With what was felt.
    progress : callable, optional
        Told how far it is.
    before : Weighing, optional
        Of the same engine with less felt, say: what is known of it already is not found out again.
    """

    def __init__(
        self, sheet: Sheet, progress: Progress | None = None, before: Weighing | None = None
    ) -> None:
        self.sheet, self.factor = sheet, factor_of(sheet)
        self.lines: tuple[Felt | Seen, ...] = (*sheet.felt, *sheet.seen)
        if before is not None and before.suspects.stand_for(sheet, self.stances):
            self.suspects: Suspects = before.suspects
        else:
            known = None if before is None else before.suspects
            self.suspects = Suspects(sheet, self.stances, 2 * _STIFF * self.factor, progress, known)
        self._likely: dict[tuple[int, int], Array] = {}
        self._both: dict[
            tuple[int, tuple[int, int]], Array
        ] = {}  # likewise of two that go together
        self._known: dict[int, Array] = {}  # by identity of a hypothesis, as the above
        self._stood: dict[tuple[int, Stance | None, str, float, float], Mask] = {}  # likewise
        outside = Hypothesis(None, None, False, OUTSIDE, {}, lambda _: None)
        singles = with_seconds((*self.suspects.every, outside))
        self.hypotheses = (*singles, *pairs_of(singles, self.lines, self._of_line))

    @cached_property
    def causes(self) -> tuple[Cause, ...]:
        """The causes, likeliest first."""
        return _rank(self)

    @cached_property
    def weights(self) -> Array:
        """The weight of each hypothesis, shape (hypotheses,)."""
        return np.array([one.prior * float(self._of_all(one).mean()) for one in self.hypotheses])

    def chance_of(self, one: Hypothesis, line: Felt | Seen) -> float:
        """Return how likely a further line is by a cause [1].

        In the mean over the draws, each as likely as all that was felt and seen is in it: of a
        part that meets another in half of them, and it locked, in that half.
        """
        known = self._of_all(one)
        return float((known * self.likelihood(one, line)).sum() / max(float(known.sum()), _TINY))

    def size_of(self, one: Hypothesis) -> float:
        """Return the size of a cause [mm, degrees]: in the mean over the draws, as `chance_of`."""
        known = self._of_all(one)
        return float((known * one.sizes).sum() / max(float(known.sum()), _TINY))

    def _of_all(self, one: Hypothesis) -> Array:
        """Return how likely all lines together are by a cause, in each draw, shape (M,)."""
        if id(one) not in self._known:
            every = [self._of_line(one, number) for number in range(len(self.lines))]
            together = set(chain(*self._both_ways))
            lines = [likely for number, likely in enumerate(every) if number not in together]
            lines += [self._both[id(one), pair] for pair in self._both_ways]
            self._known[id(one)] = np.prod(lines, axis=0) if lines else np.ones(DRAWS)
        return self._known[id(one)]

    def _of_line(self, one: Hypothesis, number: int) -> Array:
        """Return how likely a line, by its number, is by a cause, in each draw; worked out once.

        All lines of a cause at once: what stops the wheels is the same for many of them.
        """
        if (id(one), number) not in self._likely:
            for pair in self._both_ways:
                self._note_both(one, pair)
            for k, line in enumerate(self.lines):
                if (id(one), k) not in self._likely:
                    self._likely[id(one), k] = self.likelihood(one, line)
        return self._likely[id(one), number]

    @cached_property
    def _both_ways(self) -> tuple[tuple[int, int], ...]:
        """The lines, by their numbers, that tell of one stretch: turned on in it, and back."""
        return both_ways(self.sheet.felt)

    def _note_both(self, one: Hypothesis, pair: tuple[int, int]) -> None:
        """Note how likely two lines that tell of one stretch are, together and each by itself."""
        forward, backward = (self.sheet.felt[number] for number in pair)
        stopped = {
            side: self.stopped(one, replace(forward, side=side)) for side in self.sheet.sides
        }
        if one.fault is None:
            each = self.likelihood(one, forward), self.likelihood(one, backward)
            both = each[0] * each[1]
        else:
            ahead = {side: self._ahead_of(side) for side in stopped}
            both, each = likelihood_of_both((forward, backward), stopped, ahead)
        for number, likely in zip(pair, each, strict=True):
            self._likely[id(one), number] = likely
        self._both[id(one), pair] = both

    @property
    def otherwise(self) -> float:
        """The weight of something that is in the motion and none of the hypotheses."""
        felt = (line for line in self.lines if isinstance(line, Felt))
        likely = math.prod(map(_otherwise, felt)) * self._otherwise_seen
        outside = next(one for one in self.hypotheses if one.fault is None)
        return OTHERWISE * (outside.told + outside.beside) * likely

    @property
    def _otherwise_seen(self) -> float:
        """How likely all gaps are where it is something else: of it, or all as on the sheet."""
        seen = [line for line in self.lines if isinstance(line, Seen)]
        nothing = next(one for one in self.hypotheses if one.fault is None)
        as_here = math.prod(float(self.likelihood(nothing, line).mean()) for line in seen)
        return 0.5 * (as_here + math.prod(SLIP for _ in seen))

    @property
    def something_else(self) -> float:
        """Its chance beside the causes [1]."""
        return self.otherwise / (float(self.weights.sum()) + self.otherwise or 1.0)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All single faults that were weighed."""
        return self.suspects.faults

    @property
    def stances(self) -> tuple[Stance, ...]:
        """How an engine stood when something was felt, but as the sheet has it."""
        every = dict.fromkeys(self.stance_of(line) for line in self.lines)
        return tuple(stance for stance in every if stance is not None)

    def stance_of(self, line: Felt | Seen) -> Stance | None:
        """Return how the engine stood for a line; None as the sheet has it."""
        running = None if line.running == self.sheet.running else line.running
        stance = Stance(running, line.pushed if isinstance(line, Felt) else ())
        return None if stance == Stance() else stance

    def stopped(self, one: Hypothesis, line: Felt) -> Mask:
        """Return where a cause stops the wheels as a line has them, by its side's crank."""
        stiff = line.what is What.STIFF
        margin = _STIFF * self.factor if stiff else 0.0
        off = {(off.side, key) for off in line.off for key in off.stills}
        gone = {side: {key for of, key in off if of == side} for side in self.sheet.sides}
        stance = self.stance_of(line)
        found = np.zeros((DRAWS, SAMPLES), dtype=bool)
        behind = found.copy() if not line.side else found  # by the left-hand crank, if not by all
        for thing, room in one.rooms.items():
            if line.side not in ("", thing.side) or thing.stance != stance:
                continue
            if gone[thing.side].isdisjoint(thing.keys):
                mine = behind if thing.side == "left" else found
                np.logical_or(mine, room < margin, out=mine)
        if not line.side:
            found |= np.roll(behind, steps(self._ahead_of("left")), axis=1)
        rods = frozenset(k for k in off if k[1].startswith(COUPLING_RODS))
        share = one.shares(rods)
        if share is not None and not (line.what is What.FREE and line.side and not line.off):
            found |= self.seen_from(line.side, share > (_STIFF_SHARE if stiff else 1.0))
        return found

    def seen_from(self, side: str, by_right: Mask) -> Mask:
        """Turn what is by the right-hand crank into what is by a side's."""
        return np.roll(by_right, -steps(self._ahead_of(side)), axis=1)

    def _ahead_of(self, side: str) -> float:
        """Return by how much the right-hand crank is ahead of a side's [rad]."""
        return self.sheet.right_leads_by if side == "left" else 0.0

    def likelihood(self, one: Hypothesis, line: Felt | Seen, stopped: Mask | None = None) -> Array:
        """Return how likely a line is by a cause, in each draw, shape (M,).

        `stopped`: where it stops the wheels as the line has them, if that is known.
        """
        if isinstance(line, Seen):
            return self._of_gap(one, line)
        if one.fault is None:
            return np.full(DRAWS, _outside(line))
        return likelihood(line, self.stopped(one, line))

    def _of_gap(self, one: Hypothesis, line: Seen) -> Array:
        room = np.maximum(self._room_of(one, line), 0.0)
        place = id(one), self.stance_of(line), line.side, line.at, line.at_error
        if place not in self._stood:
            self._stood[place] = self._stands(one, line)
        here = self._stood[place]
        least = np.where(here, room, np.inf).min(axis=1)
        most = np.where(here, room, 0.0).max(axis=1)
        # few draws stand for all: each for those around it, the wider the more gaps were seen
        between = DRAWS ** (-1 / (4 + len(self.sheet.seen))) * float(least.std())
        sigma = max(line.gap_error / 2, 0.02 * self.factor, between)
        beyond = (most >= self.suspects.variants.reach) & (line.gap >= self.suspects.variants.reach)
        off = np.where(beyond, 0.0, np.maximum(np.maximum(least - line.gap, line.gap - most), 0.0))
        return np.asarray(SLIP + (1 - SLIP) * np.exp(-0.5 * (off / sigma) ** 2))

    def _stands(self, one: Hypothesis, line: Seen) -> Mask:
        """Return where the crank may have stood for a gap, by a cause, shape (M, SAMPLES).

        Anywhere within its error; or, where the wheels stop thereabouts, as far as they go.
        """
        stance = self.stance_of(line) or Stance()
        so = stance.running, stance.pushed
        stopped = self.stopped(
            one, Felt(What.LOCKS, line.side, 0.0, 0.0, 0.0, False, None, (), *so)
        )
        edges = stopped ^ np.roll(stopped, 1, axis=1)
        apart = np.abs((CRANK - line.at + math.pi) % (2 * math.pi) - math.pi)
        near = apart <= max(line.at_error, float(apart.min()))
        return np.asarray(near | ((edges | np.roll(edges, -1, axis=1)) & (apart < math.pi / 2)))

    def _room_of(self, one: Hypothesis, line: Seen) -> Array:
        """Return the air between two parts by a cause, in each draw, shape (M, SAMPLES) [mm]."""
        turned = self.suspects.of_case(one.case) if one.case and not one.on_sheet else None
        stance, between = self.stance_of(line), set(line.between)

        def is_it(thing: Thing) -> bool:
            where = thing.side, thing.kind, thing.stance
            return where == (line.side, Kind.FOULS, stance) and set(thing.parts) == between

        for thing, drawn in one.rooms.items():
            if is_it(thing):
                return drawn.astype(np.float64)
        rooms = {**self.suspects.variants.base, **({} if turned is None else turned.rooms)}
        for thing, room in rooms.items():
            if is_it(thing):
                return self.suspects.noise.with_noise(thing, room).astype(np.float64)
        return np.full((DRAWS, SAMPLES), self.suspects.variants.reach)


def _outside(line: Felt | Seen) -> float:
    """Return how likely a line is where what sticks is not in the motion."""
    if isinstance(line, Seen):
        return SLIP
    still = _STILL[any(off.key == MOTOR for off in line.off)] if line.off else 1.0 - SLIP
    if line.what is What.FREE:
        return 1 - still if not line.side or line.off else 0.5
    if line.all_round:
        return _FAST * still
    places = 0 if not line.placed else 2 if line.end > line.begin else 1
    return still / (2 * math.pi) ** places


def _otherwise(line: Felt) -> float:
    """Return how likely a line is where it is something else in the motion."""
    if not line.off or any(off.key == MOTOR for off in line.off):
        return _outside(line)
    # what is off may be of it, or not
    return 0.5 if line.what is What.FREE else 0.5 * _outside(line) / _STILL[False]


def _rank(weighing: Weighing) -> tuple[Cause, ...]:
    """Return the causes of what was felt, likeliest first."""
    weights: dict[_Name, float] = {}
    best: dict[_Name, tuple[float, Hypothesis]] = {}
    for one, weight in zip(weighing.hypotheses, weighing.weights.tolist(), strict=True):
        key = one.fault, one.on_sheet, None if one.second is None else one.second.fault
        weights[key] = weights.get(key, 0.0) + weight
        if weight >= best.get(key, (-1.0, one))[0]:
            best[key] = weight, one
    total = sum(weights.values()) + weighing.otherwise or 1.0
    order = sorted(weights, key=lambda key: -weights[key])
    shares = {key: weights[key] / total for key in order}
    # those that hardly count are not looked at more closely
    return tuple(
        _cause(weighing, best[key][1], shares[key])
        for k, key in enumerate(order)
        if k < _TOLD or shares[key] > _COUNTS
    )


_Name = tuple[Fault | None, bool, Fault | None]
"""A fault, whether it is on the sheet, and the other of a pair."""


def _cause(weighing: Weighing, one: Hypothesis, chance: float) -> Cause:
    lines = weighing.lines
    explains = tuple(
        float(weighing.likelihood(one, line).mean()) / _outside(line) for line in lines
    )
    elsewhere = {stance: _stopped(weighing, one, stance) for stance in weighing.stances}
    stopping = (t for t, room in one.rooms.items() if (room.min(axis=1) < 0).mean() > 0.5)
    things = {(thing.side, thing.kind, thing.parts): thing for thing in stopping}
    share = one.shares(frozenset())
    binds = share is not None and float((share.max(axis=1) > 1).mean()) > 0.5
    second = None if one.second is None else _cause(weighing, one.second, chance)
    case = one.case and replace(one.case, size=weighing.size_of(one))
    return Cause(one.fault, chance, case, one.on_sheet, explains, _stopped(weighing, one),
                 tuple(things.values()), binds, elsewhere, second,
                 one.beside > one.told)  # fmt: skip


def _stopped(weighing: Weighing, one: Hypothesis, stance: Stance | None = None) -> dict[str, Mask]:
    """Return by side where the wheels would stop, standing so."""
    so = stance or Stance()
    found = {}
    for side in weighing.sheet.sides:
        line = Felt(What.LOCKS, side, 0.0, 0.0, 0.0, False, None, (), so.running, so.pushed)
        found[side] = weighing.stopped(one, line).mean(axis=0) > 0.5
    return found
