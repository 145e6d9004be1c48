"""2,000 mutated sheets, hostile text anywhere: an answer, or a refusal that says where."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from linkage.errors import SheetError
from linkage.sheet import sheet_in
from linkage.sheet.opening import data_in
from tests.fuzz.sheets import trial

COUNT, SHARE = 2000, 100
SMALL = """
title = {0}
arrangement = "slider-crank"
scale = {0}
{1} = {0}
[wheels]
throw = {0}
[{1}]
name = {0}
[[fixed]]
name = {0}
out = {0}
"""
QUIET = settings(derandomize=True, deadline=None, max_examples=200, database=None)


@pytest.mark.parametrize("first", range(0, COUNT, SHARE))
def test_mutated_sheets_are_answered_or_refused_with_where(first):
    found = {seed: trial(seed).fault for seed in range(first, first + SHARE)}
    assert {seed: fault for seed, fault in found.items() if fault} == {}


@QUIET
@given(some.text(max_size=300))
def test_any_text_is_data_or_slips_told_by_line(text):
    try:
        data_in(text, "engine.toml")
    except SheetError as error:
        assert all(problem.key or "cannot be read" in str(problem) for problem in error.problems)  # noqa: PT017


@QUIET
@given(some.text(max_size=30), some.text(max_size=80))
def test_hostile_words_are_refused_by_key(word, key):
    with pytest.raises(SheetError) as caught:
        sheet_in(SMALL.format(json.dumps(word), json.dumps(key)), "engine.toml")
    assert all(str(problem).isprintable() or "\n" in word for problem in caught.value.problems)
