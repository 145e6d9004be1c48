"""How to set a bent rod: which way, where, at least and at most how far, and what it costs.

What is left of a bend is moved from as it is, through straight, to as much the other way; the
windows in which the whole locomotive is free say how far the set must and may go.

Spring-back: a strip bent until all of its thickness yields, and let go, unbends by the curvature
``3 Y / (E t)`` (Y yield stress, E modulus, t thickness; bending of an elastic, then perfectly
plastic strip). Over a bow of length L that is a sag of ``3 Y L^2 / (8 E t)``. It is an estimate
from the table's figures for brass, to begin with and be corrected by trying.

References
----------
EN 1652: CuZn33, E 99 to 115 GPa, 0.2 % proof stress 180 (half hard) and 300 MPa (hard).
"""

from __future__ import annotations

from dataclasses import dataclass

from linkage.advice.setting import SheetBend, bent_to, bent_values, length_bends, straight_length
from linkage.advice.window import Window, Windows, search_windows
from linkage.arrangements.rods import eye_to_eye
from linkage.sheet import Sheet, change, turn_bend
from linkage.sheet.rods import Rod

YIELDS = (180.0 / 107e3, 300.0 / 107e3)
"""Proof stress over modulus of brass, half hard and hard (EN 1652) [1]."""
OTHER_WAY = {
    "towards_frames": "away_from_frames",
    "away_from_frames": "towards_frames",
    "up": "down",
    "down": "up",
    "ahead": "back",
    "back": "ahead",
}
"""Ways of bends on the sheet, each with its opposite."""


@dataclass(frozen=True)
class BendAdvice:
    """How to set one bend of a rod.

    Attributes
    ----------
    side : str
        Which side.
    part : str
        The rod.
    bend : SheetBend
        As it is.
    thickness : float [mm]
        Of the metal, in the plane of the bend.
    windows : Windows
        Of what may be left of it: above 0 the way it goes now, below 0 the other way.
    shorter : float [mm]
        How much nearer its eyes are than those of the straight rod.
    strain : float [1]
        Of the outer fibres of a bow; nan for a kink or joggle, whose radius is not known.
    spring_back : (float, float) [mm]
        How much a bow comes back when let go, half hard and hard brass; nan likewise.
    """

    side: str
    part: str
    bend: SheetBend
    thickness: float
    windows: Windows
    shorter: float
    strain: float
    spring_back: tuple[float, float]

    @property
    def window(self) -> Window | None:
        """The window to be set into: the nearest to what the bend is now."""
        now = self.windows.now
        return min(
            self.windows.windows,
            key=lambda w: max(w.low - now, now - w.high, 0.0),
            default=None,
        )


def bend_advice(sheet: Sheet, part: str) -> list[BendAdvice]:
    """Say how to set the bends of a rod, on every side that has any.

    One for each bend.

    Parameters
    ----------
    part : str
        The rod, in the trade's word or as its table is called.

    Raises
    ------
    ValueError
        Where no rod of that name is on the sheet, or it is straight.
    """
    table = part.replace(" ", "_")
    sides = sheet.sides
    if not any(isinstance(getattr(side, table, None), Rod) for side in sides.values()):
        raise ValueError(f'"{part}" is no rod of this sheet')
    found = [
        _advice(sheet, side, bend)
        for side in sides
        for bend in length_bends(sheet, side)
        if bend.table == table
    ]
    if not found:
        raise ValueError(f"the {table.replace('_', ' ')} has no bend on the sheet")
    return found


def _advice(sheet: Sheet, side: str, bend: SheetBend) -> BendAdvice:
    rod: Rod = getattr(sheet.sides[side], bend.table)
    table = rod.bend[bend.number - 1]
    windows = search_windows(
        lambda left: _with_left(sheet, side, bend, left),
        f"{bend.table}.bend[{bend.number}]",
        bend.amount,
        (-bend.amount, bend.amount),
    )
    thick = rod.thickness if table.lateral else rod.width
    length = table.over or eye_to_eye(rod)
    bow = table.kind == "bow"
    bent = 8 * bend.amount / length**2  # curvature, from the sag over the chord
    back = tuple(3 * y * length**2 / (8 * thick) if bow else float("nan") for y in YIELDS)
    return BendAdvice(
        side,
        bend.table.replace("_", " "),
        bend,
        thick,
        windows,
        straight_length(rod) - eye_to_eye(rod),
        thick * bent / 2 if bow else float("nan"),
        (back[0], back[1]),
    )


def _with_left(sheet: Sheet, side: str, bend: SheetBend, left: float) -> Sheet:
    """Return the sheet with so much left of a bend; below 0 it goes the other way."""
    if left >= 0:
        return bent_to(sheet, side, bend, left)
    values = bent_values(sheet, side, bend, -left)
    own = f"{side}." if side in ("left", "right") else ""
    key = f"{own}{bend.table}.bend[{bend.number}]"
    amount = values.pop(f"{key}.{bend.way}")
    values[f"{key}.{OTHER_WAY[bend.way]}"] = amount
    turned = turn_bend(sheet, side, bend.table, bend.number, OTHER_WAY[bend.way])
    return change(turned, values)
