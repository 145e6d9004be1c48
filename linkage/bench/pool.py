"""The one process that finds out, from outside: begun, asked, ended where it does not answer."""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from linkage.bench.telling import Asked, Begun, Glimpse, Glimpsed, Told

PATIENCE = 8.0
"""A newer sheet that is not even begun with after so long: the process is ended [s]."""
STARTING = 60.0
"""The same of a process that is still loading, on a slow disk [s]."""
MOST_ENDS = 3
ENDED = (
    "Finding out about this sheet ended before it was done, {count} times: there may not be memory "
    "enough. Undo, or change the number again."
)


def _work(pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # while it loads, Ctrl-C is for who asks
    from linkage.bench.worker import work  # there, not here: the server needs none of it

    work(pipe)


class Finder:
    """Asks the newest sheet of a process, and begins another where that one does not answer."""

    def __init__(self, target: Callable[[Connection], None] = _work) -> None:
        self._target = target
        self._told: Callable[[Told | Glimpsed], None] = lambda _: None
        self._failed: Callable[[int, str], None] = lambda _, __: None
        self._lock = threading.RLock()
        self._asked: Asked | None = None
        self._since: float | None = None  # when it was asked what it has not begun with
        self._ends = 0  # of processes, at this revision
        self._closed = threading.Event()
        self._warm = False
        self._begin()
        threading.Thread(target=self._watch, daemon=True).start()

    def tell(
        self, told: Callable[[Told | Glimpsed], None], failed: Callable[[int, str], None]
    ) -> None:
        """Say who is told of stages and glimpses, and of revisions that nothing is found out of."""
        self._told, self._failed = told, failed

    def ask(self, asked: Asked) -> None:
        """Have a sheet looked at; what was asked before is stale."""
        with self._lock:
            self._asked, self._ends = asked, 0
            self._send()

    def glimpse(self, asked: Glimpse) -> None:
        """Have a sheet drawn and no more; who asked is told, unless the process ends before."""
        with self._lock, contextlib.suppress(OSError):
            self._pipe.send(asked)

    def close(self) -> None:
        """End the process."""
        self._closed.set()
        with self._lock:
            self._process.kill()  # `_listen` sees the end of its pipe, and closes it

    def _begin(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process: BaseProcess = context.Process(
            target=self._target, args=(theirs,), daemon=True, name="tightspot-finder"
        )
        self._process.start()
        theirs.close()
        self._warm = False
        threading.Thread(target=self._listen, args=(self._pipe,), daemon=True).start()

    def _send(self) -> None:
        if self._asked is not None:
            self._since = time.monotonic()
            with contextlib.suppress(OSError):  # it ended just now: `_listen` begins another
                self._pipe.send(self._asked)

    def _listen(self, pipe: Connection) -> None:
        """Take what a process says for as long as it lives, then begin another."""
        with contextlib.suppress(EOFError, OSError):
            while True:
                self._take(pipe.recv())
        with self._lock:
            # by whom it is read: closed by another, its number may be a new pipe's while it is read
            pipe.close()
            if self._closed.is_set() or pipe is not self._pipe:
                return
            self._ends += 1
            self._process.join(1.0)
            self._begin()
            if self._ends < MOST_ENDS:
                self._send()
            elif self._asked is not None:
                self._since = None
                self._failed(self._asked.revision, ENDED.format(count=self._ends))

    def _take(self, said: Begun | Told | Glimpsed) -> None:
        match said:
            case Begun():
                with self._lock:
                    self._warm = True
                    if self._asked is not None and said.revision == self._asked.revision:
                        self._since = None
            case Told() | Glimpsed():
                self._told(said)

    def _watch(self) -> None:
        """End a process that does not come to the newest sheet."""
        while not self._closed.wait(0.25):
            with self._lock:
                patience = PATIENCE if self._warm else STARTING
                if self._since is not None and time.monotonic() - self._since > patience:
                    self._since = None
                    self._process.kill()  # `_listen` notices, and begins another
