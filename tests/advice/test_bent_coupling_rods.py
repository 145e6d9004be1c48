"""Bent coupling rods, the commonest bent part there is: found, set back, straightened, drawn."""

from __future__ import annotations

import copy
import math

import pytest

from linkage.advice import advise
from linkage.advice.bending import bend_advice
from linkage.advice.coupling import turns
from linkage.advice.cure import SetBack, Straighten
from linkage.advice.offers import Fits, judge_offer
from linkage.advice.setting import bends_of, bent_to, straight_length, straightened
from linkage.advice.standing import Engine
from linkage.arrangements import build
from linkage.examine import examine
from linkage.handover import compose
from linkage.report.cures import say_cure
from linkage.sheet import change, read_sheet, sheet_from
from linkage.sheet.offers import read_offer
from linkage.sheet.ready import ready_sheets
from linkage.tightspots import Close, PlayUsedUp
from tests.handover.reports import texts
from tests.report.test_spots import plainly
from tests.voices import MM_BENCH, MM_OWNER

KEY = "coupling_rods.front"
KINK_UP = {"kind": "kink", "from": "driving", "at": 14.0, "up": 1.5}
BOW_IN = {"kind": "bow", "from": "rear", "towards_frames": 0.9}
JOGGLE_IN = {"kind": "joggle", "from": "rear", "at": 12.0, "length": 6.0, "towards_frames": 0.4}


@pytest.fixture(scope="module")
def good():
    return read_sheet(ready_sheets()["ardmoor-0-6-0-good"])


def bent(sheet, bend, name="front", **more):
    """Return a sheet with a coupling rod bent on both sides."""
    data = copy.deepcopy(dict(sheet.data))
    data["coupling_rods"][name] |= {"bend": [bend], **more}
    return sheet_from(data, "bent", ask=False)


@pytest.fixture(scope="module")
def kinked(good):
    return bent(good, KINK_UP, centres_measured="straight")


@pytest.fixture(scope="module")
def bowed(good):
    data = copy.deepcopy(dict(good.data))
    data["right"] = {"coupling_rods": {"front": {"bend": [BOW_IN]}}}
    return sheet_from(data, "bowed on the right", ask=False)


@pytest.mark.parametrize("bend", [KINK_UP, BOW_IN, JOGGLE_IN], ids=lambda bend: bend["kind"])
@pytest.mark.parametrize("measured", ["bent", "straight"])
def test_a_bend_taken_out_leaves_the_metal_as_long(good, bend, measured):
    sheet = bent(good, bend, centres_measured=measured)
    (found,) = bends_of(sheet, "right", KEY)
    rod = sheet.sides["right"].coupling_rods["front"]
    straight = straightened(sheet, "right", KEY).sides["right"].coupling_rods["front"]

    assert straight.bend[0].amount == 0
    assert straight_length(straight) == pytest.approx(straight_length(rod), abs=1e-9)
    half = bent_to(sheet, "right", found, found.amount / 2).sides["right"].coupling_rods["front"]
    assert straight_length(half) == pytest.approx(straight_length(rod), abs=1e-9)


def test_a_kink_up_costs_what_the_two_limbs_say(good):
    """Limbs of 14 and 15 along the rod, 1.5 off the line: sqrt gives each its length."""
    sheet = bent(good, KINK_UP)
    rod = sheet.sides["right"].coupling_rods["front"]
    limbs = math.hypot(14.0, 1.5) + math.hypot(rod.spans[0] - 14.0, 1.5)

    assert straight_length(rod) == pytest.approx(limbs, abs=1e-3)


@pytest.mark.parametrize("way", ["up", "towards_frames"])
def test_of_several_spans_each_gets_its_own_metal_back(way):
    """A kink 1.0 off the line, 40 along spans of 25.2 and 28.8: by Pythagoras, span by span."""
    middle = read_sheet(ready_sheets()["ardmoor-0-6-0-middle-hole"])
    sheet = bent(middle, {"kind": "kink", "from": "rear", "at": 40.0, way: 1.0}, "whole")
    side = sheet.sides["right"]
    straight = straightened(sheet, "right", "coupling_rods.whole").sides["right"]
    before, after = (s.coupling_rods["whole"].spans for s in (side, straight))

    # the driving hole is 25.2 from the rear, on the first limb, which rises 1 in 40
    first = math.hypot(25.2, 25.2 / 40)
    rest = math.hypot(40.0, 1.0) - first + math.hypot(14.0, 1.0)
    apart = (25.2, 28.8)  # seen in plan the centres are those along the rod
    if way == "up":  # in the side view they are from hole to hole
        apart = (first, math.hypot(28.8, 25.2 / 40))
    for was, now, metal, chord in zip(before, after, (first, rest), apart, strict=True):
        assert now - was == pytest.approx(metal - chord, abs=1e-3)


def test_bent_upward_it_binds_and_is_straightened_first(kinked):
    found = examine(kinked)
    assert {type(spot) for spot in found.spots} == {PlayUsedUp}
    item = advise(found)[0]
    (tried,) = item.cures

    assert isinstance(tried.cure, Straighten)
    assert say_cure(tried, MM_BENCH) == (
        "Straighten the front coupling rod, 14.0 mm from the driving: 1.50 mm of bend comes out."
    )
    assert examine(change(kinked, dict(tried.cure.changes))).free


def test_bowed_towards_the_frames_it_is_set_back(bowed):
    found = examine(bowed)
    spot = found.spots[0]
    assert isinstance(spot, Close)
    assert spot.parts == ("leading wheel", "front coupling rod")
    (tried,) = advise(found)[0].cures
    cure = tried.cure

    assert isinstance(cure, SetBack)
    assert (cure.part, cure.way) == ("front coupling rod", "away from the frames")
    # taken right out the rod is 0.07 longer, as 8/3 sag2/length says, and binds
    assert dict(cure.changes)[f"right.{KEY}.bend[1].towards_frames"] == 0.9 - cure.least
    assert not cure.straight
    assert not turns(examine(bowed), straightened(bowed, "right", KEY))
    assert say_cure(tried, MM_BENCH).startswith(
        "Set the front coupling rod away from the frames by at least 0.10 mm, at its middle; that "
        "leaves 0.1"
    )
    assert examine(change(bowed, dict(cure.changes))).free


@pytest.mark.parametrize("name", ["front coupling rod", "front_coupling_rod", KEY])
def test_bend_takes_it_by_its_name_or_its_key(bowed, name, monkeypatch):
    searched = []

    def windows(made, key, now, ends, _):
        searched.append((key, now, ends, made(0.5).dimensions["right"]))
        return "the windows"

    monkeypatch.setattr("linkage.advice.bending.search_windows", windows)
    (advice,) = bend_advice(bowed, name)

    assert (advice.side, advice.part) == ("right", "front coupling rod")
    ((key, now, ends, half),) = searched
    assert (key, now, ends) == (f"{KEY}.bend[1]", 0.9, (-0.9, 0.9))
    assert half[f"right.{KEY}.bend[1].towards_frames"] == 0.5
    # 8/3 of the sag squared over the length, as every flat bow
    assert advice.shorter == pytest.approx(8 / 3 * 0.9**2 / 29.0, rel=0.01)


def test_bend_comes_to_what_the_cure_says(bowed):
    """Found by windows of the whole, it is what the cure closed in on at the one pair."""
    (advice,) = bend_advice(bowed, KEY)
    cure = advise(examine(bowed))[0].cures[0].cure
    assert advice.setting is not None
    assert cure.least == pytest.approx(advice.setting[0])


def test_the_owner_is_told_so(bowed):
    tried = advise(examine(bowed))[0].cures[0]
    assert plainly(say_cure(tried, MM_OWNER)).startswith(
        "Bend the front coupling rod back away from the frames by at least 0.1 millimetre, at its "
        "middle."
    )
    page = " ".join(texts(compose(examine(bowed)).owners))
    assert "the front coupling rod (the bar that joins the wheels together)" in page
    assert "Bend the front coupling rod back away" in page


def test_a_straight_one_offered_for_it_will_do(bowed, tmp_path):
    path = tmp_path / "rod.toml"
    path.write_text("[coupling_rods.front]\ncentres = 29.0\n")
    verdict = judge_offer(Engine(bowed), read_offer(path, bowed), ["right"])
    assert isinstance(verdict, Fits)
    assert not verdict.turned


def test_the_template_is_of_the_straight_rod(bowed):
    mechanism = build(straightened(bowed, "right", KEY), "right")["right"]
    outs = {z for piece in mechanism.with_key(KEY).pieces for z in piece.out}
    assert len(outs) == 1  # flat
    crooked = build(bowed, "right")["right"].with_key(KEY)
    assert len({z for piece in crooked.pieces for z in piece.out}) > 1
