"""One thing that may be wrong with an engine, and the sizes it is looked at in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from linkage.sheet import Sheet
from linkage.sheet.refitting import Refit
from linkage.tables.facts import TYPICAL_RATIO, TYPICAL_THROW, Degrees, Wrong, fields_by_key
from linkage.tables.fields import Table
from linkage.tables.origin import Origin, Source
from linkage.tables.sides import CoupledSide
from linkage.units import SCALES

SIZES = ((0.7, 0.5), (1.5, 0.5))
"""Of a fault, as times its typical size, and how likely each is."""
SIZES_OF_GUESSES = ((0.7, 0.4), (1.5, 0.4), (3.0, 0.2))
"""Likewise of a number that was not measured: it may be that of another engine's part."""
SIZES_OF_RARE = ((1.1, 1.0),)
"""Likewise of a measured one of a kind that seldom goes wrong: most are, and a size costs time."""
_RARE = 0.5  # how often, below which it is [1]
BOTH = "both"
LENGTH = "centres"
"""The number of a rod that a bend makes less."""
ABSENT = Origin(Source.ASSUMED, 0.0)
"""Where that comes from which the sheet does not give."""
OPPOSITE = {"right": "left", "left": "right"}


class How(StrEnum):
    """In what way something is wrong."""

    NUMBER = "a number is another"
    BENT = "a rod is bent"
    REFITTED = "a part is on another way round, or in another's place"
    MOVED = "parts that are fixed to one another stand elsewhere, all by as much"


@dataclass(frozen=True)
class Case:
    """A fault of one size.

    Attributes
    ----------
    size : float [mm, degrees for angles]
        By how much, more or less than the sheet has it; of a bend how far.
    chance : float [1]
        Of this size, among those of the fault.
    sheet : Sheet
        The sheet with it.
    at : float [mm]
        Where along a rod it is bent; nan for what is no bend.
    shortens : float [mm]
        By how much a bend leaves the rod's eyes nearer one another than they were made.
    shape : str
        Of a bend, of what kind it is and whereabouts: those of one shape differ by their size.
    exact : bool
        Whether what was measured says this very size; else it stands for those around it.
    """

    size: float
    chance: float
    sheet: Sheet = field(repr=False, compare=False)
    at: float = math.nan
    shortens: float = 0.0
    shape: str = ""
    exact: bool = False


@dataclass(frozen=True)
class Apart:
    """A number measured, beside what it ought to be like."""

    by: float  # by how much it is more; nan where there is nothing to set it beside [mm, degrees]
    error: float  # of the measuring [mm, degrees]


@dataclass(frozen=True)
class Fault:
    """One thing that may be wrong.

    Attributes
    ----------
    side : str
        Of which side, or both.
    table : str
        The key of its table, without a side.
    what : str
        The number of it, by its key there; the way of a bend.
    often : float [1]
        How often beside others.
    cases : tuple of Case
        The sizes.
    angle : bool
        Whether the size is an angle.
    how : How
        In what way it is wrong; of a bend `what` is its way.
    origin : Origin
        Where the number comes from, as the sheet has it.
    value : float [mm, degrees]
        As the sheet has it; nan for a bend.
    across : float [mm, degrees]
        What it ought to be, or what the other side's own number is; nan where there is none.
    fellow : str
        The key of the other side's number where this one was measured and that one was not.
    shared : bool
        Whether one number on the sheet stands for both sides.
    on_sheet : bool
        Whether the sheet has it: a bend, or a part that was measured as it is on; its case is the
        sheet without it.
    ways : tuple of str
        Of a bend the ways it may go, by their keys: more than one where nobody can feel which.
    added : bool
        Whether the sheet has nothing of it at all: it without the fault is not the fault of size 0.
    centres : Apart or None
        Of a bend that the sheet does not have: how long the rod was measured, bent as it may be,
        beside the other side's.
    refits : tuple of Refit
        How parts are on other than on the sheet; of what is on it, how they ought to be.
    rods : tuple of str
        The tables of two rods that are on one another's pins of the part.
    """

    side: str
    table: str
    what: str
    often: float
    cases: tuple[Case, ...] = field(compare=False)
    angle: bool = False
    how: How = How.NUMBER
    origin: Origin = ABSENT
    value: float = math.nan
    across: float = math.nan
    fellow: str = ""
    shared: bool = False
    on_sheet: bool = False
    refits: tuple[Refit, ...] = ()
    rods: tuple[str, ...] = ()
    centres: Apart | None = None
    added: bool = False
    ways: tuple[str, ...] = ()

    @property
    def apart(self) -> Apart:
        """Its number beside what it ought to be, or what the other side's own number is.

        What one number on the sheet stands for on both sides is alike on both.
        """
        across = self.value if self.one_for_both else self.across
        return Apart(self.value - across, self.origin.error)

    @property
    def one_for_both(self) -> bool:
        """Whether it is of one side, and the sheet has one number of both."""
        return self.shared and self.side != BOTH

    @property
    def bend(self) -> bool:
        """Whether it is a bend."""
        return self.how is How.BENT

    @property
    def key(self) -> str:
        """Of its number on the sheet, with its side where it is of one."""
        bare = f"{self.table}.{self.what}" if self.table else self.what
        return f"{self.side}.{bare}" if self.side in ("right", "left") else bare


def factor_of(sheet: Sheet) -> float:
    """Return what sizes at 4 mm to the foot are multiplied by [1]."""
    if sheet.scale is not None:
        return TYPICAL_RATIO / SCALES[sheet.scale].ratio
    throws = [side.wheels.throw for side in sheet.sides.values() if isinstance(side, CoupledSide)]
    return throws[0] / TYPICAL_THROW if throws else 1.0


def is_given(table: Table, key: str) -> bool:
    """Tell whether a table holds what goes by a key in the file."""
    info = fields_by_key(type(table))[key]
    name = next(n for n, held in type(table).model_fields.items() if held is info)
    return getattr(table, name) is not None


def sizes_of(wrong: Wrong, known: bool) -> tuple[tuple[float, float], ...]:
    """Return the sizes that a number is looked at in, as times its typical one; `known`: measured.

    With how likely each is [1].
    """
    if not known:
        return SIZES_OF_GUESSES
    return SIZES_OF_RARE if wrong.often < _RARE else SIZES


def size_of(wrong: Wrong, factor: float) -> float:
    """Return the typical size of what is wrong [mm, degrees]; `factor`: of sizes at 4 mm."""
    return wrong.by.degrees if isinstance(wrong.by, Degrees) else wrong.by * factor
