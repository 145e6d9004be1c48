"""Plates that stand in the way set farther out or in: a slide bar, a bracket, a yoke on its pivot.

What is fast on the frame is packed out, or let in, by what is behind it; that can be undone, where
filing it cannot. Its place sideways is a number of the sheet, and moves no joint.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.advice.bench import step_of
from linkage.advice.cure import Number, PutRight
from linkage.advice.keys import on_sheet, own_key, table_at
from linkage.advice.trial import trial_of
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tightspots import Close, Fouls

_SOME = 1 / 3  # share of its thickness that a plate is set sideways by, as by which it is filed [1]


def set_sideways(
    examination: Examination, spot: Fouls | Close
) -> Iterator[tuple[PutRight, Mechanism]]:
    """Yield how far a fixed plate must go sideways to part a pair, the outer part outward.

    Only where the two lie over one another in side view, so that it is sideways they come too near.
    """
    contact = spot.contact
    if contact.lateral < contact.side_view:
        return
    for index in (contact.outer, 1 - contact.outer):
        found = _moved(examination, spot, index, 1.0 if index == contact.outer else -1.0)
        if found is not None:
            yield found


def _moved(
    examination: Examination, spot: Fouls | Close, index: int, sign: float
) -> tuple[PutRight, Mechanism] | None:
    """Return one of two parts set sideways, and what that makes; None where it cannot be."""
    sheet, side = examination.sheet, spot.side
    part = examination.sides[side].mechanism.part(spot.contact.parts[index])
    now = getattr(table_at(sheet, side, part.key), "out", None) if part.fixed else None
    if not isinstance(now, float):
        return None
    key, thick = f"{part.key}.out", max(piece.thickness for piece in part.pieces)
    own, most = own_key(side, key), _SOME * thick

    def made(by: float) -> Mechanism:
        return build(change(sheet, {own: now + sign * by}), side)[side]

    try:
        need = trial_of(examination, spot).least_move(
            made, spot.contact.lateral, step_of(sheet, own), most
        )
        if math.isinf(need):
            return None
        changes = on_sheet(examination, side, {own: now + sign * need})
        return PutRight(Number(key, now, sign * need), changes=changes), made(need)
    except LinkageError:
        return None
