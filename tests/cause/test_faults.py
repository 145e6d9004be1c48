"""Every kind of fault that a sheet can express is looked at."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator

import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.cause import How
from linkage.cause.faults import AGAINST_LIKE, faults_of
from linkage.cause.unsaid import NEEDED
from linkage.sheet import sheet_from
from linkage.tables.damage import JointHead
from linkage.tables.facts import facts_of, fields_by_key, table_in
from linkage.tables.fields import Table
from tests.ready import ready

NOT_LOOKED_AT = {(JointHead, "behind"): "by joints' names, of which the sheet has those it has"}
"""Damage that is a fault only where the sheet has its table, and why."""


def tables(kind: type[Table], seen: set[type[Table]]) -> Iterator[type[Table]]:
    """Yield a table and all in it."""
    if kind in seen:
        return
    seen.add(kind)
    yield kind
    for info in kind.model_fields.values():
        inner = table_in(info.annotation)
        if inner is not None:
            yield from tables(inner, seen)


EVERY = [one for seen in [set()] for gear in ARRANGEMENTS.values() for one in tables(gear.tables, seen)]  # fmt: skip  # noqa: E501
DAMAGE = [
    (kind, key)
    for kind in EVERY
    for key, info in fields_by_key(kind).items()
    if facts_of(info).damage
]


@pytest.mark.parametrize(("kind", "key"), DAMAGE)
def test_damage_is_a_fault_where_the_sheet_does_not_give_it(kind, key):
    """It is put there with its table, or has a size and what else holds, or is nought."""
    field = fields_by_key(kind)[key]
    facts = facts_of(field)
    alone = facts.wrong is not None and facts.wrong.instead is not None
    nought = field.default == 0.0  # a number of the sheet like any other

    assert alone or nought or (kind in NEEDED and facts.wrong) or (kind, key) in NOT_LOOKED_AT


@pytest.fixture(scope="module")
def every_fault():
    names = ("ardmoor-2-6-0-rough", "ardmoor-0-6-0-middle-hole")
    return [fault for name in names for fault in faults_of(ready(name))]


@pytest.mark.parametrize("how", How)
def test_every_way_of_being_wrong_is_met(how, every_fault):
    assert any(fault.how is how for fault in every_fault)


@pytest.mark.parametrize("kind", NEEDED)
def test_every_table_that_is_put_there_is_met(kind, every_fault):
    damage = [key for key, info in fields_by_key(kind).items() if facts_of(info).wrong]

    assert any(fault.what in damage and fault.value <= 1.0 for fault in every_fault)


@pytest.mark.parametrize(("spans", "goes_on"), [((27.0, 27.3), True), ((25.0, 29.0), False)])
def test_a_guessed_rod_may_be_end_for_end_where_it_then_goes_on_its_pins(spans, goes_on):
    """By the middle hole of a rod in one piece; a measured one is not taken to be."""
    data: dict = copy.deepcopy(dict(ready("ardmoor-0-6-0-middle-hole").data))
    for side in ("right", "left"):
        data[side] = {key: one for key, one in data.get(side, {}).items() if key != "coupling_rods"}
    data["axles"]["trailing"]["back"], data["axles"]["leading"]["ahead"] = spans
    data["coupling_rods"]["whole"]["centres"] = [f"about {one} mm" for one in spans]
    made = sheet_from(data, "engine.toml", ask=False)
    turned = [fault for fault in faults_of(made) if fault.how is How.REFITTED]

    assert {fault.side for fault in turned} == ({"right", "left"} if goes_on else set())
    assert not any(fault.on_sheet for fault in turned)
    for fault in turned:
        (case,) = fault.cases
        assert case.sheet.sides[fault.side].coupling_rods["whole"].centres == spans[::-1]


def test_a_cylinder_that_moves_takes_all_that_rides_with_it():
    sheet = ready("ardmoor-2-6-0")
    fault = next(one for one in faults_of(sheet) if one.how is How.MOVED and one.side == "left")
    case = fault.cases[0]
    before, after = (one.sides["left"] for one in (sheet, case.sheet))

    for table, keys in (("slide_bars", ("rear", "front")), ("cylinder", ("rear_cover",))):
        for key in keys:
            by = getattr(getattr(after, table), key) - getattr(getattr(before, table), key)
            assert by == pytest.approx(case.size)
    assert case.sheet.sides["right"] == sheet.sides["right"]


def test_a_pin_out_of_quarter_is_looked_at_once_for_both_sides():
    keys = [one.key for one in faults_of(ready("ardmoor-0-6-0-good")) if "pin_ahead" in one.key]

    assert keys == ["right.axles.leading.pin_ahead_by", "right.axles.trailing.pin_ahead_by"]


@pytest.mark.parametrize(("common", "known"), [("about 29.0 mm", False), ("29.0 mm", True)])
def test_a_guess_says_nothing_against_the_other_sides_measurement(common, known):
    data = dict(ready("ardmoor-0-6-0-good").data)
    rods = {**data["coupling_rods"]}
    rods["front"] = {**rods["front"], "centres": common}
    right = {**data.get("right", {}), "coupling_rods": {"front": {"centres": "28.85 mm"}}}
    sheet = sheet_from({**data, "coupling_rods": rods, "right": right}, "engine.toml", ask=False)
    key = "right.coupling_rods.front.centres"
    one = next(fault for fault in faults_of(sheet) if fault.key == key)

    assert (one.across == 29.0) is known
    assert any(case.size == pytest.approx(0.15) for case in one.cases) is known


def test_a_rod_measured_short_is_looked_at_with_the_bend_that_makes_it_so():
    """A kink d deep at the middle of L leaves two limbs: it measures 2 sqrt(L^2 / 4 - d^2)."""
    data = dict(ready("ardmoor-0-6-0-stephenson").data)
    bent = 2.0 * (65.0**2 - 9.0**2) ** 0.5
    left = {"fore_eccentric_rod": {"centres": bent}}
    every = faults_of(sheet_from({**data, "left": left}, "engine.toml", ask=False))
    rod = [one for one in every if one.table == "fore_eccentric_rod" and one.bend]
    sizes = {
        side: [
            case.size
            for one in rod
            if (one.side, one.what) == (side, "up")
            for case in one.cases
            if case.at == pytest.approx((bent if side == "left" else 130.0) / 2)
        ]
        for side in ("right", "left")
    }

    assert max(sizes["right"]) < 7.0
    assert max(sizes["left"]) == pytest.approx(9.0, abs=0.2)
    for one in (one for one in rod if one.side == "left"):
        assert sum(case.chance for case in one.cases) <= 1.0 + 1e-9


@pytest.mark.parametrize(("typed", "farthest"), [("42.01 mm", 0.9), ("about 42.01 mm", 1.8)])
def test_a_guess_may_be_farther_out_than_what_was_measured(typed, farthest):
    """A rod that nobody measured may be another engine's."""
    data = copy.deepcopy(dict(ready("ardmoor-2-6-0-straightened").data))
    data["connecting_rod"]["centres"] = typed
    faults = faults_of(sheet_from(data, "engine.toml", ask=False))
    rod = next(f for f in faults if (f.side, f.key) == ("both", "connecting_rod.centres"))

    assert max(case.size for case in rod.cases) == pytest.approx(farthest)
    assert min(case.size for case in rod.cases) == pytest.approx(-farthest)
    assert sum(case.chance for case in rod.cases) == pytest.approx(1.0)


def test_one_rod_of_those_that_a_number_stands_for_may_stand_elsewhere(every_fault):
    """The sheet has one layer for all coupling rods, and a washer is under one of them."""
    (one,) = (f for f in every_fault if f.key == "right.coupling_rods.whole.out")
    sheet = ready("ardmoor-0-6-0-middle-hole")

    assert sheet.handed_on["coupling_rods.whole.out"] == "coupling.out"
    for case in one.cases:
        moved = case.sheet.sides["right"]
        assert moved.coupling_rods["whole"].out == pytest.approx(one.value + case.size)
        assert moved.coupling.out == one.value
        assert case.sheet.sides["left"] == sheet.sides["left"]


def test_what_the_other_side_has_is_looked_at_though_it_be_next_to_nothing():
    """A boss that stands out on one side, and on the other is flush."""
    data = copy.deepcopy(dict(ready("ardmoor-0-6-0-good").data))
    data["coupling"]["hub"] = {"diameter": 5.0, "out": 0.01, "thickness": 0.8}
    data["right"] = {**data.get("right", {}), "coupling": {"hub": {"out": 0.57}}}
    faults = faults_of(sheet_from(data, "engine.toml", ask=False))
    (hub,) = (f for f in faults if f.key == "right.coupling.hub.out")
    (exact,) = (case for case in hub.cases if case.exact)

    assert exact.sheet.sides["right"].coupling.hub.out == pytest.approx(0.01)


def test_one_throw_that_is_measured_and_as_guessed_tells_of_the_others():
    """They were made alike: that all but that one are wrong is no likelier than a slip."""
    data = copy.deepcopy(dict(ready("ardmoor-0-6-0-good").data))
    throw = float(data["wheels"]["throw"])
    data["wheels"]["throw"] = f"about {throw}"
    before = {f.key: f for f in faults_of(sheet_from(data, "engine.toml", ask=False))}
    for more, told in ((0.0, True), (0.3, False)):
        data["left"] = {"axles": {"leading": {"throw": throw + more}}}
        after = {f.key: f for f in faults_of(sheet_from(data, "engine.toml", ask=False))}
        less = AGAINST_LIKE if told else 1.0
        assert after["wheels.throw"].often == pytest.approx(less * before["wheels.throw"].often)
        assert (after["wheels.throw"].origin.error < 0.1) == told
        assert not after["wheels.throw"].origin.known


def test_a_coupling_rod_is_bent_up_or_down_and_a_rod_of_the_gear_either():
    """Nobody can tell the two of a coupling rod apart by what is felt; each way is turned."""
    faults = [one for one in faults_of(ready("ardmoor-2-6-0-rough")) if one.bend]
    ways = {}
    for one in faults:
        kind = "coupling" if one.table.startswith("coupling_rods") else one.table
        ways.setdefault(kind, set()).add(one.what)
        if one.what == "up_or_down":
            assert sum(case.chance for case in one.cases) == pytest.approx(1.0)
            assert {case.shape.partition(",")[0] for case in one.cases} == {"up", "down"}

    assert ways["coupling"] == {"towards_frames", "away_from_frames", "up_or_down"}
    assert ways["radius_rod"] == {"towards_frames", "away_from_frames", "up", "down"}


def test_a_bend_on_the_sheet_took_what_the_rod_measures_less():
    """By the metal's length: a bow of 1 mm over 29 mm takes some 0.09 mm of it."""
    data: dict = copy.deepcopy(dict(ready("ardmoor-0-6-0-good").data))
    bow = {"kind": "bow", "from": "rear", "down": "1 mm"}
    data["right"] = {"coupling_rods": {"front": {"centres": "28.908 mm", "bend": [bow]}}}
    faults = {
        (one.what, one.on_sheet): one
        for one in faults_of(sheet_from(data, "engine.toml", ask=False))
        if (one.side, one.table) == ("right", "coupling_rods.front")
    }
    (was,) = faults["down", True].cases
    half = 4 * 1.0 / 29.0  # half angle of the arc [rad]: its depth is all but a quarter of it
    took = 29.0 * (1 - math.sin(half) / half)

    rod = was.sheet.sides["right"].coupling_rods["front"]
    assert rod.bend == ()
    assert rod.centres == pytest.approx(28.908 + took, abs=1e-3)
    assert abs(faults["centres", False].apart.by) < 0.01
    assert abs(faults["towards_frames", False].centres.by) < 0.01


def test_what_bends_took_is_asked_of_sides_that_are_there():
    """A sheet with one side, of which a number is common."""
    faults = faults_of(ready("ardmoor-2-4-0-gooch"))

    assert {one.side for one in faults if one.bend} == {"right"}


def test_a_return_crank_measured_on_one_side_is_known_there_though_the_others_is_guessed():
    data = copy.deepcopy(dict(ready("ardmoor-2-6-0-straightened").data))
    data["return_crank"] |= {"pin_circle": "about 2.3 mm", "leads": "about 90"}
    data["left"] = {"return_crank": {"pin_circle": "2.3 mm", "leads": 90}}
    found = faults_of(sheet_from(data, "engine.toml", ask=False))
    slipped = [one for one in found if one.table == "return_crank" and one.what == "lean"]

    assert {one.side: one.origin.known for one in slipped} == {"right": False, "left": True}
