"""Coupling rods packed farther out, or let farther in by a thinner washer behind them.

A head on a crank pin that has no place of its own on the sheet sits on its rod, and goes with it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.advice.bench import step_of
from linkage.advice.cure import Changes, Washer, Way
from linkage.advice.keys import on_sheet, own_key, table_at
from linkage.advice.trial import trial_of
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism, PieceSort
from linkage.sheet import change
from linkage.tables.coupled import CouplingRodTable
from linkage.tables.sides import CoupledSide
from linkage.tightspots import Close, Fouls


def packings(examination: Examination, spot: Fouls | Close) -> Iterator[tuple[Washer, Mechanism]]:
    """Yield the washers behind coupling rods that part a pair, each with what it makes."""
    contact = spot.contact
    for index in (contact.outer, 1 - contact.outer):
        outward = index == contact.outer
        way: Way = "away from the frames" if outward else "towards the frames"
        for key in _rods(examination, spot, index):
            found = _packed(examination, spot, key, 1.0 if outward else -1.0)
            if found is not None:
                amount, changes, made = found
                part = made.with_key(key)
                yield Washer(part.name if part else key, way, amount, changes=changes), made


def _rods(examination: Examination, spot: Fouls | Close, index: int) -> Iterator[str]:
    """Yield the keys of the coupling rods that one of two parts is, or is kept on its pin by."""
    sheet, side = examination.sheet, spot.side
    held = examination.sides[side].mechanism.part(spot.contact.parts[index])
    if isinstance(table_at(sheet, side, held.key), CouplingRodTable):
        yield held.key
        return
    tables = sheet.sides[side]
    if spot.contact.pieces[index].sort is not PieceSort.NUT or not isinstance(tables, CoupledSide):
        return
    axle = held.key.rpartition(".")[2]
    for name, rod in tables.coupling_rods.items():
        if axle in rod.axles:
            yield f"coupling_rods.{name}"


def _packed(
    examination: Examination, spot: Fouls | Close, key: str, sign: float
) -> tuple[float, Changes, Mechanism] | None:
    """Return how much a rod is packed, and what that changes and makes; None where it cannot."""
    sheet, side = examination.sheet, spot.side
    rod = table_at(sheet, side, key)
    if not isinstance(rod, CouplingRodTable):
        return None
    own = own_key(side, f"{key}.out")

    def changes(by: float) -> Changes:
        return on_sheet(examination, side, {own: rod.out + sign * by})

    def packed(by: float) -> Mechanism:
        return build(change(sheet, dict(changes(by))), side)[side]

    trial, step = trial_of(examination, spot), step_of(sheet, own)
    try:
        need = trial.least_move(packed, spot.contact.lateral, step, rod.thickness)
        return None if math.isinf(need) else (need, changes(need), packed(need))
    except LinkageError:
        return None
