"""The page's document: what the other setters are given, set as HTML."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from markupsafe import escape

from linkage.examine import examine
from linkage.page.html import page_html
from linkage.report.document import examined_blocks
from linkage.report.gear import say_looked
from linkage.report.hypertext import set_hypertext
from linkage.report.sureness import say_whole
from linkage.report.words import say_curves, say_play
from linkage.sheet import read_sheet, sheet_from

CONFIGS = Path(__file__).parents[2] / "configs"


@pytest.fixture(scope="module")
def locks():
    return examine(read_sheet(CONFIGS / "slider-crank-rod-too-long.toml"))


def test_the_page_has_all_of_it_in_words_with_or_without_its_script(locks):
    document = set_hypertext(examined_blocks(locks), above=1)
    page = page_html(locks)
    assert document in page
    assert page.index(document) > page.index("</noscript>")
    assert page_html(locks, locks).count(document) == 2


def test_nothing_is_said_of_the_whole_twice(locks):
    page = page_html(locks)
    for text in (say_whole(locks), say_play(locks), say_curves(locks), say_looked(locks)):
        assert not text or page.count(str(escape(text))) == 1


def test_where_no_terminal_is_open_no_command_is_named():
    """A sheet with two sides that are surely unlike, of which a terminal's answer names one."""
    data = tomllib.loads((CONFIGS / "ardmoor-0-6-2-joy.toml").read_text(encoding="utf-8"))
    del data["sides"]
    data["wheels"]["right_leads_by"] = 90
    unlike = examine(sheet_from({**data, "left": {"anchor_link": {"centres": 86.0}}}, ask=False))
    said = str(set_hypertext(examined_blocks(unlike, page=True), above=1))
    assert "the sides differ in the anchor link&#39;s centres" in said
    assert "Measure them again, on either side." in said
    assert "tightspot" not in said
