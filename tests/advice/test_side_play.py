"""Too much side play: taken out of the wheelset concerned, or of all that are over."""

from __future__ import annotations

import tomllib

import pytest

from linkage.advice import search_cures
from linkage.advice.applying import apply_advice
from linkage.advice.cure import TakeOutSidePlay
from linkage.examine import examine
from linkage.sheet import rewrite, sheet_from
from linkage.sheet.ready import ready_sheets


def read(text):
    return sheet_from(tomllib.loads(text), "engine.toml", ask=False)


def with_side_play(play):
    """Return the text of rods in one piece, the other wheelsets going so far over [mm]."""
    text = ready_sheets()["ardmoor-0-6-0-middle-hole"].read_text(encoding="utf-8")
    sound = text.partition("[right.coupling_rods")[0]
    return rewrite(read(sound), sound, {"coupling.side_play": play})


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
