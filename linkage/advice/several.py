"""Bends and numbers unlike the other side's put right together, where none of them is enough alone.

One tight spot may have two causes, as where a rod is bent towards a bar that has been moved nearer.
All that was measured and is wrong with a side is put right at once; if that cures, what can be left
out is left out, one after another, so that each of the rest is needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linkage.advice.correcting import part_of
from linkage.advice.cure import Changes, Correction, Number, PutRight, Straighten, Together
from linkage.advice.dimensions import unlike_numbers
from linkage.advice.guessed import damage_as_measured
from linkage.advice.keys import held_key, on_sheet, own_key, table_key
from linkage.advice.setting import bent_values, length_bends
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tables.rods import Rod

_Part = Straighten | Correction


def all_put_right(examination: Examination, spot: Curable) -> Iterator[tuple[Together, Mechanism]]:
    """Yield what is wrong as measured and cures a spot together, a bend at least among it."""
    bends = tuple(_bends(examination, spot.side))
    bent = {one.bend.key for one in bends}
    numbers = [
        number
        for number in (unlike_numbers(examination, spot) if bends else ())
        if table_key(number.key) not in bent
    ]
    search = _Search(examination, spot)
    some: list[_Part] = [*bends, *(_put_right(examination, spot.side, one) for one in numbers)]
    made = search.cured(some) if len(some) > 1 else None
    for one in list(some) if made is not None else ():
        rest = [other for other in some if other is not one]
        without = search.cured(rest)
        if without is not None:
            some, made = rest, without
    if made is not None and len(some) > 1 and any(isinstance(one, Straighten) for one in some):
        yield Together(tuple(some), changes=_changes(some)), made


@dataclass(frozen=True)
class _Search:
    """What is the same from trial to trial."""

    examination: Examination
    spot: Curable

    def cured(self, some: Sequence[_Part]) -> Mechanism | None:
        """Return the side with some of it put right; None where that does not cure."""
        side = self.spot.side
        try:
            made = build(change(self.examination.sheet, dict(_changes(some))), side)[side]
            return made if some and cured(self.examination, self.spot, made) else None
        except LinkageError:  # so nothing can be put together at all
            return None


def _bends(examination: Examination, side: str) -> Iterator[Straighten]:
    """Yield the rods whose bends were measured, straightened."""
    sheet = examination.sheet
    damage = damage_as_measured(sheet)
    for bend in length_bends(sheet, side, Rod):
        own = own_key(side, f"{bend.key}.bend[{bend.number}].{bend.way}")
        if held_key(sheet, own) in damage:
            changes = on_sheet(examination, side, bent_values(sheet, side, bend, 0.0))
            yield Straighten(part_of(examination, side, bend.key), bend, changes=changes)


def _put_right(examination: Examination, side: str, number: Number) -> PutRight:
    changes = on_sheet(examination, side, {own_key(side, number.key): number.to})
    return PutRight(number, changes=changes)


def _changes(some: Sequence[_Part]) -> Changes:
    return tuple(change for one in some for change in one.changes)
