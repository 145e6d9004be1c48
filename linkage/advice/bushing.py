"""Worn joints bushed: which, and how much play may be left in them."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.advice.bench import bench_step
from linkage.advice.cure import Bush
from linkage.advice.keys import on_sheet, own_key
from linkage.arrangements import build
from linkage.errors import LinkageError
from linkage.examine import Examination
from linkage.mechanism import Mechanism
from linkage.sheet import change
from linkage.tables.shapes import JointPlay
from linkage.tightspots import TouchesWithPlay

_LEFT = (0.5, 0.25, 0.0)  # shares of its play that are left in it [1]


def bushings(examination: Examination, spot: TouchesWithPlay) -> Iterator[tuple[Bush, Mechanism]]:
    """Yield bushes for the joint whose play takes the most, the most play left first.

    Then for every joint, where only one number for all is on the sheet or that one is not enough.
    """
    sheet, side = examination.sheet, spot.side
    table: JointPlay = sheet.sides[side].joint_play
    line = table.JOINTS.get(spot.worn.most_by, "")
    step = bench_step(sheet) / sheet.lengths.finer
    for name in (line, "everywhere"):
        now = getattr(table, name, None) if name else None
        if not now:
            continue
        for share in _LEFT:
            left = round(int(now * share / step) * step, 4)
            values = {own_key(side, f"joint_play.{name}"): left}
            try:
                made = build(change(sheet, values), side)[side]
            except LinkageError:
                continue
            joint = spot.worn.most_by if name == line else "joints"
            yield Bush(joint, left, changes=on_sheet(examination, side, values)), made
