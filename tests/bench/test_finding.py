"""What is found out in stages, with what was kept of the sheet before, is found out right."""

import json
import subprocess
import sys
from base64 import b64decode

import numpy as np
import pytest

from linkage.bench.finding import Known, glimpse, later_stages, stages
from linkage.bench.telling import STAGES
from linkage.errors import AssemblyError
from linkage.examine import examine
from linkage.sheet import change, set_running, sheet_from
from tests.ready import ready

CHANGES = [
    {"right.radius_rod.bend[1].towards_frames": 0.55},
    {"crank_pin.nut.out": 3.9},
    {"radius_rod.out": 4.8},
    {"connecting_rod.centres": 42.06},
]


TURNED = """
import sys
from base64 import b64decode
from linkage.bench.finding import Known, stages
from linkage.sheet import read_sheet
from linkage.sheet.ready import demonstration
next(stages(read_sheet(demonstration()), Known()))
print([name for name in sys.modules if "arrangements.radial" in name or "linkage.form" in name])
"""


def test_a_first_drawing_loads_no_gear_but_its_own():
    done = subprocess.run([sys.executable, "-c", TURNED], capture_output=True, text=True)
    assert done.stdout == "[]\n", done.stderr


def test_sheets_one_after_another_are_found_out_as_each_by_itself():
    known, sheet = Known(), ready("ardmoor-2-6-0")
    known.examination = examine(sheet)
    for number, values in enumerate(CHANGES):
        sheet = change(sheet, values)
        told = {stage.name: stage for stage in stages(sheet, known)}
        known.examination = told["proven"].found
        if number not in (1, 3):
            continue
        fresh = examine(sheet)
        found = known.examination
        assert [(type(s), s.side, s.parts) for s in found.spots] == [
            (type(s), s.side, s.parts) for s in fresh.spots
        ]
        for side, held in fresh.sides.items():
            least = {pair.parts: pair.least for pair in held.survey.pairs}
            mine = {pair.parts: pair.least for pair in found.sides[side].survey.pairs}
            assert mine == pytest.approx(least, abs=1e-6)
        assert told["proven"].says["free"] == told["looked"].says["free"] == fresh.free
        assert told["proven"].kept > 0


@pytest.mark.parametrize(
    "name", ["hoecken", "ardmoor-0-4-0-slip-eccentric", "four-bar-cannot-close"]
)
def test_every_stage_of_every_kind_of_sheet_can_be_written(name):
    told = list(stages(ready(name), Known()))
    told += later_stages(told[-1].found)

    texts = [json.loads(stage.text(0, ())[0]) for stage in told]
    assert texts[1]["free"] == texts[2]["free"] == (name != "four-bar-cannot-close")


def test_every_stage_can_be_written_and_says_no_more_than_is_known():
    told = list(stages(ready("slider-crank-rod-too-long"), Known()))
    told += later_stages(told[-1].found)
    texts = [json.loads(stage.text(3, ())[0]) for stage in told]

    assert [text["stage"] for text in texts] == [name for name in STAGES if name != "failed"]
    assert "verdict" not in texts[0]
    assert texts[0]["data"]["sheets"][0]["spots"] == []
    assert "data" not in texts[1]
    assert "proof is on its way" in texts[1]["verdict"]
    assert all(text["revision"] == 3 for text in texts)
    assert texts[3]["sure"]
    assert texts[4]["data"]["sheets"][0]["spots"]


def test_what_cannot_be_put_together_is_said():
    with pytest.raises(AssemblyError, match="cannot be put together at any crank angle"):
        list(stages(change(ready("ardmoor-2-6-0"), {"eccentric_rod.centres": 2.0}), Known()))


def test_a_glimpse_is_the_motion_that_is_found_out():
    sheet = change(ready("ardmoor-2-6-0"), CHANGES[0])
    whole = next(stages(sheet, Known())).says["data"]
    (held,) = whole["sheets"]
    known = Known()
    list(zip(range(1), stages(ready("ardmoor-2-6-0"), known), strict=False))
    seen = glimpse(sheet, ("right",), known)  # from how it turned before
    assert seen == glimpse(sheet, ("right",), Known())
    assert list(seen["sides"]) == ["right"]
    right, drawn = seen["sides"]["right"], held["sides"]["right"]
    assert right["bodies"] == whole["outlines"][drawn["outlines"]]
    for same in ("poses", "parts", "joints", "crank"):
        assert right[same] == drawn[same]
    assert seen["stops"] == len(held["crank"])


def test_a_glimpse_is_with_the_reverser_where_the_picture_has_it():
    sheet = ready("ardmoor-0-6-0-stephenson")
    rod = {"connecting_rod.centres": sheet.dimensions["right"]["connecting_rod.centres"] + 0.02}
    known, seen = Known(), {}
    for place in ("full_back", None, 0.1, "full_back"):
        there = change(sheet, rod) if place is None else set_running(change(sheet, rod), place)
        fresh = next(stages(there, Known())).says["data"]["sheets"][0]["sides"]
        drawn = glimpse(change(sheet, rod), ("right", "left"), known, place)["sides"]
        seen[place] = [drawn[side]["poses"] for side in ("right", "left")]
        assert seen[place] == [fresh[side]["poses"] for side in ("right", "left")]
    assert seen["full_back"] != seen[None] != seen[0.1]
    assert {place for place, _ in known.courses} == {None, "full_back"}  # they do not gather


@pytest.mark.parametrize("lead", [90.0, 120.0, 90.4])
def test_sides_that_turn_alike_are_glimpsed_as_each_by_itself(lead):
    sheet = change(ready("ardmoor-2-6-0"), {"wheels.right_leads_by": lead})
    both = glimpse(sheet, ("right", "left"), Known())["sides"]
    alone = glimpse(sheet, ("left",), Known())["sides"]["left"]
    mine, own = (np.frombuffer(b64decode(one["poses"]["numbers"]), np.int16).astype(int)
                 for one in (both["left"], alone))  # fmt: skip
    turned = np.abs(mine - own) % 65536
    assert np.minimum(turned, 65536 - turned).max() <= 2  # a half is rounded either way
    assert {**both["left"], "poses": None} == {**alone, "poses": None}


def test_a_glimpse_of_what_does_not_turn_near_what_did_is_followed_by_itself():
    known, sheet = Known(), ready("ardmoor-2-6-0")
    glimpse(sheet, ("right",), known)
    held = known.courses[None, "right"]
    near = change(sheet, {"eccentric_rod.centres": 24.0})
    open_somewhere = change(sheet, {"eccentric_rod.centres": 28.0})
    for tried, own in ((near, False), (open_somewhere, True)):
        fresh = next(stages(tried, Known())).says["data"]["sheets"][0]["sides"]["right"]["poses"]
        assert glimpse(tried, ("right",), known)["sides"]["right"]["poses"] == fresh
        assert (known.courses[None, "right"] is not held) == own
    with pytest.raises(AssemblyError):
        glimpse(change(sheet, {"eccentric_rod.centres": 2.0}), ("right",), known)


def test_what_was_drawn_already_is_judged_first():
    told = stages(change(ready("ardmoor-2-6-0"), CHANGES[0]), Known(), drawn=True)
    assert next(told).name == "looked"


def test_the_verdict_by_samples_has_what_wear_takes(straight):
    """A hundredth short of the wanted air is not too close, but worn it touches (`test_wear`)."""
    known, loose = Known(), {"joint_play": {"everywhere": 0.6}}
    sheet = sheet_from(dict(straight.data) | loose, ask=False)
    known.examination = examine(sheet)
    told = {stage.name: stage for stage in stages(change(sheet, CHANGES[1]), known)}
    assert told["looked"].says["free"] == told["proven"].says["free"] is False
    known.examination = examine(straight)  # nothing is worn there
    assert next(stages(change(straight, CHANGES[1]), known, drawn=True)).says["free"]
