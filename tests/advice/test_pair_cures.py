"""Cures of two parts that meet: what is easily undone first, each tried on the whole side."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from linkage.advice import advise
from linkage.advice.cure import DRASTIC, File, MeasureAgain, PutRight, SetBack, Washer
from linkage.advice.parting import filings, shifted
from linkage.advice.setting import bent_to, length_bends
from linkage.arrangements import build
from linkage.errors import Problem, SheetError
from linkage.examine import examine, examine_side
from linkage.mechanism import Piece
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets
from linkage.tables.rods import Rod
from linkage.tightspots import Fouls
from tests.ready import examined_once


def cures_of(sheet, kind=Fouls):
    found = examine(sheet)
    spot = next(spot for spot in found.spots if isinstance(spot, kind))
    (item,) = advise(replace(found, spots=(spot,)))
    return item.cures


def test_a_bent_rod_is_set_back_and_nothing_else_is_offered(demo):
    ((cure, outcome),) = [(tried.cure, tried.outcome) for tried in cures_of(demo)]

    assert isinstance(cure, SetBack)
    assert (cure.part, cure.way) == ("radius rod", "away from the frames")
    assert cure.bend.amount == 0.7
    assert outcome.spoils == ()
    assert outcome.leaves == pytest.approx(0.30, abs=0.005)  # 4.40 - 4.10, known within 0.004


def test_a_bend_that_fits_nowhere_once_it_is_straight_is_passed_over(demo, monkeypatch):
    """As where the straight rod would leave the reverser's place beyond its stops."""

    def refused(*_):
        raise SheetError("engine.toml", [Problem("running", "the reverser goes no farther")])

    monkeypatch.setattr("linkage.advice.setting.bent_to", refused)
    cures = [tried.cure for tried in cures_of(demo)]
    assert cures
    assert not any(isinstance(cure, SetBack) for cure in cures)


def test_the_amount_as_it_is_said_cures(demo):
    (tried,) = cures_of(demo)
    (bend,) = length_bends(demo, "right", Rod)
    said = float(f"{tried.cure.least:.2f}")

    assert examine(bent_to(demo, "right", bend, bend.amount - said)).free
    assert not examine(bent_to(demo, "right", bend, bend.amount - said + 0.05)).free


def test_cures_come_by_how_easily_they_are_undone(straight):
    cures = cures_of(change(straight, {"motion_bracket.thickness": 2.0}))
    kinds = [(bool(one.outcome.spoils), DRASTIC[type(one.cure)]) for one in cures]

    assert len(set(kinds)) > 1
    assert kinds == sorted(kinds)  # what makes something else wrong comes after what does not


def test_a_cure_that_spoils_another_pair_says_so_and_comes_after_one_that_does_not(straight):
    cures = cures_of(change(straight, {"motion_bracket.thickness": 2.0}))
    washer = next(one for one in cures if isinstance(one.cure, Washer))

    assert washer.outcome.spoils
    assert all("radius rod" in spot.parts for spot in washer.outcome.spoils)
    assert not cures[0].outcome.spoils


def test_a_bracket_is_set_farther_in_before_it_is_filed(straight):
    """Its outer face is at 2.6 + 2.0, the rod's inner one at 4.4, and 0.1 is wanted."""
    sheet = change(straight, {"motion_bracket.thickness": 2.0})
    cures = cures_of(sheet)
    first = cures[0].cure

    assert isinstance(first, PutRight)
    assert first.number.key == "motion_bracket.out"
    assert first.number.by in (-0.30, -0.35)  # whole steps, and known within 0.004
    after = examine(change(sheet, dict(first.changes)))
    assert not any(spot.side == "right" for spot in after.spots)
    assert not any(isinstance(one.cure, File) for one in cures)


def test_a_washer_as_said_leaves_what_it_says(straight):
    sheet = change(straight, {"motion_bracket.thickness": 2.0})
    tried = next(tried for tried in cures_of(sheet) if isinstance(tried.cure, Washer))
    washer = tried.cure
    sign = 1 if washer.way == "away from the frames" else -1
    moved = shifted(build(sheet)["right"], washer.part, sign * washer.amount)
    after = examine_side("right", moved, sheet.wanted_clearance)

    pair = {"radius rod", "motion bracket"}
    assert not any(set(spot.parts) == pair for spot in after.spots)
    left = next(p.least for p in after.survey.pairs if set(p.parts) == pair)
    assert left == pytest.approx(tried.outcome.leaves, abs=1e-9)
    less = shifted(build(sheet)["right"], washer.part, sign * (washer.amount - 0.06))
    nearer = examine_side("right", less, sheet.wanted_clearance)
    assert any(set(spot.parts) == pair for spot in nearer.spots)
    assert {s.parts for s in tried.outcome.spoils} <= {s.parts for s in after.spots}


def test_filing_thins_the_fixed_part_and_was_tried(straight):
    sheet = change(straight, {"motion_bracket.thickness": 2.0})
    found = examine(sheet)
    filed, _ = next(filings(found, found.spots[0]))

    assert (filed.part, filed.off) == ("motion bracket", "outer face")
    # bracket's outer face at 2.6 + 2.0, rod's inner face at 4.4, 0.1 wanted
    assert filed.amount in (0.30, 0.35)  # whole steps, and known within 0.004
    assert examine(change(sheet, {"motion_bracket.thickness": 2.0 - filed.amount - 0.001})).free


def test_where_the_fixed_part_is_too_thin_to_be_filed_the_other_one_is():
    sheet = read_sheet(ready_sheets()["ardmoor-2-8-2-baker"])
    (item,) = advise(examine(change(sheet, {"crosshead.thickness": 18.4})))
    assert item.spot.parts == ("crosshead", "reverse yoke")
    (filed,) = item.cures
    assert isinstance(filed.cure, File)
    assert (filed.cure.part, filed.cure.off) == ("crosshead", "outer face")
    assert not filed.outcome.spoils


def test_measure_again_where_no_small_cure_is_there(straight):
    deep = change(straight, {"motion_bracket.thickness": 5.0})
    (tried,) = cures_of(deep)[-1:]

    assert isinstance(tried.cure, MeasureAgain)
    assert set(tried.cure.parts) == {"radius rod", "motion bracket"}


def test_spots_of_one_pair_share_their_cures(demo):
    found = examined_once(demo)
    (spot,) = found.spots
    twice = replace(found, spots=(spot, replace(spot, worst=spot.worst + 1e-3)))

    first, second = advise(twice)
    assert first.cures is second.cures


def test_a_free_engine_needs_no_advice(straight):
    assert advise(examined_once(straight)) == ()


def test_moving_sideways_moves_one_part_and_all_of_it(demo):
    before = build(demo)["right"]
    after = shifted(before, "radius rod", 0.25)

    for old, new in zip(before.parts, after.parts, strict=True):
        by = 0.25 if old.name == "radius rod" else 0.0
        for piece, moved in zip(old.pieces, new.pieces, strict=True):
            assert isinstance(moved, Piece)
            assert moved.out == pytest.approx([z + by for z in piece.out])
            assert (moved.corners, moved.radius) == (piece.corners, piece.radius)


def test_no_cure_is_a_number_that_cannot_be_acted_on(demo, straight):
    for sheet in (demo, change(straight, {"motion_bracket.thickness": 2.0})):
        for item in advise(examine(sheet)):
            for tried in item.cures:
                least, most = _amounts(tried.cure)
                assert math.isfinite(least)
                assert 0 < least <= most
                assert least == pytest.approx(round(least, 2), abs=1e-9) or least == most


def _amounts(cure):
    """Return how much is to be done at the least and at the most [mm]."""
    if isinstance(cure, SetBack):
        return cure.least, cure.bend.amount
    if isinstance(cure, PutRight):
        return round(abs(cure.number.by), 6), round(cure.number.most, 6)
    assert isinstance(cure, Washer | File)
    return cure.amount, cure.amount
