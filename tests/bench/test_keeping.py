"""The sheet's file: whole or not at all, the last ten kept, what was not saved there again."""

import time

import pytest

from linkage.bench.book import Book, deed
from linkage.bench.keeping import KEPT, Journal, Kept, alone
from linkage.errors import OutputError


def test_what_is_written_over_is_kept_and_no_more_than_ten(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("0")
    kept = Kept(path, "0")
    for number in range(1, KEPT + 5):
        kept = kept.saved(str(number))
        time.sleep(0.002)  # they are named by the millisecond

    old = [file.read_text() for file in sorted((tmp_path / "engine-kept").iterdir())]
    assert path.read_text() == str(KEPT + 4)
    assert old == [str(number) for number in range(4, KEPT + 4)]


def test_what_cannot_be_kept_is_said_and_nothing_is_written(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("0")
    (tmp_path / "engine-kept").write_text("in the way")

    with pytest.raises(OutputError, match="should be a folder"):
        Kept(path, "0").saved("1")

    assert path.read_text() == "0"


def test_a_file_that_was_changed_or_taken_away_elsewhere_is_noticed(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("a")
    kept = Kept(path, "a")

    assert not kept.elsewhere()
    path.write_text("b")
    assert kept.elsewhere()
    path.unlink()
    assert kept.elsewhere()


def test_what_was_not_saved_is_there_again_with_its_history(tmp_path):
    path = tmp_path / "engine.toml"
    path.write_text("throw = 4.33\n")
    journal, book = Journal(Kept(path, "throw = 4.33\n")), Book("throw = 4.33\n")
    journal.begin(book)
    for do in (lambda b: b.changed("throw", "throw = 4.4\n"), lambda b: b.named("as it came")):
        journal.add(deed(book, do(book)))
        book = do(book)
        assert Journal(Kept(path, "")).held() == (book, "throw = 4.33\n")


def test_a_last_line_that_was_cut_short_is_left_out(tmp_path):
    kept = Kept(tmp_path / "engine.toml", "a")
    journal, book = Journal(kept), Book("a")
    journal.begin(book)
    journal.add(deed(book, book.changed("", "ab")))
    whole = kept.journal.read_bytes()
    for end in range(len(whole)):
        kept.journal.write_bytes(whole[:end])
        held = journal.held()
        assert held is None or held[0].text in ("a", "ab")
    kept.journal.write_bytes(b"\xff{}")
    assert journal.held() is None


def test_a_journal_that_is_a_link_is_not_followed(tmp_path):
    kept = Kept(tmp_path / "engine.toml", "a")
    (tmp_path / "other").write_text("{}\n")
    kept.journal.symlink_to(tmp_path / "other")

    Journal(kept).add({"undo": 1})

    assert (tmp_path / "other").read_text() == "{}\n"
    assert Journal(kept).held() is None


def test_one_sheet_is_at_one_bench_and_free_again_after_it(tmp_path):
    kept, other = Kept(tmp_path / "engine.toml", "a"), Kept(tmp_path / "other.toml", "a")
    with alone(kept) as mine, alone(kept) as second, alone(other) as elsewhere:
        assert (mine, second, elsewhere) == (True, False, True)
    with alone(kept) as again, alone(Kept(None, "a", tmp_path)), alone(Kept(None, "a")) as free:
        assert again
        assert free  # nothing is kept of it
    assert list(tmp_path.iterdir()) == []
