"""Where a number of a sheet comes from: the word that stands before it where it was not measured.

``4.33`` was measured, ``"about 4.33"`` is a guess, ``"to be 4.33"`` is what a cure makes it and
nobody has measured yet. ``"assumed 4.33 mm"`` is never typed: so a sheet that was read keeps what
was filled in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Source(StrEnum):
    """Where a number comes from."""

    MEASURED = "measured"
    PLANNED = "to be made"
    GUESSED = "guessed"
    ASSUMED = "assumed"


@dataclass(frozen=True)
class Origin:
    """Where a number comes from, and how far out it may be."""

    source: Source
    error: float  # plus or minus [mm, degrees for angles]

    @property
    def known(self) -> bool:
        """Whether it was measured, or is to be made and measured then."""
        return self.source in (Source.MEASURED, Source.PLANNED)


_WORDS = {"about": Source.GUESSED, "to be": Source.PLANNED, "assumed": Source.ASSUMED}
_TYPED = re.compile(rf"\s*({'|'.join(_WORDS)})\s+(.*)", re.DOTALL)


def source_of(typed: object) -> Source:
    """Return where a number comes from, by what stands in the file; None there is assumed."""
    if typed is None:
        return Source.ASSUMED
    if isinstance(typed, Mapping):
        sources = {source_of(value) for key, value in typed.items() if key != "measured_to"}
        return next((s for s in _WORDS.values() if s in sources), Source.MEASURED)
    found = _TYPED.fullmatch(typed) if isinstance(typed, str) else None
    return _WORDS[found[1]] if found else Source.MEASURED


def without_source(typed: object) -> object:
    """Return a number as typed, without the word that says where it comes from."""
    found = _TYPED.fullmatch(typed) if isinstance(typed, str) else None
    return found[2] if found else typed


def with_source(source: Source, text: str) -> str:
    """Return a number's text with the word that says where it comes from."""
    word = next((word for word, held in _WORDS.items() if held is source), "")
    return f"{word} {text}".strip()
