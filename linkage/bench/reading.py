"""A sheet's text, read; the last few are kept, for a step back comes to one of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from linkage.sheet import Sheet, sheet_in
from linkage.sheet.opening import data_in


@dataclass(frozen=True)
class Read:
    """A text, read."""

    sheet: Sheet
    data: Mapping[str, Any]  # as typed


@lru_cache(maxsize=8)
def read_in(text: str, source: str) -> Read:
    """Return a text, read.

    Raises
    ------
    SheetError
        Where it is no sheet.
    """
    return Read(sheet_in(text, source), data_in(text, source))
