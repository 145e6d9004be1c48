"""How long an answer may take: the search for cures begins no trial when its time is over."""

from __future__ import annotations

import time
from collections.abc import Callable

PATIENCE = 8.0
"""Time for an answer, from when the sheet is taken up until no more cures are tried [s]."""
_LEAST = 2.0  # of it for cures, however long the sheet was examined [s]

Left = Callable[[], bool]
"""Tells whether there is time for one more trial."""


class OutOfTimeError(Exception):
    """No more trials may be begun; what was found before holds."""


def ever() -> bool:
    """Tell that there is always time for one more trial."""
    return True


def time_left(patience: float, begun: float, clock: Callable[[], float] = time.monotonic) -> Left:
    """Return what tells whether there is time for one more trial.

    Parameters
    ----------
    patience : float [s]
        How long the answer may take; 0 for no search at all.
    begun : float [s]
        When it was begun, by the clock.
    """
    now = clock()
    until = max(begun + patience, now + min(patience, _LEAST))
    return lambda: clock() < until
