"""What play takes from a clearance, by hand: how far one place goes as each pin goes off middle."""

from __future__ import annotations

import pytest

from linkage.clearance import find_wear, survey_clearances
from linkage.kinematics import follow
from tests.clearance.bodies import box, disc, dressed_slider_crank

CRANK, ROD = 5.0, 24.0
HALF = {"driving axle": 0.02, "big end": 0.03, "little end": 0.05, "slide bars": 0.04}
WITHIN = 1e-3  # what is left is found this closely [mm]


def worn(outlines):
    """Return the one pair's clearance before and after, with every joint worn."""
    course = follow(dressed_slider_crank(CRANK, ROD, outlines, play=HALF))
    survey = survey_clearances(course, 0.3)
    (pair,) = survey.pairs
    found = find_wear(course, {p.parts: p for p in survey.compared}, survey.pairs)
    return pair.least, found[pair.parts]


def test_a_crosshead_goes_forward_by_the_play_of_every_pin_behind_it():
    """0.02 + 0.03 + 0.05 along; what the slide bars give is across."""
    least, found = worn({
        "crosshead": (disc((0, 0), 1.0),), "cover": (disc((CRANK + ROD + 2.3, 0), 1.0),)
    })  # fmt: skip
    assert least == pytest.approx(0.3, abs=1e-6)
    assert found.loss == pytest.approx(0.10, abs=WITHIN)
    assert found.least == pytest.approx(0.20, abs=WITHIN)
    assert found.most_by == "little end"


@pytest.mark.parametrize(("along", "taken"), [(0.0, 0.05), (0.5, 0.07), (0.75, 0.08)])
def test_a_rod_rises_at_a_place_by_its_share_of_either_end(along, taken):
    """The rear end rises by 0.02 + 0.03, the front one by 0.05 + 0.04; the pin stands on top."""
    top = (1 - along) * CRANK + 1.0
    least, found = worn({
        "rod": (disc((along * ROD, 0), 1.0),), "deck": (box(-9, top + 0.2, 40, top + 3),)
    })  # fmt: skip
    assert least == pytest.approx(0.2, abs=1e-6)
    assert found.loss == pytest.approx(taken, abs=WITHIN)
