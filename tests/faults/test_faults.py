"""Each fault of the trade is found where it is, and its first cure, followed, frees the engine."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from linkage.advice import Advice, search_cures
from linkage.advice.cure import Cure, File, changes_of, refits_of
from linkage.examine import Examination, examine
from linkage.report.spots import say_what
from linkage.sheet import Sheet, change
from linkage.sheet.refitting import refit
from linkage.tightspots import TightSpot
from tests.faults.engines import engines, sheet_with
from tests.faults.made import MADE, Made
from tests.voices import MM_BENCH

WITHIN = 4.0
"""Worst places are told by the clock, and read off to no better than this [degrees]."""


def spot_of(found: Examination, made: Made) -> TightSpot | None:
    """Return the finding that is looked for, at the place where it is looked for."""
    for spot in found.spots:
        off = math.degrees(spot.worst) - made.worst
        at = math.isnan(made.worst) or abs((off + 180) % 360 - 180) <= WITHIN
        if (
            type(spot) is made.finding
            and made.side in ("", spot.side)
            and set(made.parts) <= {*spot.parts}
            and at
        ):
            return spot
    return None


def followed(sheet: Sheet, cure: Cure) -> Sheet:
    """Return the sheet once a cure is done."""
    refits = refits_of(cure)
    return refit(sheet, refits) if refits else change(sheet, dict(changes_of(cure)))


def advice_on(found: Examination, spot: TightSpot) -> Advice:
    """Return the cures of one spot, as if it were the only one."""
    return next(iter(search_cures(replace(found, spots=(spot,)), guesses=False)))


@cache
def whole(engine: str) -> Examination:
    """Return what is found out about an engine before anything is put into it."""
    return examine(sheet_with(engine, {}))


@pytest.mark.parametrize("name", engines())
def test_engines_are_free(name):
    assert whole(name).free


@pytest.mark.parametrize("made", MADE, ids=str)
def test_found_and_cured(made):
    sheet = sheet_with(made.engine, made.puts)
    found = examine(sheet, known=whole(made.engine))
    if made.finding is None:
        assert found.free
        return
    spot = spot_of(found, made)
    assert spot is not None, [(type(one).__name__, one.side, one.parts) for one in found.spots]
    first = advice_on(found, spot).cures[0]
    assert type(first.cure) is made.cure
    assert not first.outcome.spoils
    if changes_of(first.cure) or refits_of(first.cure):
        after = examine(followed(sheet, first.cure), known=found)
        assert spot.fault not in {one.fault for one in after.spots}
    else:  # cut away where the sheet has no number of it: it was tried on the parts themselves
        assert isinstance(first.cure, File)
        assert first.outcome.leaves is not None
        assert first.outcome.leaves >= sheet.wanted_clearance - 1e-6


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (36, "the radius rod pin head on the "),
        (37, "the radius rod pin's hidden end on the radius rod fouls the valve spindle"),
        (41, "the return crank pin's hidden end on the "),
    ],
)
def test_the_head_or_end_of_a_pin_is_told_from_its_rod(fault, words):
    made = next(one for one in MADE if one.fault == fault)
    found = examine(sheet_with(made.engine, made.puts), known=whole(made.engine))
    spot = spot_of(found, made)
    assert spot is not None
    assert words in say_what(spot, MM_BENCH)
