"""How far a long piece of work is, as one line on a terminal."""

from __future__ import annotations

import itertools
import sys
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

import click

Thing = TypeVar("Thing")
_CLEAR = "\r\x1b[K"


def shown(things: Iterable[Thing], count: int, doing: str) -> Iterator[Thing]:
    """Pass things on, saying which one is being worked on where somebody watches.

    `count`: how many there are. The line is gone while one of them is dealt with, so that what is
    printed of it stands alone.
    """
    watched = sys.stderr.isatty()
    some = iter(things)
    for number in itertools.count(1):
        if watched and number <= count:
            click.echo(f"{_CLEAR}{doing}, {number} of {count}", err=True, nl=False)
        try:
            thing = next(some)
        except StopIteration:
            return
        finally:
            if watched:
                click.echo(_CLEAR, err=True, nl=False)
        yield thing


def counted(doing: str) -> Callable[[int, int], None]:
    """Return what shows how many of how many are done, where somebody watches; gone at the end."""
    watched = sys.stderr.isatty()

    def show(done: int, of: int) -> None:
        if watched:
            text = "" if done >= of else f"{doing}, {done} of {of}"
            click.echo(f"{_CLEAR}{text}", err=True, nl=False)

    return show
