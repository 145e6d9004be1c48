"""What is damaged made true: a twist taken out, a pin set upright, an end filed flush.

Numbers that are nought on a part as it was made say in their fields what is to be done where they
are not (`Facts.damage`). Of those that are not nought each is tried at nought.
"""

from __future__ import annotations

from collections.abc import Iterator

from linkage.advice.cure import MakeTrue, Number
from linkage.advice.keys import bare_key, on_sheet, own_key
from linkage.advice.trial import Curable, cured
from linkage.arrangements import build
from linkage.arrangements.numbers import facts_at
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism
from linkage.sheet import change, is_angle


def made_true(examination: Examination, spot: Curable) -> Iterator[tuple[MakeTrue, Mechanism]]:
    """Yield what is damaged and cures a spot when it is made true, with what that makes."""
    side = spot.side
    for key, now in examination.sheet.dimensions[side].items():
        bare = bare_key(key)
        if not now or not facts_at(bare).damage:
            continue
        changes = on_sheet(examination, side, {own_key(side, bare): 0.0})
        try:
            made = build(change(examination.sheet, dict(changes)), side)[side]
            if not cured(examination, spot, made):
                continue
        except LinkageError:
            continue
        number = Number(key, now, -now, 0.0, is_angle(examination.sheet, key))
        yield MakeTrue(number, changes=changes), made
