"""DEVELOPERS.md has every fault of the trade, with what is made of it here."""

from __future__ import annotations

from pathlib import Path

from linkage.report.elsewhere import ELSEWHERE
from tests.faults.made import MADE
from tests.faults.table import FAULTS, table

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"


def test_every_fault_has_its_place():
    made, told = {one.fault for one in MADE}, {one.fault for one in ELSEWHERE}
    assert not made & told
    assert made | told == set(FAULTS)


def test_the_table_in_the_developers_notes_is_this_one():
    assert table() in DEVELOPERS.read_text(encoding="utf-8"), "python -m tests.faults --write"
