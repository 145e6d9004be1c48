"""The process that finds out: one sheet at a time, the newest; what is stale is broken off.

It is sent sheets by their revisions and sends back stages. When a newer one comes, what it is at
is interrupted between two steps of the interpreter, so that all that it has loaded and found is
still there for the next. So is a glimpse of a number that a hand is on, after which what was broken
off is gone on with. One that does not even begin with the newest in time is ended, and
another takes its place (`pool`).
"""

from __future__ import annotations

import _thread
import json
import os
import signal
import threading
from multiprocessing.connection import Connection
from types import FrameType
from typing import Any

from linkage.bench.finding import Known, Stage, glimpse, later_stages, stages
from linkage.bench.telling import BUG, NO_MEMORY, Asked, Begun, Glimpse, Glimpsed, Told
from linkage.errors import LinkageError

_NAG = 0.05  # what could not be broken off is asked again after so long [s]
_LOADER = "<frozen importlib._bootstrap>"  # where Python says that its own loading is


class _Stale(BaseException):
    """A newer sheet is there. Not an `Exception`: nothing on the way may take it for its own."""


def _loading(frame: FrameType | None) -> bool:
    """Tell whether a module is being loaded, which must not stop halfway."""
    while frame is not None:
        if frame.f_code.co_filename == _LOADER:
            return True
        frame = frame.f_back
    return False


class _Mailbox:
    """The newest sheet that was asked about."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._changed = threading.Condition()
        self._newest: Asked | None = None
        self._glimpse: Glimpse | None = None
        self._at: int | None = None  # the revision that is worked at and may be broken off
        signal.signal(signal.SIGINT, self.break_off)  # before anything can come
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        while True:
            try:
                while not self._pipe.poll(_NAG):
                    if self._waits:  # it was at something that must not be broken
                        _thread.interrupt_main()
                asked: Asked | Glimpse = self._pipe.recv()
            except (EOFError, OSError):
                os._exit(0)  # whoever asked is gone
            with self._changed:
                match asked:
                    case Asked():
                        self._newest = asked
                    case Glimpse():
                        self._glimpse = asked
                self._changed.notify()
            _thread.interrupt_main()

    @property
    def _waits(self) -> bool:
        return self._newest is not None or self._glimpse is not None

    def next(self) -> Asked | Glimpse:
        """Return what is asked, when there is anything that was not taken yet; a glimpse first."""
        with self._changed:
            while not self._waits:
                self._changed.wait()
            if self._glimpse is not None:
                glimpse, self._glimpse = self._glimpse, None
                return glimpse
            asked, self._newest = self._newest, None
            assert asked is not None
            return asked

    def put_back(self, asked: Asked) -> None:
        """Have a sheet that was broken off looked at again, if nothing newer came."""
        with self._changed:
            if self._newest is None:
                self._newest = asked

    def break_off(self, _: int, frame: FrameType | None) -> None:
        """Break off what is worked at, where something else waits; never a module's loading."""
        if self._at is not None and self._waits and not _loading(frame):
            self._at = None
            raise _Stale

    def working(self, revision: int | None) -> None:
        """Say what may be broken off from now on; None for nothing."""
        self._at = revision
        if revision is not None:
            self.break_off(0, None)


def work(pipe: Connection) -> None:
    """Look at the sheets that come, for as long as there is somebody who asks."""
    desk = _Desk(pipe)
    while True:
        match desk.mailbox.next():
            case Asked() as asked:
                desk.look_at(asked)
            case Glimpse() as asked:
                desk.glimpse(asked)


class _Desk:
    """What the worker has before it."""

    def __init__(self, pipe: Connection) -> None:
        self.mailbox = _Mailbox(pipe)
        self._pipe = pipe
        self._known = Known()

    def look_at(self, asked: Asked) -> None:
        """Tell all stages of a sheet, or as many as nothing newer breaks off."""
        self._pipe.send(Begun(asked.revision))
        try:
            self._look_at(asked)
        except _Stale:
            self.mailbox.put_back(asked)  # by a glimpse, it may be
        finally:
            self.mailbox.working(None)

    def glimpse(self, asked: Glimpse) -> None:
        """Tell how a sheet turns; it is a matter of some hundredths, and not broken off."""
        try:
            says = glimpse(asked.sheet, asked.sides, self._known, asked.place)
        except LinkageError as error:
            says = {"problem": str(error)}
        except Exception as error:  # as in `_look_at`
            says = {"problem": BUG.format(kind=type(error).__name__, says=error)}
        text = json.dumps(says, separators=(",", ":"), allow_nan=False)
        self._pipe.send(Glimpsed(asked.number, text))

    def _look_at(self, asked: Asked) -> None:
        took: list[dict[str, Any]] = []
        self.mailbox.working(asked.revision)
        try:
            for stage in stages(asked.sheet, self._known, asked.drawn):
                self._tell(asked, stage, took)
                if stage.found is not None:
                    self._known.examination = stage.found
                    for later in later_stages(stage.found):
                        self._tell(asked, later, took)
        except LinkageError as error:
            self._tell(asked, Stage("failed", {"problem": str(error)}, 0.0), took)
        except MemoryError:
            self._tell(asked, Stage("failed", {"problem": NO_MEMORY}, 0.0), took)
        except Exception as error:  # a bug of ours must not end the day's work
            problem = BUG.format(kind=type(error).__name__, says=error)
            self._tell(asked, Stage("failed", {"problem": problem}, 0.0), took)

    def _tell(self, asked: Asked, stage: Stage, took: list[dict[str, Any]]) -> None:
        text, lap = stage.text(asked.revision, tuple(took))
        took.append(lap)
        self.mailbox.working(None)  # half a message would be the end of all
        self._pipe.send(Told(asked.revision, stage.name, text))
        self.mailbox.working(asked.revision)
