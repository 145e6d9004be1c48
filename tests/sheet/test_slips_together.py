"""All slips of a sheet in one go, even where its arrangement is misspelt."""

from __future__ import annotations

import pytest

from linkage.errors import SheetError
from linkage.sheet import sheet_from


def test_a_misspelt_arrangement_does_not_hide_the_other_slips():
    data = {"arrangement": "slider-crnk", "wheels": {"throw": 4.0}, "conecting_rod": {}}
    with pytest.raises(SheetError) as caught:
        sheet_from(data)
    said = str(caught.value)
    assert 'did you mean "slider-crank"' in said
    assert 'conecting_rod: is not a known key; did you mean "connecting_rod"' in said


def test_one_that_is_like_none_is_said_alone():
    with pytest.raises(SheetError, match=r"1 problem\n  arrangement: should be"):
        sheet_from({"arrangement": "clockwork", "wheels": {"throw": -1.0}})


def test_a_bend_tells_all_that_it_lacks_at_once():
    data = {
        "arrangement": "slider-crank",
        "wheels": {"throw": 4.33},
        "connecting_rod": {"centres": 38.0, "bend": [{"at": 8.0, "towards_frames": 0.5}]},
    }
    with pytest.raises(SheetError) as caught:
        sheet_from(data)
    said = str(caught.value)
    assert "bend[1].kind: is missing: kink, a sharp corner; bow, an arc; or joggle" in said
    assert "bend[1].from: is missing: the end from which" in said
