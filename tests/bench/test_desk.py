"""The sheet that is worked at, without the process that finds out."""

import json
import threading
import time

import pytest

from linkage.arrangements import ARRANGEMENTS
from linkage.bench.beginning import new_sheet
from linkage.bench.book import Book
from linkage.bench.changes import Edit
from linkage.bench.desk import Desk, Refused, Stale
from linkage.bench.keeping import Hold, Journal, Kept, alone, as_it_was_left
from linkage.bench.numbers import letters_for
from linkage.bench.telling import Glimpsed, Told
from linkage.errors import SheetError
from linkage.form.letters import letters_of
from linkage.form.model import models_of
from linkage.sheet import sheet_in
from linkage.sheet.ready import demonstration, ready_sheets
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.sides import CoupledSide

TEXT = demonstration().read_text(encoding="utf-8")
OUT = "radius_rod.out"


class NoFinder:
    """Notes what is asked."""

    def __init__(self):
        self.asked = []

    def tell(self, told, failed):
        """As a finder."""
        self.told, self.failed = told, failed

    def ask(self, asked):
        """Note it."""
        self.asked.append(asked)

    def close(self):
        """End nothing."""

    def find(self, revision, stage, **says):
        """Tell a stage."""
        self.told(Told(revision, stage, json.dumps({"stage": stage, **says})))


@pytest.fixture
def desk(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text(TEXT, encoding="utf-8")
    return Desk(Kept(path, TEXT), Book(TEXT), NoFinder(), Hold())


def test_a_change_is_asked_about_and_its_undo_too(desk):
    assert desk.change(0, [Edit(OUT, "4,5")]) == ()
    state = desk.bench()

    assert (state["revision"], state["saved"]) == (1, False)
    assert state["undo"] == "how far out the radius rod sits: 4.4 \u2192 4,5"
    assert desk._finder.asked[-1].sheet.dimensions["right"][OUT] == 4.5
    desk.undo()
    assert desk.bench()["redo"] == state["undo"]
    assert desk.bench()["saved"]
    assert desk._finder.asked[-1].sheet.dimensions["right"][OUT] == 4.4
    assert [asked.revision for asked in desk._finder.asked] == [0, 1, 2]


@pytest.mark.parametrize(("edit", "says", "doubt"), [
    (Edit(OUT, "abc"), "should be a length", False),
    (Edit(OUT, ""), "nothing is typed", False),
    (Edit("radius_rod.nothing", "4"), "is not a known key", False),
    (Edit("radius_rod.out.deeper", "4"), "is no place", False),
    (Edit("radius_rod.bend[9].at", "4"), "is no place", False),
    (Edit("wheels.throw", None), "is missing", False),
    (Edit("connecting_rod.centres", "420"), "decimal point", True),
])  # fmt: skip
def test_a_slip_is_told_and_changes_nothing(desk, edit, says, doubt):
    before = desk.bench()

    problems = desk.change(0, [edit])

    assert problems
    assert says in str(problems[0])
    assert problems[0].doubt is doubt
    assert desk.bench() == before


def test_an_unusual_number_that_is_right_may_stand(desk):
    assert desk.change(0, [Edit("connecting_rod.centres", "84", sure=True)]) == ()
    assert 'sure = ["connecting_rod.centres"]' in desk._book.text
    odd = [n["id"] for g in desk.bench()["groups"] for n in g["numbers"] if n["doubt"]]
    assert odd == ["connecting_rod.centres"]


def test_a_side_gets_its_own_number_and_loses_it_again(desk):
    assert desk.change(0, [Edit("left.radius_rod.out", "4.6")]) == ()
    asked = desk._finder.asked[-1].sheet
    assert [asked.dimensions[side][key] for side, key in
            (("right", OUT), ("left", f"left.{OUT}"))] == [4.4, 4.6]  # fmt: skip
    assert desk.change(1, [Edit("left.radius_rod.out", None)]) == ()
    assert desk._finder.asked[-1].sheet.dimensions["left"][OUT] == 4.4


def test_nothing_of_a_revision_is_told_for_another(desk):
    desk._finder.find(0, "motion")
    assert json.loads(desk.found(0, None, 0.0))["stage"] == "motion"
    desk.change(0, [Edit(OUT, "4.5")])
    desk._finder.find(0, "proven")

    with pytest.raises(Stale):
        desk.found(0, "motion", 0.0)
    assert desk.found(1, None, 0.0) is None
    with pytest.raises(Stale):
        desk.change(0, [Edit(OUT, "4.6")])


def test_who_comes_late_gets_the_drawing_before_words_alone(desk):
    desk._finder.find(0, "motion")
    desk._finder.find(0, "looked")

    assert json.loads(desk.found(0, None, 0.0))["stage"] == "motion"
    assert json.loads(desk.found(0, "motion", 0.0))["stage"] == "looked"
    desk._finder.find(0, "proven")
    assert json.loads(desk.found(0, None, 0.0))["stage"] == "proven"
    desk._finder.find(0, "sure")
    assert json.loads(desk.found(0, "looked", 0.0))["stage"] == "proven"
    assert json.loads(desk.found(0, "proven", 0.0))["stage"] == "sure"
    desk._finder.find(0, "failed")
    assert json.loads(desk.found(0, "motion", 0.0))["stage"] == "failed"


def test_who_waits_for_a_stage_is_told_at_once_that_there_is_something_newer(desk):
    ended = []

    def wait():
        begun = time.monotonic()
        with pytest.raises(Stale):
            desk.found(0, None, 20.0)
        ended.append(time.monotonic() - begun)

    waiting = threading.Thread(target=wait)
    waiting.start()
    time.sleep(0.1)
    desk.change(0, [Edit(OUT, "4.5")])
    waiting.join(5)

    assert ended
    assert ended[0] < 2


def test_what_is_saved_keeps_comments_and_order(desk):
    desk.change(0, [Edit(OUT, "4.55")])
    desk.keep("save")
    text = desk._kept.path.read_text(encoding="utf-8")

    changed = [(a, b) for a, b in zip(TEXT.splitlines(), text.splitlines(), strict=True) if a != b]
    assert len(changed) == 1
    assert "4.55" in changed[0][1]
    assert desk.bench()["saved"]


def test_a_file_changed_elsewhere_is_not_written_over(desk):
    path = desk._kept.path
    theirs = f"{TEXT}\n# measured again\n"
    path.write_text(theirs, encoding="utf-8")
    desk.change(0, [Edit(OUT, "4.5")])

    assert desk.bench()["elsewhere"]
    with pytest.raises(Refused, match="changed elsewhere"):
        desk.keep("save")
    assert path.read_text(encoding="utf-8") == theirs
    desk.keep("beside")
    assert path.read_text(encoding="utf-8") == theirs
    assert desk.bench()["file"] == "engine-2.toml"


@pytest.mark.parametrize("how", ["mine", "theirs"])
def test_which_of_the_two_stays_is_asked(desk, how):
    theirs = f"{TEXT}\n# measured again\n"
    desk._kept.path.write_text(theirs, encoding="utf-8")
    desk.change(0, [Edit(OUT, "4.5")])
    mine = desk._book.text

    desk.keep(how)

    assert desk._book.text == (mine if how == "mine" else theirs)
    assert desk._kept.path.read_text(encoding="utf-8") == desk._book.text
    assert desk.bench()["saved"]
    assert not desk.bench()["elsewhere"]


def test_what_is_not_saved_is_there_when_the_page_is_opened_again(desk):
    desk.change(0, [Edit(OUT, "4.5")])

    held = Journal(desk._kept).held()

    assert held == (desk._book, TEXT)


def test_where_nothing_can_be_written_down_the_work_goes_on_and_it_is_said(desk, monkeypatch):
    with monkeypatch.context() as full:
        full.setattr(Journal, "begin", lambda *_: False)
        desk.change(0, [Edit(OUT, "4.5")])
        assert "cannot be written down" in desk.bench()["cautions"][0]
    desk.change(1, [Edit(OUT, "4.6")])

    assert "cannot be written down" not in desk.bench()["cautions"][0]
    assert Journal(desk._kept).held() == (desk._book, TEXT)


def test_of_two_thousand_changes_only_what_is_different_is_kept(desk):
    book = desk._book
    for number in range(2000):
        book = book.changed("", f"{TEXT}# {number}")
    assert sum(len(step.old) + len(step.new) for step in book.past) < 40_000


@pytest.mark.parametrize("name", sorted(ready_sheets()))
def test_every_number_of_every_ready_sheet_is_shown_and_can_be_typed_as_it_stands(name):
    text = ready_sheets()[name].read_text(encoding="utf-8")
    desk = Desk(Kept(None), Book(text), NoFinder(), Hold())
    numbers = [one for group in desk.bench()["groups"] for one in group["numbers"]]

    assert len({one["id"] for one in numbers}) == len(numbers)
    assert all(one["says"] and one["shown"] for one in numbers if one["kind"] != "choice")
    typed = [Edit(one["id"], one["typed"]) for one in numbers if one["typed"]]
    assert desk.change(0, typed) == ()
    assert sheet_in(desk._book.text, "").dimensions == sheet_in(text, "").dimensions


def test_letters_are_those_of_the_form_with_the_sheets_axles(tmp_path):
    text = new_sheet("walschaerts", "4 mm", "mm", "2-6-0")
    letters = {
        number["id"]: number["letter"]
        for group in Desk(Kept(tmp_path / "a.toml", text), Book(text), NoFinder(), Hold()).bench()[
            "groups"
        ]
        for number in group["numbers"]
    }
    form = letters_of(models_of("walschaerts", "4 mm", WheelArrangement.of("2-6-0"), "mm"))
    rod = "coupling_rods.front.centres"
    assert letters[rod] == form[rod]
    assert letters["eccentric_rod.centres"] == form["eccentric_rod.centres"]
    assert f"[{form['eccentric_rod.centres']}]" in text  # the hint beside the number
    other = text.replace("axles.leading", "axles.first").replace('"leading"', '"first"')
    bench = Desk(Kept(tmp_path / "b.toml", other), Book(other), NoFinder(), Hold()).bench()
    assert not any(number["letter"] for group in bench["groups"] for number in group["numbers"])


def test_a_first_page_waits_neither_for_letters_nor_for_what_to_begin_with(tmp_path):
    text = new_sheet("walschaerts", "4 mm", "mm", None)
    desk = Desk(Kept(tmp_path / "a.toml", text), Book(text), NoFinder(), Hold())
    first, later = desk.bench(first=True), desk.bench()
    numbers = [one for group in first["groups"] for one in group["numbers"]]
    assert first["brief"]
    assert not any(one["letter"] for one in numbers)
    assert first["choices"] == {"arrangements": [], "scales": [], "wheels": [], "sheets": []}
    assert not later["brief"]
    assert any(one["letter"] for group in later["groups"] for one in group["numbers"])
    assert len(later["choices"]["arrangements"]) == len(ARRANGEMENTS)
    assert desk.bench(first=True) == later  # loaded by now


def test_what_a_hand_does_that_has_not_let_go_is_one_step(desk):
    for typed in ("4.5", "4.6", "4.7"):
        assert desk.change(desk.revision, [Edit(OUT, typed)], "hand 1") == ()
    assert desk.bench()["undo"] == "how far out the radius rod sits: 4.4 \u2192 4.7"
    desk.change(desk.revision, [Edit(OUT, "4.8")], "hand 2")
    desk.undo()
    desk.change(desk.revision, [Edit(OUT, "4.9")], "hand 2")  # not on what was taken back
    desk.undo()
    desk.undo()
    assert desk.bench()["saved"]
    assert desk.bench()["undo"] is None


def test_a_glimpse_changes_nothing_and_a_later_one_lets_go_who_waits(desk):
    asked = []
    desk._finder.glimpse = asked.append
    said = []
    first = threading.Thread(target=lambda: said.append(desk.glimpse(OUT, 4.6)))
    first.start()
    while not asked:
        time.sleep(0.01)
    desk._take(Glimpsed(2, "late"))  # of a later one
    first.join(10)
    assert said == [None]
    assert asked[0].sheet.dimensions["right"][OUT] == 4.6
    assert asked[0].sides == ("right", "left")
    desk._finder.glimpse = lambda one: desk._take(Glimpsed(one.number, "drawn"))
    assert desk.glimpse(OUT, 4.6) == "drawn"
    with pytest.raises(SheetError):
        desk.glimpse("radius_rod.centres", -1.0)
    assert desk.revision == 0


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_coupled_sheet_of_any_arrangement_has_letters(arrangement):
    if not issubclass(ARRANGEMENTS[arrangement].tables, CoupledSide):
        return
    text = new_sheet(arrangement, "4 mm", "mm", "0-6-0")
    letters = letters_for(arrangement, "4 mm", "mm", WheelArrangement.of("0-6-0"))
    rod = "coupling_rods.front.centres"
    assert f"[{letters[rod]}]" in text


def test_a_sheet_without_a_file_is_there_again_until_it_is_saved(tmp_path):
    text = new_sheet("walschaerts", "4 mm", "mm", None)
    begun = Kept(None, text, tmp_path)
    desk = Desk(*as_it_was_left(begun), NoFinder(), Hold())
    assert list(tmp_path.iterdir()) == []  # nothing is written before anything is changed
    desk.change(0, [Edit(OUT, "4.5")])
    desk.change(1, [Edit(OUT, "4.6")])

    again = Desk(*as_it_was_left(begun), NoFinder(), Hold())  # the first was killed
    assert again.bench()["undo"].endswith("4.5 \u2192 4.6")
    assert (again.bench()["file"], again.bench()["saved"]) == (None, False)
    again.undo()
    again.undo()
    again.close()  # as it was begun: there is nothing to keep
    assert list(tmp_path.iterdir()) == []

    last = Desk(*as_it_was_left(begun), NoFinder(), Hold())
    last.change(0, [Edit(OUT, "4.7")])
    last.keep("beside")
    last.close()
    assert [path.name for path in tmp_path.iterdir()] == ["my-engine.toml"]
    assert "4.7" in (tmp_path / "my-engine.toml").read_text()


def test_a_sheet_that_is_opened_is_held_against_other_benches(desk, tmp_path):
    other, theirs = tmp_path / "other.toml", tmp_path / "theirs.toml"
    for path in (other, theirs):
        path.write_text(TEXT, encoding="utf-8")
    desk.open("other.toml")
    with alone(Kept(other, TEXT)) as free:
        assert not free
    with alone(Kept(theirs, TEXT)) as free:
        assert free
        with pytest.raises(Refused, match=r"theirs\.toml: another bench is open at it already"):
            desk.open("theirs.toml")
    assert desk.bench()["file"] == "other.toml"
    with alone(Kept(other, TEXT)) as free:  # it stays held where the page could not leave it
        assert not free
    desk.keep("beside")
    with alone(Kept(tmp_path / "other-2.toml", TEXT)) as free:
        assert not free
    with alone(Kept(other, TEXT)) as free:
        assert free
    desk.open("other-2.toml")  # once more the same
    with alone(Kept(tmp_path / "other-2.toml", TEXT)) as free:
        assert not free
