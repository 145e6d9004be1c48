"""How long an answer may take: the search for cures begins no trial when its time is over.

Every trial asks for leave where it begins (`begin_trial`), whatever is tried there and for whom; so
no search has to hand the time on to the next. Who searches says how long it may go on (`within`),
and keeps what was found when the time is over (`as_far_as_time`).
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass, replace
from typing import TypeVar

T = TypeVar("T")

PATIENCE = 8.0
"""Time for an answer, from when the sheet is taken up until no more cures are tried [s]."""
_LEAST = 4.0  # of it for cures, however long the sheet was examined [s]


class OutOfTimeError(Exception):
    """No more trials may be begun; what was found before holds."""


@dataclass(frozen=True)
class TimeLeft:
    """Tells whether there is time for one more trial: until a time of a clock [s]."""

    until: float = math.inf
    clock: Callable[[], float] = time.monotonic

    def __call__(self) -> bool:
        """Tell it now."""
        return self.clock() < self.until

    def share(self, among: int) -> TimeLeft:
        """Return the time of the first of some who have what is left to share alike."""
        now = self.clock()
        return replace(self, until=now + (self.until - now) / among)


ever = TimeLeft()
"""There is always time for one more trial."""
_LEFT: ContextVar[TimeLeft] = ContextVar("time left", default=ever)


def time_left(
    patience: float, begun: float, clock: Callable[[], float] = time.monotonic
) -> TimeLeft:
    """Return what tells whether there is time for one more trial.

    Parameters
    ----------
    patience : float [s]
        How long the answer may take; 0 for no search at all.
    begun : float [s]
        When it was begun, by the clock.
    """
    now = clock()
    return TimeLeft(max(begun + patience, now + min(patience, _LEAST)), clock)


@contextmanager
def within(left: TimeLeft) -> Iterator[None]:
    """Have the trials made meanwhile ask for leave of some time left."""
    token = _LEFT.set(left)
    try:
        yield
    finally:
        _LEFT.reset(token)


def begin_trial() -> None:
    """Ask for leave to begin a trial.

    Raises
    ------
    OutOfTimeError
        Where there is no time left for it.
    """
    if not _LEFT.get()():
        raise OutOfTimeError


def as_far_as_time(found: Iterable[T]) -> Iterator[T]:
    """Yield what is found until there is no time left for a trial."""
    with suppress(OutOfTimeError):
        yield from found
