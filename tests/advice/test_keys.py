"""Which numbers of the sheet a cure changes: those that stand, and not the ones they hide."""

import pytest

from linkage.advice.keys import on_sheet
from linkage.examine import examine
from linkage.sheet import change, sheet_from

OUT = "valve_spindle.out"


@pytest.mark.parametrize(
    ("sides", "own", "changed"),
    [
        (("right",), (), {OUT}),
        (("right",), ("right",), {f"right.{OUT}"}),
        (("right", "left"), (), {OUT}),
        (("right", "left"), ("right", "left"), {f"right.{OUT}", f"left.{OUT}"}),
        (("right", "left"), ("left",), {OUT, f"left.{OUT}"}),
    ],
)
def test_what_a_side_has_by_its_own_key_is_changed_by_it(straight, sides, own, changed):
    data = {key: held for key, held in straight.data.items() if key not in ("right", "left")}
    alike = {side: {"valve_spindle": {"out": data["valve_spindle"]["out"]}} for side in own}
    sheet = sheet_from({**data, **alike, "sides": list(sides)}, ask=False)

    found = dict(on_sheet(examine(sheet), "right", {f"right.{OUT}": 4.2}))

    assert set(found) == changed
    after = change(sheet, found)
    assert {table.valve_spindle.out for table in after.sides.values()} == {4.2}
