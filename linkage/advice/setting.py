"""Bent rods set back: how much of a bend must come out, and what the rod's length becomes."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.advice.trial import Trial
from linkage.arrangements import build
from linkage.arrangements.rods import eye_to_eye
from linkage.sheet import Sheet, change
from linkage.sheet.rods import Bar, Rod

_CLOSE = 0.01  # the least set is found this closely, finer than it can be bent [mm]
_STEPS = 8  # lines drawn at the most before that


@dataclass(frozen=True)
class SheetBend:
    """A bend on the sheet that could be taken out.

    Attributes
    ----------
    table : str
        The part's table on the sheet.
    number : int
        Which of its bends, from 1.
    way : str
        The way it goes, as on the sheet.
    amount : float [mm]
        How far.
    at : float or None [mm]
        Where on the rod: so far from the end `start`; None for its middle.
    start : str
        That end.
    """

    table: str
    number: int
    way: str
    amount: float
    at: float | None
    start: str


@dataclass(frozen=True)
class Setting:
    """A bend taken out as far as need be.

    Attributes
    ----------
    least : float [mm]
        How much of it must come out at the least.
    sheet : Sheet
        The sheet with the bend taken right out, the rod as long as it then is.
    """

    least: float
    sheet: Sheet


def settable(sheet: Sheet, side: str, part: str, way: str) -> list[SheetBend]:
    """List the bends of a part that go the other way from where it should go.

    Lateral bends against that way; empty for parts that are no rods.

    Parameters
    ----------
    way : str
        "away from the frames" or "towards the frames": where the part should go.
    """
    wrong = "towards_frames" if way == "away from the frames" else "away_from_frames"
    table = part.replace(" ", "_")
    return [bend for bend in _bends(sheet, side, table, Bar) if bend.way == wrong]


def length_bends(sheet: Sheet, side: str) -> list[SheetBend]:
    """List the bends that make a rod of one side shorter than it was made.

    All bends of rods whose centres are those of the bent rod, or follow from them.
    """
    tables = type(sheet.sides[side]).model_fields
    return [bend for table in tables for bend in _bends(sheet, side, table, Rod)]


def _bends(sheet: Sheet, side: str, table: str, kind: type[Bar]) -> list[SheetBend]:
    """Return the bends of one table, where it is of a kind of rod."""
    rod = getattr(sheet.sides[side], table, None)
    if not isinstance(rod, kind):
        return []
    return [
        SheetBend(table, number, bend.way, bend.amount, bend.at, bend.start)
        for number, bend in enumerate(rod.bend, 1)
        if bend.amount > 0
    ]


def set_back(
    sheet: Sheet, side: str, bend: SheetBend, trial: Trial, asked: float
) -> Setting | None:
    """Find how much of a bend must come out for a pair to have the clearance asked for.

    None where not even the straight rod clears.

    Parameters
    ----------
    asked : float [mm]
        Clearance asked of the pair.
    """
    straight = bent_to(sheet, side, bend, 0.0)
    spare = trial.least(build(straight, side)[side]) - asked
    if spare < 0:
        return None
    # the clearance all but follows the bend in a line: close in by lines, always from both sides
    keep, short = bend.amount, trial.least(build(sheet, side)[side]) - asked
    gone = 0.0
    for _ in range(_STEPS):
        if short >= 0 or keep - gone < _CLOSE:
            break
        at = gone + (keep - gone) * spare / (spare - short)
        at = min(max(at, gone + _CLOSE / 2), keep - _CLOSE / 2)
        value = trial.least(build(bent_to(sheet, side, bend, at), side)[side]) - asked
        if value < 0:
            keep, short, spare = at, value, spare / 2
        else:
            gone, spare, short = at, value, short / 2
    return Setting(bend.amount - gone, straight)


def straight_length(rod: Rod) -> float:
    """Return how long a rod was before it was bent.

    Returns
    -------
    float [mm]
        Eye to eye along the metal, to 1e-9 mm.
    """
    if rod.centres_measured == "straight":
        return rod.centres
    straight = rod.centres
    for _ in range(40):
        tried = rod.model_copy(update={"centres": straight, "centres_measured": "straight"})
        straight += rod.centres - eye_to_eye(tried)
    return straight


def straightened(sheet: Sheet, side: str, table: str) -> Sheet:
    """Return the sheet with every bend of one rod taken right out.

    The rod as long as its metal.

    Parameters
    ----------
    table : str
        The rod's table; one that has no bends, or is no rod, leaves the sheet as it is.
    """
    for bend in length_bends(sheet, side):
        if bend.table == table:
            sheet = bent_to(sheet, side, bend, 0.0)
    return sheet


def bent_to(sheet: Sheet, side: str, bend: SheetBend, amount: float) -> Sheet:
    """Return the sheet with a bend of another amount, the rod's metal as long as it is.

    With the bend and, for a rod measured as it is bent, its centres changed.

    Parameters
    ----------
    amount : float [mm]
        What is left of it.
    """
    return change(sheet, bent_values(sheet, side, bend, amount))


def bent_values(sheet: Sheet, side: str, bend: SheetBend, amount: float) -> dict[str, float]:
    """Return what changes on the sheet for a bend of another amount.

    Parameters
    ----------
    amount : float [mm]
        What is left of it.

    Returns
    -------
    dict of str to float [mm]
        By key, as `sheet.change` takes it: the bend, and the centres of a rod measured bent.
    """
    own = f"{side}." if side in ("left", "right") else ""
    values = {f"{own}{bend.table}.bend[{bend.number}].{bend.way}": amount}
    rod = getattr(sheet.sides[side], bend.table)
    if isinstance(rod, Rod) and rod.centres_measured == "bent":
        bends = list(rod.bend)
        old = bends[bend.number - 1]
        bends[bend.number - 1] = old.model_copy(update={bend.way: amount})
        as_made = rod.model_copy(
            update={
                "centres": straight_length(rod),
                "centres_measured": "straight",
                "bend": tuple(bends),
            }
        )
        values[f"{own}{bend.table}.centres"] = eye_to_eye(as_made)
    return values
