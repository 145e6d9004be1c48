"""The pages that are open: one works at the sheet, a second is told; when the last goes, we go."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable
from typing import Any

GONE = 5.0
"""A page that said goodbye and does not come back within so long is gone [s]."""


class Callers:
    """Which page works at the sheet."""

    SECOND = "Another page works at this sheet. Close it, or take over here."

    def __init__(self, gone: Callable[[], None], wait: float = GONE) -> None:
        self._lock = threading.Lock()
        self._owner = ""
        self._others: set[str] = set()
        self._gone, self._wait = gone, wait
        self._last = 0  # counts pages that came or went

    def comes(self) -> dict[str, Any]:
        """Return what a new page is to know: its name, and whether another works already."""
        page = secrets.token_urlsafe(9)
        with self._lock:
            self._last += 1
            second = bool(self._owner)
            if second:
                self._others.add(page)
            else:
                self._owner = page
        return {"page": page, "second": self.SECOND if second else None}

    def owns(self, page: str) -> bool:
        """Tell whether a page is the one that works at the sheet."""
        with self._lock:
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

    def _wait_for(self, last: int) -> None:
        time.sleep(self._wait)
        with self._lock:
            if self._last != last:
                return
        self._gone()
