"""Numbers nobody measured, at odds with those that were: which to measure, and what would fit.

What may only be the fault of a guess is not to be bent, filed or bought for. Of such a spot the
numbers that it rests on most are moved within their spread, in a few steps, and closed in on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from linkage.advice.bench import step_of, steps_up
from linkage.advice.coupling import all_turn
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
from linkage.advice.patience import begin_trial
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.certainty import ToMeasure, Word, how_sure
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.sheet import Sheet, change
from linkage.sheet.refitting import bars_of
from linkage.tightspots import PlayUsedUp, TightSpot

_Counts = tuple[int, int]
_SHARES = (0.25, 0.5, 1.0)  # of its spread, at which a guess is tried either way [1]
_GROWS = 1.4  # by how much more each step that is tried of the play's is than the one before [1]


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
    within what is said of them (JCGM 100:2008, 4.3.7). `side`: "right", "left", "both" or "only".
    """
    side = "right" if side == "both" else side
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
    begin_trial()
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
    # what the play lets turn is a narrow range, and many values are tried as fast as one
    tried = _growing(most) if isinstance(spot, PlayUsedUp) else _shares(most)
    for way in (1, -1):
        values = {count: now + way * count * step for count in range(1, most + 1)}

        def fit(counts: Sequence[int], values: Mapping[int, float] = values) -> list[bool]:
            return _free(examination, spot, item.key, [values[count] for count in counts])

        found = _range(fit, tried)
        if found is not None:
            least, end = values[found[0]], values[found[1]] if found[1] else way * math.inf
            low, high = sorted((least, end))
            yield MeasureFirst(item.key, item.origin.source, now, low, high, item.angle)


def _free(
    examination: Examination, spot: Curable | PlayUsedUp, key: str, values: Iterable[float]
) -> list[bool]:
    """Tell with which values of a number a spot is gone."""
    others = [_with(examination.sheet, key, value) for value in values]
    if isinstance(spot, PlayUsedUp):
        turn = iter(all_turn(examination, [other for other in others if other is not None]))
        return [other is not None and next(turn) for other in others]
    return [other is not None and _cures(examination, spot, other) for other in others]


def _with(sheet: Sheet, key: str, value: float) -> Sheet | None:
    """Return a sheet with another value of a number; None where that is none."""
    try:
        return change(sheet, {key: value})
    except LinkageError:
        return None


def _cures(examination: Examination, spot: Curable, other: Sheet) -> bool:
    try:
        return cured(examination, spot, build(other, spot.side)[spot.side])
    except LinkageError:
        return False


def _shares(most: int) -> list[int]:
    return sorted({max(round(share * most), 1) for share in _SHARES})


def _growing(most: int) -> list[int]:
    """Return counts of steps that grow by `_GROWS`, or by one, up to the most."""
    counts = [1]
    while counts[-1] < most:
        counts.append(min(max(round(_GROWS * counts[-1]), counts[-1] + 1), most))
    return counts


def _range(fit: Callable[[Sequence[int]], list[bool]], tried: Sequence[int]) -> _Counts | None:
    """Return the least count of steps that fits, and up to which all do: 0 for all that there are.

    `tried`: counts that are tried first, the last as far as it goes.
    """
    fits = fit(tried)
    if not any(fits):
        return None
    first = fits.index(True)
    after = next((k for k in range(first, len(tried)) if not fits[k]), len(tried))
    least = _edge(fit, tried[first], tried[first - 1] if first else 0)
    return least, 0 if after == len(tried) else _edge(fit, tried[after - 1], tried[after])


def _edge(fit: Callable[[Sequence[int]], list[bool]], inside: int, outside: int) -> int:
    """Return the last count of steps that fits on the way to one that does not."""
    while abs(inside - outside) > 1:
        middle = (inside + outside) // 2
        inside, outside = (middle, outside) if fit([middle])[0] else (inside, middle)
    return inside
