"""Eccentric rods on one another's pins of the link, or in one another's place, on one side.

A link whose rods are exchanged works its valve as in the other gear: at the place for running
forward that side is set to run back, and no length is wrong.
"""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest
import tomlkit

from linkage.advice import advise
from linkage.advice.applying import apply_advice
from linkage.advice.cure import Exchange, OtherPins
from linkage.arrangements import build
from linkage.cause import Weighing
from linkage.examine import examine, figures_at_places
from linkage.kinematics import solve_turn
from linkage.report.causes import say_cause
from linkage.report.cures import say_cure
from linkage.sheet import read_sheet, set_running, sheet_from
from linkage.tightspots import Mistimed, RunsOff, Uneven
from linkage.valve import Figure
from tests.ready import ready
from tests.voices import MM_BENCH

PINS = {"stephenson": "ardmoor-0-6-0-stephenson", "rocker": "ardmoor-4-4-0-stephenson-rocker",
        "gooch": "ardmoor-2-4-0-gooch", "allan": "ardmoor-2-4-0-allan"}  # fmt: skip
LINKS = [
    pytest.param(PINS["stephenson"]),
    *(pytest.param(PINS[name], marks=pytest.mark.long) for name in ("rocker", "gooch", "allan")),
]
OTHER = {"expansion_link": {"fore_rod": "bottom"}}


def engine(name, left, **besides):
    """Return the engine of both sides with something on the left-hand one."""
    data = copy.deepcopy(dict(ready(name).data))
    data.pop("sides", None)
    data["wheels"].setdefault("right_leads_by", 90)
    for key, held in besides.items():
        data[key] = {**data[key], **held}
    return sheet_from(data | {"left": left}, "engine.toml", ask=False)


def applied(found, advice, tmp_path):
    """Return the sheet with the first cures put in its own text."""
    path = tmp_path / "cured.toml"
    text = apply_advice(found, advice, tomlkit.dumps(dict(found.sheet.data))).text
    path.write_text(text, encoding="utf-8")
    return read_sheet(path)


@pytest.mark.parametrize("name", LINKS)
def test_rods_on_one_anothers_pins_are_told_and_put_back(name, tmp_path):
    found = examine(engine(name, OTHER))
    (spot,) = found.spots
    assert isinstance(spot, Mistimed)
    assert (spot.side, spot.place, spot.unlike.opposed) == ("left", "full_forward", True)
    advice = advise(found)
    first = advice[0].cures[0].cure
    assert isinstance(first, OtherPins)
    assert first.side == "left"
    put_back = applied(found, advice, tmp_path)
    assert put_back.sides["left"].expansion_link.fore_rod == "top"
    assert examine(put_back).free


def test_crossed_on_both_sides_by_design_is_free():
    assert examine(engine(PINS["stephenson"], {}, **OTHER)).free


def test_how_far_a_valve_goes_with_the_crank_is_its_first_harmonic():
    """By least squares instead of sums, with the piston's turn found from its front dead centre."""
    sheet = engine(PINS["stephenson"], OTHER)
    for side, sign in (("right", 1.0), ("left", -1.0)):
        mechanism = build(set_running(sheet, "full_forward"), side)[side]
        crank = np.radians(np.arange(0.0, 360.0, 3.0))
        motion = solve_turn(mechanism, crank)
        columns = np.stack((np.ones_like(crank), np.cos(crank), np.sin(crank)), axis=1)
        place = motion.travel(mechanism.watched.valve)
        fitted = np.linalg.lstsq(columns, place, rcond=None)[0]
        told = figures_at_places(sheet, side, ["full_forward"])["full_forward"][Figure.RUNS]
        assert told == pytest.approx(mechanism.watched.admits * fitted[2], abs=1e-6)
        assert sign * told > 4.0


@pytest.mark.long
def test_a_return_crank_that_leans_the_other_way_is_told():
    found = examine(engine("ardmoor-pacific-5in", {"return_crank": {"follows": -91.4}}))
    (spot,) = found.spots
    assert (spot.side, spot.unlike.figure) == ("left", Figure.RUNS)


@pytest.mark.long
def test_rods_of_unlike_lengths_in_one_anothers_place(tmp_path):
    """The right-hand side has them exchanged: its link leans, and no rod is of a wrong length."""
    one, other = {"centres": 131.5}, {"centres": 128.5}
    left = {"fore_eccentric_rod": other, "back_eccentric_rod": one}
    found = examine(engine(PINS["stephenson"], left, fore_eccentric_rod=one,
                           back_eccentric_rod=other))  # fmt: skip
    (spot,) = found.spots
    assert isinstance(spot, Uneven)
    advice = advise(found)
    assert isinstance(advice[0].cures[0].cure, Exchange)
    assert examine(applied(found, advice, tmp_path)).free


def test_what_sticks_for_it_is_told_by_check_and_by_cause(tmp_path):
    """Crossed rods by design; with the left-hand ones open the die goes farther, off its guide."""
    gear = {"full_forward": 22.0, "mid": 0.0, "full_back": -22.0}
    guide = {"rear": 123.2, "front": 137.6}
    crossed = {**OTHER, "valve_spindle": {"guide": guide}, "weighshaft": {"gear": gear}}
    found = examine(engine(PINS["stephenson"], {"expansion_link": {"fore_rod": "top"}}, **crossed))
    spot = found.spots[0]
    assert isinstance(spot, RunsOff)
    assert {one.side for one in found.spots} == {"left"}
    advice = advise(found)
    assert {type(one.cures[0].cure) for one in advice} == {OtherPins}
    assert "are on one another's pins of the expansion link" in say_cure(
        advice[0].cures[0], MM_BENCH
    )
    assert examine(applied(found, advice, tmp_path)).free

    at = math.degrees((spot.begin + spot.end) / 2) % 360
    line = {"what": "locks", "side": "left", "at": {"value": at, "measured_to": 10.0}}
    typed = {k: v for k, v in engine(PINS["stephenson"], {}, **crossed).data.items() if k != "left"}
    causes = Weighing(sheet_from(typed | {"felt": [line]}, "typed.toml", ask=False)).causes
    told = next(one for one in causes if one.fault is not None)
    assert told.fault.rods == ("fore_eccentric_rod", "back_eccentric_rod")
    assert say_cause(told, MM_BENCH).startswith(
        "The left fore eccentric rod and the back eccentric rod are on one another's pins of the "
        "expansion link."
    )
