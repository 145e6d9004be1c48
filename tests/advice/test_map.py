"""Maps of two numbers against whole examinations of pairs, one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.advice.map import find_map
from linkage.errors import AssemblyError, SheetError
from linkage.examine import examine
from linkage.sheet import change
from tests.ready import examined_once, ready

MAPS = {  # sheet: two numbers, and ranges with an edge across them
    "ardmoor-2-6-0": (
        ("right.radius_rod.bend[1].towards_frames", 0.0, 1.0),
        ("right.radius_rod.out", 4.2, 4.7),
    ),
    "ardmoor-2-6-0-straightened": (
        ("wheels.throw", 4.2, 4.9),
        ("connecting_rod.centres", 41.2, 42.6),
    ),
    "ardmoor-0-6-0-7mm": (("radius_rod.out", 6.0, 7.0), ("motion_bracket.out", 4.0, 6.0)),
    "four-bar": (("part[1].centres", 30.0, 80.0), ("part[2].centres", 8.0, 40.0)),
    "ardmoor-0-6-0-coupled": (
        ("left.axles.leading.pin_ahead_by", -3.0, 6.0),
        ("right.coupling_rods.front.centres", 28.9, 29.1),
    ),
    "ardmoor-0-4-0-worn-hole": (
        ("coupling_rods.front.centres", 28.9, 29.3),
        ("wheels.right_leads_by", 88.0, 92.0),
    ),
    "ardmoor-pacific-5in": (("weighshaft.up", 97.0, 101.0), ("lifting_link.centres", 58.0, 62.0)),
    "slider-crank": (("connecting_rod.centres", 63.0, 69.0), ("wheels.throw", 9.0, 13.0)),
    "slider-crank-rod-too-long": (
        ("connecting_rod.centres", 64.0, 68.0),
        ("wheels.throw", 10.0, 14.0),
    ),
    "ardmoor-0-6-0-nut-on-curves": (
        ("axles.leading.side_play", 0.2, 0.8),
        ("connecting_rod.out", 3.0, 5.0),
    ),
}
NEAR = 0.006
"""Pairs with no more slack than this either way are left out: a survey finds the least air of a
pair of parts to within its own 0.004 mm only (`clearance.survey`), and looks between the samples
where the map does not."""
STEPS, EACH = 4, 2
"""Values of each number, and pairs on either side of the edge that are examined: the nearest to
it, for a whole examination takes a second."""


def is_free(sheet, values):
    try:
        return examine(change(sheet, values), known=examined_once(sheet)).free
    except (AssemblyError, SheetError):
        return False


ALIKE = {"ardmoor-0-6-0-7mm", "ardmoor-0-6-0-coupled", "ardmoor-pacific-5in"}
"""In a map as the others are; their windows are tested, or a map of theirs below."""


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.long) if name in ALIKE else name for name in MAPS]
)
def test_pairs_are_free_as_a_whole_examination_has_them(name):
    """Those nearest to the edge on either side; of the slider-cranks, all of them."""
    sheet = ready(name)
    (first, *ends), (second, *others) = MAPS[name]
    found = find_map(sheet, (first, second), (tuple(ends), tuple(others)), STEPS)
    pairs = sorted(
        (abs(stop.slack), stop.slack > 0, a, b)
        for a, row in zip(found.axes[0].values.tolist(), found.stops, strict=True)
        for b, stop in zip(found.axes[1].values.tolist(), row, strict=True)
        if abs(stop.slack) > NEAR
    )
    assert len(pairs) >= 0.75 * found.free.size
    for free in (True, False):
        mine = [(a, b) for _, side, a, b in pairs if side == free]
        assert mine
        for a, b in mine if name.startswith("slider") else mine[:EACH]:
            assert is_free(sheet, {first: a, second: b}) == free, (a, b)


@pytest.fixture(scope="module")
def coupled():
    sheet = ready("ardmoor-0-6-0-coupled")
    (first, *ends), (second, *others) = MAPS["ardmoor-0-6-0-coupled"]
    return find_map(sheet, (first, second), (tuple(ends), tuple(others)), 7)


def test_both_ends_and_todays_value_are_looked_at(coupled):
    for axis, (_, low, high) in zip(coupled.axes, MAPS["ardmoor-0-6-0-coupled"], strict=True):
        assert (axis.values[0], axis.values[-1]) == pytest.approx((low, high), abs=1e-9)
        assert axis.now in axis.values
        assert (np.diff(axis.values) > 0).all()
    assert [len(axis.values) for axis in coupled.axes] == [7, 7]  # an end, and an even step
    assert (coupled.axes[0].degrees, coupled.axes[1].degrees) == (True, False)


def test_today_is_the_pair_as_it_is(coupled):
    at = [int(np.flatnonzero(axis.values == axis.now)[0]) for axis in coupled.axes]
    assert not coupled.here
    assert coupled.today.what == coupled.stops[at[0]][at[1]].what
    assert coupled.today.slack == pytest.approx(coupled.stops[at[0]][at[1]].slack, abs=1e-4)


def test_the_nearest_is_free_and_no_free_pair_is_nearer(coupled):
    def away(pair):
        return math.hypot(
            *((value - axis.now) / np.ptp(axis.values)
              for axis, value in zip(coupled.axes, pair, strict=True))
        )  # fmt: skip

    pairs = {
        (a, b): coupled.stops[i][j].slack >= 0
        for i, a in enumerate(coupled.axes[0].values.tolist())
        for j, b in enumerate(coupled.axes[1].values.tolist())
    }
    assert pairs[coupled.nearest]
    assert away(coupled.nearest) == pytest.approx(min(away(p) for p, free in pairs.items() if free))


def test_one_number_alone(coupled):
    """With the rod as it is another angle does; with the angle as it is no rod does."""
    angle, rod = coupled.alone
    assert rod is None
    sheet, first = ready("ardmoor-0-6-0-coupled"), coupled.axes[0]
    assert is_free(sheet, {first.key: angle})
    beyond = first.values[np.flatnonzero(first.values == angle)[0] + 1]
    assert not is_free(sheet, {first.key: beyond})


def test_today_outside_what_was_looked_at(coupled, demo):
    keys = ("right.radius_rod.bend[1].towards_frames", "right.radius_rod.out")
    found = find_map(demo, keys, ((0.01, 0.2), (None, None)), 2)
    assert not found.holds(found.now)
    assert coupled.holds(coupled.now)
    assert not found.here
    assert found.today.parts == examined_once(demo).spots[0].parts
    assert len(found.axes[0].values) == 2
    assert found.alone[1] is None


def test_numbers_that_a_sheet_does_not_take(demo):
    keys = ("right.radius_rod.bend[1].towards_frames", "right.radius_rod.out")
    found = find_map(demo, keys, ((-0.5, -0.1), (None, None)), 2)
    assert {stop.kind for row in found.stops for stop in row} == {None}
    assert found.nearest is None
    assert found.stoppers == ((None, "only", ()),)


def test_it_passes_by_every_value_of_the_first(demo):
    passed = []

    def watch(values):
        for value in values:
            yield value
            passed.append(value)

    keys = ("radius_rod.out", "eccentric_rod.out")
    found = find_map(demo, keys, ((None, None), (None, None)), 2, watch)
    assert passed == found.axes[0].values.tolist()


def test_bad_calls(demo):
    about = ((None, None), (None, None))
    with pytest.raises(ValueError, match="given twice"):
        find_map(demo, ("radius_rod.out", "radius_rod.out"), about)
    with pytest.raises(SheetError, match=r'did you mean "radius_rod\.centres"'):
        find_map(demo, ("radius_rod.out", "radius_rod.centre"), about)
    with pytest.raises(ValueError, match="is empty"):
        find_map(demo, ("radius_rod.out", "eccentric_rod.out"), ((None, None), (6.0, 5.0)))
