"""What is put on a sheet that had no number of it: nut, bend, bracket, reverser, words."""

import tomllib

import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.bench.adding import Adding, Thing, additions_data, left_out_of, with_added, with_thing
from linkage.bench.beginning import new_sheet
from linkage.bench.changes import Edit, with_edits
from linkage.bench.numbers import Shown, groups_data
from linkage.bench.reading import read_in
from linkage.bench.words import with_words, words_data
from linkage.errors import SheetError
from linkage.sheet import Job
from linkage.tables.facts import fields_by_key

BLANK = new_sheet("walschaerts", "4 mm", "mm", None)
BRACKET = Thing("motion bracket", "21,5", "23.5", "4", "10.5", "2.9", "1/32 in")


def shown(text):
    read = read_in(text, "sheet")
    return Shown(read.sheet, read.data, read.data)


def added(text, *given):
    return with_added(text, "sheet", shown(text).sheet, Adding(*given))


def numbers(text):
    return {one["id"]: one for group in groups_data(shown(text), {}) for one in group["numbers"]}


def test_all_that_is_offered_can_be_put_on_a_new_sheet_and_taken_off_again():
    seen = set()
    for arrangement in ARRANGEMENTS:
        text = new_sheet(arrangement, "4 mm", "mm", None)
        before = shown(text)
        assert additions_data(before)["there"] == []
        for item in left_out_of(before.sheet):
            if item.key in seen:  # of a gear before, from the same tables
                continue
            seen.add(item.key)
            after = added(text, item.key)
            assert item.key in {one["id"] for one in additions_data(shown(after))["there"]}
            came = set(tomllib.loads(after)) - set(tomllib.loads(text))
            if len(came) <= 1:  # else it goes only with what came with it
                with_edits(after, [Edit(item.key, None)], "sheet")
    assert {"radius_rod.bend", "crank_pin.nut", "lifting_link"} <= seen


def test_of_one_side_alone_and_with_what_it_needs():
    text = added(BLANK, "cylinder.front_cover", "left")
    data = tomllib.loads(text)
    assert set(data["left"]["cylinder"]) == {"front_cover", "piston"}
    assert numbers(text)["left.cylinder.front_cover"]["origin"] == "guessed"
    assert "# a guess, measure yours: [A] axle centre" in text  # comments stay


def test_a_reverser_comes_in_place_of_what_holds_the_die_without_one():
    data = tomllib.loads(added(BLANK, "lifting_link"))
    assert {"lifting_link", "weighshaft"} <= set(data)
    assert "die_above_trunnion" not in data["radius_rod"]


@pytest.mark.parametrize("kind", ["bow", "kink", "joggle"])
def test_a_bend_more_of_any_shape_beside_one_that_is_there(kind):
    first = added(BLANK, "radius_rod.bend", "right", "kink", "up")
    text = added(first, "radius_rod.bend", "right", kind, "away_from_frames")
    bends = tomllib.loads(text)["right"]["radius_rod"]["bend"]
    assert [(bend["kind"], "up" in bend) for bend in bends] == [("kink", True), (kind, False)]
    assert "right.radius_rod.bend[2].away_from_frames" in numbers(text)
    assert "[[right" not in text  # on a line of its own, below which nothing else is taken in


def test_something_fixed_as_typed():
    text = with_thing(BLANK, "sheet", BRACKET)
    (fixed,) = tomllib.loads(text)["fixed"]
    assert fixed["side_view"] == [["21,5", 4.0], [23.5, 4.0], [23.5, 10.5], ["21,5", 10.5]]
    assert any(number["id"].endswith(".out") and "fixed" in number["id"]
               for number in numbers(text).values())  # fmt: skip
    assert {"id": "fixed[1]", "says": "motion bracket"} in additions_data(shown(text))["there"]
    group = next(one for one in groups_data(shown(text), {}) if not one["offered"] and one["part"])
    assert group["says"] == "Motion bracket"
    off = with_edits(text, [Edit("fixed[1]", None)], "sheet")
    assert additions_data(shown(off))["there"] == []


def test_what_is_wrong_with_it_is_said():
    with pytest.raises(SheetError, match="has a place for"):
        added(BLANK, "moon")
    with pytest.raises(SheetError, match=r"(?s)name: is missing.*top: is missing, or no number"):
        with_thing(BLANK, "sheet", Thing("", "1", "2", "3", "", "5", "6"))


def test_words_of_the_report_are_put_on_the_sheet_and_off_it():
    for item in words_data({}):
        text = with_words(BLANK, "sheet", item["key"], "one\ntwo" if item["lines"] else "one")
        again = next(one for one in words_data(shown(text).typed) if one["key"] == item["key"])
        assert again["typed"] == ("one\ntwo" if item["lines"] else "one")
        assert shown(text).sheet.job is not None
        off = with_words(text, "sheet", item["key"], "  ")
        assert all(one["typed"] == "" for one in words_data(shown(off).typed))
    assert {one["key"] for one in words_data({})} | {"photographs"} == set(fields_by_key(Job))
    with pytest.raises(SheetError, match="nothing that the report says"):
        with_words(BLANK, "sheet", "photographs", "lock.jpg")
