"""Two faults together, where one alone explains only the one place or the other."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from linkage.cause.fault import Case, Fault
from linkage.cause.feeling import likelihood
from linkage.cause.pairs import SECOND, Hypothesis, pairs_of, with_seconds
from linkage.cause.sampling import CRANK, SAMPLES, Kind, Thing
from linkage.tables.felt import Felt, What

DRAWS = 3


def fault(name, *arcs, on_sheet=False, prior=0.01):
    """Return a fault that stops the wheels from one of some degrees to another."""
    inside = np.any([(np.degrees(CRANK) >= a) & (np.degrees(CRANK) <= b) for a, b in arcs], axis=0)
    room = np.tile(np.where(inside, -0.1, 0.3), (DRAWS, 1))
    case = Case(0.3, 1.0, None)
    one = Fault("right", name, "centres", 1.0, (case,))
    thing = Thing("right", Kind.FOULS, (name, "wheel"), frozenset({name}))
    return Hypothesis(one, case, on_sheet, prior, {thing: room}, lambda _: None)


def felt(at, what=What.LOCKS):
    begin = math.radians(at)
    return Felt(what, "right", begin, begin, math.radians(5), True)


def made(every, *lines):
    def likely(one, number):
        stopped = np.zeros((DRAWS, SAMPLES), dtype=bool)
        for room in one.rooms.values():
            stopped |= room < 0
        return likelihood(lines[number], stopped)

    def weight(one):
        return one.prior * float(np.prod([likely(one, k) for k in range(len(lines))], 0).mean())

    return list(pairs_of(every, lines, likely)), weight


NEAR, FAR, BESIDE = fault("near", (60, 90)), fault("far", (240, 270)), fault("beside", (150, 160))


def test_two_places_are_explained_by_two_faults_and_not_by_either_alone():
    found, weight = made([NEAR, FAR, BESIDE], felt(75), felt(255))
    best = max(found, key=weight)

    assert {best.fault.table, best.second.fault.table} == {"near", "far"}
    assert best.prior == SECOND * NEAR.prior * FAR.prior
    likely = weight(best) / best.prior
    assert likely > 20 * max(weight(one) / one.prior for one in (NEAR, FAR))


def test_one_fault_that_explains_both_places_stays_the_likelier():
    both = fault("both", (60, 90), (240, 270))
    found, weight = made([NEAR, FAR, both], felt(75), felt(255))

    assert weight(both) > 10 * max(map(weight, found))


@pytest.mark.parametrize("lines", [(felt(75),), (felt(75), felt(200, What.FREE))])
def test_one_place_has_no_pairs(lines):
    assert made([NEAR, FAR, BESIDE], *lines)[0] == []


def test_what_the_sheet_has_is_no_member():
    """With that a second fault is weighed already."""
    there = fault("there", (60, 90), on_sheet=True, prior=0.5)
    found, _ = made([there, FAR], felt(75), felt(255))

    assert found == []


def test_two_faults_of_one_part_are_no_pair():
    """What was measured of the part speaks for either, and would count twice."""
    bent = fault("near", (240, 270))
    other = replace(bent, fault=replace(bent.fault, what="up"))
    found, _ = made([NEAR, other, FAR], felt(75), felt(255))

    assert {frozenset((one.fault.table, one.second.fault.table)) for one in found} == {
        frozenset(("near", "far"))
    }


def test_what_the_numbers_say_of_both_counts_once():
    """Where the sheet's own engine would not turn they speak for every fault that it would not."""
    one, other = (replace(each, told=1000.0) for each in (NEAR, FAR))
    (found,), _ = made([one, other], felt(75), felt(255))

    assert found.prior == pytest.approx(SECOND * one.often * other.often * 1000.0)


def test_beside_a_fault_of_the_sheet_another_is_weighed_as_the_second():
    """By what the numbers say of either; a second fault of its own part would count twice."""
    there = replace(fault("there", (60, 90), on_sheet=True, prior=0.5), told=40.0)
    bent = replace(fault("there", (200, 230)), told=70.0)
    done = {one.fault.table: one for one in with_seconds([there, NEAR]) if not one.on_sheet}

    assert done["near"].prior == pytest.approx(NEAR.often * (1 + SECOND * 0.5 * 40.0))
    assert with_seconds([there, bent])[1].prior == bent.prior
    assert [one.prior for one in with_seconds([NEAR, FAR])] == [NEAR.prior, FAR.prior]
