"""What has changed between two examinations, or between the two sides of one: differences only."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from linkage.examine import Examination
from linkage.sheet import Sheet
from linkage.tightspots import Fault, TightSpot, amount_of

_ALIKE = 0.005  # clearances and amounts that differ by less are alike: no more is ever said [mm]
_SAME = 1e-6  # dimensions that differ by less are the same [mm, degrees]


@dataclass(frozen=True)
class Changed:
    """Something that is on both, but not alike."""

    side: str  # "right", "left", "only", or empty where two sides are compared
    name: str  # a dimension's key, or the names of two parts
    # the dimension, or the least clearance; nan where one of the two has none [mm or degrees; mm]
    before: float
    after: float


@dataclass(frozen=True)
class Comparison:
    """Two examinations, or two sides, against one another."""

    names: tuple[str, str]  # what to call them
    # tight spots of the first that the second has not, and the other way about
    gone: tuple[TightSpot, ...]
    new: tuple[TightSpot, ...]
    stayed: tuple[tuple[TightSpot, TightSpot], ...]  # those of both whose amount is not the same
    gained: tuple[Changed, ...]  # clearances, the greatest change first [mm]
    lost: tuple[Changed, ...]
    dimensions: tuple[Changed, ...]  # numbers on the sheet that differ [mm, degrees]

    @property
    def alike(self) -> bool:
        """Whether there is no difference at all."""
        return not any((self.gone, self.new, self.stayed, self.gained, self.lost, self.dimensions))


def compare(before: Examination, after: Examination) -> Comparison:
    """Compare two sheets, each side with its like."""
    sides = [side for side in before.sides if side in after.sides]
    return _compared(
        (before.sheet.source, after.sheet.source),
        [(before, side, after, side, side) for side in sides],
        (before.spots, after.spots),
    )


def compare_sides(examination: Examination) -> Comparison:
    """Compare the two sides of one sheet, the left against the right.

    Differences only; spots that concern both sides are left out.

    Raises
    ------
    ValueError
        Where the sheet has one side only.
    """
    if not {"right", "left"} <= examination.sides.keys():
        raise ValueError("the sheet has one side only; name a second sheet to compare it with")
    spots = tuple(
        tuple(spot for spot in examination.spots if spot.side == side) for side in ("left", "right")
    )
    return _compared(
        ("left", "right"),
        [(examination, "left", examination, "right", "")],
        (spots[0], spots[1]),
    )


_Sided = tuple[Fault, str]
_Pair = tuple[Examination, str, Examination, str, str]


def _compared(
    names: tuple[str, str],
    pairs: Iterable[_Pair],
    spots: tuple[Iterable[TightSpot], Iterable[TightSpot]],
) -> Comparison:
    pairs = list(pairs)
    with_side = all(pair[4] for pair in pairs)
    one, other = (_by_fault(found, with_side) for found in spots)
    both = [(one[key], other[key]) for key in one if key in other]
    changes = [change for pair in pairs for change in _clearances(*pair)]
    changes.sort(key=lambda change: -abs(change.after - change.before))
    return Comparison(
        names,
        tuple(spot for key, spot in one.items() if key not in other),
        tuple(spot for key, spot in other.items() if key not in one),
        tuple((a, b) for a, b in both if abs(amount_of(a) - amount_of(b)) >= _ALIKE),
        tuple(change for change in changes if change.after > change.before),
        tuple(change for change in changes if change.after < change.before),
        tuple(_dimensions(pairs)),
    )


def _by_fault(spots: Iterable[TightSpot], with_side: bool) -> dict[_Sided, TightSpot]:
    """Return the worst spot of each kind and pair of parts, on each side where that matters."""
    found: dict[_Sided, TightSpot] = {}
    for spot in spots:
        found.setdefault((spot.fault, spot.side if with_side else ""), spot)
    return found


def _clearances(
    before: Examination, side: str, after: Examination, other: str, label: str
) -> Iterable[Changed]:
    """Yield the pairs whose least clearance differs; one that is not listed is farther off."""
    one, two = before.sides[side].survey, after.sides[other].survey
    least = [{pair.parts: pair.least for pair in survey.pairs} for survey in (one, two)]
    for parts in dict.fromkeys((*least[0], *least[1])):
        a, b = least[0].get(parts, one.reach), least[1].get(parts, two.reach)
        if abs(a - b) >= _ALIKE:
            yield Changed(label, " and ".join(parts), a, b)


def _dimensions(pairs: Iterable[_Pair]) -> Iterable[Changed]:
    for before, side, after, other, label in pairs:
        one, two = _bare(before.sheet, side), _bare(after.sheet, other)
        for key in dict.fromkeys((*one, *two)):
            a, b = one.get(key, math.nan), two.get(key, math.nan)
            if not abs(a - b) < _SAME:
                yield Changed(label, key, a, b)


def _bare(sheet: Sheet, side: str) -> Mapping[str, float]:
    return {key.removeprefix(f"{side}."): x for key, x in sheet.dimensions[side].items()}
