"""The pages that are open: one works at the sheet, a second is told; when the last goes, we go.

A page that goes says so. One that died cannot: a page is heard at least every minute, and when
none was heard for an hour, we go too. Time is counted by looks at the clock, not by the clock: a
lid that was closed for a night is one look.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable
from typing import Any

GONE = 5.0
"""A page that said goodbye and does not come back within so long is gone [s]."""
LOOK, SILENT = 30.0, 120
"""How often it is looked whether a page was heard [s], and looks without one until it is dead.

So long, because a browser may let a page sleep that is out of sight, while hands are full.
"""


class Callers:
    """Which page works at the sheet."""

    SECOND = "Another page works at this sheet. Close it, or take over here."

    def __init__(self, gone: Callable[[], None], wait: float = GONE, look: float = LOOK) -> None:
        self._lock = threading.Lock()
        self._owner = ""
        self._others: set[str] = set()
        self._gone, self._wait = gone, wait
        self._last = 0  # counts pages that came or went
        self._look, self._silent = look, 0  # looks since a page was heard

    def comes(self) -> dict[str, Any]:
        """Return what a new page is to know: its name, and whether another works already."""
        page = secrets.token_urlsafe(9)
        with self._lock:
            self._last += 1
            self._silent = 0
            if self._last == 1:
                threading.Thread(target=self._listen, daemon=True).start()
            second = bool(self._owner)
            if second:
                self._others.add(page)
            else:
                self._owner = page
        return {"page": page, "second": self.SECOND if second else None}

    def owns(self, page: str) -> bool:
        """Tell whether a page is the one that works at the sheet; it was heard, whichever it is."""
        with self._lock:
            self._silent = 0
            return page == self._owner != ""

    def takes(self, page: str) -> None:
        """Let a page take over."""
        with self._lock:
            if page in self._others:
                self._others.discard(page)
                self._others.add(self._owner)
                self._owner = page
            elif not self._owner:
                self._owner = page

    def goes(self, page: str) -> None:
        """Note that a page was closed, or is being loaded again."""
        with self._lock:
            if page == self._owner:
                self._owner = ""
            self._others.discard(page)
            self._last += 1
            if self._owner or self._others:
                return
            last = self._last
        threading.Thread(target=self._wait_for, args=(last,), daemon=True).start()

    def _listen(self) -> None:
        while True:
            time.sleep(self._look)
            with self._lock:
                self._silent += 1
                dead = self._silent > SILENT
            if dead:
                self._gone()
                return

    def _wait_for(self, last: int) -> None:
        time.sleep(self._wait)
        with self._lock:
            if self._last != last:
                return
        self._gone()
