"""The next test: what divides the causes best for its minutes, and what is not offered."""

from __future__ import annotations

import copy
from itertools import pairwise

import numpy as np
import pytest

from linkage.cause import (
    LookAlong,
    LookBetween,
    Measure,
    MeasureFellow,
    TakeOff,
    Weighing,
    proposals,
)
from linkage.cause.suspects import MISREAD, ONE_FOR_BOTH
from linkage.report.next_test import say_test
from linkage.sheet import sheet_from
from tests.ready import ready

GOOD = "ardmoor-0-6-0-good"


@pytest.fixture(scope="module")
def weighing():
    """Return a locked engine of which nothing else is known."""
    lines = [{"what": "locks", "side": "right", "at": "about 3 o'clock"}]
    return Weighing(sheet_from({**ready(GOOD).data, "felt": lines}, "engine.toml", ask=False))


def ways_of(proposal):
    """Return in how many ways a test may come out: of several rods or numbers it is seen which."""
    match proposal.test:
        case LookAlong(rods=several) | Measure(numbers=several):
            return len(several) + 1
        case _:
            return len(proposal.outcomes)


def test_outcomes_are_weighed_and_the_best_for_its_minutes_comes_first(weighing):
    offered = proposals(weighing)

    assert offered
    assert all(a.worth >= b.worth for a, b in pairwise(offered))
    for one in offered:
        assert sum(outcome.chance for outcome in one.outcomes) == pytest.approx(1.0)
        assert 0 < one.bits <= np.log2(ways_of(one))


def test_what_is_learnt_is_what_the_outcomes_leave_less_unsure(weighing):
    """A number that is measured and is it leaves its own fault the likeliest."""
    one = next(one for one in proposals(weighing) if isinstance(one.test, Measure))
    yes, _ = one.outcomes

    assert yes.left[0][0] in one.test.faults


@pytest.fixture(scope="module")
def layers():
    """Return a gear that locks, where its layers are guessed."""
    data = copy.deepcopy(dict(ready("ardmoor-2-6-0-straightened").data))
    for part, out in (("radius_rod", 4.4), ("combination_lever", 5.0), ("valve_spindle", 3.4)):
        data[part]["out"] = f"about {out} mm"
    data["felt"] = [
        {"what": "locks", "side": "left", "at": 172},
        {"what": "free", "taken_off": ["left.return_crank"]},
    ]
    return data, proposals(Weighing(sheet_from(data, "engine.toml", ask=False)))


@pytest.mark.parametrize("kind", [TakeOff, LookBetween])
def test_an_outcome_leaves_what_a_sheet_with_it_says(layers, kind):
    """What is foretold of a test is what comes of it when it is typed in."""
    data, offered = layers
    test, outcomes = next((o.test, o.outcomes) for o in offered if isinstance(o.test, kind))
    outcome = max((one for one in outcomes if one.so), key=lambda one: one.chance)
    if isinstance(test, TakeOff):
        off = [f"{held.side}.{held.key}" if held.side else held.key for held in test.off]
        data = data | {"felt": [*data["felt"], {"what": "free", "taken_off": off}]}
    else:
        place = {"value": np.degrees(test.at), "measured_to": np.degrees(test.error)}
        gap = {"value": "0 mm", "measured_to": "0.05 mm"}
        between = {"gap": gap, "between": list(outcome.touch), "side": test.side, "at": place}
        data = data | {"seen": [between]}
    after: dict = {}
    for cause in Weighing(sheet_from(data, "engine.toml", ask=False)).causes:
        after[cause.fault] = after.get(cause.fault, 0.0) + cause.chance
    (first, chance), (second, less), *_ = outcome.left

    assert after[first] / after[second] == pytest.approx(chance / less, rel=0.2)
    assert first == max(after, key=after.__getitem__)


def test_coupling_rods_come_off_on_both_sides_together(weighing):
    for one in proposals(weighing):
        if isinstance(one.test, TakeOff):
            rods = [off for off in one.test.off if off.key.startswith("coupling_rods")]
            assert {off.side for off in rods} in (set(), {"right", "left"})


def test_what_was_done_is_not_offered_again(layers):
    taken = [one.test.off for one in layers[1] if isinstance(one.test, TakeOff)]
    keys = {(off.side, off.key) for some in taken for off in some}

    assert ("right", "return_crank") in keys
    assert ("left", "return_crank") not in keys


def test_the_likeliest_numbers_of_several_parts_are_measured_in_one_go(layers):
    """It is seen which of them is not as on the sheet: they tell more than any part's alone."""
    measured = [one for one in layers[1] if isinstance(one.test, Measure)]
    parts = {one: {fault.table for fault in one.test.faults} for one in measured}
    several = [one for one in measured if len(parts[one]) > 1]
    alone = {key: one for one in measured if len(parts[one]) == 1 for key in one.test.keys}

    assert several
    for one in several:
        assert 2 <= len(one.test.named) <= 4
        assert all(one.bits > alone[key].bits for key in one.test.keys
                   if key in alone and set(alone[key].test.keys) <= set(one.test.keys))  # fmt: skip
        numbers, places = len(one.test.named), len(parts[one])
        assert one.test.minutes == 2 + (numbers - 1) + 0.5 * (places - 1)
    most = max(several, key=lambda one: len(one.test.named)).test
    assert all(key.split(".")[-2].replace("_", " ") in say_test(most) for key in most.named)


def test_the_more_gaps_are_seen_the_less_each_of_them_rules_out():
    """Few draws are set against all of them at once; else the best of few would be the only one."""
    data = copy.deepcopy(dict(ready("ardmoor-2-6-0-straightened").data))
    for part, out in (("radius_rod", 4.4), ("combination_lever", 5.0), ("valve_spindle", 3.4)):
        data[part]["out"] = f"about {out} mm"
    seen = [
        {"gap": 0.05, "between": pair, "side": "left", "at": 172}
        for pair in (
            ["radius rod", "combination lever"],
            ["radius rod", "motion bracket"],
            ["crosshead", "union link"],
        )
    ]
    data["felt"] = [{"what": "locks", "side": "left", "at": 172}]

    def likely(lines):
        weighing = Weighing(sheet_from({**data, "seen": lines}, "engine.toml", ask=False))
        return np.array([
            weighing.likelihood(one, weighing.lines[1]) for one in weighing.suspects.every
        ])  # fmt: skip

    one, three = likely(seen[:1]), likely(seen)
    assert (three >= one).all()
    assert three.mean() > 1.05 * one.mean()


def test_all_coupling_rods_are_looked_along_together():
    """Which of them is bent is seen at one look: it tells no less than any of them alone."""
    data = {**ready(GOOD).data, "felt": [{"what": "locks", "at": "all round"}]}
    data["felt"].append({"what": "free", "taken_off": ["coupling_rods"]})
    offered = proposals(Weighing(sheet_from(data, "engine.toml", ask=False)))
    alone = {o.test.rods[0]: o for o in offered
             if isinstance(o.test, LookAlong) and len(o.test.rods) == 1}  # fmt: skip
    (every,) = (o for o in offered if isinstance(o.test, LookAlong) and len(o.test.rods) > 1)

    assert say_test(every.test) == (
        "look along every coupling rod, on both sides, against a straight edge"
    )
    assert {"right", "left"} == {side for side, _ in every.test.rods}
    assert set(alone) <= set(every.test.rods)
    assert every.bits > max(one.bits for one in alone.values())
    assert every.test.minutes < sum(one.test.minutes for one in alone.values())


def test_what_was_measured_or_looked_at_is_not_asked_for_again():
    """A rod found straight, a guess that is measured: the sheet has it, and the test is gone."""
    data = copy.deepcopy(dict(ready(GOOD).data))
    del data["coupling_rods"]["front"]["centres"]
    data["right"] = {"coupling_rods": {"front": {"centres": "about 29.3 mm"}}}
    data["left"] = {"coupling_rods": {"front": {"centres": "about 29 mm"}}}
    data["felt"] = [{"what": "locks", "side": "right", "at": "about 9 o'clock"}]

    def asked(before=None):
        weighing = Weighing(sheet_from(data, "engine.toml", ask=False), before=before)
        offered = proposals(weighing)
        along = {rod for o in offered if isinstance(o.test, LookAlong) for rod in o.test.rods}
        keys = {key for o in offered if isinstance(o.test, Measure) for key in o.test.keys}
        return along, keys, weighing

    along, keys, before = asked()
    assert ("right", "coupling_rods.front") in along
    assert "right.coupling_rods.front.centres" in keys

    data["right"]["coupling_rods"]["front"] = {"centres": "29.3 mm", "bend": []}
    along, keys, _ = asked(before)
    assert ("right", "coupling_rods.front") not in along
    assert "right.coupling_rods.front.centres" not in keys


def test_of_one_number_for_both_sides_either_may_be_measured():
    """Nobody may have measured the other; its own, once it is typed, is as sure as any."""
    shares, weighing = [], None
    for right in ({}, {"coupling_rods": {"front": {"centres": 29.0}}}):
        data = {**ready(GOOD).data, "right": right}
        data["felt"] = [{"what": "locks", "side": "right", "at": "about 9 o'clock"}]
        weighing = Weighing(sheet_from(data, "engine.toml", ask=False), before=weighing)
        mine = [
            one
            for one in weighing.hypotheses
            if one.fault
            and (one.fault.side, one.fault.table, one.fault.what)
            == ("right", "coupling_rods.front", "centres")
            and not one.on_sheet
        ]
        shares.append(sum(one.often for one in mine))
        keys = [one.test.keys for one in proposals(weighing) if isinstance(one.test, Measure)]
        assert any("right.coupling_rods.front.centres" in some for some in keys) == (not right)

    assert shares[0] / shares[1] == pytest.approx(ONE_FOR_BOTH / MISREAD, rel=0.01)


def test_what_was_measured_on_one_side_is_set_beside_the_others():
    """A guess may be out by more than the fault: measured too, it tells it from another engine."""
    data = copy.deepcopy(dict(ready(GOOD).data))
    del data["coupling_rods"]["front"]["centres"]
    data["right"] = {"coupling_rods": {"front": {"centres": 29.3}}}
    data["felt"] = [{"what": "locks", "side": "right", "at": "about 9 o'clock"}]
    fellow = "left.coupling_rods.front.centres"

    def told(left, before=None):
        data["left"] = {"coupling_rods": {"front": {"centres": left}}}
        weighing = Weighing(sheet_from(data, "engine.toml", ask=False), before=before)
        chance = sum(
            one.chance
            for one in weighing.causes
            if one.fault and one.fault.key == "right.coupling_rods.front.centres" and one.on_sheet
        )
        offered = [one for one in proposals(weighing) if isinstance(one.test, MeasureFellow)]
        return weighing, chance, [one for one in offered if fellow in one.test.keys]

    before, guessed, offered = told("about 29 mm")
    so, not_so = sorted(offered[0].outcomes, key=lambda one: not one.so)
    assert so.left[0][0].key == "right.coupling_rods.front.centres"
    assert "the left front coupling rod's centres too" in say_test(offered[0].test)
    _, unlike, again = told(29.0, before)
    assert not again
    _, like, again = told(29.3, before)
    assert not again
    assert like < 0.1 * guessed < guessed < unlike
    assert dict(not_so.left).get(so.left[0][0], 0.0) < guessed < so.left[0][1]
