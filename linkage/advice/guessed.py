"""Numbers nobody measured, at odds with those that were: which to measure, and what would fit.

What may only be the fault of a guess is not to be bent, filed or bought for. Of such a spot the
numbers that it rests on most are moved within their spread, in a few steps, and closed in on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from linkage.advice.bench import step_of, steps_up
from linkage.advice.coupling import turns
from linkage.advice.cure import (
    Correction,
    MakeTrue,
    MeasureFirst,
    SetBack,
    Shift,
    Straighten,
    Together,
    Tried,
)
from linkage.advice.keys import bare_key, held_key, value_of
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.certainty import ToMeasure, Word, how_sure
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.sheet import Sheet, change
from linkage.sheet.refitting import bars_of
from linkage.tightspots import PlayUsedUp, TightSpot

_SHARES = (0.25, 0.5, 1.0)  # of its spread, at which a guess is tried either way [1]


@dataclass(frozen=True)
class Wrong:
    """What was measured and is surely wrong with a side: put right, it may be all there is to do.

    Attributes
    ----------
    unlike : frozenset of str
        The keys, without the side, of numbers that are not as on the other side.
    damage : frozenset of str
        The keys of the sheet's numbers that say how far something is bent, twisted or proud.
    """

    sheet: Sheet
    unlike: frozenset[str] = frozenset()
    damage: frozenset[str] = frozenset()

    def __bool__(self) -> bool:
        return bool(self.unlike or self.damage)

    def first_of(self, cures: Iterable[Tried]) -> list[Tried]:
        """Return cures, those that make damage good before all others."""
        return sorted(cures, key=lambda tried: not self._makes_good(tried))

    def explains(self, tried: Tried) -> bool:
        """Tell whether a cure does no more than put right what is known to be wrong."""
        cure = tried.cure
        if isinstance(cure, Shift):
            return cure.alike and all(bare_key(key) in self.unlike for key, _ in cure.changes)
        parts = cure.cures if isinstance(cure, Together) else (cure,)
        alike = all(
            isinstance(one, Correction) and bare_key(one.number.key) in self.unlike for one in parts
        )
        return alike or self._makes_good(tried)

    def _makes_good(self, tried: Tried) -> bool:
        """Tell whether a cure makes damage good, and makes nothing else wrong."""
        cure = tried.cure
        parts = cure.cures if isinstance(cure, Together) else (cure,)
        return not tried.outcome.spoils and all(
            isinstance(one, SetBack | Straighten | MakeTrue)
            and any(held_key(self.sheet, key) in self.damage for key, _ in one.changes)
            for one in parts
        )


def wrong_as_measured(examination: Examination, side: str) -> Wrong:
    """Return what was measured and is surely wrong with a side, or with wheels of "both"."""
    sheet = examination.sheet
    return Wrong(sheet, unlike_as_measured(examination, side), damage_as_measured(sheet))


def unlike_as_measured(examination: Examination, side: str) -> frozenset[str]:
    """Return the keys, without the side, of what is surely unlike what the other side has.

    Measured on both, and apart by more than three standard deviations of errors that are anything
    within what is said of them (JCGM 100:2008, 4.3.7).
    """
    sheet, other = examination.sheet, {"right": "left", "left": "right"}.get(side, "")
    there = {bare_key(key): key for key in sheet.dimensions.get(other, {})}
    found = []
    for key, value in sheet.dimensions.get(side, {}).items():
        peer = there.get(bare_key(key), key)
        held = sheet.dimensions.get(other, {}).get(peer, value)
        errors = [sheet.origins[sheet.handed_on.get(one, one)] for one in (key, peer)]
        surely = math.sqrt(3.0) * math.hypot(*(origin.error for origin in errors))
        if all(origin.known for origin in errors) and abs(held - value) > surely:
            found.append(bare_key(key))
    return frozenset(found)


def damage_as_measured(sheet: Sheet) -> frozenset[str]:
    """Return the keys of damage that was measured; a joggle is none, for it is made on purpose."""
    found = set()
    for side, held in sheet.dimensions.items():
        bent = {
            f"{key}.bend[{number}].{bend.way}"
            for key, bar in bars_of(sheet, side).items()
            for number, bend in enumerate(bar.bend, 1)
            if bend.kind != "joggle"
        }
        for key, value in held.items():
            known = sheet.origins[sheet.handed_on.get(key, key)].known
            if value and known and (bare_key(key) in bent or facts_at(bare_key(key)).damage):
                found.add(key)
    return frozenset(found)


def measured_first(examination: Examination, spot: TightSpot) -> Iterator[MeasureFirst]:
    """Yield the guessed and assumed numbers that a spot rests on, with the values that would fit.

    None where it is not for want of measuring that the spot is in doubt.
    """
    blind = any(not origin.known for origin in examination.sheet.origins.values())
    if not blind or not isinstance(spot, Curable | PlayUsedUp):
        return
    spots = zip(examination.spots, how_sure(examination).spots, strict=True)
    judged = next(judged for one, judged in spots if one is spot)
    if judged.word is not Word.CANNOT_TELL:
        return
    for item in judged.next:
        if not item.origin.known:
            yield from _fitting(examination.set_to(spot.place), spot, item)


def _fitting(
    examination: Examination, spot: Curable | PlayUsedUp, item: ToMeasure
) -> Iterator[MeasureFirst]:
    """Yield the values of a guess within its spread that would fit, either way."""
    sheet = examination.sheet
    now, step = value_of(sheet, item.key), step_of(sheet, item.key)
    most = steps_up(item.origin.error, step)

    def frees(count: int) -> bool:
        try:
            other = change(sheet, {item.key: now + count * step})
            if isinstance(spot, PlayUsedUp):
                return turns(other)
            return cured(examination, spot, build(other, spot.side)[spot.side])
        except LinkageError:
            return False

    for way in (1, -1):
        found = _least(lambda count, way=way: frees(way * count), most)  # type: ignore[misc]
        if found is not None:
            least, to_the_end = found
            value = now + way * least * step
            end = math.inf if to_the_end else value
            low, high = (value, end) if way > 0 else (-end if to_the_end else value, value)
            yield MeasureFirst(item.key, item.origin.source, now, low, high, item.angle)


def _least(frees: Callable[[int], bool], most: int) -> tuple[int, bool] | None:
    """Return the least count of steps that frees, and whether all up to the most do."""
    counts = sorted({max(round(share * most), 1) for share in _SHARES})
    good = [count for count in counts if frees(count)]
    if not good:
        return None
    enough = good[0]
    short = max((count for count in counts if count < enough), default=0)
    while enough - short > 1:
        middle = (enough + short) // 2
        enough, short = (middle, short) if frees(middle) else (enough, middle)
    return enough, counts[-1] in good
