"""What putting numbers right asks for: another rod, an angle set again, or only that."""

from __future__ import annotations

from collections.abc import Sequence

from linkage.advice.coupling import BentRod, Wrong
from linkage.advice.cure import (
    Changes,
    Correction,
    MakeTrue,
    Number,
    PutRight,
    Replace,
    Requarter,
    ResetReturnCrank,
    Straighten,
    Together,
    TurnEccentric,
)
from linkage.advice.keys import bare_key, on_sheet, own_key, table_key
from linkage.advice.resetting import equal_distance, quarter_range, turning_range
from linkage.arrangements.numbers import facts_at
from linkage.examine import Examination
from linkage.sheet import Sheet, change


def put_right_loop(
    examination: Examination, side: str, numbers: Sequence[Number], sheet: Sheet
) -> Straighten | Correction | Together:
    """Return the cure that puts numbers of one side right.

    `numbers`: by keys without the side. `sheet`: with all of them changed.
    """
    alone = len(numbers) == 1
    parts: list[Correction] = []
    for number in numbers:
        changes = on_sheet(examination, side, {own_key(side, number.key): number.to})
        parts.append(
            _put_right(examination, side, number, changes, sheet)
            if alone
            else PutRight(number, changes=changes)
        )
    return _together(parts)


def put_right_wheels(
    examination: Examination, wrong: Sequence[Wrong]
) -> Straighten | Correction | Together:
    """Return the cure that puts right what is wrong with coupled wheels."""
    parts: list[Straighten | Correction] = []
    changes = dict(change for one in wrong for change in _changes(one))
    sheet = change(examination.sheet, changes)
    for one in wrong:
        if isinstance(one, BentRod):
            part = part_of(examination, one.side, one.bend.key)
            parts.append(Straighten(part, one.bend, changes=_changes(one)))
        elif len(wrong) > 1:  # where several are wrong, how far one may go is not asked: it is dear
            parts.append(PutRight(one, changes=_changes(one)))
        else:
            side = next(iter(examination.sides))
            parts.append(_put_right(examination, side, one, _changes(one), sheet))
    return _together(parts)


def _changes(wrong: Wrong) -> Changes:
    return wrong.changes if isinstance(wrong, BentRod) else ((wrong.key, wrong.to),)


def _together(parts: Sequence[Straighten | Correction]) -> Straighten | Correction | Together:
    if len(parts) == 1:
        return parts[0]
    changes = tuple(change for part in parts for change in part.changes)
    return Together(tuple(parts), changes=changes)


def _put_right(
    examination: Examination, side: str, number: Number, changes: Changes, sheet: Sheet
) -> Correction:
    """Return what putting one number right asks for; `sheet`: with all that is put right."""
    table = table_key(number.key)
    if facts_at(bare_key(number.key)).damage:
        return MakeTrue(number, changes=changes)
    match facts_at(bare_key(number.key)).mends:
        case "requarter":
            axles = examination.play.wheels.axles if examination.play else ()
            axle = next((axle.name for axle in axles if axle.key == table), "")
            free = quarter_range(examination, sheet, number.key, number.to)
            return Requarter(number, axle, free, changes=changes)
        case "reset":
            free = turning_range(sheet, side, number.key, number.to)
            equal = equal_distance(examination, side, number.key, number.to)
            return ResetReturnCrank(number, free, equal, changes=changes)
        case "turn":
            return TurnEccentric(number, changes=changes)
        case "replace":
            return Replace(number, part_of(examination, side, table), changes=changes)
        case _:
            return PutRight(number, changes=changes)


def part_of(examination: Examination, side: str, table: str) -> str:
    """Return the name of the part that a table of the sheet is about."""
    part = examination.sides[side].mechanism.with_key(table)
    return part.name if part is not None else table
