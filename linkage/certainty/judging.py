"""What can be said of each finding with the numbers as uncertain as they are.

A number given as ``x +- e`` is taken to be anywhere from x - e to x + e, alike (the rectangular
distribution of JCGM 100:2008, 4.3.7, for a bound of which no more is known); a guess likewise, over
its spread. Every number is drawn, independently, some thousand times; the rooms follow to first
order (`figures.py`), and the share of the draws in which there is no room is the chance of the
finding. The draws are the same every time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from linkage.arrays import Array, Mask
from linkage.certainty.besides import every_figure
from linkage.certainty.figures import Figure
from linkage.examine import Examination
from linkage.mechanism import Running
from linkage.sheet.drawing import drawn
from linkage.sheet.numbers import SheetNumber, numbers_of
from linkage.tables.origin import Origin, Source
from linkage.tightspots import (
    BranchUndecided,
    Close,
    Fouls,
    PlayUsedUp,
    TightSpot,
)

NO_FIGURE = (BranchUndecided,)
"""Kinds of finding of which no room that numbers take is known."""
SURE = 0.95
"""A chance from which something is said without a doubt [1]."""
DRAWS = 4000
_MATTERS = 0.01  # a number with less than this share of what all can do is not counted [1]
_NEXT = 2  # numbers named to be measured next
_MOST_WORTH = 5  # numbers listed as worth measuring
_WORTH = 0.05  # share of the spread from which it is worth measuring one [1]
_SAME = 1e-3  # crank angles this near are the same place [rad]


class Word(StrEnum):
    """How sure something is."""

    SURE = "will foul"
    TOUCH_AND_GO = "touch and go"
    CLEAR = "clear"
    CANNOT_TELL = "cannot be told from what was measured"


@dataclass(frozen=True)
class ToMeasure:
    """A number that is worth measuring next."""

    key: str
    angle: bool
    origin: Origin
    share: float  # of the spread of this figure, as a variance [1]


@dataclass(frozen=True)
class Doubt:
    """What is the least certain of all that was judged together."""

    kind: type[TightSpot]  # what it would be
    side: str
    parts: tuple[str, ...]
    place: Running  # of the reverser; None for where the sheet has it


@dataclass(frozen=True)
class Judgement:
    """How sure a finding is.

    Attributes
    ----------
    chance : float [1]
        That it is so; nan where no first order says it.
    word : Word
        The same in a word.
    rests_on : mapping of Source to int
        How many numbers of each source can move it.
    next : tuple of ToMeasure
        What to measure next, the best first; empty where it is sure either way.
    doubt : Doubt, or None
        What is the least certain; None where it is sure either way.
    """

    chance: float
    word: Word
    rests_on: Mapping[Source, int]
    next: tuple[ToMeasure, ...] = ()
    doubt: Doubt | None = None


@dataclass(frozen=True)
class Certainty:
    """How sure an examination is.

    Attributes
    ----------
    whole : Judgement
        That there is a tight spot at all.
    spots : tuple of Judgement
        That each tight spot is one, in their order.
    pairs : mapping of (str, tuple of str) to Judgement
        By side and parts, that a near pair touches.
    worth : tuple of ToMeasure
        What to measure next by all that is in doubt, the best first: at most five, those of
        `whole` before the others; empty where it is sure either way.
    """

    whole: Judgement
    spots: tuple[Judgement, ...]
    pairs: Mapping[tuple[str, tuple[str, ...]], Judgement]
    worth: tuple[ToMeasure, ...] = ()


def how_sure(found: Examination) -> Certainty:
    """Say how sure an examination is, by what its numbers were measured to.

    Worked out once; the examination keeps it.
    """
    return found.keep("how sure", lambda: _how_sure(found))


def _how_sure(found: Examination) -> Certainty:
    numbers = numbers_of(found.sheet)
    figures = every_figure(found, numbers)
    draws = _Draws(numbers)
    spots = tuple(_of_spot(found, spot, figures, draws) for spot in found.spots)
    whole = _of_whole(found, spots, figures, draws)
    asked = [draws.of(figure, asked=True) for figure in figures]
    worth = tuple(draws.worth(asked, whole.next))
    return Certainty(whole, spots, dict(_of_pairs(found, figures, draws)), worth)


def how_sure_of(
    found: Examination,
    numbers: Sequence[SheetNumber],
    mine: Callable[[Figure], bool],
    stands: bool,
) -> Judgement:
    """Say how sure it is that some figures have less room than is asked.

    `numbers`: those of the sheet, with how well each is known. `mine`: which figures. `stands`:
    whether one has, by the numbers as they are.
    """
    draws = _Draws(numbers)
    drawn = [draws.of(figure, asked=True) for figure in every_figure(found, numbers)
             if mine(figure)]  # fmt: skip
    return draws.judge(drawn, stands)


@dataclass(frozen=True, eq=False)
class _Drawn:
    """A figure with the numbers drawn: where there is too little room, and what moves it."""

    figure: Figure
    gone: Mask  # by draw
    weights: Array  # how far each number can move it, shape (K,)

    @property
    def chance(self) -> float:
        return float(self.gone.mean())


class _Draws:
    """The numbers drawn, and what comes of it."""

    def __init__(self, numbers: Sequence[SheetNumber]) -> None:
        self.numbers = numbers
        self.errors = np.array([number.origin.error for number in numbers])
        self.unknown = np.array([not number.origin.known for number in numbers])
        self.moves = drawn(numbers, DRAWS) * self.errors
        self.known: dict[tuple[Figure, bool], _Drawn] = {}

    def of(self, figure: Figure, asked: bool) -> _Drawn:
        """Draw a figure: whether it has less room than none, or than is asked."""
        if (figure, asked) not in self.known:
            weights = figure.weights(self.moves, self.errors)
            self.known[figure, asked] = _Drawn(figure, figure.lacks(self.moves, asked), weights)
        return self.known[figure, asked]

    def judge(self, drawn: Sequence[_Drawn], stands: bool) -> Judgement:
        """Judge whether any of some figures has too little room.

        `stands`: whether one has, by the numbers as they are.
        """
        gone = np.zeros(DRAWS, dtype=bool)
        for one in drawn:
            gone |= one.gone
        chance = float(gone.mean()) if drawn else float(stands)
        rests_on = self._count([one.weights for one in drawn])
        if chance <= 1 - SURE and not stands:
            return Judgement(chance, Word.CLEAR, rests_on)
        # many doubts are no certainty: what is wrong must be one thing that is sure
        if stands and (not drawn or max(one.chance for one in drawn) >= SURE):
            return Judgement(chance, Word.SURE, rests_on)
        # what is least certain is worth the most when it is measured
        doubtful = max(drawn, key=lambda one: min(one.chance, 1 - one.chance), default=None)
        squares = np.zeros(len(self.numbers)) if doubtful is None else doubtful.weights**2
        blind = squares[self.unknown].sum() > 0.5 * squares.sum()
        word = Word.CANNOT_TELL if blind else Word.TOUCH_AND_GO
        doubt = None if doubtful is None else _doubt_of(doubtful.figure)
        return Judgement(chance, word, rests_on, tuple(self._next(squares)), doubt)

    def _count(self, weights: Sequence[Array]) -> dict[Source, int]:
        """Return how many numbers of each source matter to any of some figures."""
        matters = np.zeros(len(self.numbers), dtype=bool)
        for one in weights:
            matters |= one > _MATTERS * max(float(one.sum()), 1e-12)
        sources = [n.origin.source for n, m in zip(self.numbers, matters, strict=True) if m]
        return {source: sources.count(source) for source in Source}

    def _next(self, squares: Array) -> Iterator[ToMeasure]:
        shares = squares / max(float(squares.sum()), 1e-12)
        for k in np.argsort(-shares)[:_NEXT].tolist():
            if shares[k] > _WORTH:
                yield self._to_measure(k, float(shares[k]))

    def worth(self, drawn: Sequence[_Drawn], first: Sequence[ToMeasure]) -> Iterator[ToMeasure]:
        """Yield what is worth measuring by all that is in doubt, after what is named already.

        A number counts with its share of the spread of each figure, and a figure with its doubt,
        the smaller of its chance and what that leaves of 1. Nothing where nothing is named.
        """
        yield from first
        shares = np.zeros(len(self.numbers))
        for one in drawn:
            squares = one.weights**2
            doubt = min(one.chance, 1 - one.chance)
            shares += doubt * squares / max(float(squares.sum()), 1e-12)
        shares /= max(float(shares.sum()), 1e-12)
        named = {item.key for item in first}
        others = [k for k in np.argsort(-shares).tolist() if self.numbers[k].key not in named]
        for k in others[: _MOST_WORTH - len(first)] if first else ():
            if shares[k] > _MATTERS:
                yield self._to_measure(k, float(shares[k]))

    def _to_measure(self, k: int, share: float) -> ToMeasure:
        number = self.numbers[k]
        return ToMeasure(number.key, number.angle, number.origin, share)


def _doubt_of(figure: Figure) -> Doubt:
    return Doubt(figure.kind, figure.side, figure.parts, figure.place)


def _of_spot(
    found: Examination, spot: TightSpot, figures: Sequence[Figure], draws: _Draws
) -> Judgement:
    if isinstance(spot, NO_FIGURE):
        return Judgement(float("nan"), Word.TOUCH_AND_GO, {})
    asked = isinstance(spot, Close) or (isinstance(spot, PlayUsedUp) and not spot.binds)
    mine = [f for f in figures if _is_of(f, spot, _other_place(found, spot))]
    return draws.judge([draws.of(f, asked) for f in mine], stands=True)


def _other_place(found: Examination, spot: TightSpot) -> Running:
    """Return the place of the reverser of a spot; None where the sheet has it there."""
    held = found.everywhere.get(spot.side)
    return None if held is None or spot.place == held.here else spot.place


def _is_of(figure: Figure, spot: TightSpot, place: Running) -> bool:
    """Tell whether a figure is that of a tight spot, at its worst place."""
    if isinstance(spot, PlayUsedUp):
        return figure.kind is PlayUsedUp and _near(figure.at, spot.arc.worst)
    kind = Close if isinstance(spot, Fouls) else type(spot)
    what = (figure.kind, figure.side, figure.parts, figure.place)
    mine = what == (kind, spot.side, spot.parts, place)
    return mine and _near(figure.at, spot.worst)


def _near(one: float, other: float) -> bool:
    apart = (one - other) % (2 * np.pi)
    return min(apart, 2 * np.pi - apart) < _SAME


def _of_whole(
    found: Examination, spots: Sequence[Judgement], figures: Sequence[Figure], draws: _Draws
) -> Judgement:
    """Judge the whole engine; where something was found, by what of it is the surest."""
    if not found.free and all(isinstance(spot, NO_FIGURE) for spot in found.spots):
        return Judgement(float("nan"), Word.TOUCH_AND_GO, {})
    drawn = [draws.of(figure, asked=True) for figure in figures]
    whole = draws.judge(drawn, stands=not found.free)
    if found.free or whole.word is Word.SURE:
        return whole
    surest = max(spots, key=lambda judged: judged.chance)
    return replace(whole, word=surest.word, next=surest.next, doubt=surest.doubt)


def _of_pairs(
    found: Examination, figures: Sequence[Figure], draws: _Draws
) -> Iterator[tuple[tuple[str, tuple[str, ...]], Judgement]]:
    for name in found.sides:
        held = found.everywhere.get(name)
        for pair, there in found.nearest_pairs(name):
            moves = held is not None and pair.parts in held.nearest and there.place != held.here
            what = (Close, name, pair.parts, there.place if moves else None)
            mine = [f for f in figures if (f.kind, f.side, f.parts, f.place) == what]
            drawn = [draws.of(figure, asked=False) for figure in mine]
            yield (name, pair.parts), draws.judge(drawn, stands=pair.least < 0)
