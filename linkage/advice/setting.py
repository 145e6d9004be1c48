"""Bent rods set back: how much of a bend must come out, and what the rod's length becomes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from linkage.advice.keys import own_key, table_at
from linkage.advice.trial import Trial
from linkage.arrangements import build
from linkage.arrangements.coupled_wheels import rod_shape
from linkage.arrangements.rods import eye_to_eye
from linkage.sheet import Sheet, change
from linkage.sheet.refitting import bars_of
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.rods import Bar, Rod

AnyRod = Rod | CouplingRodTable
CLOSE = 0.01
"""The least set is found this closely, finer than it can be bent [mm]."""
_STEPS = 8  # lines drawn at the most before that
_ROUNDS = 40  # in which a length is found: each leaves a hundredth or less


@dataclass(frozen=True)
class SheetBend:
    """A bend on the sheet that could be taken out."""

    key: str  # of the part's table on the sheet, without the side
    number: int  # which of its bends, from 1
    way: str  # the way it goes, as on the sheet
    amount: float  # how far [mm]
    at: float | None  # where on the rod: so far from the end `start`; None for its middle [mm]
    start: str  # that end


@dataclass(frozen=True)
class Setting:
    """A bend taken out as far as need be."""

    least: float  # how much of it must come out at the least [mm]
    sheet: Sheet  # the sheet with the bend taken right out, the rod as long as it then is


def bends_of(sheet: Sheet, side: str, key: str) -> list[SheetBend]:
    """List the bends of a part, by the key of its table; empty for what is no bar."""
    bar = table_at(sheet, side, key)
    if not isinstance(bar, Bar):
        return []
    return [
        SheetBend(key, number, bend.way, bend.amount, bend.at, bend.start)
        for number, bend in enumerate(bar.bend, 1)
        if bend.amount > 0
    ]


def settable(sheet: Sheet, side: str, key: str, way: str) -> list[SheetBend]:
    """List the bends of a part that go the other way from where it should go.

    `way`: "away from the frames" or "towards the frames": where the part should go.
    """
    wrong = "towards_frames" if way == "away from the frames" else "away_from_frames"
    return [bend for bend in bends_of(sheet, side, key) if bend.way == wrong]


def length_bends(sheet: Sheet, side: str, kind: type[AnyRod]) -> list[SheetBend]:
    """List the bends that make rods of a kind, on one side, shorter than they were made."""
    rods = [key for key, bar in bars_of(sheet, side).items() if isinstance(bar, kind)]
    return [bend for key in rods for bend in bends_of(sheet, side, key)]


def set_back(
    sheet: Sheet, side: str, bend: SheetBend, trial: Trial, asked: float
) -> Setting | None:
    """Find how much of a bend must come out for a pair to have the clearance asked for.

    None where not even the straight rod clears.

    `asked` [mm]: clearance asked of the pair.
    """
    straight = bent_to(sheet, side, bend, 0.0)
    spare = trial.least(build(straight, side)[side]) - asked
    if spare < 0:
        return None
    # the clearance all but follows the bend in a line: close in by lines, always from both sides
    keep, short = bend.amount, trial.least(build(sheet, side)[side]) - asked
    gone = 0.0
    for _ in range(_STEPS):
        if short >= 0 or keep - gone < CLOSE:
            break
        at = gone + (keep - gone) * spare / (spare - short)
        at = min(max(at, gone + CLOSE / 2), keep - CLOSE / 2)
        value = trial.least(build(bent_to(sheet, side, bend, at), side)[side]) - asked
        if value < 0:
            keep, short, spare = at, value, spare / 2
        else:
            gone, spare, short = at, value, short / 2
    return Setting(bend.amount - gone, straight)


def eyes_apart(rod: AnyRod) -> float:
    """Return how far the centres of a rod's end eyes are apart in the side view [mm]."""
    return eye_to_eye(rod) if isinstance(rod, Rod) else rod_shape(rod).places[-1][0]


def straight_length(rod: AnyRod) -> float:
    """Return how long a rod was before it was bent [mm].

    From end eye to end eye along the metal; of two eyes to 1e-9 mm.
    """
    return sum(_metal(rod))


def _metal(rod: AnyRod) -> tuple[float, ...]:
    """Return how much metal lies between neighbouring eyes [mm]."""
    spans = _spans(rod)
    if rod.centres_measured == "straight":
        return spans
    if isinstance(rod, CouplingRodTable) and len(spans) > 1:
        return _paths(rod)
    straight = spans[0]
    for _ in range(_ROUNDS):
        straight += spans[0] - eyes_apart(_as_made(rod, straight))
    return (straight,)


def _spans(rod: AnyRod) -> tuple[float, ...]:
    return (rod.centres,) if isinstance(rod, Rod) else rod.spans


def _as_made(rod: AnyRod, straight: float) -> AnyRod:
    """Return a rod of two eyes, its centres given as they were before it was bent."""
    return rod.model_copy(update={"centres": straight, "centres_measured": "straight"})


def _paths(rod: CouplingRodTable) -> tuple[float, ...]:
    """Return the length of the line of the metal between neighbouring eyes [mm].

    Through the middles of the bars that the mechanism is made of: of a bow, chords.
    """
    shape = rod_shape(rod)
    line = [
        (x, y, out)
        for piece in shape.pieces
        if len(piece.corners) == 2
        for (x, y), out in zip(piece.corners, piece.out, strict=True)
    ]
    at = np.array(line)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(at, axis=0), axis=1))])
    eyes = np.interp([x for x, _ in shape.places], at[:, 0], along)
    return tuple(float(b - a) for a, b in pairwise(eyes))


def straightened(sheet: Sheet, side: str, key: str) -> Sheet:
    """Return the sheet with every bend of one rod taken right out.

    The rod as long as its metal; the sheet as it is where that is no rod, or has no bends.
    """
    for bend in bends_of(sheet, side, key):
        sheet = bent_to(sheet, side, bend, 0.0)
    return sheet


def bent_to(sheet: Sheet, side: str, bend: SheetBend, amount: float) -> Sheet:
    """Return the sheet with a bend of another amount, the rod's metal as long as it is.

    With the bend and, for a rod measured as it is bent, its centres changed.

    `amount` [mm]: what is left of it.
    """
    return change(sheet, bent_values(sheet, side, bend, amount))


def bent_values(sheet: Sheet, side: str, bend: SheetBend, amount: float) -> dict[str, float]:
    """Return what changes on the sheet for a bend of another amount.

    `amount` [mm] is what is left of it. By key, as `sheet.change` takes it: the bend, and the
    centres of a rod measured bent.
    """
    own = own_key(side, bend.key)
    values = {f"{own}.bend[{bend.number}].{bend.way}": amount}
    rod = table_at(sheet, side, bend.key)
    if not isinstance(rod, AnyRod) or rod.centres_measured == "straight":
        return values
    bends = list(rod.bend)
    bends[bend.number - 1] = bends[bend.number - 1].model_copy(update={bend.way: amount})
    spans = _spans_with(rod, rod.model_copy(update={"bend": tuple(bends)}))
    if isinstance(rod.centres, float):
        return values | {f"{own}.centres": spans[0]}
    return values | {f"{own}.centres[{k}]": span for k, span in enumerate(spans, 1)}


def _spans_with(rod: AnyRod, other: AnyRod) -> tuple[float, ...]:
    """Return the centres of a rod with other bends, its metal as long as it is [mm]."""
    metal = _metal(rod)
    if isinstance(other, Rod) or len(metal) == 1:
        return (eyes_apart(_as_made(other, metal[0])),)
    spans = _spans(rod)
    for _ in range(_ROUNDS):
        paths = _paths(other.model_copy(update={"centres": spans}))
        spans = tuple(s + m - p for s, m, p in zip(spans, metal, paths, strict=True))
        if math.dist(paths, metal) < 1e-9:
            break
    return spans
