"""The blocks that everything said at length is made of, whatever it is set to."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Heading:
    """A heading of level 1 (the report), 2 or 3."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Paragraph:
    """A paragraph; a letterhead keeps its lines, what is small is read last."""

    text: str
    kind: Literal["plain", "strong", "small", "letterhead"] = "plain"


@dataclass(frozen=True)
class Finding:
    """One finding with its cures; `again`: one said before, but for where it is."""

    text: str
    cures: tuple[str, ...] = ()
    again: bool = False


@dataclass(frozen=True)
class Facts:
    """Short facts, each with its name."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Column:
    """A column of a table."""

    heading: str  # what stands above it
    share: float  # how wide it is, against the others [1]
    right: bool = False  # whether its cells stand at the right


@dataclass(frozen=True)
class Grid:
    """A table; each row has a cell for each column."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


_WIDE = 1000  # a picture by itself has a page's width beyond this [pixels]


@dataclass(frozen=True)
class Picture:
    """A picture with its caption."""

    content: bytes  # the file
    kind: Literal["png", "jpeg"]  # what it is
    width: int  # its size in pixels
    height: int
    caption: str  # what it shows


@dataclass(frozen=True)
class Pictures:
    """Pictures side by side."""

    items: tuple[Picture, ...]

    @property
    def wide(self) -> bool:
        """Whether it is one picture that is worth the whole width of a page."""
        return len(self.items) == 1 and self.items[0].width > _WIDE


@dataclass(frozen=True)
class NewPage:
    """What follows begins a new page."""


@dataclass(frozen=True)
class Gap:
    """A little room before what follows."""


Block = Heading | Paragraph | Finding | Facts | Bullets | Grid | Pictures | NewPage | Gap


@dataclass(frozen=True)
class Report:
    """All of a report."""

    title: str  # what it is about
    owners: tuple[Block, ...]  # the page for the owner; what follows it for the bench
    bench: tuple[Block, ...]
    # when it is dated; a fixed time where the sheet gives no date, so that the same sheet gives the
    # same file
    created: datetime.datetime
