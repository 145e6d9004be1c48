"""The bench opened: sheet, desk, server and browser, until the last page is gone or Ctrl-C."""

from __future__ import annotations

import contextlib
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from linkage.bench.pool import Finder
from linkage.errors import OutputError

if TYPE_CHECKING:
    from linkage.bench.book import Book
    from linkage.bench.keeping import Hold, Kept

NOT_KEPT = (
    "Another bench is open in this folder without a sheet. What you change in this one is kept "
    "when you save it, not before."
)


def open_bench(path: Path | None, port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the page until the last one is closed, or KeyboardInterrupt.

    `path`: of the sheet; None for a copy of the demonstration, which has no file yet. `port`: 0 for
    any that is free. `say`: takes what the person is to be told.

    Raises
    ------
    SheetError, OutputError
        Where the sheet cannot be used, or is at another bench.
    OSError
        Where the port is taken.
    """
    finder = Finder()  # loads while we do, and so comes before all that we load
    with contextlib.ExitStack() as stack:
        stack.callback(finder.close)
        from linkage.bench.keeping import Hold

        hold = Hold()
        stack.callback(hold.close)
        begun = _begun(path, say, hold)

        from linkage.bench.desk import Desk

        desk = Desk(*_as_it_was_left(begun, say), finder, hold)

        # what serves comes after the sheet is on its way to be turned
        from linkage.bench.callers import Callers
        from linkage.bench.server import Serving, make_app

        over = threading.Event()
        serving = Serving(make_app(desk, Callers(over.set)), port)
        threading.Thread(target=serving.run, daemon=True).start()
        say(f"The bench is at {serving.url}")
        say("It ends when its page is closed, or with Ctrl-C; an hour after a page that died.")
        if browser:
            threading.Thread(target=webbrowser.open, args=(serving.url,), daemon=True).start()
        try:
            while not over.wait(0.5):  # waiting without end would not hear of Ctrl-C everywhere
                pass
        finally:
            desk.close()
            serving.stop()


def _begun(path: Path | None, say: Callable[[str], None], hold: Hold) -> Kept:
    """Return the sheet with what its file holds, no other bench being open at it."""
    from linkage.bench.keeping import ELSEWHERE, Kept
    from linkage.sheet.opening import read_text
    from linkage.sheet.ready import demonstration

    source = path or demonstration()
    text = read_text(source, str(source))
    begun = Kept(None, text, Path.cwd()) if path is None else Kept(path.resolve(), text)
    if hold.go_to(begun):
        return begun
    if path is not None:
        raise OutputError(f"{path.name}: {ELSEWHERE}")
    say(NOT_KEPT)
    return Kept(None, text)


def _as_it_was_left(begun: Kept, say: Callable[[str], None]) -> tuple[Kept, Book]:
    from linkage.bench.keeping import as_it_was_left

    kept, book = as_it_was_left(begun)
    if book.text != begun.text:
        say("What was not saved last time is there again; Undo takes it back.")
    return kept, book
