"""How to set a bent rod: which way, where, at least and at most how far, and what it costs.

What is left of a bend is moved from as it is, through straight, to as much the other way; the
windows in which the whole locomotive is free say how far the set must and may go. Rods bent alike
on both sides are set alike: one set alone would leave the other as it is, and nothing free.

Spring-back: a strip bent until all of its thickness yields, and let go, unbends by the curvature
``3 Y / (E t)`` (Y yield stress, E modulus, t thickness; bending of an elastic, then perfectly
plastic strip). Over a bow of length L that is a sag of ``3 Y L^2 / (8 E t)``. It is an estimate
from the table's figures for brass, to begin with and be corrected by trying.

References
----------
EN 1652: CuZn33, E 99 to 115 GPa, 0.2 % proof stress 180 (half hard) and 300 MPa (hard).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linkage.advice.bench import down, step_of, up
from linkage.advice.concern import Concern
from linkage.advice.keys import named_part, own_key, table_at
from linkage.advice.setting import (
    AnyRod,
    SheetBend,
    bends_of,
    bent_to,
    bent_values,
    eyes_apart,
    straight_length,
)
from linkage.advice.standing import Engine, Standing
from linkage.advice.window import Window, Windows, search_windows
from linkage.arrangements import build
from linkage.sheet import Sheet, change, turn_bend

YIELDS = (180.0 / 107e3, 300.0 / 107e3)
"""Proof stress over modulus of brass, half hard and hard (EN 1652) [1]."""
_STRAIGHT = 0.001  # a bend of so much is none: of none there is no number [mm]
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
    """How to set one bend of a rod."""

    side: str  # which side; "both" where the rods of both are bent alike
    part: str  # the rod
    bend: SheetBend  # as it is
    thickness: float  # of the metal, in the plane of the bend [mm]
    # of what may be left of it: above 0 the way it goes now, below 0 the other way
    windows: Windows
    shorter: float  # how much nearer its eyes are than those of the straight rod [mm]
    # of the outer fibres of a bow; nan for a kink or joggle, whose radius is not known [1]
    strain: float
    # how much a bow comes back when let go, half hard and hard brass; nan likewise [mm]
    spring_back: tuple[float, float]
    step: float  # in which it can be set [mm]

    @property
    def window(self) -> Window | None:
        """The window to be set into: the nearest to what the bend is now."""
        now = self.windows.now
        return min(
            self.windows.windows,
            key=lambda w: max(w.low - now, now - w.high, 0.0),
            default=None,
        )

    @property
    def setting(self) -> tuple[float, float] | None:
        """How far to set it at the least and at the most [mm]; None where no set frees it.

        In steps that can be bent, so that what is said is enough, and not too much.
        """
        window, now, step = self.window, self.windows.now, self.step
        if window is None:
            return None
        least, most = up(max(now - window.high, 0.0), step), down(now - window.low, step)
        if window.low <= _STRAIGHT <= window.high:  # as good a place to stop at as a whole step
            return min(least, now), max(most, now)
        return least, most


def bend_advice(sheet: Sheet, part: str) -> list[BendAdvice]:
    """Say how to set the bends of a rod, on every side that has any.

    One for each bend.

    `part`: the rod, in the trade's word or as its table is called: "radius rod", radius_rod,
    coupling_rods.front.

    Raises
    ------
    ValueError
        Where no rod of that name is on the sheet, or it is straight.
    """
    found: list[tuple[SheetBend, AnyRod, list[str]]] = []
    named = ""
    for side, mechanism in build(sheet).items():
        meant = named_part(mechanism, part)
        rod = None if meant is None else table_at(sheet, side, meant.key)
        if meant is None or not isinstance(rod, AnyRod):
            continue
        named = meant.name
        for bend in bends_of(sheet, side, meant.key):
            alike = next((sides for b, r, sides in found if (b, r) == (bend, rod)), None)
            if alike is None:
                found.append((bend, rod, [side]))
            else:
                alike.append(side)
    if not named:
        raise ValueError(f'"{part}" is no rod of this sheet')
    if not found:
        raise ValueError(f"the {named} has no bend on the sheet")
    engine = Engine(sheet)
    return [_advice(engine, sides, named, rod, bend) for bend, rod, sides in found]


def _advice(
    engine: Engine, sides: Sequence[str], part: str, rod: AnyRod, bend: SheetBend
) -> BendAdvice:
    table = rod.bend[bend.number - 1]
    windows = search_windows(
        lambda left: _with_left(engine.sheet, sides, bend, left),
        f"{bend.key}.bend[{bend.number}]",
        bend.amount,
        (-bend.amount, bend.amount),
        Standing(engine, Concern(frozenset({bend.key}), tuple(sides))),
    )
    own = f"{own_key(sides[0], bend.key)}.bend[{bend.number}].{bend.way}"
    thick = rod.thickness if table.lateral else rod.width
    length = table.over or eyes_apart(rod)
    bow = table.kind == "bow"
    bent = 8 * bend.amount / length**2  # curvature, from the sag over the chord
    back = tuple(3 * y * length**2 / (8 * thick) if bow else float("nan") for y in YIELDS)
    return BendAdvice(
        "both" if len(sides) > 1 else sides[0],
        part,
        bend,
        thick,
        windows,
        straight_length(rod) - eyes_apart(rod),
        thick * bent / 2 if bow else float("nan"),
        (back[0], back[1]),
        step_of(engine.sheet, own),
    )


def _with_left(sheet: Sheet, sides: Sequence[str], bend: SheetBend, left: float) -> Sheet:
    """Return the sheet with so much left of a bend; below 0 it goes the other way."""
    for side in sides:
        sheet = _left_on(sheet, side, bend, left)
    return sheet


def _left_on(sheet: Sheet, side: str, bend: SheetBend, left: float) -> Sheet:
    if left >= 0:
        return bent_to(sheet, side, bend, left)
    values = bent_values(sheet, side, bend, -left)
    key = f"{own_key(side, bend.key)}.bend[{bend.number}]"
    amount = values.pop(f"{key}.{bend.way}")
    values[f"{key}.{OTHER_WAY[bend.way]}"] = amount
    turned = turn_bend(sheet, side, bend.key, bend.number, OTHER_WAY[bend.way])
    return change(turned, values)
