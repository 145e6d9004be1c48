"""What is not in the motion is named, each with how to tell it; `check` points there."""

from __future__ import annotations

from linkage.report.elsewhere import ELSEWHERE, POINTER, POINTER_IN_DOUBT
from linkage.sheet.ready import ready_sheets

OUTSIDE = {21, 43, 46, 47, 49, 50, 51, 52}


def test_each_is_said_with_how_to_tell_it_and_what_to_do(run):
    done = run("elsewhere")
    said = " ".join(done.output.split())

    assert done.exit_code == 0
    assert {one.fault for one in ELSEWHERE} == OUTSIDE
    for one in ELSEWHERE:
        for text in (one.what[1:], one.looks, one.tell, one.do):
            assert text
            assert text in said


def test_an_engine_that_is_free_is_told_of_it_and_no_other(run):
    free = run("check", str(ready_sheets()["slider-crank"]))
    assert POINTER in " ".join(free.output.split())
    found = run("check", str(ready_sheets()["slider-crank-rod-too-long"]))
    assert "elsewhere" not in found.output


def test_one_that_is_free_by_guesses_is_not_told_that_it_is_nothing_on_the_sheet(run, tmp_path):
    sheet = tmp_path / "blank.toml"
    run("new", "slider-crank", "--out", str(sheet))
    said = " ".join(run("check", str(sheet)).output.split())

    assert POINTER_IN_DOUBT in said
    assert POINTER not in said
