"""The same engine written in two ways is the same: what is found must not know which was taken."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.arrangements import build, coupled_wheels
from linkage.mechanism import PieceSort
from linkage.play import PlayOfVariants
from tests.faults.engines import sheet_with

BOW = {"kind": "kink", "at": 8.0, "towards_frames": 0.6}


def pieces(sheet, part):
    """Return what a part is made of: corners, and where they are laterally [mm]."""
    held = build(sheet)["only"].part(part).pieces
    return [(np.array(one.corners), np.array(one.out)) for one in held]


def test_a_bend_is_where_it_is_from_whichever_end_it_was_measured():
    rod = sheet_with("engine", {}).sides["only"].connecting_rod
    ends = (("rear", 8.0), ("front", rod.centres - 8.0))
    one, other = (
        pieces(
            sheet_with("engine", {"connecting_rod/bend": [{**BOW, "from": end, "at": at}]}),
            "connecting rod",
        )
        for end, at in ends
    )
    assert len(one) == len(other) > 1
    for (corners, out), (theirs, their_out) in zip(one, other, strict=True):
        # the part's axes are by its length as bent, which a measured length is
        assert corners == pytest.approx(theirs, abs=1e-9)
        assert out == pytest.approx(their_out, abs=1e-9)


def test_a_joggled_rod_is_as_long_along_itself_as_it_was_straight():
    joggle = {"kind": "joggle", "from": "rear", "at": 12.0, "length": 5.0, "towards_frames": 1.5}
    straight = {"connecting_rod/bend": [joggle], "connecting_rod/centres_measured": "straight"}
    sheet = sheet_with("engine", straight)
    length = sheet.sides["only"].connecting_rod.centres
    along = 0.0
    for corners, out in pieces(sheet, "connecting rod"):
        if len(corners) == 2:
            along += math.hypot(*(corners[1] - corners[0]), out[1] - out[0])
    # the joggle is drawn as long along the rod as it is along itself: 0.01 of 5 mm that rise by 1.5
    assert along == pytest.approx(length, abs=0.011)


def test_an_axle_askew_and_rods_as_long_as_its_spacing_use_no_more_play():
    """Each side's rod fits that side's spacing, so that nothing is strained."""
    plain = coupled_wheels(sheet_with("coupled", {}))
    askew = coupled_wheels(
        sheet_with(
            "coupled",
            {
                "right/axles/leading/ahead": 29.3,
                "right/coupling_rods/main/centres": 29.3,
                "left/axles/leading/ahead": 29.0,
            },
        )
    )
    (used, _) = PlayOfVariants(1.0)([plain, askew])
    assert used[1] == pytest.approx(used[0], abs=0.02)


def test_a_crosshead_is_as_deep_as_its_slipper_was_measured():
    sheet = sheet_with("engine", {})
    slipper = sheet.sides["only"].crosshead.slipper
    (block,) = (
        one
        for one in build(sheet)["only"].part("crosshead").pieces
        if one.sort is PieceSort.SLIPPER
    )
    size = np.ptp(np.array(block.corners), axis=0) + 2 * block.radius
    assert size == pytest.approx([slipper.ahead + slipper.back, slipper.depth], abs=1e-9)
