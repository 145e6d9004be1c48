"""`tightspot bend` on real files."""

from __future__ import annotations

import json

from linkage.sheet.ready import ready_sheets

SHEET = str(ready_sheets()["ardmoor-2-6-0"])


def test_it_says_which_way_where_and_how_far(run):
    done = run("bend", SHEET, "radius_rod")
    said = " ".join(done.output.split())
    assert done.exit_code == 0
    assert "the radius rod is bent 0.70 mm towards the frames, 9.6 mm from the die block" in said
    assert "Set it away from the frames by at least 0.45 mm and at most" in said
    assert "0.70 mm makes it straight" in said
    assert "Wear glasses when bending" in said


def test_both_ways_of_naming_a_rod(run):
    assert run("bend", SHEET, "radius rod").output == run("bend", SHEET, "radius_rod").output


def test_a_straight_rod_is_refused(run):
    done = run("bend", SHEET, "eccentric rod")
    assert done.exit_code == 2
    assert "has no bend on the sheet" in done.output


def test_json(run):
    done = run("bend", SHEET, "radius_rod", "--json")
    (bend,) = json.loads(done.output)["bends"]
    assert done.exit_code == 0
    assert (bend["side"], bend["part"], bend["amount_mm"]) == ("right", "radius rod", 0.7)
    assert bend["set"]["least_mm"] < 0.7 < bend["set"]["most_mm"]
    assert bend["left_in_it"]["as_far_as_it_goes"] is False
    assert bend["left_in_it"]["windows"][0]["above"]["parts"] == ["radius rod", "motion bracket"]
