"""Play along the pins of a gear: what goes with what, how far, and what that takes of the air."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import build
from linkage.clearance import pair_parts, shift, survey_clearances
from linkage.clearance.outlines import PairTable, Poses
from linkage.errors import SheetError
from linkage.kinematics import follow, solve_at
from linkage.mechanism import Mechanism
from linkage.riding import OnPin, weights_at
from linkage.sheet import read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from tests.faults.engines import sheet_with

FOUR_BAR = {
    "arrangement": "linkage",
    "scale": "4 mm",
    "wanted_clearance": 0.2,
    "crank": {"axle": [0.0, 0.0], "pins": {"pin": [5.0, 0.0]}},
    "part": [
        {"name": "coupler", "centres": 20.0, "width": 2.0, "thickness": 1.0, "out": 2.0},
        {"name": "rocker", "centres": 12.0, "width": 2.0, "thickness": 0.8, "out": 0.9},
    ],
    "pin": [
        {"name": "crank pin", "joins": ["crank.pin", "coupler.rear"]},
        {"name": "middle", "joins": ["coupler.front", "rocker.front"], "near": [22.0, 11.0]},
        {"name": "pivot", "joins": ["rocker.rear", [22.0, -1.0]]},
    ],
    "fixed": [
        {
            "name": "plate",
            "out": 3.5,
            "thickness": 1.0,
            "side_view": [[-9.0, -9.0], [40.0, -9.0], [40.0, 20.0], [-9.0, 20.0]],
        }
    ],
}


def only(sheet):
    return build(sheet)["only"]


def least(sheet, *parts):
    mechanism = only(sheet)
    survey = survey_clearances(follow(mechanism), sheet.wanted_clearance)
    return next(pair.least for pair in survey.pairs if set(pair.parts) == set(parts))


def four_bar(pins):
    return sheet_from(FOUR_BAR | {"pins": pins}, ask=False)


def test_a_bar_between_two_pins_against_a_plate():
    """0.5 of air in plan, and by hand: at the crank's end the bar goes over by half its play there.

    At the other end by that of the rocker on its pivot and its own; there it is nearest.
    """
    own = {"diameter": 1.0, "thickness": 0.01}
    assert least(four_bar({}), "coupler", "plate") == pytest.approx(0.5, abs=1e-9)
    even = four_bar({"along": 0.2})
    assert least(even, "coupler", "plate") == pytest.approx(0.5 - 0.1 - 0.1, abs=1e-6)
    pivot = four_bar({"heads": {"pivot": {**own, "along": 0.3}}})
    assert least(pivot, "coupler", "plate") == pytest.approx(0.5 - 0.15, abs=1e-6)
    # the head of the crank pin, 0.01 high, is on the coupler, which is 0.3 over there alone
    crank = four_bar({"heads": {"crank_pin": {**own, "along": 0.6}}})
    assert least(crank, "coupler", "plate") == pytest.approx(0.5 - 0.01 - 0.3, abs=1e-6)


def test_a_rivet_longer_than_what_it_holds_is_play_along_it():
    """The coupler, 2.0 to 3.0, and the rocker, 0.9 to 1.7, are 2.1 thick with what is between."""
    head = {"diameter": 1.0, "thickness": 0.01}
    by_grip = only(four_bar({"heads": {"middle": {**head, "grip": 2.35}}}))
    by_play = only(four_bar({"heads": {"middle": {**head, "along": 0.25}}}))
    assert [by for _, by in by_grip.along] == pytest.approx([0.125])
    assert [by for _, by in by_play.along] == pytest.approx([0.125])
    short = only(four_bar({"along": 0.2, "heads": {"middle": {**head, "grip": 2.0}}}))
    assert {pin.joint for pin, _ in short.along} == {"crank pin", "pivot"}


def test_both_at_once_are_refused():
    head = {"diameter": 1.0, "thickness": 0.1, "grip": 2.4, "along": 0.2}
    with pytest.raises(SheetError, match=r"give only one of grip, along"):
        four_bar({"heads": {"middle": head}})


def test_two_parts_on_a_pin_are_kept_apart_by_their_own_faces():
    assert least(four_bar({"along": 0.6}), "coupler", "rocker") == pytest.approx(
        least(four_bar({}), "coupler", "rocker"), abs=1e-9
    )


def test_which_part_of_a_gear_goes_with_which():
    """The union link as a whole on the drop arm's pin, the lever between it and the spindle."""
    mechanism = only(sheet_with("gear", {"pins/along": 0.2}))
    places = {(j.name, p.part): (p.x, p.y) for j in mechanism.joints for p in (j.a, j.b)}

    def weights(joint, part):
        found = weights_at(mechanism.part(part).rides, places[joint, part])
        return {
            over if isinstance(over, str) else over.joint: weight
            for over, weight in found.items()
            if abs(weight) > 1e-9
        }

    foot = {"drop arm pin": 1.0, "union pin": 1.0}
    assert weights("union pin", "union link") == pytest.approx({"drop arm pin": 1.0})
    assert weights("union pin", "combination lever") == pytest.approx(foot)
    assert weights("valve pin", "combination lever") == pytest.approx({"valve pin": 1.0})
    valve, radius, union = (
        places[f"{name} pin", "combination lever"] for name in ("valve", "radius rod", "union")
    )
    share = math.dist(valve, radius) / math.dist(valve, union)
    if math.dist(radius, union) > math.dist(valve, union):  # beyond the valve pin
        share = -share
    on_lever = {"valve pin": 1 - share, **dict.fromkeys(foot, share)}
    assert weights("radius rod pin", "combination lever") == pytest.approx(on_lever, rel=1e-6)
    assert weights("radius rod pin", "radius rod") == pytest.approx(
        {**on_lever, "radius rod pin": 1.0}, rel=1e-6
    )
    assert weights("die block", "radius rod") == pytest.approx({"trunnion": 1.0, "die block": 1.0})
    assert weights("return crank pin", "eccentric rod") == pytest.approx(
        {"driving": 1.0, "return crank pin": 1.0}
    )


def test_no_way_of_standing_on_the_pins_comes_nearer():
    """Parts put over at random, each as one that is, and compared as if nothing could be moved."""
    sheet = sheet_with("gear", {"pins/along": 0.12})
    mechanism = only(sheet)
    course = follow(mechanism)
    joined = {frozenset((joint.a.part, joint.b.part)) for joint in mechanism.joints}
    found = {
        pair.parts: pair.least
        for pair in survey_clearances(course, 0.1).pairs
        if frozenset(pair.parts) not in joined
    }
    crank = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    motion = solve_at(course, crank)
    poses = Poses.of(np.stack([motion.poses[part.name] for part in mechanism.parts]))
    rng = np.random.default_rng(0)
    play = [*((w.axle, w.side_play) for w in mechanism.wheelsets), *mechanism.along]
    assert any(isinstance(over, OnPin) for over, _ in play)
    nearest = dict.fromkeys(found, math.inf)
    for _ in range(10):
        state = tuple((over, float(by * rng.choice([-1, 1]))) for over, by in play)
        parts = tuple(shift(part, state) for part in mechanism.parts)
        for pair in pair_parts(Mechanism(parts, mechanism.joints, apart=mechanism.apart), 0.1, 0.5):
            if pair.parts in found:
                which = np.repeat(np.arange(len(pair.pieces)), len(crank))
                at = np.tile(np.arange(len(crank)), len(pair.pieces))
                near = float(PairTable(pair.pieces).clearances(which, at, poses).min())
                nearest[pair.parts] = min(nearest[pair.parts], near)
    assert all(nearest[parts] >= air - 1e-9 for parts, air in found.items())
    # and in one of ten it is nearly as near as was found
    bracket = ("radius rod", "motion bracket")
    assert nearest[bracket] == pytest.approx(found[bracket], abs=0.06)


GEARS = (  # one ready sheet of each arrangement of an engine
    "ardmoor-2-6-0-straightened",
    "ardmoor-0-6-0-stephenson",
    "ardmoor-4-4-0-stephenson-rocker",
    "ardmoor-2-4-0-gooch",
    "ardmoor-2-4-0-allan",
    "ardmoor-0-6-2-joy",
    "ardmoor-0-4-0-hackworth",
    "ardmoor-2-8-0-southern",
    "ardmoor-2-8-2-baker",
    "ardmoor-0-4-2-rocker",
    "ardmoor-0-4-0-slip-eccentric",
    "ardmoor-2-6-0-dummy-gear",
    "ardmoor-4-6-0-conjugated",
)


@pytest.mark.parametrize("name", GEARS)
def test_no_part_of_any_gear_is_tipped_far_about_pins_close_together(name):
    """Every part on pins rides, and none of its pins goes much farther than what it rides on."""
    data = dict(read_sheet(ready_sheets()[name]).data)
    sheet = sheet_from(data | {"pins": {**data.get("pins", {}), "along": 0.1}}, ask=False)
    mechanism = next(iter(build(sheet).values()))
    assert mechanism.along
    places = [place for joint in mechanism.joints for place in (joint.a, joint.b)]
    riding = {pin.part for pin, _ in mechanism.along}
    for place in (place for place in places if place.part in riding):
        weights = weights_at(mechanism.part(place.part).rides, (place.x, place.y)).values()
        assert max(map(abs, weights)) <= 1.3, place
