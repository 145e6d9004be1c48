"""Two causes of one tight spot: a bend and a part that was moved, put right together."""

from __future__ import annotations

from dataclasses import replace

import pytest

from linkage.advice import advise
from linkage.advice.concern import makes_wrong, was_there
from linkage.advice.cure import (
    Number,
    Outcome,
    PutRight,
    Replace,
    Straighten,
    Together,
    Tried,
    changes_of,
)
from linkage.advice.trial import examined_with
from linkage.examine import examine
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Fouls, RunsOff, Uneven
from tests.ready import examined_once

READY = "ardmoor-2-6-0-dummy-gear"


@pytest.fixture(scope="module")
def two_causes():
    """Return an engine whose right rod is kinked down towards bars that sit 1 mm too far back."""
    sheet = read_sheet(ready_sheets()[READY])
    held = sheet.dimensions["right"]
    kink = {"kind": "kink", "from": "big end", "at": 9.5, "down": 0.4}
    right = {
        "slide_bars": {key: held[f"slide_bars.{key}"] - 1.0 for key in ("rear", "front")},
        "connecting_rod": {"bend": [kink]},
    }
    return examine(sheet_from({**sheet.data, "right": right}, ask=False))


def test_two_causes_of_one_spot_are_put_right_together(two_causes):
    item = next(one for one in advise(two_causes) if isinstance(one.spot, Fouls))
    first = item.cures[0].cure

    assert isinstance(first, Together)
    assert {type(one) for one in first.cures} == {Straighten, PutRight}
    assert {one.number.key for one in first.cures if isinstance(one, PutRight)} == {
        "slide_bars.rear"
    }

    def near(changes):
        spots = examine(change(two_causes.sheet, dict(changes))).spots
        return any(set(one.parts) == set(item.spot.parts) for one in spots)

    assert not near(changes_of(first))
    assert all(near(one.changes) for one in first.cures)


def test_what_the_other_side_has_too_is_not_the_doing_of_a_number_made_as_there(demo):
    found = examined_once(demo)
    here = Outcome(spoils=(replace(found.spots[0], side="left"),))
    alike, by_itself = (
        PutRight(Number("connecting_rod.centres", 37.0, 1.0, other), changes=())
        for other in (38.0, float("nan"))
    )

    assert {spot.side for spot in found.spots} == {"right"}
    assert not makes_wrong(found, "left", Tried(alike, here))
    assert makes_wrong(found, "left", Tried(by_itself, here))
    assert not makes_wrong(found, "left", Tried(by_itself))


def test_what_is_wrong_with_one_side_is_not_done_to_the_other_as_well():
    """A short rod of one side runs a die off, and the link of the other then swings otherwise.

    Nor are the two rods of its side exchanged, which would leave the valves as unlike as they are.
    """
    sheet = read_sheet(ready_sheets()["ardmoor-4-4-0-stephenson-rocker"])
    found = examine(change(sheet, {"left.fore_eccentric_rod.centres": 122.87}))
    assert {(type(spot), spot.side) for spot in found.spots} == {
        (RunsOff, "left"),
        (Uneven, "right"),
    }
    (first,) = {item.cures[0].cure for item in advise(found)}
    assert isinstance(first, Replace)
    assert first.number.key == "fore_eccentric_rod.centres"
    assert [key for key, _ in first.changes] == ["left.fore_eccentric_rod.centres"]


def test_a_side_is_examined_once_for_all_spots_that_a_cure_is_tried_for(demo):
    found = examined_once(demo)
    made = replace(found.sides["right"].mechanism, curve=0.0)
    again = replace(made, parts=tuple(made.parts))

    assert examined_with(found, "right", made) is examined_with(found, "right", again)


def test_what_runs_off_one_end_was_not_there_for_running_off_the_other():
    found = examine(read_sheet(ready_sheets()["slider-crank-rod-too-long"]))
    spot = next(one for one in found.spots if isinstance(one, RunsOff))
    other = replace(spot, run_off=replace(spot.run_off, forward=not spot.run_off.forward))

    assert was_there(spot, found.spots)
    assert not was_there(other, [spot])
