"""A cure of a tight spot: what is to be done, how much of it, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from linkage.advice.resetting import EqualDistance, SafeRange
from linkage.tightspots import TightSpot

CureKind = Literal[
    "set",
    "side play",
    "washer",
    "nut",
    "bush",
    "requarter",
    "reset",
    "dimension",
    "replace",
    "file",
    "ease",
    "measure",
]
PUT_RIGHT = ("requarter", "reset", "dimension", "replace")
"""Kinds that put one number of the sheet right."""


@dataclass(frozen=True)
class Loss:
    """A pair of parts that has less air with a cure than before.

    Attributes
    ----------
    parts : (str, str)
        The pair.
    before, after : float [mm]
        Its least clearance.
    """

    parts: tuple[str, str]
    before: float
    after: float


@dataclass(frozen=True)
class Cure:
    """One cure.

    Attributes
    ----------
    kind : str
        "set" (bend back), "side play" (taken out of a wheelset), "washer", "nut" (thinned), "bush"
        (a worn joint), "requarter" (a wheel on its axle), "reset" (a return crank), "dimension"
        (another put right), "replace" (a rod of the wrong length), "file", "ease" (holes), or
        "measure" (no cure could be shown to work).
    part : str
        What to work on.
    way : str
        Which way, in words ("away from the frames", "more").
    amount : float [mm, or degrees where `degrees` is true]
        How much at the least, rounded up to the two decimals that are said.
    most : float [mm, degrees]
        The whole of it, where there is a whole (the bend taken right out, the dimension made as
        on the other side); else as `amount`.
    place : str
        Where on the part, in words; empty where that goes without saying.
    leaves : float [mm]
        Least clearance of the pair after the whole of it; nan where no clearance is concerned.
    spoils : tuple of TightSpot
        What the cure makes wrong elsewhere, or worse than it was.
    key : str
        Key on the sheet, of a dimension.
    now : float [mm, degrees]
        A dimension as the sheet has it; nan otherwise.
    other : float [mm, degrees]
        The same on the other side, where that differs and would cure; nan otherwise.
    degrees : bool
        Whether a dimension is an angle.
    hides : str
        Key of the wrong number that easing would hide; empty where none is known.
    range : SafeRange or None
        Of an angle to be reset: in which range of it the wheels turn.
    equal : EqualDistance or None
        Of a return crank: where the two distances are equal.
    loses : tuple of Loss
        Other pairs that have less air with it than before, the least first.
    stands_on : float [mm]
        Sharpest curve that the wheelsets then still stand on, where side play goes; else nan.
    changes : tuple of (str, float) [mm, degrees]
        What the whole of it changes on the sheet, by key; empty where the sheet has no number for
        it.
    """

    kind: CureKind
    part: str
    way: str
    amount: float
    most: float = 0.0
    place: str = ""
    leaves: float = float("nan")
    spoils: tuple[TightSpot, ...] = ()
    key: str = ""
    now: float = float("nan")
    other: float = float("nan")
    degrees: bool = False
    hides: str = ""
    range: SafeRange | None = None
    equal: EqualDistance | None = None
    loses: tuple[Loss, ...] = ()
    stands_on: float = float("nan")
    changes: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Advice:
    """A tight spot with its cures, least drastic first; empty where none was tried."""

    spot: TightSpot
    cures: tuple[Cure, ...]
