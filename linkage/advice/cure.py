"""Cures of tight spots, one class a kind: what is to be done and how much of it.

Amounts are the least that cures, rounded up to the two decimals that are said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from linkage.advice.resetting import EqualDistance, SafeRange
from linkage.advice.setting import SheetBend
from linkage.sheet.refitting import Refit, Turn
from linkage.tables.origin import Source
from linkage.tightspots import TightSpot

Changes = tuple[tuple[str, float], ...]
"""What a cure changes on the sheet, by key [mm, degrees]."""
Way = Literal["away from the frames", "towards the frames"]


@dataclass(frozen=True)
class SheetCure:
    """A cure that is a number, or some, on the sheet; none where the sheet has no number for it."""

    changes: Changes = field(kw_only=True)


@dataclass(frozen=True)
class _RefitCure:
    """A cure that puts parts on another way, or in one another's place."""

    refits: tuple[Refit, ...] = field(kw_only=True)


@dataclass(frozen=True)
class TurnRound(_RefitCure):
    """A rod that is on the wrong way round, turned."""

    part: str
    side: str
    turn: Turn


@dataclass(frozen=True)
class Exchange(_RefitCure):
    """Two rods that are on in one another's place, exchanged."""

    parts: tuple[str, str]
    sides: tuple[str, str]  # where each is now
    turn: Turn  # how both are turned on the way


@dataclass(frozen=True)
class OtherPins(_RefitCure):
    """Two rods that are on one another's pins of a part, exchanged there."""

    parts: tuple[str, str]  # the rods
    on: str  # the part that has the pins
    side: str


@dataclass(frozen=True)
class ScrewHome(SheetCure):
    """A nut that stands too far out by so much [mm], screwed home."""

    part: str
    piece: str
    amount: float
    against: Literal["the other side", "its rod"] = "the other side"  # by which it is seen


@dataclass(frozen=True)
class SetBack(SheetCure):
    """A rod bent sideways set back."""

    part: str
    bend: SheetBend
    way: Way
    # how much of its bend at the least, and what was tried: all of it, where a rod that is then
    # longer does not bind [mm]
    least: float
    most: float

    @property
    def straight(self) -> bool:
        """Whether the whole of it makes the rod straight."""
        return self.most == self.bend.amount


@dataclass(frozen=True)
class Straighten(SheetCure):
    """A bent rod straightened, to be as long as it was made."""

    part: str
    bend: SheetBend


@dataclass(frozen=True)
class TakeOutSidePlay(SheetCure):
    """Side play taken out of wheelsets, to either side."""

    axles: tuple[str, ...]  # which
    amount: float  # how much out of each [mm]
    stands_on: float  # sharpest curve that the wheelsets then still stand on [mm]


@dataclass(frozen=True)
class TakeUpAlong(SheetCure):
    """Play along pins taken up with washers on them, so much left from end to end [mm]."""

    joints: tuple[str, ...]  # which; none where one number says it of all
    left: float


@dataclass(frozen=True)
class Washer(SheetCure):
    """A part moved one way by a washer of so much [mm]."""

    part: str
    way: Way
    amount: float


@dataclass(frozen=True)
class ThinNut(SheetCure):
    """A nut or head of a part made thinner by so much [mm], or changed for a thinner one."""

    part: str
    piece: str
    amount: float


@dataclass(frozen=True)
class Bush(SheetCure):
    """A worn joint bushed, or given a new pin, with so much play left in it [mm]."""

    joint: str  # "joints" where it is all of them
    left: float


@dataclass(frozen=True)
class Number:
    """A number of the sheet that cures when it is changed."""

    key: str  # on the sheet; of one side's common dimensions without the side
    now: float  # as it is [mm, degrees]
    by: float  # the least change found to cure, with its sign [mm, degrees]
    # the same on the other side, where that differs and would cure; else nan [mm, degrees]
    other: float = math.nan
    degrees: bool = False  # whether it is an angle

    @property
    def to(self) -> float:
        """What it becomes: as on the other side, or so much more."""
        return self.now + self.by if math.isnan(self.other) else self.other

    @property
    def most(self) -> float:
        """The whole of the change, without its sign."""
        return abs(self.to - self.now)


@dataclass(frozen=True)
class _Correction(SheetCure):
    """A number put right."""

    number: Number


@dataclass(frozen=True)
class Requarter(_Correction):
    """A wheel set on its axle again; it turns freely within a range of angles."""

    axle: str
    range: SafeRange


@dataclass(frozen=True)
class ResetReturnCrank(_Correction):
    """A return crank set again: where it goes round, and how to see that it is right."""

    range: SafeRange
    equal: EqualDistance | None
    given: tuple[Number, ...] = ()  # what becomes of its numbers, where the lean is none of them


@dataclass(frozen=True)
class TurnEccentric(_Correction):
    """An eccentric that has slipped set on its axle again."""


@dataclass(frozen=True)
class MakeTrue(_Correction):
    """What is nought on a part as it was made: a twist, a lean, an end that is proud."""


@dataclass(frozen=True)
class PutRight(_Correction):
    """Another dimension put right."""


@dataclass(frozen=True)
class Replace(_Correction):
    """A rod of the wrong length changed for another."""

    part: str


@dataclass(frozen=True)
class Shift(SheetCure):
    """Parts that are fixed to one another, a cylinder with its bars, set along their line."""

    parts: tuple[str, ...]  # which, the one that carries the others first, by the keys of tables
    by: float  # how far ahead; back where it is below 0 [mm]
    alike: bool  # whether they then stand as on the other side


@dataclass(frozen=True)
class File(SheetCure):
    """A face or the outline of a part filed by so much [mm]."""

    part: str
    off: Literal["inner face", "outer face", "outline", "edge"]
    amount: float


@dataclass(frozen=True)
class Ease(SheetCure):
    """Holes eased by so much on diameter [mm]; the key of what that hides, where it is known."""

    amount: float
    hides: str


@dataclass(frozen=True)
class MeasureFirst:
    """A number nobody measured, to be measured first, for it may be all that is wrong."""

    key: str  # on the sheet
    source: Source  # where it comes from
    now: float  # what it was taken to be [mm, degrees]
    # the values near it that would fit; infinite where all do that way [mm, degrees]
    low: float
    high: float
    degrees: bool


@dataclass(frozen=True)
class MeasureAgain:
    """Parts measured again, for no small cure could be shown to work."""

    parts: tuple[str, ...]


Correction = Requarter | ResetReturnCrank | TurnEccentric | MakeTrue | PutRight | Replace


@dataclass(frozen=True)
class Together(SheetCure):
    """Several things put right, which cure only when all of them are done."""

    cures: tuple[Straighten | Correction, ...]


Refitted = TurnRound | Exchange | OtherPins
Cure = (
    MeasureFirst
    | Refitted
    | ScrewHome
    | SetBack
    | Straighten
    | TakeOutSidePlay
    | TakeUpAlong
    | Washer
    | ThinNut
    | Bush
    | Correction
    | Shift
    | Together
    | File
    | Ease
    | MeasureAgain
)


DRASTIC: Mapping[type[Cure], int] = {
    MeasureFirst: 0,
    TurnRound: 0,
    Exchange: 0,
    OtherPins: 0,
    ScrewHome: 0,
    SetBack: 0,
    Straighten: 0,
    MakeTrue: 0,
    TakeOutSidePlay: 1,
    TakeUpAlong: 1,
    Washer: 2,
    ThinNut: 3,
    Bush: 4,
    ResetReturnCrank: 5,
    TurnEccentric: 5,
    Shift: 5,
    Requarter: 6,
    PutRight: 6,
    Replace: 6,
    Together: 7,
    MeasureAgain: 8,
    File: 9,
    Ease: 10,
}
"""How hard each is to undo: of several cures the easiest is offered first."""


@dataclass(frozen=True)
class Loss:
    """A pair of parts that has less air with a cure than before."""

    parts: tuple[str, str]  # the pair
    before: float  # its least clearance [mm]
    after: float


@dataclass(frozen=True)
class Outcome:
    """What comes of a cure."""

    # least clearance of the pair after the whole of it; None where no pair is concerned [mm]
    leaves: float | None = None
    spoils: tuple[TightSpot, ...] = ()  # what it makes wrong elsewhere, or worse than it was
    # other pairs that have less air with it than before, the least first
    loses: tuple[Loss, ...] = ()
    also: int = 0  # how many other faults of that side go with it, where it is their one cause


@dataclass(frozen=True)
class Tried:
    """A cure with what comes of it."""

    cure: Cure
    outcome: Outcome = Outcome()


@dataclass(frozen=True)
class Advice:
    """A tight spot with its cures, least drastic first; empty where none is known."""

    spot: TightSpot
    cures: tuple[Tried, ...] = ()
    cut_short: bool = False  # whether time ran out before one was looked for, or found


def changes_of(cure: Cure) -> Changes:
    """Return what a cure changes on the sheet; empty where it has no number for it."""
    return cure.changes if isinstance(cure, SheetCure) else ()


def refits_of(cure: Cure) -> tuple[Refit, ...]:
    """Return which parts a cure puts elsewhere, or on another way."""
    return cure.refits if isinstance(cure, Refitted) else ()


def bends(cure: Cure) -> bool:
    """Tell whether a cure is done by bending metal."""
    parts = cure.cures if isinstance(cure, Together) else (cure,)
    return any(isinstance(part, SetBack | Straighten) for part in parts)


def undone(cure: Cure) -> bool:
    """Tell whether what a cure does can be undone: metal that is cut away does not come back."""
    return not isinstance(cure, File | Ease)
