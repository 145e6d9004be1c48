"""A small invented sheet, and ways to spoil it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from linkage.errors import Problem, SheetError
from linkage.sheet import Sheet, read_sheet

TEXT = """\
title = "Marsh Lane goods engine"
arrangement = "walschaerts"
units = "mm"
measured_to = 0.05
wanted_clearance = 0.2

[wheels]
throw = 4.0

[connecting_rod]
centres = 36.0

[return_crank]
pin_circle = 1.6
leads = 90

[eccentric_rod]
centres = 20.0

[expansion_link]
trunnion = { ahead = 20.0, up = 7.0 }
foot_pin = { below = 7.0 }
slot_half_length = 3.0

[radius_rod]
centres = 16.0
die_above_trunnion = 2.0
bend = [{ kind = "bow", from = "die block", towards_frames = 0.5 }]

[combination_lever]
radius_rod_pin_to_valve_pin = 1.2
radius_rod_pin_to_union_pin = { outside_to_outside = 10.4, ends = [1.4, 1.6], measured_to = 0.03 }

[union_link]
centres = { inside_to_inside = 3.4, holes = [0.6, 0.8] }

[crosshead]
drop_arm_pin = { ahead = 2.0, below = 3.0 }

[valve_spindle]
height = 6.0

[[fixed]]
name = "motion bracket"
side_view = [[21.5, 4.0], [23.5, 4.0], [23.5, 10.5], [21.5, 10.5]]
out = 2.9
thickness = 0.8
"""


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Sheet]:
    """Read the sheet with some of its text replaced, and more text after it."""

    def reader(*changes: tuple[str, str], more: str = "") -> Sheet:
        text = TEXT
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / "sheet.toml"
        path.write_text(text + more, encoding="utf-8")
        return read_sheet(path)

    return reader


@pytest.fixture
def problems(read: Callable[..., Sheet]) -> Callable[..., list[str]]:
    """Read a spoilt sheet and return its problems as lines."""

    def reader(*changes: tuple[str, str], more: str = "") -> list[str]:
        with pytest.raises(SheetError) as caught:
            read(*changes, more=more)
        assert all(isinstance(problem, Problem) for problem in caught.value.problems)
        return [str(problem) for problem in caught.value.problems]

    return reader
