"""An engine 25.4 times as large has the same cures, 25.4 times as large: inches for millimetres."""

from __future__ import annotations

import tomllib

import pytest

from linkage.advice import search_cures
from linkage.advice.cure import changes_of
from linkage.examine import examine
from linkage.sheet import is_angle, sheet_from
from linkage.sheet.ready import ready_sheets
from linkage.units import MM_PER_INCH


def first_cures(name, unit):
    """Return the first cure of every spot: of what, its kind, and what it changes [mm, degrees]."""
    data = tomllib.loads(ready_sheets()[name].read_text(encoding="utf-8"))
    data.pop("scale", None)
    data |= {"units": unit, "wanted_clearance": data.get("wanted_clearance", 0.1)}
    sheet = sheet_from(data | {"measured_to": data.get("measured_to", 0.05)}, name, ask=False)
    found = []
    for advice in search_cures(examine(sheet), guesses=False):
        assert advice.cures, advice.spot
        cure = advice.cures[0].cure
        changes = {
            key: (value, 1.0 if is_angle(sheet, key) else MM_PER_INCH)
            for key, value in changes_of(cure)
        }
        found.append((type(advice.spot), advice.spot.side, advice.spot.parts, type(cure), changes))
    return found


@pytest.mark.parametrize(
    "name",
    [
        "ardmoor-2-6-0",
        "ardmoor-0-6-0-long-and-short",
        "ardmoor-0-6-0-middle-hole",
    ],
)
def test_cures_grow_with_the_engine(name):
    small, large = first_cures(name, "mm"), first_cures(name, "in")
    assert len(small) == len(large) > 0
    for (*what, mine), (*of, theirs) in zip(small, large, strict=True):
        assert what == of
        assert mine.keys() == theirs.keys()
        for key, (value, times) in mine.items():
            assert theirs[key][0] == pytest.approx(value * times, rel=2e-3), key
