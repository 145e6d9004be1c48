"""What may be wrong with an engine, before anything was felt: every fault, turned, and how often.

What is found out here rests on the sheet alone, and on the ways in which the engine stood; so it
serves for whatever is felt of it. The mathematics stands at the head of `weighing.py`.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from linkage.cause.fault import LENGTH, Apart, Case, Fault, How
from linkage.cause.faults import faults_of
from linkage.cause.noise import DRAWS, PlayNoise, RoomNoise, SharesOff, Was
from linkage.cause.pairs import Hypothesis
from linkage.cause.sampling import Turned, Variants
from linkage.cause.sizes import sized
from linkage.sheet import Sheet
from linkage.tables.felt import Stance

OUTSIDE = 0.08
"""Chance, before anything was felt, that what sticks is not in the motion [1]: common practice, no
source."""
MISREAD = 0.03
"""Chance that a number was measured or written down wrongly [1]: likewise."""
ONE_FOR_BOTH = 0.15
"""Chance, beside a guess, that of a number measured once for both sides the other side's is not so
[1]: likewise."""
_TINY = 1e-12

Progress = Callable[[int, int], None]
"""Told how many variants are turned, of how many."""


class Suspects:
    """Every single fault of a sheet, and what would stop the wheels with it.

    Parameters
    ----------
    sheet : Sheet
        As it stands.
    stances : sequence of Stance
        Other ways of standing in which all is looked at too.
    near : float [mm]
        Room below which a thing is looked at in every draw.
    progress : callable, optional
        Told how far it is.
    before : Suspects, optional
        Of the same engine with other numbers: what is in both is not turned again.
    """

    def __init__(
        self, sheet: Sheet, stances: Sequence[Stance], near: float,
        progress: Progress | None = None, before: Suspects | None = None,
    ) -> None:  # fmt: skip
        # a sheet's tables may be changed by whoever holds them
        self._of, self._stances = copy.deepcopy(_without_felt(sheet)), frozenset(stances)
        self.variants: Variants = Variants(
            sheet, stances, before=None if before is None else before.variants
        )
        self.faults = faults_of(sheet)
        self._turned = _turn(self.variants, self.faults, progress)
        pairs = [
            (fault, {case: t for case in fault.cases if (t := self._turned[id(case)]) is not None})
            for fault in self.faults
        ]
        self.noise = RoomNoise(self.variants, pairs, near)
        self.play = (
            PlayNoise(self.variants, self.faults) if self.variants.wheels is not None else None
        )
        self._no_play: tuple[SharesOff, float] = (lambda _: None), 1.0

    def stand_for(self, sheet: Sheet, stances: Sequence[Stance]) -> bool:
        """Tell whether they are those of a sheet too, standing so: whatever was felt on it."""
        return _without_felt(sheet) == self._of and self._stances.issuperset(stances)

    def of_case(self, case: Case) -> Turned | None:
        """Return what may stop a case."""
        return self._turned.get(id(case))

    @cached_property
    def every(self) -> tuple[Hypothesis, ...]:
        """All of them, with how likely each is before anything was felt."""
        return tuple(self._all())

    def _all(self) -> Iterator[Hypothesis]:
        total = sum(fault.often for fault in self.faults)
        for fault in self.faults:
            often = (1 - OUTSIDE) * fault.often / total
            for case in fault.cases:
                turned = self._turned[id(case)]
                if turned is not None:
                    yield from self._of_case(fault, case, turned, often * case.chance)

    def _of_case(
        self, fault: Fault, case: Case, turned: Turned, often: float
    ) -> Iterator[Hypothesis]:
        if fault.on_sheet:
            peers = 1.0 if fault.how is How.REFITTED else _peers(fault.apart, fault.value)
            yield self._moved_back(fault, replace(case, size=fault.value), turned, often, peers)
            return
        new = often * _wrong_though_known(fault)
        peers = 1.0 if fault.centres is None else _peers(fault.centres, -case.shortens)
        yield self._moved_on(fault, case, new, peers)
        if fault.origin.known and not fault.bend:
            # the case is how the sheet would be without the fault: the fault goes the other way
            apart = fault.value - fault.across
            size = -case.size if math.isnan(apart) or apart * case.size > 0 else apart or -case.size
            peers = _peers(fault.apart, -case.size)
            back = replace(case, size=size)
            yield self._moved_back(fault, back, turned, often * (1 - MISREAD), peers)

    def _moved_back(
        self, fault: Fault, case: Case, turned: Turned, often: float, peers: float
    ) -> Hypothesis:
        """Return a fault that the sheet has: it was as the case is."""
        rooms, free = self.noise.drawn(turned)
        shares, turns = self._no_play if self.play is None else self.play.drawn(turned)
        told = peers * free * turns
        return Hypothesis(fault, case, True, often, rooms, shares, told, sizes=case.size)

    def _moved_on(self, fault: Fault, case: Case, often: float, peers: float) -> Hypothesis:
        """Return a fault that the sheet does not have: it is as the case is, or about."""
        was, size = self._longer(fault, case), sized(fault, case, self._turned, DRAWS)
        rooms, free = self.noise.moved_on(size, was)
        shares, turns = self._no_play if self.play is None else self.play.moved_on(size, was)
        told = peers * free * turns
        return Hypothesis(fault, case, False, often, rooms, shares, told, sizes=size.sizes)

    def _longer(self, fault: Fault, case: Case) -> Was | None:
        """Return what an engine was whose rod, now bent, was measured as it is; None for others."""
        if fault.centres is None or not case.shortens:
            return None
        for length in self.faults:
            if length.key == f"{fault.side}.{fault.table}.{LENGTH}":
                of_case = {one.size: self._turned[id(one)] for one in length.cases}
                size = max(of_case)
                turned = of_case[size]
                return None if turned is None else (turned, case.shortens / size)
        return None


def _wrong_though_known(fault: Fault) -> float:
    """Return how likely it is that a number is not as the sheet has it, beside a guess [1]."""
    if not fault.origin.known:
        return 1.0
    return ONE_FOR_BOTH if fault.one_for_both else MISREAD


def _without_felt(sheet: Sheet) -> dict[str, Any]:
    """Return a sheet's tables but what was felt and seen."""
    return {key: held for key, held in sheet.data.items() if key not in ("felt", "seen")}


def _turn(
    variants: Variants, faults: Sequence[Fault], progress: Progress | None
) -> dict[int, Turned | None]:
    """Return what may stop each case, by the case's identity."""
    cases = [case for fault in faults for case in fault.cases]
    found: list[Turned | None] = []
    for some in variants(case.sheet for case in cases):
        found += some
        if progress is not None:
            progress(len(found), len(cases))
    return {id(case): turned for case, turned in zip(cases, found, strict=True)}


def _peers(apart: Apart, size: float) -> float:
    """Return how much likelier what the peers of a measured number are is with the fault.

    The size is by how much the number is more than it should be.
    """
    if math.isnan(apart.by):
        return 1.0
    sigma = max(apart.error, 0.1 * abs(size), _TINY)
    with_, without = (apart.by - size) / sigma, apart.by / sigma
    return math.exp(max(-0.5 * with_**2, -30.0)) / max(math.exp(max(-0.5 * without**2, -6.0)), 0.05)
