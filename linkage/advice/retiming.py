"""What makes the valves of two sides go alike again: an eccentric set back, a rod straightened.

What differs between the sides is made alike, first a bend taken out or one number alone, that which
leaves least between the valves; then all that differ, without those that need not. Each was tried:
both sides turned round at every place of the reverser, and no figure of the valves apart by more
than it may be (`examine/unlike.py`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from linkage.advice.correcting import part_of, put_right_loop
from linkage.advice.cure import Correction, Number, Straighten, Together
from linkage.advice.keys import across, bare_key, on_sheet, own_key
from linkage.advice.patience import as_far_as_time, begin_trial
from linkage.advice.setting import bent_to, bent_values, length_bends
from linkage.errors import LinkageError
from linkage.examine import ByPlace, Examination, compared, figures_at_places
from linkage.mechanism import Running
from linkage.sheet import Sheet, change, is_angle
from linkage.tables.rods import Rod
from linkage.tightspots import Mistimed
from linkage.valve import Figure

_MIDDLE = "valve.middle"
_SHOWN = 2  # numbers offered, that which leaves least first
_MOST = 24  # numbers in which the sides differ that are tried


def timing_cures(
    examination: Examination, spot: Mistimed
) -> Iterator[Straighten | Correction | Together]:
    """Yield what makes the valve of a side go as the other side's; each was tried."""
    search, mirrored = (_Search(examination, side) for side in _sides(examination, spot))
    yield from search.straightened()
    yield from mirrored.straightened()  # a rod that is bent is wrong, whichever valve seems to be
    alone = sorted(as_far_as_time(search.alone()), key=lambda found: found[0])[:_SHOWN]
    for _, number in alone:
        yield search.cure([number])
    if spot.unlike.figure is Figure.SETTING:  # by turning the nuts, whatever moved it
        yield search.cure([search.reset(spot.unlike.mine - spot.unlike.others)])
    if not alone and (several := search.together()):
        yield search.cure(several)


def _sides(examination: Examination, spot: Mistimed) -> tuple[str, str]:
    """Return the side whose valve is thought to be wrong, and the other."""
    return spot.side, next(name for name in examination.sides if name != spot.side)


class _Search:
    """What stays the same from trial to trial."""

    def __init__(self, examination: Examination, side: str) -> None:
        self.examination, self.side = examination, side
        self.sheet = examination.sheet
        self.other = next(name for name in examination.sides if name != side)
        self.places: Sequence[Running] = examination.places(side)

    @cached_property
    def there(self) -> ByPlace:
        """The figures of the other side, as it is."""
        return figures_at_places(self.sheet, self.other, self.places)

    def straightened(self) -> Iterator[Straighten]:
        """Yield the bent rods of the side that, straight, make the valves alike."""
        for bend in length_bends(self.sheet, self.side, Rod):
            straight = bent_to(self.sheet, self.side, bend, 0.0)
            if self._left(straight) <= 1.0:
                values = bent_values(self.sheet, self.side, bend, 0.0)
                part = part_of(self.examination, self.side, bend.key)
                yield Straighten(part, bend, changes=on_sheet(self.examination, self.side, values))

    def alone(self) -> Iterator[tuple[float, Number]]:
        """Yield each number that, as on the other side, makes the valves alike, and what is left.

        What is left is a share of what may be [1].
        """
        for number in self._unlike():
            left = self._with([number])
            if left <= 1.0:
                yield left, number

    def reset(self, by: float) -> Number:
        """Return the place of the valve's middle that lets it go so much farther ahead [mm]."""
        (now,) = (
            value
            for key, value in self.sheet.dimensions[self.side].items()
            if bare_key(key) == _MIDDLE
        )
        return Number(_MIDDLE, now, by, now + by, False)

    def together(self) -> list[Number]:
        """Return the numbers that must be made as on the other side together; none where no do."""
        numbers = self._unlike()
        if len(numbers) < 2 or self._with(numbers) > 1.0:
            return []
        for number in list(numbers):
            rest = [one for one in numbers if one is not number]
            if self._with(rest) <= 1.0:
                numbers = rest
        return numbers

    def _unlike(self) -> list[Number]:
        found = []
        for key, now in self.sheet.dimensions[self.side].items():
            own = own_key(self.side, bare_key(key))
            other = across(self.sheet, own)
            if not math.isnan(other):
                degrees = is_angle(self.sheet, own)
                found.append(Number(bare_key(key), now, other - now, other, degrees))
        return found[:_MOST]

    def _with(self, numbers: Sequence[Number]) -> float:
        values = {own_key(self.side, number.key): number.to for number in numbers}
        try:
            return self._left(change(self.sheet, values))
        except LinkageError:
            return math.inf

    def _left(self, sheet: Sheet) -> float:
        """Return the greatest difference left, as a share of what may be; inf where it locks."""
        begin_trial()
        try:
            here = figures_at_places(sheet, self.side, self.places)
        except LinkageError:
            return math.inf
        if any(math.isnan(value) for figures in here.values() for value in figures.values()):
            return math.inf
        both: Mapping[str, ByPlace] = {self.side: here, self.other: self.there}
        return max((unlike.excess for unlike in compared(both)), default=0.0)

    def cure(self, numbers: Sequence[Number]) -> Straighten | Correction | Together:
        """Return the cure that makes numbers as on the other side."""
        values = {own_key(self.side, number.key): number.to for number in numbers}
        sheet = change(self.sheet, values)
        return put_right_loop(self.examination, self.side, numbers, sheet)
