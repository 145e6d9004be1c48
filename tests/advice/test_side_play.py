"""Too much side play: taken out of the wheelset concerned, or of all that are over."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from linkage.advice import cures as search
from linkage.advice import search_cures
from linkage.advice.applying import apply_advice
from linkage.advice.cure import TakeOutSidePlay
from linkage.advice.parting import ways_to_part
from linkage.examine import examine
from linkage.sheet import rewrite, sheet_from
from linkage.sheet.ready import ready_sheets
from tests.second_way.broken import whole_engines


def read(text):
    return sheet_from(tomllib.loads(text), "engine.toml", ask=False)


def with_side_play(play):
    """Return the text of rods in one piece, the other wheelsets going so far over [mm]."""
    text = ready_sheets()["ardmoor-0-6-0-middle-hole"].read_text(encoding="utf-8")
    sound = text.partition("[right.coupling_rods")[0]
    return rewrite(read(sound), sound, {"coupling.side_play": play})


def two_six_nought(more=""):
    """Return the text of a 2-6-0 with too much side play in every wheelset."""
    sound = whole_engines()["2-6-0 with coupled wheels"] + more
    return rewrite(read(sound), sound, {"wheels.side_play": 0.75})


@pytest.mark.parametrize(
    ("play", "axles"), [(0.8, {("leading",)}), (1.3, {("leading", "trailing")})]
)
def test_it_is_taken_out_until_the_engine_is_free(play, axles):
    text = with_side_play(play)
    examination = examine(read(text))
    advice = tuple(search_cures(examination))
    first = [item.cures[0].cure for item in advice]
    applied = apply_advice(examination, advice, text)

    assert first
    assert all(isinstance(cure, TakeOutSidePlay) for cure in first)
    assert {tuple(sorted(cure.axles)) for cure in first} == axles
    assert examine(read(applied.text)).free


def test_a_wheelset_that_has_no_line_of_its_own_gets_one():
    text = with_side_play(0.8)
    examination = examine(read(text))
    applied = apply_advice(examination, search_cures(examination), text)

    assert "axles.leading.side_play" not in examination.sheet.dimensions["left"]
    assert "axles.leading.side_play" in read(applied.text).dimensions["left"]


def test_of_two_cures_of_the_same_wheelsets_the_greater_is_put_on_the_sheet():
    text = with_side_play(0.8)
    examination = examine(read(text))
    item = next(iter(search_cures(examination)))
    cure = item.cures[0].cure
    (key, to), *_ = cure.changes
    assert key == "axles.leading.side_play"  # the sheet does not have it: no now to compare with
    more = replace(cure, amount=cure.amount + 0.1, changes=((key, to - 0.1),))
    for cures in ((cure, more), (more, cure)):
        advice = [replace(item, cures=(replace(item.cures[0], cure=one),)) for one in cures]
        applied = apply_advice(examination, advice, text)
        assert dict(applied.changes)[key] == pytest.approx(to - 0.1)


def test_what_is_still_too_near_after_a_cure_gets_more():
    """A pair that fouled and is then close is not cured: it asks for more of the same."""
    text = two_six_nought()
    examination = examine(read(text))
    advice = tuple(search_cures(examination))
    assert {type(item.cures[0].cure) for item in advice} == {TakeOutSidePlay}
    assert examine(read(apply_advice(examination, advice, text).text)).free


def test_what_cures_one_side_is_tried_on_the_other_before_it_is_searched_again(monkeypatch):
    """Sides unlike in a number that has nothing to do with it."""
    text = two_six_nought("joint_play.return_crank_pin = 0.02\n")
    examination = examine(read(text))
    assert {spot.side for spot in examination.spots} == {"right", "left"}
    first, *_ = examination.spots
    searched = []
    monkeypatch.setattr(
        search, "ways_to_part", lambda e, spot: searched.append(spot) or ways_to_part(e, spot)
    )
    twins = [item for item in search_cures(examination) if item.spot.fault == first.fault]
    assert {item.spot.side for item in twins} == {"right", "left"}
    assert len({item.cures[0].cure for item in twins}) == 1
    assert {spot.side for spot in searched if spot.fault == first.fault} == {first.side}
    assert all(item.cures[0].outcome.leaves >= item.spot.wanted for item in twins)
