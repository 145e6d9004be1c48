"""The webs of a crank axle beside a connecting rod that is between the frames."""

from __future__ import annotations

import copy

import pytest

from linkage.advice import advise
from linkage.advice.cure import changes_of
from linkage.examine import examine
from linkage.report.document import whole_blocks
from linkage.sheet import change, sheet_from
from linkage.tightspots import Fouls
from tests.ready import ready

WEBS = {
    "inner_web": {"width": 8.0, "thickness": 3.0, "out": -12.0},
    "outer_web": {"width": 8.0, "thickness": 3.0, "out": -5.0},
}


def inside(left=None, without=(), **rod):
    """Return the ready crank and rod, both sides, with the rod's inner face 8 behind the wheel's.

    The rod is 2 thick, so that it has 1 of air to either web.
    """
    data = copy.deepcopy(dict(ready("slider-crank").data)) | {"crank_axle": WEBS}
    data |= {"sides": ["right", "left"], "left": left or {}}
    data["wheels"] = {**data["wheels"], "right_leads_by": 90}
    data["connecting_rod"] = {**data["connecting_rod"], "out": -8.0, **rod}
    for table in ("slide_bars", "crosshead"):
        data[table] = {**data[table], "out": -8.5}
    del data["crank_pin"]
    return sheet_from({k: v for k, v in data.items() if k not in without}, "in.toml", ask=False)


def unseen(sheet):
    return any("webs of its crank axle" in block.text for block in whole_blocks(examine(sheet)))


def test_a_rod_between_its_webs_is_free():
    assert examine(inside()).free
    assert not unseen(inside())


@pytest.mark.parametrize(
    ("web", "out", "by"), [("inner_web", -10.5, 0.5), ("outer_web", -6.4, 0.4)]
)
def test_a_web_that_is_elsewhere_meets_the_rod_by_as_much_and_is_cured(web, out, by):
    found = examine(inside({"crank_axle": {web: {"out": out}}}))
    (spot,) = found.spots
    assert isinstance(spot, Fouls)
    assert spot.side == "left"
    assert set(spot.parts) == {"crank", "connecting rod"}
    assert spot.overlap == pytest.approx(by, abs=1e-6)
    assert web.replace("_", " ") in {piece.label for piece in spot.contact.pieces}
    cures = [dict(changes_of(tried.cure)) for tried in advise(found)[0].cures]
    assert cures
    for changes in cures:
        assert examine(change(found.sheet, changes)).free


def test_a_rod_behind_the_wheel_without_webs_is_said_to_be_looked_at_without():
    assert unseen(inside(without=("crank_axle",)))
    assert not unseen(ready("slider-crank"))
