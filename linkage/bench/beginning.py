"""A sheet begun from nothing: guesses fill it, and the drawing stands at once."""

from __future__ import annotations

from linkage.arrangements import ARRANGEMENTS
from linkage.bench.numbers import letters_for
from linkage.bench.telling import Unanswerable
from linkage.sheet.blank import blank_sheet
from linkage.sheet.wheel_arrangement import WheelArrangement
from linkage.tables.sides import CoupledSide
from linkage.units import SCALES


def new_sheet(arrangement: str, scale: str, unit: str, wheels: str | None) -> str:
    """Return the text of a new sheet, as `tightspot new` writes it.

    `wheels`: such as "2-6-0"; None for none.

    Raises
    ------
    Unanswerable
        Where there is no such arrangement, scale, unit or wheels.
    """
    if arrangement not in ARRANGEMENTS or scale not in SCALES or unit not in ("mm", "in"):
        raise Unanswerable("There is no such arrangement, scale or unit.")
    if wheels is not None and not issubclass(ARRANGEMENTS[arrangement].tables, CoupledSide):
        raise Unanswerable(f"{arrangement} has no wheels.")
    try:
        coupled = None if wheels is None else WheelArrangement.of(wheels, None)
        letters = letters_for(arrangement, scale, unit, coupled)
        return blank_sheet(arrangement, scale, coupled, unit, letters)
    except ValueError as error:
        raise Unanswerable(f"{error}.") from error
