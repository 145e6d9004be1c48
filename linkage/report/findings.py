"""The tight spots with their cures as numbered sentences, none said twice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linkage.advice import Advice
from linkage.examine import Examination
from linkage.report.cures import say_cure
from linkage.report.spots import say_again, say_spot, say_what


@dataclass(frozen=True)
class Said:
    """One tight spot in words.

    Attributes
    ----------
    text : str
        Its number and its sentence.
    cures : tuple of str
        Lines, least drastic first; empty where those of an earlier spot hold.
    again : bool
        Whether it is one said before, but for where it is.
    """

    text: str
    cures: tuple[str, ...] = ()
    again: bool = False


def say_findings(examination: Examination, advice: tuple[Advice, ...]) -> Iterator[Said]:
    """Yield every tight spot in words.

    In the order of the spots.
    """
    said: set[tuple[str, ...]] = set()
    known: dict[tuple[str, tuple[str, ...]], int] = {}
    for number, item in enumerate(advice, 1):
        cures = tuple(map(say_cure, item.cures))
        first = known.setdefault((say_what(item.spot), cures), number)
        if first != number:
            again = say_again(examination, item.spot, first)
            yield Said(f"{number}. {again}", again=True)
            continue
        lines = tuple(f"{'Or: ' if i else 'Cure: '}{cure}" for i, cure in enumerate(cures))
        if cures and cures in said:
            lines = ("The cure is the same as above.",)
        said.add(cures)
        yield Said(f"{number}. {say_spot(examination, item.spot)}", lines)
