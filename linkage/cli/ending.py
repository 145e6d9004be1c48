"""How a command ends: each way has its own exit status, and one message."""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
import traceback
from collections.abc import Callable, Iterator
from enum import IntEnum
from pathlib import Path
from typing import IO, Any

import click

from linkage.errors import LinkageError
from linkage.letters import visible

TRACEBACK = "TIGHTSPOT_TRACEBACK"
"""Environment variable; where it is set, a bug shows where in the program it is."""


class Status(IntEnum):
    """Exit statuses, beside 0 (free, done) and 1 (tight spots, will not do)."""

    UNUSABLE = 2  # the sheet or the call cannot be used, or the answer not be written
    BUG = 70  # as sysexits.h has it
    STOPPED = 130  # as shells have it: 128 and the signal's number
    NOBODY_READS = 141


_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO}


class NobodyReads(click.ClickException):
    """A pipe that was closed at its other end; there is nobody to say anything to."""

    exit_code = Status.NOBODY_READS

    def __init__(self) -> None:
        super().__init__("")

    def show(self, file: IO[Any] | None = None) -> None:
        """Say nothing, and have what is still to be printed go nowhere."""
        _hush()


@contextlib.contextmanager
def into_a_pipe() -> Iterator[None]:
    """Tell a closed pipe from all else, before click makes a 1 of it."""
    try:
        yield
    except BrokenPipeError as error:
        raise NobodyReads from error


def status_of(run: Callable[[], object]) -> int:
    """Run a command to its end, say what went wrong, and return the exit status."""
    try:
        with into_a_pipe():
            status = _status_of_call(run)
            sys.stdout.flush()
    except (KeyboardInterrupt, click.Abort):
        return _end(Status.STOPPED, "Stopped.")
    except click.ClickException as error:
        said = io.StringIO()
        error.show(said)
        return _end(error.exit_code, said.getvalue().rstrip("\n"))
    except LinkageError as error:
        return _end(Status.UNUSABLE, f"Error: {error}")
    except OSError as error:
        return _of_system(error)
    except MemoryError:
        return _end(Status.UNUSABLE, "Error: there is not memory enough for this")
    except Exception as error:
        return _of_bug(error)
    return status


def _status_of_call(run: Callable[[], object]) -> int:
    try:
        found = run()
    except SystemExit as end:
        found = end.code
    return found if isinstance(found, int) else 0


def _of_system(error: OSError) -> int:
    if error.errno in _FULL:
        _hush()
        return _end(Status.UNUSABLE, f"Error: cannot be written: {error.strerror}")
    return _of_bug(error)


def _of_bug(error: Exception) -> int:
    if os.environ.get(TRACEBACK):
        traceback.print_exception(error)
    frames = traceback.extract_tb(error.__traceback__)
    where = f"{Path(frames[-1].filename).name} line {frames[-1].lineno}" if frames else "?"
    return _end(
        Status.BUG,
        f"This is a bug of tightspot, not of your sheet ({type(error).__name__}, {where}). Please "
        f"report it: send the command, the sheet, and what it prints with {TRACEBACK}=1 set.",
    )


def _end(status: int, message: str) -> int:
    if message:
        click.echo(visible(message), err=True)
    return status


def _hush() -> None:
    """Have what is still to be printed go nowhere, or Python complains of it at its end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
