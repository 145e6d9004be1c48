"""The sheet's file: read, written whole or not at all, the last ten kept, changes noticed.

Beside ``engine.toml`` lies, while there is something to be kept that is not in it,
``.engine.toml.bench``: what the file held when the page was opened, and every deed since, a line
each. So nothing that was typed is lost by a kill or a crash. What has no file yet is written down
as ``.unsaved.toml.bench`` in the folder that the bench was opened in: there it is looked for, and
saved; a folder of the computer's own would hold what nobody finds, of engines that nobody keeps
apart. ``engine-kept/`` holds the last ten files that were written over, by when.
"""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from linkage.bench.book import Book, Step, after_deed
from linkage.errors import OutputError, SheetError
from linkage.files import held, write_whole
from linkage.sheet.opening import read_text

KEPT = 10
ELSEWHERE = (
    "another bench is open at it already. Go on there, or close that page first: two would write "
    "over one another."
)
_UNSAVED = ".unsaved.toml.bench"
_VERSION = 1
_MOST_SHEETS = 200  # of a folder, that are listed


@dataclass(frozen=True)
class Kept:
    """Where a sheet lies, and what is known of its file."""

    path: Path | None  # None for one that was not saved yet
    text: str = ""  # what its file held when it was last read or written; what it was begun with
    begun_in: Path | None = None  # the folder of one without a file; None where nothing is kept

    @property
    def folder(self) -> Path:
        """The folder that it lies in, or is saved in."""
        return self.path.parent if self.path is not None else self.begun_in or Path.cwd()

    @property
    def journal(self) -> Path | None:
        """Where what is not saved is kept."""
        if self.path is not None:
            return self.path.with_name(f".{self.path.name}.bench")
        return None if self.begun_in is None else self.begun_in / _UNSAVED

    def elsewhere(self) -> bool:
        """Tell whether the file was changed by somebody else."""
        if self.path is None:
            return False
        try:
            return read_text(self.path, self.path.name) != self.text
        except SheetError:
            return True

    def saved(self, text: str) -> Kept:
        """Write the file, whole or not at all, what it held kept beside it.

        Raises
        ------
        OutputError
            Where it cannot be written; all is as it was then.
        """
        path = self.path
        if path is None:
            raise OutputError("has no name yet")
        try:
            if path.exists() and self.text != text:
                _keep(path)
            write_whole(path, text.encode("utf-8"), force=True)
        except OSError as error:
            raise OutputError(f"{path.name}: cannot be written ({error.strerror})") from error
        return replace(self, text=text)


@contextlib.contextmanager
def alone(kept: Kept) -> Iterator[bool]:
    """Hold a sheet for as long as this lasts, or this process lives.

    Yields whether no other bench has it; true where that cannot be known.
    """
    journal = kept.journal
    if journal is None:
        yield True
        return
    lock, stack = journal.with_name(f"{journal.name}-open"), contextlib.ExitStack()
    try:
        stack.enter_context(held(lock, surely=False))
    except BlockingIOError:
        yield False
        return
    except OSError:  # nothing can be written in that folder
        yield True
        return
    with stack:
        try:
            yield True
        finally:
            with contextlib.suppress(OSError):
                lock.unlink()


class Hold:
    """Keeps other benches from the sheet that is worked at here, one at a time."""

    def __init__(self) -> None:
        self._held, self._stack = Kept(None), contextlib.ExitStack()

    def go_to(self, kept: Kept) -> bool:
        """Let go of the sheet that is held, and hold another.

        Tells whether it could: where another bench has that one, the first stays held.
        """
        if kept.journal != self._held.journal:
            stack = contextlib.ExitStack()
            if not stack.enter_context(alone(kept)):
                return False
            self._stack.close()
            self._held, self._stack = kept, stack
        return True

    def close(self) -> None:
        """Let go of it."""
        self._held = Kept(None)
        self._stack.close()


def _keep(path: Path) -> None:
    """Put a copy of a file with those that were written over, the oldest of more than ten off."""
    folder = path.with_name(f"{path.stem}-kept")
    with contextlib.suppress(FileExistsError):
        folder.mkdir()
    if folder.is_symlink() or not folder.is_dir():
        raise OutputError(f"{folder.name}: should be a folder, for the last sheets")
    moment = time.time()
    said = time.strftime("%Y-%m-%d %H.%M.%S", time.localtime(moment))
    name = f"{said}.{int(moment % 1 * 1000):03d}{path.suffix}"
    write_whole(folder / name, path.read_bytes(), force=True)
    files = sorted(held for held in folder.glob(f"*{path.suffix}") if held.is_file())
    for old in files[:-KEPT]:
        with contextlib.suppress(OSError):
            old.unlink()


class Journal:
    """Every deed since the file was read, a line each, beside it."""

    def __init__(self, kept: Kept) -> None:
        self._kept = kept

    def begin(self, book: Book) -> bool:
        """Begin anew: the file is as it is known, and this is the book. Tell whether it could."""
        path = self._kept.journal
        if path is None:
            return True
        head = {"version": _VERSION, "file": self._kept.text, "text": book.text,
                "revision": book.revision, "snapshots": dict(book.snapshots)}  # fmt: skip
        deeds = [{"says": s.says, "at": s.at, "old": s.old, "new": s.new} for s in book.past]
        lines = [head, {"past": deeds}]
        with contextlib.suppress(OSError, OutputError):
            write_whole(path, "".join(json.dumps(line) + "\n" for line in lines).encode(), True)
            return True
        return False

    def add(self, held: dict[str, Any]) -> bool:
        """Write down a deed, and tell whether it could; on a full disk the work goes on without."""
        path = self._kept.journal
        if path is None:
            return True
        if path.is_symlink() or not path.is_file():
            return False
        with contextlib.suppress(OSError), path.open("ab") as file:
            file.write(json.dumps(held).encode() + b"\n")
            return True
        return False

    def moved(self, kept: Kept) -> Journal:
        """Return it for another file, or the same in another state; that of the other goes."""
        old = self._kept.journal
        if old is not None and old != kept.journal:
            with contextlib.suppress(OSError):
                old.unlink()
        return Journal(kept)

    def take_away(self) -> None:
        """Take it away: all is in the file."""
        if self._kept.journal is not None:
            with contextlib.suppress(OSError):
                self._kept.journal.unlink()

    def held(self) -> tuple[Book, str] | None:
        """Return the book as it was left, and what its file held then."""
        path = self._kept.journal
        if path is None or path.is_symlink() or not path.is_file():
            return None
        try:
            first, *lines = path.read_text(encoding="utf-8").splitlines()
            head = json.loads(first)
            book, _ = _book(head, json.loads(lines[0])["past"]), str(head["file"])
        except (OSError, ValueError, LookupError, TypeError, AttributeError):
            return None
        for line in lines[1:]:
            try:
                book = after_deed(book, json.loads(line))
            except (ValueError, LookupError, TypeError):
                break  # the last line of one that was killed
        return book, str(head["file"])


def as_it_was_left(kept: Kept) -> tuple[Kept, Book]:
    """Return a sheet's file and book: as they were left, where something was not saved.

    `kept`: with what its file holds now.
    """
    left = Journal(kept).held()
    if left is None:
        return kept, Book(kept.text)
    book, file = left
    return replace(kept, text=file), book


def free_name(folder: Path, stem: str, ending: str) -> Path:
    """Return a place in a folder where nothing stands yet.

    Raises
    ------
    OutputError
        Where a thousand of that name stand there.
    """
    for number in range(1, 1000):
        path = folder / (f"{stem}{ending}" if number == 1 else f"{stem}-{number}{ending}")
        if not path.exists() and not path.is_symlink():
            return path
    raise OutputError(f"{folder.name}: has a thousand files named {stem}")


def sheets_in(folder: Path) -> list[str]:
    """Return the names of the sheets in a folder."""
    with contextlib.suppress(OSError):
        return sorted(p.name for p in folder.glob("*.toml")
                      if p.is_file() and not p.is_symlink())[:_MOST_SHEETS]  # fmt: skip
    return []


def _book(head: dict[str, Any], past: list[dict[str, Any]]) -> Book:
    """Return a book from the head of a journal: its text, with the steps that led to it."""
    if head["version"] != _VERSION:
        raise ValueError("written by another version")
    steps = tuple(Step(s["says"], int(s["at"]), s["old"], s["new"]) for s in past)
    snapshots = {str(k): str(v) for k, v in head["snapshots"].items()}
    return Book(str(head["text"]), int(head["revision"]), steps, (), snapshots)
