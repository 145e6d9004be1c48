"""The text of a sheet with its history, against a plain list of texts."""

import json

from hypothesis import given
from hypothesis import strategies as st

from linkage.bench.book import Book, after_deed, deed, step_to

TEXTS = st.text(st.sampled_from("ab\n\u00e9"), max_size=12)
DEEDS = st.lists(
    st.one_of(TEXTS, st.sampled_from([None, True]), st.just(("name", "as it came"))), max_size=30
)


@given(TEXTS, TEXTS)
def test_a_step_is_done_and_undone(before, after):
    step = step_to("", before, after)

    assert (step.done(before), step.undone(after)) == (after, before)


@given(TEXTS, DEEDS)
def test_whatever_is_done_can_be_undone_redone_and_done_again_from_what_was_written_down(
    first, deeds
):
    book, written = Book(first), []
    texts, at = [first], 0  # all states, and where we are among them
    for one in deeds:
        if one is None:
            new, at = book.undone(), max(0, at - 1)
        elif one is True:
            new, at = book.redone(), min(len(texts) - 1, at + 1)
        elif isinstance(one, tuple):
            new = book.named(one[1])
        else:
            new = book.changed("typed", one)
            if one != texts[at]:
                texts, at = [*texts[: at + 1], one], at + 1
        if new is not book and new != book:
            written.append(json.dumps(deed(book, new)))
            assert new.revision == book.revision + ("name" not in written[-1][:8])
        book = new
        assert book.text == texts[at]
        assert (len(book.past), len(book.future)) == (at, len(texts) - 1 - at)

    again = Book(first)
    for line in written:
        again = after_deed(again, json.loads(line))
    assert again == book


def test_a_day_of_changes_is_kept_as_what_is_different():
    book = Book("throw = 4.33\n" * 500)
    for number in range(200):
        book = book.changed("throw", book.text[:-6] + f"{4 + number / 1000:.3f}\n")

    assert sum(len(step.old) + len(step.new) for step in book.past) < 2000


@given(TEXTS, st.lists(TEXTS, min_size=1, max_size=8))
def test_what_goes_on_is_one_step_and_so_is_what_was_written_down(first, texts):
    book = Book(first).changed("before", f"{first}.")
    begun, again = book, book
    for number, text in enumerate(texts):
        new = book.gone_on("dragged", text) if number else book.changed("dragged", text)
        if new is not book:
            assert new.revision == book.revision + 1
            again = after_deed(again, json.loads(json.dumps(deed(book, new))))
        book = new
        if len(book.past) == len(begun.past):
            break  # back where it began: there is no step to go on with
    assert again == book
    assert book.text == text
    assert len(book.past) <= len(begun.past) + 1
    assert book.future == ()
    if len(book.past) > len(begun.past):
        assert book.undone().text == begun.text
