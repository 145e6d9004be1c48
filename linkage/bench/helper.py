"""The process that answers questions, one after another; it is ended where one is to be stopped."""

from __future__ import annotations

import json
import os
import signal
import time
from multiprocessing.connection import Connection

from linkage.bench.asking import QUESTIONS
from linkage.bench.leaving import LEFT
from linkage.bench.telling import BUG, NO_MEMORY, Done, Going, Question
from linkage.errors import LinkageError

_LATER = 10  # a verdict goes first, where there are more at work than cores [steps of nice]
_OFTEN = 0.1  # progress is not told more often [s]


def help_out(pipe: Connection) -> None:
    """Answer the questions that come, for as long as there is somebody who asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for who asks
    if hasattr(os, "nice"):
        os.nice(_LATER)
    while True:
        try:
            asked: Question = pipe.recv()
            pipe.send(_answered(asked, pipe))
        except (EOFError, OSError):  # whoever asked is gone
            return


def _answered(asked: Question, pipe: Connection) -> Done:
    last = 0.0

    def progress(done: int, of: int, says: str) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last > _OFTEN or done >= of:
            last = now
            pipe.send(Going(asked.number, done, of, says))

    find = QUESTIONS.get(asked.what) or LEFT[asked.what]
    try:
        answer = find(asked, progress)
        json.dumps(answer.says, allow_nan=False)  # what cannot be written is a bug told here
        return Done(asked.number, answer)
    except LinkageError as error:
        return Done(asked.number, None, str(error))
    except MemoryError:
        return Done(asked.number, None, NO_MEMORY)
    except Exception as error:  # a bug of ours must not end the day's work
        return Done(asked.number, None, BUG.format(kind=type(error).__name__, says=error))
