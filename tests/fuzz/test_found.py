"""Sheets that mutation found the program to stumble over, smaller."""

from __future__ import annotations

import pytest

from linkage.errors import SheetError
from linkage.examine import examine
from linkage.sheet import sheet_from, sheet_in
from linkage.sheet.ready import ready_sheets


def test_a_crank_with_nothing_on_it_is_examined():
    """A linkage of its crank alone has no loop to close."""
    data = {
        "arrangement": "linkage",
        "crank": {"pins": {"pin": [1.0, 0.0]}},
        "fixed": [
            {
                "name": "stop", "side_view": [[4, 0], [6, 0], [6, 2]], "out": 0.0,
                "thickness": 1.0,
            }
        ],
    }  # fmt: skip
    assert examine(sheet_from(data)).free


def test_coupled_wheels_on_a_sheet_of_none_are_told():
    text = ready_sheets()["ardmoor-2-6-0"].read_text(encoding="utf-8")
    for arrangement in ("linkage", "slider-crank"):
        said = text.replace('"walschaerts"', f'"{arrangement}"', 1)
        with pytest.raises(SheetError) as caught:
            sheet_in(f"{said}\n[axles.front]\nahead = 1\n[coupling_rods.front]\n", "engine.toml")
        assert all(problem.key for problem in caught.value.problems)


def test_a_slip_that_shows_on_another_line_comes_to_an_end():
    """A quote opened before a key is missed at the next table: mending that line is no use."""
    with pytest.raises(SheetError, match=r"line [12] cannot be read"):
        sheet_in("'out       = 3.0\n[valve]", "engine.toml")


def test_an_arrangement_that_is_a_table_is_told():
    with pytest.raises(SheetError, match="arrangement: should be"):
        sheet_in("arrangement = {}\n", "engine.toml")


def test_a_play_of_nothing_is_told():
    """Where wheels bind without any is sought for minutes."""
    texts = (path.read_text(encoding="utf-8") for path in ready_sheets().values())
    text = next(text for text in texts if "play = 0.05 }" in text)
    with pytest.raises(SheetError, match=r"less play than can be measured"):
        sheet_in(text.replace("play = 0.05 }", "play = 0.000000001 }"), "engine.toml")
