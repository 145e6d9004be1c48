"""A cylinder that was put back elsewhere is moved with all that is fixed to it."""

from __future__ import annotations

import pytest

from linkage.advice import advise, changes_of
from linkage.advice.cure import Replace, Shift
from linkage.examine import examine
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Fouls, RunsOff

ON_IT = ("cylinder.rear_cover", "cylinder.front_cover", "slide_bars.rear", "slide_bars.front")


def moved(name: str, by: float, side: str = ""):
    """Return a ready engine whose cylinder stands so far from its place, on one side or both."""
    sheet = read_sheet(ready_sheets()[name])
    held = sheet.dimensions[side or next(iter(sheet.sides))]
    bare = {key.removeprefix(f"{side}."): value for key, value in held.items()}
    before = f"{side}." if side else ""
    return examine(change(sheet, {f"{before}{key}": bare[key] + by for key in ON_IT}))


def test_on_an_engine_of_one_side_by_the_least_that_frees_all():
    found = moved("slider-crank", -3.7)
    assert {type(spot) for spot in found.spots} == {Fouls, RunsOff}
    firsts = {item.cures[0].cure for item in advise(found)}
    assert len(firsts) == 1, "one cure for all that it did"
    (first,) = firsts
    assert isinstance(first, Shift)
    assert first.parts == ("cylinder", "slide_bars")
    assert {key for key, _ in first.changes} == set(ON_IT)
    assert 0.0 < first.by < 3.7 + 1e-6
    assert examine(change(found.sheet, dict(first.changes))).free


def test_to_where_the_other_side_has_it():
    found = moved("ardmoor-4-4-0-stephenson-rocker", -12.0, "left")
    item = next(one for one in advise(found) if isinstance(one.spot, RunsOff))
    first = item.cures[0].cure
    assert isinstance(first, Shift)
    assert first.alike
    assert first.by == pytest.approx(12.0)
    assert {key for key, _ in changes_of(first)} == {f"left.{key}" for key in ON_IT}
    assert examine(change(found.sheet, dict(first.changes))).free


def test_not_where_the_other_side_has_it_there_too_and_something_else_is_unlike():
    sheet = read_sheet(ready_sheets()["ardmoor-4-4-0-stephenson-rocker"])
    long = sheet.dimensions["left"]["connecting_rod.centres"] + 12.0
    found = examine(change(sheet, {"left.connecting_rod.centres": long}))
    cures = [tried.cure for item in advise(found) for tried in item.cures]
    assert isinstance(cures[0], Replace)
    assert not any(isinstance(cure, Shift) for cure in cures)
