"""The rocker as an arrangement: free and proven at both stops, and what is wrong with it found."""

from __future__ import annotations

import copy
import math

import pytest

from linkage.advice import search_cures
from linkage.advice.cure import Straighten, TurnEccentric, changes_of
from linkage.errors import SheetError
from linkage.events import find_events
from linkage.examine import examine
from linkage.sheet import change, sheet_from
from linkage.tightspots import Mistimed, kind_of
from tests.ready import examined, ready

NAME = "ardmoor-0-4-2-rocker"


def changed(left=None, **tables):
    data = copy.deepcopy(dict(ready(NAME).data))
    for key, held in tables.items():
        data[key] = {**data[key], **held} if isinstance(held, dict) else held
    return sheet_from(data | ({"left": left} if left else {}), "rocker.toml", ask=False)


def test_it_is_free_and_proven_against_either_stop():
    found = examined(NAME)
    assert found.free
    held = found.everywhere["right"].at
    assert set(held) == {"full_forward", "full_back"}
    pairs = [pair for at in held.values() for pair in at.survey.pairs]
    assert {pair.between_samples for pair in pairs} == {"proven"}


def test_the_travel_goes_with_the_arms():
    """The upper arm a tenth longer: a tenth more travel, but for the arms' arcs."""
    one, longer = (
        find_events(sheet).sides["right"].places[0].travel
        for sheet in (ready(NAME), changed(rocker={"upper_arm": 10.56}))
    )
    assert longer / one == pytest.approx(1.1, abs=0.005)


def test_bent_arms_carry_the_valve_ahead():
    """Ten degrees less between the arms, and the upper one leans forward by as much."""
    guide = {"rear": 60.0, "front": 80.0}
    straight, bent = (
        examine(sheet).sides["right"].motion.travel("valve spindle slide").mean()
        for sheet in (
            ready(NAME),
            changed(rocker={"angle": 170.0}, valve_spindle={"guide": guide}),
        )
    )
    assert bent - straight == pytest.approx(9.6 * math.sin(math.radians(10)), abs=0.1)


def test_for_piston_valves_the_eccentric_goes_ahead():
    piston = changed(eccentric={"leads": 115.0, "follows": 115.0}, valve={"admission": "inside"})
    assert [place.ahead for place in find_events(piston).sides["right"].places] == [1, -1]


def test_an_eccentric_that_slipped_is_found_and_turned_back():
    found = examine(changed({"eccentric": {"leads": -57.0}}))
    (advice,) = search_cures(found)
    assert isinstance(advice.spot, Mistimed)
    assert advice.spot.side == "left"
    cure = advice.cures[0].cure
    assert isinstance(cure, TurnEccentric)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_a_rod_of_another_engine_is_found():
    spots = examine(changed({"eccentric_rod": {"centres": 49.0}})).spots
    assert {kind_of(spot).name for spot in spots} == {"runs off"}
    assert {(spot.side, spot.parts) for spot in spots} == {("left", ("valve spindle", "guide"))}


def test_a_bent_eccentric_rod_pulls_the_valve_off_its_place():
    """Bowed by 7 of its 46 mm it is nearly 3 shorter than it was made; straight, all is free."""
    bend = [{"kind": "bow", "from": "rear", "up": 7.0}]
    rod = {"bend": bend, "centres_measured": "straight"}
    found = examine(changed({"eccentric_rod": rod}))
    advice = next(iter(search_cures(found)))
    assert advice.spot.parts == ("valve spindle", "guide")
    cure = advice.cures[0].cure
    assert isinstance(cure, Straighten)
    assert examine(change(found.sheet, dict(changes_of(cure)))).free


def test_a_rod_that_cannot_reach_the_rocker_is_refused():
    with pytest.raises(SheetError, match="full_forward"):
        changed(running="mid")
    assert {kind_of(spot).name for spot in examine(changed(eccentric_rod={"centres": 38.0})).spots}
