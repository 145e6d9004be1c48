"""Sizes between those that a fault is turned in, against the fault turned at that very size."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.cause import Weighing
from linkage.cause.fault import Case, Fault
from linkage.cause.faults import faults_of
from linkage.cause.sampling import CRANK, SAMPLES, Kind, Thing, Turned, Variants
from linkage.cause.sizes import sized
from linkage.examine import examine
from linkage.sheet import change, sheet_from
from linkage.tables.felt import Stance
from linkage.tightspots import CannotClose
from tests.ready import ready

ONE = Thing("right", Kind.FOULS, ("rod", "wheel"), frozenset({"rod"}))
FAR = np.full(SAMPLES, 1.0)


def made(*sizes, exact=(), added=False, shapes=("",)):
    """Return a fault whose room is less by twice its size, and how its cases turn."""
    cases = tuple(
        Case(size, 1.0, None, shape=shape, exact=size in exact)
        for shape in shapes
        for size in sizes
    )
    fault = Fault("right", "rod", "centres", 1.0, cases, added=added)
    rooms = {id(case): Turned({ONE: FAR - 2 * abs(case.size)}, None) for case in cases}
    return fault, rooms


def test_every_draw_has_a_size_of_its_own_of_those_a_case_stands_for():
    fault, turned = made(0.7, 1.5, -0.7)
    low, high = (sized(fault, case, turned, 50).sizes for case in fault.cases[:2])

    assert 0.28 < low.min() < 0.3
    assert 1.08 < low.max() < 1.1 < high.min() < 1.12
    assert 1.88 < high.max() < 1.9
    assert (sized(fault, fault.cases[2], turned, 50).sizes < 0).all()


@pytest.mark.parametrize("added", [False, True])
def test_what_goes_with_the_size_is_as_it_is_at_that_size(added):
    """Within the sizes turned and beyond; also where the sheet is not the fault of size nought."""
    fault, turned = made(0.7, 1.5, added=added)
    for case in fault.cases:
        found = sized(fault, case, turned, 50)
        assert found.room(ONE, FAR) == pytest.approx(1.0 - 2 * np.tile(found.sizes, (SAMPLES, 1)).T)


def test_what_is_added_is_never_part_way_to_nothing():
    fault, turned = made(0.7, 1.5, added=True)

    assert None not in sized(fault, fault.cases[0], turned, 50).turned


def test_a_size_that_was_measured_is_that_size():
    fault, turned = made(0.7, 1.02, 1.5, exact=(1.02,))
    found = sized(fault, fault.cases[1], turned, 50)

    assert set(found.sizes) == {1.02}
    assert sized(fault, fault.cases[0], turned, 50).sizes.max() > 1.08  # and bounds no other


def test_bends_of_another_shape_are_not_between():
    fault, turned = made(0.7, shapes=("kink at 0.25", "kink at 0.5"))
    found = sized(fault, fault.cases[1], turned, 50)

    assert found.turned == (None, turned[id(fault.cases[1])])


def test_where_a_loop_stops_at_a_size_that_was_not_turned():
    """The ends of its arc lie between theirs: by a whole examination, to some degrees."""
    sheet, key = ready("ardmoor-0-6-0-7mm"), "expansion_link.trunnion.ahead"
    (fault,) = (f for f in faults_of(sheet) if f.key == key)
    turned = {}
    for some in Variants(sheet)(case.sheet for case in fault.cases):
        turned |= {id(case): one for case, one in zip(fault.cases, some, strict=True)}
    checked = 0
    for case in fault.cases:
        found = sized(fault, case, turned, 12)
        for thing in found.things:
            if thing.kind is not Kind.OPEN or thing.side != "right":
                continue
            rooms = found.room(thing, np.full(SAMPLES, Variants(sheet).reach))
            row = int(np.argmin(rooms.min(axis=1)))
            inside = np.degrees(CRANK[rooms[row] < 0])
            if not len(inside):
                continue
            true = examine(change(sheet, {key: fault.value + float(found.sizes[row])}))
            arcs = [(math.degrees(spot.begin), math.degrees(spot.end)) for spot in true.spots
                    if isinstance(spot, CannotClose) and spot.side == "right"]  # fmt: skip
            assert arcs
            begin, end = arcs[0]
            assert inside.min() == pytest.approx(begin, abs=9)
            assert inside.max() == pytest.approx(end, abs=9)
            checked += 1
    assert checked


def test_what_is_felt_besides_is_weighed_without_turning_anything_again():
    data = ready("ardmoor-0-6-0-good").data
    line = {"what": "locks", "side": "right", "at": "about 3 o'clock"}
    more = {"what": "free", "taken_off": ["right.coupling_rods", "left.coupling_rods"]}
    before = Weighing(sheet_from({**data, "felt": [line]}, "engine.toml", ask=False))
    sheet = sheet_from({**data, "felt": [line, more]}, "engine.toml", ask=False)
    after, anew = Weighing(sheet, before=before), Weighing(sheet)

    assert after.suspects is before.suspects
    told = [
        [(cause.fault and cause.fault.key, cause.chance) for cause in one.causes]
        for one in (after, anew)
    ]
    assert told[0] == told[1]
    assert not before.suspects.stand_for(ready("ardmoor-0-6-0-rod-long"), ())
    assert not before.suspects.stand_for(sheet, (Stance(pushed=(("leading", "right"),)),))
