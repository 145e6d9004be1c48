"""Engines whole on one sheet: what is wrong with them is found and cured, fault by fault."""

import math

import pytest

from linkage.advice import search_cures
from linkage.advice.cure import Correction, changes_of
from linkage.examine import examine
from linkage.sheet import change
from linkage.tightspots import Fouls, PlayUsedUp, amount_of

TWO, ROUGH = "ardmoor-pacific-5in-two-faults", "ardmoor-2-6-0-rough"


def test_the_whole_pacific_is_looked_at_in_every_gear_with_its_wheels(examined):
    found = examined("ardmoor-pacific-5in-whole")
    assert found.free
    assert found.play is not None
    assert all(
        list(e.at) == ["full_forward", "mid", "full_back"] for e in found.everywhere.values()
    )


@pytest.mark.parametrize(("name", "long", "share"), [(TWO, 0.9, 0.45), (ROUGH, 0.25, 0.11)])
def test_a_long_rod_binds_by_what_the_play_does_not_take(examined, name, long, share):
    """Of a rod too long the boxes and both holes take their play, along the rod: all of it."""
    found = examined(name)
    spot = found.spots[0]
    assert isinstance(spot, PlayUsedUp)
    assert spot.arc.most == pytest.approx(long / share, rel=0.01)


def test_each_of_two_faults_is_cured_by_itself(examined):
    """The rod made like the other side's; and the kink let out as far as it must be."""
    found = examined(TWO)
    first = next(search_cures(found, guesses=False)).cures[0].cure
    assert isinstance(first, Correction)
    rod_right = change(found.sheet, dict(changes_of(first)))
    left = examine(rod_right, known=found)
    assert {type(spot) for spot in left.spots} == {Fouls}
    straight = change(rod_right, {"right.radius_rod.bend[1].towards_frames": 1.0})
    assert examine(straight, known=left).free


def test_the_kink_meets_the_bracket_by_its_own_measure(examined):
    """At the kink the rod stands 4.2 in; the bracket takes up 8 to 20, and the rod began at 24."""
    (spot,) = (s for s in examined(TWO).spots if isinstance(s, Fouls))
    assert 4.2 - (24.0 - 20.0) <= amount_of(spot) <= 4.2 / math.cos(math.atan2(4.2, 22.0)) - 3.9


def test_the_rough_sheet_says_which_of_its_ten_numbers_it_is(examined):
    found = examined(ROUGH)
    first = next(search_cures(found, guesses=False)).cures[0].cure
    assert dict(changes_of(first)) == pytest.approx({"right.coupling_rods.front.centres": 29.0})
    assert examine(change(found.sheet, dict(changes_of(first)))).free
