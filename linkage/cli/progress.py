"""How far a long piece of work is, on the terminal."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

Thing = TypeVar("Thing")


def shown(things: Iterable[Thing], count: int, doing: str) -> Iterator[Thing]:
    """Pass things on, with a bar of how far it is where somebody watches.

    `count`: how many there are.
    """
    if not sys.stderr.isatty():
        yield from things
        return
    from rich.console import Console
    from rich.progress import track

    console = Console(stderr=True)
    yield from track(things, doing, total=count, console=console, transient=True)
