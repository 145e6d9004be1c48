"""The one sheet that is worked at: its book, its file, and what is known of it so far.

All that the server's threads share is here, behind one lock. Nothing of a revision is ever told
for another: a stage that comes late is dropped where it arrives.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from linkage.bench.book import Book, deed
from linkage.bench.changes import Edit, say_change, say_number, with_edits, with_felt
from linkage.bench.jobs import Jobs
from linkage.bench.keeping import (
    ELSEWHERE,
    Hold,
    Journal,
    Kept,
    as_it_was_left,
    free_name,
    sheets_in,
)
from linkage.bench.numbers import Shown, from_unit, sides_of
from linkage.bench.pool import Finder
from linkage.bench.reading import Read, read_in
from linkage.bench.state import load_for, state_data
from linkage.bench.telling import (
    STAGES,
    WORDS_OF,
    Answer,
    Asked,
    Glimpse,
    Glimpsed,
    Question,
    Told,
)
from linkage.bench.typed import typed_of
from linkage.errors import LinkageError, Problem, SheetError
from linkage.files import write_all
from linkage.sheet import Sheet
from linkage.sheet.changing import change, steps_of
from linkage.sheet.merging import value_at
from linkage.sheet.opening import data_in, read_text

UNSAFE = (
    "What is changed cannot be written down beside the sheet: the disk may be full. Save, or it is "
    "lost when this ends."
)
LONGEST_POLL = 25.0
"""An answer that has not come is waited for so long, then asked for again [s]."""

_GLIMPSE_WAIT = 1.0
"""A glimpse that has not come is let go of; the hand is elsewhere by then [s]."""

MOST_POLLS = 3
"""At most so many wait at once: who asked long ago is let go, for the threads are few."""


class Stale(Exception):  # noqa: N818 (it says what is so)
    """What was asked is about a sheet that is not the newest."""


class Refused(LinkageError):  # noqa: N818 (as above)
    """What was asked cannot be done now; the message says why."""


@dataclass
class _Found:
    """What is known of the newest revision."""

    stages: dict[str, str] = field(default_factory=dict)  # by stage, as JSON
    newest: int = -1  # the last of them, by its place in STAGES

    def after(self, have: int) -> str:
        """Return the newest; but what it says its words of first, where a page has not that yet."""
        newest = STAGES[self.newest]
        needs = WORDS_OF.get(newest, newest)
        unseen = needs in self.stages and STAGES.index(needs) > have
        return self.stages[needs if unseen else newest]


class Desk:
    """See the module; every method may be called from any thread.

    `hold`: has the sheet already, and goes to another with the page.
    """

    def __init__(self, kept: Kept, book: Book, finder: Finder, hold: Hold) -> None:
        self._hold = hold
        self._lock = threading.Condition(threading.RLock())
        self._kept, self._book = kept, book
        self._journal, self._noted = Journal(kept), False
        self._found = _Found()
        self._closed = False
        self._glimpses, self._glimpsed = 0, Glimpsed(0, "")
        self._grip = ("", -1)  # whose hand was on a number last, and the revision it came to
        self._waiting = 0  # how often somebody began to wait for a stage
        self._read = read_in(book.text, self.source)
        self._finder = finder
        self.jobs = Jobs(self._finish)
        self._written: set[str] = set()
        self._brief = True  # whether no whole state was told yet
        self._unsafe = False  # whether what is not saved could be lost
        finder.tell(self._take, self._take_failure)
        with self._lock:
            self._ask()

    @property
    def source(self) -> str:
        """How the sheet is named in messages."""
        return "new sheet" if self._kept.path is None else self._kept.path.name

    @property
    def folder(self) -> Path:
        """The folder of the sheet, the only one that is reached."""
        return self._kept.folder

    @property
    def revision(self) -> int:
        """The newest."""
        return self._book.revision

    @property
    def text(self) -> str:
        """The sheet's text as it is now."""
        return self._book.text

    @property
    def sheet(self) -> Sheet:
        """The sheet as it is now."""
        return self._read.sheet

    def close(self) -> None:
        """End what is being found out, and let go who waits."""
        with self._lock:
            self._closed = True
            self._lock.notify_all()
            if self._kept.text == self._book.text:
                self._journal.take_away()
        self._finder.close()
        self.jobs.close()
        self._hold.close()

    # ---- what was found out ----

    def _take(self, told: Told | Glimpsed) -> None:
        with self._lock:
            if isinstance(told, Glimpsed):
                self._glimpsed = told
                self._lock.notify_all()
                return
            if told.revision != self.revision:
                return
            self._found.stages[told.stage] = told.text
            self._found.newest = max(self._found.newest, STAGES.index(told.stage))
            self._lock.notify_all()

    def _take_failure(self, revision: int, says: str) -> None:
        text = json.dumps({"revision": revision, "stage": "failed", "problem": says, "took": []})
        self._take(Told(revision, "failed", text))

    def found(self, revision: int, have: str | None, wait: float = LONGEST_POLL) -> str | None:
        """Return the newest stage after the one a page has, as JSON; None where none came in time.

        Raises
        ------
        Stale
            Where the revision is not the newest, or no longer.
        """
        after = STAGES.index(have) if have in STAGES else -1
        until = time.monotonic() + wait
        with self._lock:
            self._waiting += 1
            mine = self._waiting
            while True:
                if revision != self.revision:
                    raise Stale
                if self._found.newest > after:
                    return self._found.after(after)
                left = until - time.monotonic()
                if left <= 0 or self._closed or self._waiting - mine >= MOST_POLLS:
                    return None
                self._lock.wait(min(left, 1.0))

    def glimpse(self, key: str, value: float, place: str | float | None = None) -> str | None:
        """Return how the sheet turns with a number so, as JSON; None where it does not come soon.

        Nothing is changed. `value`: as a step starts from it, in the unit of the sheet. `place`:
        of the reverser, a name or an angle of its arm [rad]; as the sheet has it for None.

        Raises
        ------
        SheetError
            Where the number cannot be so.
        """
        with self._lock:
            self._glimpses += 1
            mine, sheet = self._glimpses, self._read.sheet
        tried = change(sheet, {key: from_unit(sheet, key, value)})
        self._finder.glimpse(Glimpse(mine, tried, sides_of(sheet, key), place))
        with self._lock:
            self._lock.wait_for(
                lambda: self._closed or self._glimpsed.number >= mine, _GLIMPSE_WAIT
            )
            return self._glimpsed.text if self._glimpsed.number == mine else None

    def _ask(self, drawn: bool = False, changed: str = "") -> None:
        self._found = _Found()
        self._finder.ask(Asked(self.revision, self._read.sheet, drawn))
        self._lock.notify_all()
        self.jobs.drop_stale(self.revision, changed)

    # ---- what the page shows ----

    def bench(self, first: bool = False) -> dict[str, Any]:
        """Return the state of the sheet, for the page.

        `first`: for a page that has nothing yet, so that what takes long to load may come after.
        """
        self._brief = brief = first and self._brief
        if not brief:
            load_for(self.sheet)  # not while what is found out has to wait for it
        with self._lock:
            state = state_data(self._book, self._kept, self._shown(), brief)
            state["choices"] = {**state["choices"], "sheets": self.sheets()}
            if self._unsafe:
                state["cautions"] = [UNSAFE, *state["cautions"]]
            return state

    def _shown(self) -> Shown:
        try:
            saved = data_in(self._kept.text, self.source) if self._kept.text else self._read.data
        except SheetError:
            saved = self._read.data
        return Shown(self._read.sheet, self._read.data, saved)

    # ---- what changes it ----

    def change(
        self, revision: int, edits: Sequence[Edit], grip: str = "", drawn: bool = False
    ) -> tuple[Problem, ...]:
        """Change numbers; return what is wrong, and then nothing is changed.

        `grip`: names a hand that is on a number; all that it does is one step. `drawn`: whether a
        glimpse of it was asked for, so that the verdict by samples comes first.

        Raises
        ------
        Stale
            Where the page has not the newest.
        """
        with self._lock:
            self._check(revision)
            goes_on = bool(grip) and self._grip == (grip, self.revision)
            begun = read_in(self._book.undone().text, self.source) if goes_on else self._read
            try:
                text = with_edits(self._book.text, edits, self.source)
                read = read_in(text, self.source)
            except SheetError as error:
                return error.problems
            says = (
                say_change(begun.sheet, edits[0])
                if len(edits) == 1
                else ", ".join(say_number(key) for key in sorted({e.key for e in edits}))
            )
            book = self._book
            after = book.gone_on(says, text) if goes_on else book.changed(says, text)
            self._go_to(after, read, drawn, edits[0].key if len(edits) == 1 else "")
            self._grip = (grip, self.revision)
            return ()

    def put(self, revision: int, says: str, text: str) -> tuple[Problem, ...]:
        """Change the whole text, as a cure does; return what is wrong."""
        with self._lock:
            self._check(revision)
            try:
                read = read_in(text, self.source)
            except SheetError as error:
                return error.problems
            self._go_to(self._book.changed(says, text), read)
            return ()

    def undo(self) -> None:
        """Take the last change back."""
        self._step(Book.undone)

    def redo(self) -> None:
        """Do it again."""
        self._step(Book.redone)

    def _step(self, way: Callable[[Book], Book]) -> None:
        with self._lock:
            book = way(self._book)
            self._go_to(book, read_in(book.text, self.source))

    def name(self, name: str) -> None:
        """Keep the sheet as it is by a name."""
        with self._lock:
            book = self._book.named(name)
            if book.snapshots != self._book.snapshots:
                self._note(self._book, book)
                self._book = book

    def snapshot(self, name: str) -> str:
        """Return the text that was kept by a name.

        Raises
        ------
        Refused
            Where there is none.
        """
        with self._lock:
            if name not in self._book.snapshots:
                raise Refused(f'nothing was kept by the name "{name}"')
            return self._book.snapshots[name]

    def _check(self, revision: int) -> None:
        if revision != self.revision:
            raise Stale

    def _go_to(self, book: Book, read: Read, drawn: bool = False, changed: str = "") -> None:
        before = self._book
        if book is before:
            return
        self._book, self._read = book, read
        self._ask(drawn, changed)  # it is turned while it is written down
        self._note(before, book)

    def _note(self, before: Book, book: Book) -> None:
        if not self._noted:
            self._noted = self._journal.begin(before)
        # where that fails, all of it is written down again with the next
        self._noted = self._noted and self._journal.add(deed(before, book))
        self._unsafe = not self._noted

    def reset(self, key: str) -> tuple[Problem, ...]:
        """Make a number again what it is in the file."""
        with self._lock:
            typed = typed_of(value_at(self._shown().saved, steps_of(key)))
            return self.change(self.revision, [Edit(key, typed or None)])

    def felt(self, revision: int, lines: Sequence[Any]) -> tuple[Problem, ...]:
        """Put what was felt on the sheet, in place of what stands there."""
        with self._lock:
            self._check(revision)
            try:
                text = with_felt(self._book.text, lines, self.source)
            except SheetError as error:
                return error.problems
            return self.put(revision, "what was felt", text)

    # ---- what is asked of it ----

    def ask(self, revision: int, what: str, given: Mapping[str, Any], quick: bool = False) -> int:
        """Ask a question of the sheet; return its number.

        `quick`: whether it is to wait for no longer one.

        Raises
        ------
        Stale, Refused
            Where the page has not the newest, or names a sheet that was not kept.
        """
        with self._lock:
            self._check(revision)
            held = dict(given)
            if "snapshot" in held:
                held["before"] = self.snapshot(str(held["snapshot"]))
            return self.jobs.ask(
                lambda number: Question(
                    number, revision, what, self._book.text, self._read.sheet, held, quick
                )
            )

    def try_cure(self, job: int, cure: str) -> tuple[Problem, ...]:
        """Do a cure on the sheet, a change like any other.

        Raises
        ------
        Refused
            Where there is no such cure any more.
        """
        with self._lock:
            found = self.jobs.text_of(job, cure, self.revision)
            if found is None:
                raise Refused("There is no such cure of the sheet as it is now.")
            says, text = found
            return self.put(self.revision, says, text)

    def _finish(self, asked: Question, answer: Answer) -> dict[str, Any]:
        """Write what an answer has for files, and return what the page is told of it."""
        stem = "my-engine" if self._kept.path is None else self._kept.path.stem
        files = {free_name(self.folder, stem, end): held for end, held in answer.files.items()}
        if files:
            write_all(files, force=False)
        names = [path.name for path in files]
        self._written.update(names)
        return {**answer.says, **({"files": names} if names else {})}

    def written(self, name: str) -> bytes | None:
        """Return a file that was written from here; None where there is no such."""
        path = self.folder / name
        if name not in self._written or path.is_symlink() or not path.is_file():
            return None
        return path.read_bytes()

    # ---- its file ----

    def sheets(self) -> list[str]:
        """Return the names of the sheets in the folder."""
        return sheets_in(self.folder)

    def open(self, name: str) -> None:
        """Go on with another sheet of the folder, what is not saved of this one kept beside it.

        Raises
        ------
        Refused, SheetError
            Where there is no such, it cannot be used, or another bench is open at it; nothing is
            changed then.
        """
        with self._lock:
            if name not in self.sheets():
                raise Refused(f'there is no sheet "{name}" in this folder')
            path = self.folder / name
            kept, book = as_it_was_left(Kept(path, read_text(path, name)))
            self._begin_with(kept, book, read_in(book.text, name))

    def new(self, text: str, stem: str) -> None:
        """Go on with a new sheet, which gets a file at once."""
        with self._lock:
            path = free_name(self.folder, stem, ".toml")
            read = read_in(text, path.name)
            write_all({path: text.encode("utf-8")}, force=False)
            self._begin_with(Kept(path, text), Book(text), read)

    def _begin_with(self, kept: Kept, book: Book, read: Read) -> None:
        if not self._hold.go_to(kept):
            raise Refused(f"{kept.path.name if kept.path else 'It'}: {ELSEWHERE}")
        if self._kept.text == self._book.text:
            self._journal.take_away()
        revision = max(self.revision, book.revision) + 1
        self._kept, self._book, self._read = kept, replace(book, revision=revision), read
        self._journal, self._noted = Journal(kept), False
        self._ask()

    def keep(self, how: str) -> None:
        """Save the sheet, or settle what to do with a file that was changed elsewhere.

        `how`: "save"; "mine" to write over what is there, "theirs" to take it, "beside" to save by
        another name.

        Raises
        ------
        Refused, OutputError, SheetError
            Where that cannot be; nothing is changed then.
        """
        with self._lock:
            if how == "theirs":
                self._take_theirs()
                return
            if how == "beside":
                stem = "my-engine" if self._kept.path is None else self._kept.path.stem
                self._save(Kept(free_name(self.folder, stem, ".toml")))
                return
            if how == "save" and self._kept.elsewhere():
                raise Refused("the file was changed elsewhere: say which of the two is to stay")
            self._save(self._kept)

    def _take_theirs(self) -> None:
        if self._kept.path is None:
            raise Refused("there is no file yet")
        text = read_text(self._kept.path, self.source)
        read = read_in(text, self.source)
        self._kept = Kept(self._kept.path, text)
        self._go_to(self._book.changed("taken from the file, as it was changed elsewhere", text),
                    read)  # fmt: skip
        self._journal = self._journal.moved(self._kept)
        self._journal.begin(self._book)

    def _save(self, kept: Kept) -> None:
        if kept.path is None:
            raise Refused("the sheet has no name yet: save it beside, by a name of its own")
        self._kept = kept.saved(self._book.text)
        self._hold.go_to(self._kept)  # by another name, it is another sheet
        self._journal = self._journal.moved(self._kept)
        self._journal.begin(self._book)
