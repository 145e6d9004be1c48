"""Rods on the wrong way round, rods exchanged, a nut come loose: known for what they are."""

from __future__ import annotations

import pytest
import tomlkit

from linkage.advice import advise
from linkage.advice.applying import apply_advice
from linkage.advice.cure import (
    Advice,
    Exchange,
    File,
    MeasureAgain,
    Outcome,
    Refitted,
    ScrewHome,
    SetBack,
    Tried,
    TurnRound,
    Washer,
    changes_of,
)
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.report.cures import say_cure
from linkage.report.data import check_data
from linkage.sheet import change, read_sheet, sheet_from, sheet_in
from linkage.sheet.changing import typed_length
from linkage.sheet.ready import ready_sheets
from linkage.sheet.refitting import Refit, Turn, bars_of, refit, ways_to_refit
from linkage.tables.fields import read_length
from linkage.tightspots import Close, Fouls, PlayUsedUp, RunsOff
from tests.voices import MM_BENCH

SLIPPER = {"ahead": 5.0, "back": 5.0, "depth": 15.9}


def sheet_of(name, tables, without=()):
    data = {**read_sheet(ready_sheets()[name]).data, **tables}
    return sheet_from({k: v for k, v in data.items() if k not in without}, name, ask=False)


def first_cure(sheet):
    found = examine(sheet)
    return found, advise(found)[0].cures[0]


def applied(found, tmp_path):
    """Return what is found once the first cures are put on the sheet's own text."""
    text = tomlkit.dumps({k: v for k, v in found.sheet.data.items() if k != "job"})
    path = tmp_path / "cured.toml"
    path.write_text(apply_advice(found, advise(found), text).text, encoding="utf-8")
    return examine(read_sheet(path))


@pytest.fixture(scope="module")
def one_piece():
    """Rods in one piece on three pins, 25.0 and 25.4 apart; the right one is on end for end."""
    return sheet_of(
        "ardmoor-0-6-0-middle-hole",
        {
            "axles": {"leading": {"ahead": 25.4}, "trailing": {"back": 25.0}},
            "coupling_rods": {
                "whole": {"pins": ["trailing", "driving", "leading"], "centres": [25.0, 25.4]}
            },
            "right": {"coupling_rods": {"whole": {"centres": [25.38, 25.03]}}},
        },
    )


def test_a_coupling_rod_end_for_end(one_piece, tmp_path):
    """Two wrong centres have one cause, and it comes before they are made otherwise."""
    found, tried = first_cure(one_piece)
    assert isinstance(found.spots[0], PlayUsedUp)
    assert tried.cure == TurnRound("coupling rod", "right", Turn.END_FOR_END, refits=(
        Refit("right", "coupling_rods.whole", "right", "coupling_rods.whole", Turn.END_FOR_END),
    ))  # fmt: skip
    said = say_cure(tried, MM_BENCH)
    assert said.startswith("The right coupling rod is on the wrong way round: turn it end for end")
    assert check_data(found, advise(found))["tight_spots"][0]["cure"] == said
    assert applied(found, tmp_path).free


def test_front_and_rear_rods_exchanged(tmp_path):
    """Each runs on two pins, and goes on in the other's place, but not freely."""
    rods = {
        "front": {"from": "driving", "to": "leading", "centres": 25.3},
        "rear": {"from": "trailing", "to": "driving", "centres": 25.0},
    }
    found, tried = first_cure(
        sheet_of(
            "ardmoor-0-6-0-good",
            {
                "axles": {"leading": {"ahead": 25.3}, "trailing": {"back": 25.0}},
                "coupling_rods": rods,
                "left": {
                    "coupling_rods": {"front": {"centres": 25.01}, "rear": {"centres": 25.29}}
                },
            },
        )
    )
    assert isinstance(tried.cure, Exchange)
    assert say_cure(tried, MM_BENCH) == (
        "The left front coupling rod and the rear coupling rod are exchanged: put each in the "
        "other's place."
    )
    assert applied(found, tmp_path).free


def test_connecting_rods_exchanged_side_for_side(tmp_path):
    """The left cylinder stands 4 farther back by design, and so its rod is 4 shorter."""
    piece = read_sheet(ready_sheets()["slider-crank"]).data
    cylinder = {
        "front_cover": 118.0,
        "rear_cover": 82.0,
        "piston": {"ahead_of_crosshead_pin": 35.0, "thickness": 6.0},
    }
    found, tried = first_cure(
        sheet_of(
            "slider-crank",
            {
                "sides": ["right", "left"],
                "cylinder": cylinder,
                "slide_bars": {**piece["slide_bars"], "gap": 16.0},
                "crosshead": {**piece["crosshead"], "slipper": SLIPPER},
                "connecting_rod": {"centres": 61.0, "width": 4.5, "thickness": 2.0, "out": 3.0},
                "left": {
                    "cylinder": {"front_cover": 114.0, "rear_cover": 78.0},
                    "slide_bars": {"rear": 42.0, "front": 82.0},
                    "connecting_rod": {"centres": 65.0},
                },
            },
        )
    )
    assert {type(spot) for spot in found.spots} >= {RunsOff}
    assert isinstance(tried.cure, Exchange)
    assert say_cure(tried, MM_BENCH).startswith(
        "The left and right connecting rods are exchanged: put each on its own side"
    )
    assert applied(found, tmp_path).free


def test_a_joggled_rod_with_its_wrong_face_to_the_wheel(straight, tmp_path):
    """The left one's joggle clears the bracket; the right one's goes towards it."""
    joggle = {"kind": "joggle", "from": "die block", "at": 1.0, "length": 3.0}
    data = {**straight.data, "radius_rod": {**straight.data["radius_rod"], "out": "4.2 mm"}}
    data["left"] = {"radius_rod": {"bend": [{**joggle, "away_from_frames": 0.3}]}}
    data["right"] = {"radius_rod": {"bend": [{**joggle, "towards_frames": 0.3}]}}
    found = examine(sheet_from(data, ask=False))
    item = next(i for i in advise(found) if set(i.spot.parts) == {"radius rod", "motion bracket"})
    assert isinstance(item.spot, Fouls)
    cure = item.cures[0].cure
    assert isinstance(cure, TurnRound)
    assert cure.turn in (Turn.ABOUT_ITS_LENGTH, Turn.ABOUT_AN_UPRIGHT)


def test_a_bow_is_damage_and_no_way_round_is_right_for_it(demo):
    assert isinstance(first_cure(demo)[1].cure, SetBack)
    assert not list(ways_to_refit(demo, "right"))


def bare(sheet):
    """Return every side's numbers, wherever they stand in the file."""
    return {
        side: {key.removeprefix(f"{side}."): value for key, value in held.items()}
        for side, held in sheet.dimensions.items()
    }


def test_turned_twice_it_is_as_it_was(one_piece):
    ways = list(ways_to_refit(one_piece, "right"))
    assert len(ways) == 2  # turned, and exchanged with the left one
    for way in ways:
        once = refit(one_piece, way)
        assert once.dimensions != one_piece.dimensions
        assert bare(refit(once, way)) == bare(one_piece)


def test_a_combination_lever_upside_down(straight):
    """Its third pin is as far from the foot as it was from the top."""
    way = Refit("right", "combination_lever", "right", "combination_lever", Turn.END_FOR_END)
    assert not list(ways_to_refit(straight, "right"))  # it is as the left one
    sheet = refit(straight, [way])
    assert (way,) in list(ways_to_refit(sheet, "right"))
    lever = sheet.sides["right"].combination_lever
    before = straight.sides["right"].combination_lever
    assert lever.radius_rod_pin_to_valve_pin == pytest.approx(
        before.radius_rod_pin_to_union_pin - before.radius_rod_pin_to_valve_pin
    )
    assert lever.length == before.length


def test_one_loose_nut_is_one_cause_of_several(straight, tmp_path):
    """It stands 1.9 farther out than the left one, and meets what passes it and a step below."""
    step = {"name": "step", "side_view": [[-1, -6.2], [1, -6.2], [1, -5.2], [-1, -5.2]]}
    data = {k: v for k, v in straight.data.items() if k != "right"}
    data["fixed"] = [{**step, "out": 5.2, "thickness": 0.4}]
    nut = {"diameter": 2.4, "out": 5.4, "thickness": 0.6}
    found = examine(sheet_from({**data, "right": {"crank_pin": {"nut": nut}}}, ask=False))
    assert len({spot.fault for spot in found.spots}) >= 2
    assert all(isinstance(spot, Fouls | Close) and "crank" in spot.parts for spot in found.spots)
    advice = advise(found)
    first = advice[0].cures[0]
    assert isinstance(first.cure, ScrewHome)
    assert first.outcome.also == len({frozenset(spot.parts) for spot in found.spots}) - 1
    assert {item.cures for item in advice} == {advice[0].cures}
    assert say_cure(first, MM_BENCH).startswith(
        "Screw home the crank's nut and lock it: it stands 1.90 mm farther out than the other "
        "side's; one cause, for it also makes 1 other tight spot of that side"
    )
    assert applied(found, tmp_path).free


def test_a_lever_upside_down_is_typed_in_its_sheet_s_unit():
    """What becomes of a number in turning stands in inches on a sheet of inches."""
    sheet = sheet_in(ready_sheets()["ardmoor-0-6-0-7mm"].read_text(encoding="utf-8"), "t")
    held = sheet.sides["right"].combination_lever
    pins = held.model_copy(update={"admission": "inside"})  # the pins in the other order
    typed = {"radius_rod_pin_to_valve_pin": "0.1 in", "radius_rod_pin_to_union_pin": "0.9 in"}
    turned = pins.end_for_end(typed, typed_length(sheet, "combination_lever"))
    new = turned["radius_rod_pin_to_valve_pin"]
    assert " mm" not in new
    by = pins.radius_rod_pin_to_union_pin - pins.radius_rod_pin_to_valve_pin
    assert read_length(new, sheet.unit) == pytest.approx(by, abs=0.00005 * 25.4 + 1e-9)


def test_a_rod_that_one_cure_turns_is_left_to_that_one():
    """What another would do to it was meant for it as it is now; other numbers are put on."""
    path = ready_sheets()["ardmoor-0-6-0-middle-hole"]
    text = path.read_text(encoding="utf-8")
    found = examine(read_sheet(path))
    key = next(key for key in bars_of(found.sheet, "right") if key.startswith("coupling_rods."))

    def turned(turn):
        return TurnRound(key, "right", turn, refits=(Refit("right", key, "right", key, turn),))

    wider = ((f"{key}.width", 9.0), ("wheels.throw", 4.0))
    cures = (
        turned(Turn.END_FOR_END),
        turned(Turn.ABOUT_ITS_LENGTH),
        turned(Turn.END_FOR_END),
        Washer("a rod", "away from the frames", 0.1, changes=wider[:1]),
        Washer("another", "away from the frames", 0.1, changes=wider[1:]),
    )
    advice = [Advice(found.spots[0], (Tried(cure),)) for cure in cures]
    put_on = apply_advice(found, advice, text)

    assert put_on.refits == cures[0].refits
    assert dict(put_on.changes) == {"wheels.throw": 4.0}


def test_a_clean_cure_by_hand_is_not_passed_over_for_one_that_spoils():
    """What is filed has no number on the sheet; the next cure would make something else run off."""
    path = ready_sheets()["ardmoor-2-6-0"]
    text = path.read_text(encoding="utf-8")
    found = examine(sheet_in(text, str(path)))
    spot = found.spots[0]
    filed = Tried(File("motion bracket", "outline", 0.2, changes=()))
    spoils = Tried(Washer("a rod", "away from the frames", 0.1, changes=(("wheels.throw", 4.0),)),
                   Outcome(spoils=(spot,)))  # fmt: skip
    clean = Tried(Washer("another", "away from the frames", 0.1, changes=(("wheels.throw", 4.1),)))

    with pytest.raises(SheetError, match="no cure that can be put on the sheet"):
        apply_advice(found, [Advice(spot, (filed, spoils))], text)
    put_on = apply_advice(found, [Advice(spot, (filed, spoils)), Advice(spot, (spoils,))], text)
    assert (put_on.left, dict(put_on.changes)) == (1, {"wheels.throw": 4.0})
    measured = Tried(MeasureAgain(("a rod",)))
    assert apply_advice(found, [Advice(spot, (measured, spoils))], text).left == 0
    assert dict(apply_advice(found, [Advice(spot, (filed, clean))], text).changes) == {
        "wheels.throw": 4.1
    }


def test_rods_are_not_exchanged_to_rid_one_side_of_what_the_other_then_has():
    """A rod too long on the right, the rods of the right alone on."""
    found = examine(read_sheet(ready_sheets()["ardmoor-0-6-0-rod-long"]), rods_on="right")
    cures = [tried.cure for tried in advise(found)[0].cures]

    assert not any(isinstance(cure, Refitted) for cure in cures)
    after = change(found.sheet, dict(changes_of(cures[0])))
    assert examine(after, rods_on="right").free
    assert examine(after).free
