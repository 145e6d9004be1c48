"""A side much like one that is known is found out about as if nothing were known."""

import pytest

from linkage.arrangements import build
from linkage.examine import side
from linkage.examine.side import examine_side
from linkage.sheet import change, read_sheet
from linkage.sheet.ready import ready_sheets

# how many pairs are found out about anew: none of those without a part that changed
CHANGES = [
    ("ardmoor-2-6-0", "radius_rod.thickness", 0.1, "some"),  # one part looks otherwise
    ("ardmoor-2-6-0", "union_link.centres", 0.05, "some"),  # some stand elsewhere
    ("ardmoor-2-6-0", "motion_bracket.out", 0.05, "some"),
    ("ardmoor-2-6-0", "wheels.side_play", 0.05, "all"),  # pairs are compared otherwise
    ("ardmoor-0-6-0-coupled", "coupling_rods.front.out", 0.05, "some"),
]


@pytest.mark.parametrize(("name", "key", "by", "looked"), CHANGES)
def test_what_did_not_move_is_held_and_all_is_the_same(name, key, by, looked, monkeypatch):
    sheet = read_sheet(ready_sheets()[name])
    wanted = sheet.wanted_clearance
    before = examine_side("left", build(sheet, "left")["left"], wanted)
    other = change(sheet, {key: sheet.dimensions["left"][key] + by})
    mechanism = build(other, "left")["left"]
    anew = examine_side("left", mechanism, wanted)
    asked = set()
    really = side.survey_clearances

    def survey(course, wanted, moved):
        found = really(course, wanted, moved)
        asked.update(pair.parts for pair in found.compared)
        return found

    monkeypatch.setattr(side, "survey_clearances", survey)
    again = examine_side("left", mechanism, wanted, before)
    every = {pair.parts for pair in anew.survey.compared}
    assert asked == every if looked == "all" else asked and asked < every
    assert again.spots == anew.spots
    assert {p.parts for p in again.survey.compared} == {p.parts for p in anew.survey.compared}
    assert len(again.survey.pairs) == len(anew.survey.pairs)
    for one, other in zip(again.survey.pairs, anew.survey.pairs, strict=True):
        assert one.parts == other.parts
        assert one.least == pytest.approx(other.least, abs=1e-6)
        assert one.between_samples == other.between_samples
    assert again.worn.keys() == anew.worn.keys()
